"""What every occurrence of the sound in a text does, in its place.

Room: looks the words of a line up, puts their symbols side by side and asks the rules. What happens at the edge of two
words is in the rule table; what becomes of a word before (weak *to*, lost h) in ``weak_forms.csv``. A line break, a
punctuation mark that parts phrases and an unknown word are pauses, across which nothing links.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Iterable, Iterator, Sequence
from functools import cached_property
from typing import TYPE_CHECKING, NamedTuple

from lexiconforge.errors import OptionError
from lexiconforge.lexicon import Lexicon
from lexiconforge.lexicon.catalog import TOKEN_COLUMNS, reading_rows
from lexiconforge.lexicon.records import Reading, SoundToken
from lexiconforge.phonology.arpabet import INVENTORY, Phones
from lexiconforge.phonology.matcher import CLITIC, PAUSE, WORD_BOUNDARY
from lexiconforge.phonology.spelling import align
from lexiconforge.sounds import Sound
from lexiconforge.tables import Table
from lexiconforge.text.phrases import Item, items, spelling

if TYPE_CHECKING:
    import pandas as pd

STYLES = ("casual", "careful")
"""*casual* links words and reduces those of ``weak_forms.csv``; *careful* says every word as it stands in the
dictionary."""
PASSAGE_COLUMNS = ("line", "text", *TOKEN_COLUMNS, "next_word", "start", "end")


class _Form:
    """A word as it is said, one object for each, so that it can be a key: its reading, and whether it leans on
    the word before."""

    __slots__ = ("clitic", "has_sound", "indexes", "reading", "symbols")

    def __init__(self, reading: Reading, phone: str) -> None:
        self.reading = reading
        self.clitic = reading.symbols[0] == CLITIC
        self.symbols = reading.symbols[1:] if self.clitic else reading.symbols
        self.indexes = reading.indexes[1:] if self.clitic else reading.indexes
        self.has_sound = phone in reading.phones


class Tagged(NamedTuple):
    """The sound in a word between its neighbours; the same everywhere it stands so, and worked out once."""

    tokens: tuple[SoundToken, ...]
    cells: list[tuple[object, ...]]


class Said(NamedTuple):
    """A word of a text: its place in the text, what is known of the sound in it (None if it has none), whether
    the dictionary knows it, and the word after, empty before a pause."""

    line: int
    item: Item
    start: int
    end: int
    tagged: Tagged | None
    known: bool
    next_word: str


class Passage:
    """A tagged text. ``text`` is what was given, ``said`` its words in order."""

    def __init__(self, text: str, said: list[Said], sound: Sound) -> None:
        self.text, self.said, self._sound = text, said, sound

    def __repr__(self) -> str:
        return f"<Passage of {len(self.said):,} words>"

    @property
    def words(self) -> int:
        """Number of words."""
        return len(self.said)

    @cached_property
    def unknown(self) -> Counter[str]:
        """Words the dictionary does not have and no rule derives, with how often they occur; nothing in them is
        guessed."""
        return Counter(spelling(said.item.text) for said in self.said if not said.known)

    @cached_property
    def table(self) -> Table:
        """As :attr:`tokens`, as a plain table."""
        rows = []
        for said in self.said:
            if said.tagged is not None:
                line, item, start, end, _, _, next_word = said
                for token, cells in zip(said.tagged.tokens, said.tagged.cells, strict=True):
                    if item.of_number:
                        span = (start, end)
                    else:
                        first, last = token.span
                        span = (start + first, start + last)
                    rows.append((line, item.text, *cells, next_word, *span))
        return Table.of_rows("passage", PASSAGE_COLUMNS, rows)

    @cached_property
    def tokens(self) -> pd.DataFrame:
        """One row for each occurrence of the sound, columns :data:`PASSAGE_COLUMNS`: those of
        :func:`lexiconforge.lexicon.catalog.sound_tokens`, with ``line`` (from 1), ``text`` (the word as written),
        ``next_word`` (empty before a pause), and ``start`` and ``end``, the place of the letters in the text in
        characters from 0; of a number that is read out, the place of the number."""
        return self.table.frame()

    @cached_property
    def marked(self) -> str:
        """The text with each occurrence in brackets with its IPA, ``wa[t|ɾ]er``; numbers are followed by their words in
        braces."""
        out: list[str] = []
        done = 0
        for n, said in enumerate(self.said):
            if said.item.of_number:
                out.append(self.text[done : said.end])
                opens = n == 0 or self.said[n - 1].end != said.end
                closes = n + 1 == len(self.said) or self.said[n + 1].end != said.end
                spoken = self._marked_word(said.item.text, said.tagged)
                out.append(f"{'{' if opens else ' '}{spoken}{'}' if closes else ''}")
            else:
                out.append(self.text[done : said.start])
                out.append(self._marked_word(said.item.text, said.tagged))
            done = said.end
        return "".join([*out, self.text[done:]])

    def _marked_word(self, text: str, tagged: Tagged | None) -> str:
        if tagged is None:
            return text
        out, done = [], 0
        for _, rule, (start, end) in tagged.tokens:
            if end > start:
                symbol = self._sound.allophones[rule.allophone].symbol
                out += [text[done:start], "[", text[start:end], "|", symbol, "]"]
                done = end
        return "".join([*out, text[done:]])


class Tagger:
    """Tags lines of text. Keeps what it has worked out about words, so that long texts go fast; threads may share one.

    >>> from lexiconforge.lexicon import load_lexicon
    >>> tagger = Tagger(load_lexicon())
    >>> tagger.tag_text("Put it on the water.").marked
    'Pu[t|ɾ] i[t|ɾ] on the wa[t|ɾ]er.'
    """

    def __init__(self, lexicon: Lexicon, style: str = "casual") -> None:
        """Raises :class:`~lexiconforge.errors.OptionError` for a style that does not exist."""
        if style not in STYLES:
            raise OptionError(f"no style {style!r}; there are: {', '.join(STYLES)}")
        self.lexicon, self.style = lexicon, style
        self._sound = lexicon.sound
        self._linking = style == "casual"
        self._forms: dict[str, _Form | None] = {}
        self._tagged: dict[tuple[_Form, Phones, Phones], Tagged] = {}
        self._weak = self._weak_forms()

    def __repr__(self) -> str:
        return f"<Tagger of the sound {self._sound.name}, {self.style}>"

    def __getstate__(self) -> dict[str, object]:
        return {"lexicon": self.lexicon, "style": self.style}

    def __setstate__(self, state: dict[str, object]) -> None:
        self.__init__(**state)  # type: ignore[misc]

    def tag_text(self, text: str, progress: Callable[[float], None] = lambda share: None) -> Passage:
        """Tag a whole text; ``progress`` is told now and then which share, 0 to 1, of its lines is read.

        Raises :class:`~lexiconforge.errors.OptionError` for what is not text.
        """
        if not isinstance(text, str):
            raise OptionError(f"a text must be a string, not {type(text).__name__}")
        lines = text.split("\n")
        said: list[Said] = []
        offset = 0
        for number, line in enumerate(lines, start=1):
            if number % 5000 == 1:
                progress(number / len(lines))
            said += self._said(number, line, offset)
            offset += len(line) + 1
        return Passage(text, said, self._sound)

    def tag_lines(self, lines: Iterable[str]) -> Iterator[Passage]:
        """A passage for each of these lines."""
        return map(self.tag_text, lines)

    def _said(self, number: int, line: str, offset: int) -> Iterator[Said]:
        found = items(line)
        forms = [None if item is None else self._form(item.text) for item in found]
        spoken = forms
        if self._linking:
            spoken = [self._reduced(forms, n) for n in range(len(found))]
        for n, item in enumerate(found):
            if item is None:
                continue
            form = spoken[n]
            following = found[n + 1] if n + 1 < len(found) else None
            tagged = self._between(spoken, n, form) if form is not None and form.has_sound else None
            yield Said(
                number,
                item,
                offset + item.start,
                offset + item.end,
                tagged,
                forms[n] is not None,
                following.text if following is not None else "",
            )

    def _form(self, written: str) -> _Form | None:
        known = self._forms.get(written, self)
        if known is self:
            reading = self._look_up(spelling(written))
            made = None if reading is None else _Form(reading, self._sound.phone)
            known = self._forms.setdefault(written, made)
        return known  # type: ignore[return-value]

    def _look_up(self, word: str) -> Reading | None:
        lexicon = self.lexicon
        return lexicon.main(word) or lexicon.main(word.strip("'")) or lexicon.derived(word)

    def _between(self, spoken: Sequence[_Form | None], n: int, form: _Form) -> Tagged:
        """What the sound is in a word between its neighbours."""
        before: Phones = (PAUSE,)
        after: Phones = (PAUSE,)
        if self._linking:
            matcher = self._sound.matcher
            previous = spoken[n - 1] if n else None
            follower = spoken[n + 1] if n + 1 < len(spoken) else None
            if previous is not None:
                mark = CLITIC if form.clitic else WORD_BOUNDARY
                before = (*previous.symbols[1 - matcher.reach_before :], mark)
            if follower is not None:
                mark = CLITIC if follower.clitic else WORD_BOUNDARY
                after = (mark, *follower.symbols[: matcher.reach_after - 1])
        key = (form, before, after)
        known = self._tagged.get(key)
        if known is None:
            known = self._tagged.setdefault(key, self._worked_out(form, before, after))
        return known

    def _worked_out(self, form: _Form, before: Phones, after: Phones) -> Tagged:
        sound, skipped = self._sound, len(before)
        tokens = []
        for index, rule in sound.matcher.tag((*before, *form.symbols, *after)):
            if 0 <= index - skipped < len(form.symbols):
                place = form.indexes[index - skipped]
                tokens.append(SoundToken(place, sound.rules[rule], form.reading.letters[place]))
        return Tagged(tuple(tokens), reading_rows(self.lexicon, form.reading, tokens))

    def _weak_forms(self) -> dict[str, tuple[str, _Form]]:
        made = {}
        for word, forms in self._sound.weak_forms.items():
            for symbols, where in forms:
                if where not in ("in contrasts", "in links"):
                    phones = tuple(symbol for symbol in symbols if symbol in INVENTORY)
                    at = iter(range(len(phones)))
                    indexes = tuple(next(at) if symbol in INVENTORY else -1 for symbol in symbols)
                    spans = align(word, phones)
                    reading = Reading(word, 1, phones, symbols, indexes, (), "", "", (), spans)
                    made[word] = (where, _Form(reading, self._sound.phone))
        return made

    def _reduced(self, forms: Sequence[_Form | None], n: int) -> _Form | None:
        """The word as it is said between its neighbours."""
        form = forms[n]
        if form is None or n == 0 or forms[n - 1] is None:
            return form
        weak = self._weak.get(form.reading.word)
        if weak is None:
            return form
        where, reduced = weak
        if where == "between words" and (n + 1 == len(forms) or forms[n + 1] is None):
            return form
        return reduced


class Summary(NamedTuple):
    """What a text does with the sound: ``words`` of it; ``allophones``, how many of each; ``taps_per_ten_words``, all
    tapped allophones together; ``unknown`` words; ``above``, words whose level or rank is beyond the one asked about;
    ``without_target``, numbers of the lines that have words and none of the target allophone."""

    words: int
    allophones: dict[str, int]
    taps_per_ten_words: float
    unknown: dict[str, int]
    above: list[str]
    without_target: list[int]


def summarise(
    passage: Passage,
    lexicon: Lexicon,
    *,
    target: str = "",
    level: str = "",
    max_rank: int | None = None,
) -> Summary:
    """Counts over a passage. ``target`` is an allophone, the first tapped one if none is named; ``level`` (CEFR) and
    ``max_rank`` say which words are above the class."""
    table, sound = passage.table, lexicon.sound
    target = sound.allophone_id(target) or sound.tapped[0]
    counts = Counter(table["allophone"])
    allophones = {name: counts[name] for name in sound.allophones}
    taps = sum(counts[name] for name in sound.tapped)
    used = dict.fromkeys(spelling(said.item.text) for said in passage.said if not said.item.of_number)
    above = [
        word
        for word in used
        if (level and lexicon.level(word) > level)
        or (max_rank is not None and (lexicon.rank(word) or max_rank + 1) > max_rank)
    ]
    have = {line for line, name in zip(table["line"], table["allophone"], strict=True) if name == target}
    lines = enumerate(passage.text.split("\n"), start=1)
    spoken = [number for number, line in lines if any(letter.isalpha() for letter in line)]
    return Summary(
        passage.words,
        allophones,
        round(10 * taps / passage.words, 2) if passage.words else 0.0,
        dict(passage.unknown),
        above,
        [number for number in spoken if number not in have],
    )
