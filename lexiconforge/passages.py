"""Running text: what every t in it does, in its place.

Room: cuts text into words and pauses, looks the words up, puts their symbols side by side and asks the rule table.
What happens at the edge of two words is in that table; what is done to a word before (weak *to*, lost h) stands
here. Text goes in as lines; a line break, a punctuation mark that parts phrases and an unknown word are pauses, across
which nothing links.
"""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import dataclass, field, replace
from typing import TYPE_CHECKING, NamedTuple

from lexiconforge.allophones import ALLOPHONE_IPA, JUNCTURE, LEANING, PAUSE, Rule, nearest_stress, tag
from lexiconforge.inflection import inflected
from lexiconforge.lexicon import ELIDED_SIGN, TOKEN_COLUMNS, Lexicon, Phones
from lexiconforge.spelling import align_t
from lexiconforge.wordlists import ChoiceError

if TYPE_CHECKING:
    import pandas as pd

STYLES = ("casual", "careful")
"""*casual* links words and reduces *to* and unstressed *he, him, his, her, have, has, had*; *careful* says every word
as it stands in the dictionary."""
PASSAGE_COLUMNS = ("line", "text", *TOKEN_COLUMNS, "next_word")

_ITEM = re.compile(
    r"(?P<word>[^\W\d_]+(?:['’][^\W\d_]+)*(?:(?<=s)['’](?![^\W_]))?)"
    r"|(?P<number>[$€£]?\d+(?:,\d{3})*(?:\.\d+)?(?::\d\d)?(?:st|nd|rd|th|s|%)?(?![^\W_]))"
    r"|(?P<pause>[.,;:!?…—–()\[\]{}|/\\]|(?<!\w)-|-(?!\w))"
)
_CLIPPED = frozenset({"mr", "mrs", "ms", "dr", "st", "vs", "jr", "sr", "prof"})
"""Written with a full stop that ends no phrase."""
_LOSES_H = frozenset({"he", "him", "his", "her", "have", "has", "had"})
_REACH = 4


@dataclass(frozen=True, eq=False, slots=True)
class _Word:
    """A spoken word, one object for each, so that it can be a key.

    How it is spelled in the dictionary, its phones, the symbols for the rules and which phone each symbol is (-1:
    none), and whether it leans on the word before.
    """

    spelling: str
    phones: Phones
    symbols: tuple[str, ...]
    places: tuple[int, ...]
    leaning: bool
    note: str


class _Said(NamedTuple):
    """A word in its place: start and end in the line, and for words of a number their place in it."""

    word: _Word | None
    text: str
    start: int
    end: int
    of_number: bool


class Tag(NamedTuple):
    """One t of a word in context: index among its phones, its rule, the phones beside it."""

    place: int
    rule: Rule


@dataclass(eq=False)
class _Tagged:
    """The t's of a word between its neighbours; the same everywhere it stands so, and worked out once."""

    word: _Word
    tags: list[Tag]
    pieces: list[tuple[object, ...]] = field(default_factory=list)
    """Of each t the columns of a row that do not depend on the place in the text."""
    marked: dict[str, str] = field(default_factory=dict)
    """The marked word by the word as written."""


@dataclass
class Passage:
    """A tagged text.

    ``tokens``: one row for each t, columns :data:`PASSAGE_COLUMNS`: those of
    :func:`lexiconforge.lexicon.t_tokens`, with ``line`` (from 1), ``text`` (the word as written) and ``next_word``
    (empty before a pause). ``marked``: the text with every t in brackets with its IPA, ``wa[t|ɾ]er``; numbers are
    followed by their words in braces; :func:`unmark` gives the text back. ``unknown``: words the dictionary does not
    have and no rule derives, with how often they occur; their t's are not guessed.
    """

    tokens: pd.DataFrame
    marked: str
    unknown: Counter[str]
    words: int
    lines: list[str] = field(repr=False, default_factory=list)


class Tagger:
    """Tags lines of text. Holds what it has worked out about words, so that long texts go fast.

    >>> from lexiconforge.lexicon import load_lexicon
    >>> tagger = Tagger(load_lexicon())
    >>> tagger.tag_text("Put it on the water.").marked
    'Pu[t|ɾ] i[t|ɾ] on the wa[t|ɾ]er.'
    """

    def __init__(self, lexicon: Lexicon, style: str = "casual") -> None:
        """Raises :class:`~lexiconforge.wordlists.ChoiceError` for a style that does not exist."""
        if style not in STYLES:
            raise ChoiceError(f"no style {style!r}; there are: {', '.join(STYLES)}")
        self._lexicon = lexicon
        self._linking = style == "casual"
        self._words: dict[str, _Word | None] = {}
        self._tags: dict[tuple[_Word, tuple[str, ...], tuple[str, ...]], _Tagged] = {}
        self._letters: dict[tuple[str, Phones], list[tuple[int, int]]] = {}
        self._without_h: dict[_Word, _Word] = {}
        self._weak_to = _Word("to", ("T", "AH0"), ("T", "AH0"), (0, 1), True, "")

    def tag_lines(self, lines: Iterable[str]) -> Iterator[list[tuple[_Said, _Tagged | None, str]]]:
        """For each line its words in order, with what is known of their t's (None if a word has none) and the
        next word (empty at a pause)."""
        for line in lines:
            yield self._tag_line(line)

    def tag_text(self, text: str, progress: Callable[[float], None] = lambda share: None) -> Passage:
        """Tag a whole text; ``progress`` is told now and then which share, 0 to 1, of its lines is read."""
        import pandas as pd

        lines = text.split("\n")
        tagged = []
        for number, words in enumerate(self.tag_lines(lines)):
            if number % 5000 == 0:
                progress(number / len(lines))
            tagged.append(words)
        self._align()
        unknown: Counter[str] = Counter()
        rows: list[tuple[object, ...]] = []
        marked_lines = []
        count = 0
        for number, (line, words) in enumerate(zip(lines, tagged, strict=True), start=1):
            for said, known, next_word in words:
                count += 1
                if said.word is None:
                    unknown[said.text.lower()] += 1
                elif known is not None:
                    text = said.text
                    for piece in known.pieces:
                        rows.append((number, text, *piece, next_word))
            marked_lines.append(self._mark(line, words))
        table = pd.DataFrame(rows, columns=list(PASSAGE_COLUMNS))
        table["letters_start"] = table["letters_start"].astype("Int64")
        return Passage(table, "\n".join(marked_lines), unknown, count, lines)

    def _look_up(self, written: str) -> _Word | None:
        word = written.lower().replace("’", "'")
        if word not in self._words:
            self._words[word] = self._look_up_afresh(word)
        return self._words[word]

    def _look_up_afresh(self, word: str) -> _Word | None:
        lexicon = self._lexicon
        if word in lexicon.pronunciations:
            phones = lexicon.main_phones(word)
        elif word.strip("'") in lexicon.pronunciations:
            phones = lexicon.main_phones(word.strip("'"))
        else:
            derived = inflected(word, lexicon.pronunciations)
            if derived is None:
                return None
            phones = derived
        reading = lexicon.read(word, phones)
        if reading is None:
            return _Word(word, phones, phones, tuple(range(len(phones))), False, "")
        leaning = reading.symbols[0] == LEANING
        symbols, places = tuple(reading.symbols), tuple(reading.places)
        if leaning:
            symbols, places = symbols[1:], places[1:]
        return _Word(word, phones, symbols, places, leaning, reading.note)

    def _spoken(self, line: str) -> list[_Said | None]:
        """The words of a line, None for a pause."""
        found: list[_Said | None] = []
        for match in _ITEM.finditer(line):
            start, end = match.span()
            if match.lastgroup == "word":
                text = match.group()
                word = self._look_up(text)
                found.append(_Said(word, text, start, end, False))
            elif match.lastgroup == "number":
                for text in _number_words(match.group()):
                    found.append(_Said(self._look_up(text), text, start, end, True))
            elif not (
                match.group() == "."
                and found
                and found[-1] is not None
                and found[-1].text.lower() in _CLIPPED
            ):
                found.append(None)
        return found

    def _tag_line(self, line: str) -> list[tuple[_Said, _Tagged | None, str]]:
        items = self._spoken(line)
        spoken = [item.word if item is not None else None for item in items]
        if self._linking:
            spoken = [self._reduced(spoken, n) for n in range(len(spoken))]
        result: list[tuple[_Said, _Tagged | None, str]] = []
        for n, item in enumerate(items):
            if item is None:
                continue
            word = spoken[n]
            following = items[n + 1] if n + 1 < len(items) else None
            next_word = following.text if following is not None else ""
            if word is None or "T" not in word.phones:
                result.append((item._replace(word=word), None, next_word))
                continue
            before: tuple[str, ...] = (PAUSE,)
            after: tuple[str, ...] = (PAUSE,)
            if self._linking:
                previous = spoken[n - 1] if n else None
                follower = spoken[n + 1] if n + 1 < len(spoken) else None
                if previous is not None:
                    mark = LEANING if word.leaning else JUNCTURE
                    before = (*previous.symbols[-2:], mark)
                if follower is not None:
                    mark = LEANING if follower.leaning else JUNCTURE
                    after = (mark, *follower.symbols[: _REACH - 1])
            key = (word, before, after)
            known = self._tags.get(key)
            if known is None:
                known = self._tags[key] = _Tagged(
                    word,
                    [
                        Tag(word.places[token.phone_index - len(before)], token.rule)
                        for token in tag((*before, *word.symbols, *after))
                        if 0 <= token.phone_index - len(before) < len(word.symbols)
                    ],
                )
            result.append(
                (item._replace(word=word) if word is not item.word else item, known, next_word)
            )
        return result

    def _reduced(self, spoken: Sequence[_Word | None], n: int) -> _Word | None:
        """The word as it is said between its neighbours."""
        word = spoken[n]
        if word is None or n == 0 or spoken[n - 1] is None:
            return word
        if word.spelling == "to" and n + 1 < len(spoken) and spoken[n + 1] is not None:
            return self._weak_to
        if word.spelling in _LOSES_H and word.symbols[0] == "HH":
            if word not in self._without_h:
                self._without_h[word] = replace(
                    word,
                    phones=word.phones[1:],
                    symbols=word.symbols[1:],
                    places=tuple(place - 1 for place in word.places[1:]),
                )
            return self._without_h[word]
        return word

    def _align(self) -> None:
        """Find the letters of all t's that are new, at once, and fill in the columns they stand in."""
        fresh = [known for known in self._tags.values() if not known.pieces and known.tags]
        new = dict.fromkeys((known.word.spelling, known.word.phones) for known in fresh)
        new = {key: None for key in new if key not in self._letters}
        starts, ends = align_t([spelling for spelling, _ in new], [phones for _, phones in new])
        for key, first, last in zip(new, starts, ends, strict=True):
            self._letters[key] = list(zip(first, last, strict=True))
        for known in fresh:
            known.pieces = self._pieces(known.word, known.tags)

    def _pieces(self, word: _Word, tags: Sequence[Tag]) -> list[tuple[object, ...]]:
        spans = self._letters[word.spelling, word.phones]
        phones = word.phones
        last = len(phones) - 1
        joined = " ".join(phones)
        return [
            (
                word.spelling,
                1,
                joined,
                place,
                word.spelling[start:end],
                start if end > start else None,
                "initial" if place == 0 else "final" if place == last else "medial",
                rule.environment,
                phones[place - 1] if place else PAUSE,
                phones[place + 1] if place < last else PAUSE,
                *nearest_stress(phones, place),
                rule.allophone,
                ALLOPHONE_IPA[rule.allophone] or ELIDED_SIGN,
                rule.also_heard,
                rule.name,
                rule.source,
                word.note,
            )
            for (place, rule), (start, end) in zip(tags, spans, strict=True)
        ]

    def _mark(self, line: str, words: Sequence[tuple[_Said, _Tagged | None, str]]) -> str:
        out: list[str] = []
        at = 0
        number = -1
        for said, known, _ in words:
            marked = said.text
            if known is not None:
                marked = known.marked.get(said.text) or self._marked_word(said.text, known)
            if said.of_number:
                if number == said.end:
                    out[-1] = out[-1][:-1] + f" {marked}}}"
                else:
                    out += [_escaped(line[at : said.end]), f"{{{marked}}}"]
                number = said.end
            else:
                out += [_escaped(line[at : said.start]), marked]
            at = said.end
        return "".join([*out, _escaped(line[at:])])

    def _marked_word(self, text: str, known: _Tagged) -> str:
        spans = self._letters[known.word.spelling, known.word.phones]
        out, at = [], 0
        for (_, rule), (start, end) in zip(known.tags, spans, strict=True):
            if end > start:
                symbol = ALLOPHONE_IPA[rule.allophone] or ELIDED_SIGN
                out += [text[at:start], "[", text[start:end], "|", symbol, "]"]
                at = end
        known.marked[text] = "".join([*out, text[at:]])
        return known.marked[text]


def _number_words(text: str) -> list[str]:
    """A number as it is read: $40 is forty dollars, 8:15 eight fifteen, 13th thirteenth.

    >>> _number_words("13"), _number_words("$40"), _number_words("8:15")
    (['thirteen'], ['forty', 'dollars'], ['eight', 'fifteen'])
    """
    from num2words import num2words

    unit = {"$": "dollars", "€": "euros", "£": "pounds"}.get(text[0], "")
    plain = text.strip("$€£").replace(",", "")
    try:
        if ":" in plain:
            hours, minutes = plain.split(":")
            words = num2words(int(hours))
            if int(minutes[:2]):
                words += " oh " if minutes[0] == "0" else " "
                words += num2words(int(minutes[:2]))
            else:
                words += " o'clock"
        elif plain.endswith(("st", "nd", "rd", "th")):
            words = num2words(int(plain[:-2]), to="ordinal")
        elif plain.endswith("%"):
            words, unit = num2words(float(plain[:-1]) if "." in plain else int(plain[:-1])), "percent"
        elif plain.endswith("s"):
            words = num2words(int(plain[:-1]), to="year") + "s"
        elif (
            len(plain) == 4
            and plain.isdigit()
            and "," not in text
            and not unit
            and 1100 <= int(plain) < 2100
        ):
            words = num2words(int(plain), to="year")
        else:
            words = num2words(float(plain) if "." in plain else int(plain))
    except (ValueError, OverflowError, IndexError):
        return [text]
    return [*re.findall(r"[a-z']+", words), *([unit] if unit else [])]


def _escaped(text: str) -> str:
    return text.replace("[", "[[").replace("{", "{{")


_MARK = re.compile(r"\[\[|\{\{|\[([^\[\]|]*)\|[^\]]*\]|\{(?:[^{}])*\}")


def unmark(marked: str) -> str:
    """The text that was marked.

    >>> unmark("wa[t|ɾ]er [[13{thir[t|tʰ]een}]")
    'water [13]'
    """

    def text_of(match: re.Match[str]) -> str:
        if match.group() in ("[[", "{{"):
            return match.group()[0]
        return match.group(1) or ""

    return _MARK.sub(text_of, marked)


@dataclass(frozen=True)
class Summary:
    """What a text does with its t's: ``words`` of it; ``allophones``, how many of each; ``taps_per_ten_words``, nasal
    taps included; ``unknown`` words; ``above``, words whose level or rank is beyond the one asked about;
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
    target: str = "tap",
    level: str = "",
    max_rank: int | None = None,
) -> Summary:
    """Counts over a passage. ``level`` (CEFR) and ``max_rank`` say which words are above the class."""
    tokens = passage.tokens
    counts = tokens["allophone"].value_counts()
    allophones = {name: int(counts.get(name, 0)) for name in ALLOPHONE_IPA}
    taps = allophones["tap"] + allophones["nasal tap"]
    used = dict.fromkeys(
        match.group().lower().replace("’", "'")
        for line in passage.lines
        for match in _ITEM.finditer(line)
        if match.lastgroup == "word"
    )
    rank = lexicon.frequencies.rank
    above = [
        word
        for word in used
        if (level and lexicon.levels.of(word).level > level)
        or (max_rank is not None and rank.get(word, max_rank + 1) > max_rank)
    ]
    have = set(tokens.loc[tokens["allophone"] == target, "line"])
    spoken = [n for n, line in enumerate(passage.lines, start=1) if any(c.isalpha() for c in line)]
    return Summary(
        passage.words,
        allophones,
        round(10 * taps / passage.words, 2) if passage.words else 0.0,
        dict(passage.unknown),
        above,
        [number for number in spoken if number not in have],
    )
