"""What every occurrence of the sound in a text does, in its place.

Room: looks the words of a line up, puts their symbols side by side and asks the rules and the counts. What happens
at the edge
of two words is in the rule table; what becomes of a word before (weak *to*, lost h, *want to*) and under which conditions
in ``weak_forms.csv``; what a style changes in ``styles.csv``. A line break, all that parts phrases
(:mod:`lexiconforge.text.phrases`) and an unknown word are pauses, across which nothing links.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Iterable, Iterator, Sequence
from functools import cached_property
from typing import TYPE_CHECKING, NamedTuple

from lexiconforge.beside import beside
from lexiconforge.errors import OptionError
from lexiconforge.lexicon import Lexicon
from lexiconforge.lexicon.catalog import TOKEN_COLUMNS, token_cells
from lexiconforge.lexicon.records import Reading, SoundToken, Span
from lexiconforge.options import one_of, whole_or_none
from lexiconforge.phonology.arpabet import INVENTORY, Phones
from lexiconforge.phonology.matcher import CLITIC, PAUSE, RUN_TOGETHER, WORD_BOUNDARY, Rule
from lexiconforge.phonology.rates import Heard
from lexiconforge.sounds import Sound, Style
from lexiconforge.sources.levels import LEVELS
from lexiconforge.tables import Table
from lexiconforge.text.phrases import READ_OUT, UNREAD, Item, items, spelling
from lexiconforge.text.weak_forms import Neighbours

if TYPE_CHECKING:
    import pandas as pd

PASSAGE_COLUMNS = ("line", "text", *TOKEN_COLUMNS, "next_word", "start", "end")
ELSEWHERE = ("in contrasts", "in links")
"""Places of weak forms that are not in a text."""
LONG = 100_000
"""Characters of a text from which on a second process is worth its start."""
SHOWN = ("likely", "all")
"""What a marked text shows of each occurrence: the likely variant, or all with their shares."""


class _Form:
    """A word as it is said, one object for each, so that it can be a key: its reading, and the mark between it and the
    word before. ``known`` is what has been worked out of the sound in it, by phone, rule and source
    of the shares (which names the cell of the counts, so that it stands for them)."""

    __slots__ = ("has_sound", "indexes", "known", "lead", "reading", "symbols")

    def __init__(self, reading: Reading, phone: str, lead: str = "") -> None:
        self.reading = reading
        clitic = reading.symbols[0] == CLITIC
        self.lead = lead or (CLITIC if clitic else WORD_BOUNDARY)
        self.symbols = reading.symbols[1:] if clitic else reading.symbols
        self.indexes = reading.indexes[1:] if clitic else reading.indexes
        self.has_sound = phone in reading.phones
        self.known: dict[tuple[int, str, str], tuple[SaidToken, tuple[object, ...]]] = {}


class SaidToken(NamedTuple):
    """One occurrence of the sound in a text: what :class:`~lexiconforge.lexicon.records.SoundToken` knows of it there,
    the allophone it is in the style of the tagger, and what is heard as well, the likeliest first."""

    phone_index: int
    rule: Rule
    span: Span
    heard: Heard
    allophone: str
    also_heard: tuple[str, ...]


class Tagged:
    """The sound in a word between its neighbours; the same everywhere it stands so, and worked out once: ``rules``, the
    index of its phone and the rule that decides, at once, and the rest when it is asked for."""

    __slots__ = ("_after", "_form", "_made", "_next_word", "_places", "_sound", "_style", "rules")

    def __init__(
        self, sound: Sound, style: Style, form: _Form, before: Phones, after: Phones, next_word: str
    ) -> None:
        self._sound, self._style, self._form = sound, style, form
        self._after, self._next_word = after, next_word
        self._made: tuple[tuple[SaidToken, ...], list[tuple[object, ...]]] | None = None
        skipped, count = len(before), len(form.symbols)
        said = (*before, *form.symbols, *after)
        found = [
            (at - skipped, sound.rules[number])
            for at, number in sound.matcher.tag(said)
            if 0 <= at - skipped < count
        ]
        self._places = [(at, said[at + skipped - 1]) for at, _ in found]
        self.rules = [(form.indexes[at], rule) for at, rule in found]

    @property
    def tokens(self) -> tuple[SaidToken, ...]:
        """The occurrences, in order."""
        return self._all()[0]

    @property
    def cells(self) -> list[tuple[object, ...]]:
        """What a table has of each."""
        return self._all()[1]

    def _all(self) -> tuple[tuple[SaidToken, ...], list[tuple[object, ...]]]:
        if self._made is None:
            self._made = self._work()
        return self._made

    def _work(self) -> tuple[tuple[SaidToken, ...], list[tuple[object, ...]]]:
        sound, form, after = self._sound, self._form, self._after
        reading, next_word = form.reading, self._next_word
        tokens, cells = [], []
        for (place, rule), (at, symbol_before) in zip(self.rules, self._places, strict=True):
            if at < len(form.symbols) - 1:
                heard = sound.rates.inside(rule.environment, symbol_before)
            elif after[0] == RUN_TOGETHER:
                heard = sound.rates.run_together(reading.word, next_word)
            else:
                next_symbol = PAUSE if after[0] == PAUSE else after[1]
                heard = sound.rates.final(reading.word, symbol_before, next_symbol, next_word)
            if self._style.remark:
                source = f"{heard.source} ({self._style.remark})"
                heard = Heard(heard, source, heard.tokens, heard.estimated)
            # Most neighbours of a word change nothing of what is known of the sound in it.
            known = form.known.get((place, rule.name, heard.source))
            if known is None:
                allophone, also_heard = sound.said(rule, heard, self._style)
                span = reading.letters[place]
                token = SoundToken(place, rule, span, heard)
                known = (
                    SaidToken(*token, allophone, also_heard),
                    token_cells(sound, reading, token, allophone, also_heard),
                )
                form.known[place, rule.name, heard.source] = known
            tokens.append(known[0])
            cells.append(known[1])
        return tuple(tokens), cells


class Said(NamedTuple):
    """A word of a text: its place in the text, what is known of the sound in it (None if it has none), whether
    the dictionary knows it, and the word after one that has the sound, empty before a pause."""

    line: int
    item: Item
    start: int
    end: int
    tagged: Tagged | None
    known: bool
    next_word: str


class Findings(NamedTuple):
    """``table`` of a text, the words ``unknown`` to the dictionary and what is ``unread``, with how often they occur."""

    table: Table
    unknown: Counter[str]
    unread: Counter[str]


class Passage:
    """A tagged text. ``text`` is what was given, ``said`` its words in order; ``unread`` counts what cannot be read out
    (addresses, *24/7*)."""

    def __init__(self, text: str, said: list[Said], sound: Sound, unread: Counter[str]) -> None:
        self.text, self.said, self.unread, self._sound = text, said, unread, sound

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
                    if item.kind == READ_OUT:
                        span = (start, end)
                    else:
                        first, last = token.span
                        span = (start + first, start + last)
                    rows.append((line, item.text, *cells, next_word, *span))
        return Table.of_rows("passage", PASSAGE_COLUMNS, rows)

    @cached_property
    def tokens(self) -> pd.DataFrame:
        """One row for each occurrence of the sound, columns :data:`PASSAGE_COLUMNS`: those of
        :func:`lexiconforge.lexicon.catalog.sound_tokens`, as they are in this place and style, with ``line`` (from
        1), ``text`` (the word as written),
        ``next_word`` (empty before a pause), and ``start`` and ``end``, the place of the letters in the text in
        characters from 0; of a number that is read out, the place of the number."""
        return self.table.frame()

    @property
    def findings(self) -> Findings:
        """Its table, unknown and unread words."""
        return Findings(self.table, self.unknown, self.unread)

    @property
    def marked(self) -> str:
        """The text with the sound in square brackets after the letters, ``wat[ɾ]er``; what is read out is followed by
        its words in braces."""
        return self.shown("likely")

    def shown(self, show: str = "likely") -> str:
        """The marked text: ``likely`` as :attr:`marked`, ``all`` with the shares in percent, ``wat[ɾ 96, ʔ 2, t 2]er``,
        where somebody counted. Raises :class:`~lexiconforge.errors.OptionError` for another."""
        if show not in SHOWN:
            raise OptionError(f"no marking {show!r}; there are: {', '.join(SHOWN)}")
        out: list[str] = []
        done = 0
        for n, said in enumerate(self.said):
            word = self._marked_word(said, every=show == "all")
            if said.item.kind == READ_OUT:
                out.append(self.text[done : said.end])
                opens = n == 0 or self.said[n - 1].end != said.end
                closes = n + 1 == len(self.said) or self.said[n + 1].end != said.end
                out.append(f"{' {' if opens else ' '}{word}{'}' if closes else ''}")
            else:
                out += [self.text[done : said.start], word]
            done = said.end
        return "".join([*out, self.text[done:]])

    def _marked_word(self, said: Said, *, every: bool) -> str:
        text = said.item.text
        if said.tagged is None:
            return text
        out, done = [], 0
        for token in said.tagged.tokens:
            start, end = token.span
            if end > start:
                out += [text[done:end], "[", self._sounds(token, every=every), "]"]
                done = end
        return "".join([*out, text[done:]])

    def _sounds(self, token: SaidToken, *, every: bool) -> str:
        sound = self._sound
        if not every or not token.heard:
            return sound.allophones[token.allophone].symbol
        meant = ((sound.meant(variant, token.rule), share) for variant, share in token.heard.items())
        return ", ".join(f"{sound.allophones[name].symbol} {share}" for name, share in meant)

    @property
    def heard(self) -> list[Heard]:
        """For each row of :attr:`tokens` how often each variant is heard there: a mapping to percent, with its source."""
        tagged = (said.tagged for said in self.said if said.tagged is not None)
        return [token.heard for one in tagged for token in one.tokens]

    @cached_property
    def expected(self) -> dict[str, float]:
        """How many of each variant of the counts to expect in the text, by the shares; where nobody counted, the label
        counts whole."""
        sound = self._sound
        mix = dict.fromkeys(sound.variants, 0.0)
        for said in self.said:
            for token in said.tagged.tokens if said.tagged is not None else ():
                if token.heard:
                    for variant, share in token.heard.items():
                        mix[variant] += share / 100
                else:
                    variant = sound.variant_of.get(token.allophone, token.allophone)
                    mix[variant] = mix.get(variant, 0.0) + 1
        return mix


class Tagger:
    """Tags lines of text. Keeps what it has worked out about words, so that long texts go fast; threads may share one.

    >>> from lexiconforge.lexicon import load_lexicon
    >>> tagger = Tagger(load_lexicon())
    >>> tagger.tag_text("Put it on the water.").marked
    'Put[ɾ] it[ɾ] on the wat[ɾ]er.'
    """

    def __init__(self, lexicon: Lexicon, style: str = "casual") -> None:
        """``style`` is one of the sound's ``styles``, the first if none is named. Raises
        :class:`~lexiconforge.errors.OptionError` for one that does not exist."""
        styles = lexicon.sound.styles
        style = one_of("style", style, list(styles)) or next(iter(styles))
        self.lexicon, self.style = lexicon, style
        self._sound, self._style = lexicon.sound, styles[style]
        self._forms: dict[str, _Form | None] = {}
        self._tagged: dict[tuple[_Form, Phones, Phones, str], Tagged] = {}
        self._neighbours = Neighbours(lexicon)
        self._always: dict[str, _Form] = {}
        self._weak: dict[str, list[tuple[tuple[str, ...], _Form]]] = {}
        self._pairs: dict[str, dict[str, tuple[tuple[str, ...], _Form, _Form]]] = {}
        if self._style.weak_forms:
            self._read_weak_forms()
        self._reduced_words = self._weak.keys() | self._pairs.keys()
        self._strong: dict[_Form, _Form] = {}

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
        return self._passage(_checked(text), 1, 0, progress)

    def tag_table(self, text: str, progress: Callable[[float], None] = lambda share: None) -> Findings:
        """The table of a text (:data:`PASSAGE_COLUMNS`) and what is not in it, without the passage; the halves of a long one
        are tagged side by side where the system can. ``progress`` as in :meth:`tag_text`.

        Raises :class:`~lexiconforge.errors.OptionError` for what is not text.
        """
        half = len(_checked(text)) // 2
        cut = text.find("\n", half) + 1 or text.rfind("\n", 0, half) + 1
        if not cut or len(text) < LONG:
            return self.tag_text(text, progress).findings
        line = text.count("\n", 0, cut) + 1
        with beside(lambda: self._passage(text[cut:], line, cut).findings) as later:
            # Of both halves alike, since they go on at the same time.
            found = self._passage(text[: cut - 1], 1, 0, progress).findings
            rest = later()
        columns = {name: [*cells, *rest.table[name]] for name, cells in found.table.columns.items()}
        return Findings(
            Table("passage", columns), found.unknown + rest.unknown, found.unread + rest.unread
        )

    def _passage(
        self,
        text: str,
        first: int,
        offset: int,
        progress: Callable[[float], None] = lambda share: None,
    ) -> Passage:
        """A text that begins on this line and at this character of a longer one."""
        lines = text.split("\n")
        said: list[Said] = []
        unread: Counter[str] = Counter()
        for number, line in enumerate(lines):
            if number % 5000 == 0:
                progress(number / len(lines))
            self._said(first + number, line, offset, said, unread)
            offset += len(line) + 1
        return Passage(text, said, self._sound, unread)

    def tag_lines(self, lines: Iterable[str]) -> Iterator[Passage]:
        """A passage for each of these lines."""
        return map(self.tag_text, lines)

    def _said(self, number: int, line: str, offset: int, said: list[Said], unread: Counter[str]) -> None:
        found = items(line)
        known, form_of = self._forms, self._form
        forms: list[_Form | None] = []
        reduced = False
        for item in found:
            if item is None:
                forms.append(None)
            elif item.kind == UNREAD:
                unread[item.text] += 1
                forms.append(None)
            else:
                form = known[item.text] if item.text in known else form_of(item.text)
                forms.append(form)
                if form is not None and form.reading.word in self._reduced_words:
                    reduced = True
        spoken = self._reduced(found, forms) if reduced else forms
        last = len(found) - 1
        add, new = said.append, tuple.__new__
        for n, item in enumerate(found):
            if item is None or item.kind == UNREAD:
                continue
            form, tagged, next_word = spoken[n], None, ""
            _, start, end, _ = item
            if form is not None and form.has_sound:
                follower = forms[n + 1] if n < last else None
                following = found[n + 1] if n < last else None
                if follower is not None and following is not None:
                    next_word = following.text
                    tagged = self._between(spoken, n, form, follower.reading.word)
                else:
                    tagged = self._between(spoken, n, form, "")
            add(
                new(
                    Said,
                    (number, item, offset + start, offset + end, tagged, form is not None, next_word),
                )
            )

    def _form(self, written: str) -> _Form | None:
        known = self._forms.get(written, self)
        if known is self:
            word = spelling(written)
            made = self._always.get(word)
            if made is None and (reading := self._look_up(word)) is not None:
                lead = "" if self._style.weak_forms else WORD_BOUNDARY
                made = _Form(reading, self._sound.phone, lead)
            known = self._forms.setdefault(written, made)
        return known  # type: ignore[return-value]

    def _look_up(self, word: str) -> Reading | None:
        lexicon = self.lexicon
        return lexicon.main(word) or lexicon.main(word.strip("'")) or lexicon.derived(word)

    def _between(self, spoken: Sequence[_Form | None], n: int, form: _Form, next_word: str) -> Tagged:
        """What the sound is in a word between its neighbours."""
        matcher = self._sound.matcher
        before = _before(spoken, n, form.lead, matcher.reach_before)
        after = _after(spoken, n, matcher.reach_after)
        pair = next_word if (form.reading.word, next_word) in self._sound.rates.pairs else ""
        key = (form, before, after, pair)
        known = self._tagged.get(key)
        if known is None:
            made = Tagged(self._sound, self._style, form, before, after, pair)
            known = self._tagged.setdefault(key, made)
        return known

    def _read_weak_forms(self) -> None:
        for written, forms in self._sound.weak_forms.items():
            for symbols, where in forms:
                conditions = tuple(one.strip() for one in where.split(";"))
                if where in ELSEWHERE:
                    continue
                words = written.split()
                made = [
                    self._weak_form(word, part, RUN_TOGETHER if n else "")
                    for n, (word, part) in enumerate(zip(words, _parts(symbols), strict=True))
                ]
                if len(words) == 2:
                    self._pairs.setdefault(words[0], {})[words[1]] = (conditions, made[0], made[1])
                elif conditions == ("always",):
                    self._always[written] = made[0]
                else:
                    self._weak.setdefault(written, []).append((conditions, made[0]))

    def _weak_form(self, word: str, symbols: Phones, lead: str) -> _Form:
        phones = tuple(symbol for symbol in symbols if symbol in INVENTORY)
        at = iter(range(len(phones)))
        indexes = tuple(next(at) if symbol in INVENTORY else -1 for symbol in symbols)
        reading = Reading(word, 1, phones, symbols, indexes, (), "", "", ())
        return _Form(reading, self._sound.phone, lead)

    def _reduced(
        self, found: Sequence[Item | None], forms: Sequence[_Form | None]
    ) -> list[_Form | None]:
        """The words of a line as they are said between their neighbours."""
        words = ["" if form is None else form.reading.word for form in forms]
        # A name is none of the words that the conditions ask for.
        plain = [
            word if n == 0 or item is None or item.text[:1].islower() or not words[n - 1] else ""
            for n, (word, item) in enumerate(zip(words, found, strict=True))
        ]
        spoken = list(forms)
        holds = self._neighbours.hold
        joined = -1
        for n, word in enumerate(words):
            form = forms[n]
            if form is None or n == joined or word not in self._reduced_words:
                continue
            pair = self._pairs.get(word, {}).get(words[n + 1] if n + 1 < len(words) else "")
            if pair is not None and holds(pair[0], words, plain, n, 2):
                joined = n + 1
                spoken[n], spoken[joined] = pair[1], pair[2]
                continue
            for conditions, weak in self._weak.get(word, ()):
                if holds(conditions, words, plain, n, 1):
                    spoken[n] = weak
                    break
            else:
                if form.lead == CLITIC and word in self._weak:
                    spoken[n] = self._strong.setdefault(
                        form, _Form(form.reading, self._sound.phone, WORD_BOUNDARY)
                    )
        return spoken


def _checked(text: str) -> str:
    if not isinstance(text, str):
        raise OptionError(f"a text must be a string, not {type(text).__name__}")
    return text


def _before(spoken: Sequence[_Form | None], n: int, lead: str, reach: int) -> Phones:
    """As many symbols before a word as a pattern can ask for, through short words, up to a pause."""
    found: Phones = ()
    while len(found) < reach:
        n -= 1
        form = spoken[n] if n >= 0 else None
        if form is None:
            return (PAUSE, *found)
        found, lead = (*form.symbols, lead, *found), form.lead
    return found[-reach:]


def _after(spoken: Sequence[_Form | None], n: int, reach: int) -> Phones:
    """The same after a word; the mark between the words and the first sound of the next at least."""
    found: Phones = ()
    wanted = max(reach, 2)
    while len(found) < wanted:
        n += 1
        form = spoken[n] if n < len(spoken) else None
        if form is None:
            return (*found, PAUSE)
        found = (*found, form.lead, *form.symbols)
    return found[:wanted]


def _parts(symbols: Phones) -> list[Phones]:
    """The symbols of each of the words that run together."""
    parts: list[list[str]] = [[]]
    for symbol in symbols:
        if symbol == RUN_TOGETHER:
            parts.append([])
        else:
            parts[-1].append(symbol)
    return [tuple(part) for part in parts]


class Summary(NamedTuple):
    """What a text does with the sound: ``words`` of it; ``allophones``, how many of each; ``taps_per_ten_words``, all
    tapped allophones together; ``unknown`` words; ``above``, words whose level or rank is beyond the one asked about;
    ``without_target``, numbers of the lines that have words and none of the target allophone; ``expected``, how many of
    each variant of the counts to expect in conversation (:attr:`Passage.expected`); ``unread``, what cannot be read out."""

    words: int
    allophones: dict[str, int]
    taps_per_ten_words: float
    unknown: dict[str, int]
    above: list[str]
    without_target: list[int]
    expected: dict[str, float]
    unread: dict[str, int]


def summarise(
    passage: Passage,
    lexicon: Lexicon,
    *,
    target: str = "",
    level: str = "",
    max_rank: int | None = None,
) -> Summary:
    """Counts over a passage. ``target`` is an allophone, by default that of
    :meth:`~lexiconforge.sounds.Sound.target_id`; ``level`` (CEFR) and ``max_rank`` say which words are above the class.
    Raises :class:`~lexiconforge.errors.OptionError`."""
    table, sound = passage.table, lexicon.sound
    level = one_of("level", level, LEVELS)
    whole_or_none("max rank", max_rank)
    target = sound.target_id(target)
    counts = Counter(table["allophone"])
    allophones = {name: counts[name] for name in sound.allophones}
    taps = sum(counts[name] for name in sound.tapped)
    used = dict.fromkeys(spelling(said.item.text) for said in passage.said if said.item.kind != READ_OUT)
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
        {variant: round(number, 1) for variant, number in passage.expected.items()},
        dict(passage.unread),
    )
