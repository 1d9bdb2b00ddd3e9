"""A line to say for a word or a link: the word itself, in the environment meant, short, in easy words.

Room: takes the lexicon and lines (:mod:`lexiconforge.text.corpus`), gives lines; the sounds of a line are the tagger's
business. A teacher's own lines come first.
"""

from __future__ import annotations

import re
from collections.abc import Collection, Iterable, Iterator, Mapping, Sequence
from functools import cache, cached_property
from itertools import islice
from typing import NamedTuple, TypeVar
from weakref import WeakKeyDictionary

from lexiconforge import data
from lexiconforge.lexicon import Lexicon
from lexiconforge.lexicon.codes import NEVER, exclusion_bits
from lexiconforge.phonology.matcher import Rule
from lexiconforge.text.corpus import KEPT, Line, own_lines
from lexiconforge.text.phrases import spelling
from lexiconforge.text.tagger import Tagger

SEPARATOR = " / "
"""Between the lines of a cell that holds several."""
SHORT, LONG = 5, 9
"""Words of a line that are neither too few to carry a word nor more than are said easily in one breath (common practice)."""
UNFIT = ("sensitive", "abbreviations")
"""Words that no line may have, unless they are what it is for."""
HARD = {"": 1.0, "A1": 0.0, "A2": 0.0, "B1": 0.3, "B2": 0.8, "C1": 2.0, "C2": 2.5}
"""What a word beside the target costs a line, by its CEFR level: up to B2 is what the lines are written for."""


@cache
def line_words(kind: str) -> frozenset[str]:
    """The words of this kind of ``data/line_words.csv``: closed classes that tell what a line can be.

    >>> "they" in line_words("third")
    True
    """
    rows = data.rows("line_words")
    return frozenset(word for row in rows if row["kind"] == kind for word in row["words"].split())


Key = TypeVar("Key")


def _places(keys: Iterable[Iterable[Key]]) -> dict[Key, list[int]]:
    """The numbers of the lines that have each of these."""
    found: dict[Key, list[int]] = {}
    for n, of_line in enumerate(keys):
        for key in dict.fromkeys(of_line):
            found.setdefault(key, []).append(n)
    return found


def _written(line: Line) -> Sequence[str]:
    """The words of a line and maybe more: a line of nothing but words is not read for that."""
    return line.words if _ODD.search(line.text) else _WORD.findall(spelling(line.text))


_ODD = re.compile(r"[^A-Za-z'’ ,.?!]|\.(?!$)|(?<![A-Za-z])['’]|['’](?![A-Za-z])")
"""What may be read otherwise than it stands: a number, an abbreviation, a clipped word."""
_WORD = re.compile(r"[a-z]+(?:'[a-z]+)*")


def _by_word(lines: Iterable[Line]) -> dict[str, list[int]]:
    return _places(map(_written, lines))


def _by_pair(lines: Iterable[Line]) -> dict[tuple[str, str], list[int]]:
    return _places(line.pairs for line in lines)


@cache
def _own_by_word() -> dict[str, list[int]]:
    return _by_word(own_lines())


@cache
def _own_by_pair() -> dict[tuple[str, str], list[int]]:
    return _by_pair(own_lines())


class _Known(NamedTuple):
    """What has been asked of a lexicon: the cost of a word, and of a line each occurrence of the sound: its word, the word
    after, the rule that decides."""

    costs: dict[str, float]
    decided: dict[str, list[tuple[str, str, Rule]]]


_known: WeakKeyDictionary[Lexicon, _Known] = WeakKeyDictionary()


class Examples:
    """Finds lines; what it needs is indexed at the first question, the project's own lines once in a process. ``first`` are
    lines that win over those."""

    def __init__(self, lexicon: Lexicon, first: Sequence[Line] = ()) -> None:
        self._lexicon, self._first = lexicon, tuple(first)
        self._known = _known.setdefault(lexicon, _Known({}, {}))

    @cached_property
    def _lines(self) -> tuple[Line, ...]:
        return (*self._first, *own_lines())

    @cached_property
    def _first_by_word(self) -> dict[str, list[int]]:
        return _by_word(self._first)

    @cached_property
    def _first_by_pair(self) -> dict[tuple[str, str], list[int]]:
        return _by_pair(self._first)

    def _having(self, word: str) -> list[int]:
        """The numbers of the lines that have this word."""
        found = self._numbered(self._first_by_word.get(word, ()), _own_by_word().get(word, ()))
        return [n for n in found if word in self._lines[n].words]

    def _numbered(self, first: Sequence[int], own: Sequence[int]) -> list[int]:
        return [*first, *(len(self._first) + n for n in own)]

    @cached_property
    def _tagger(self) -> Tagger:
        return Tagger(self._lexicon)

    def _rules(self, text: str) -> list[tuple[str, str, Rule]]:
        decided = self._known.decided
        known = decided.get(text)
        if known is None:
            if len(decided) >= KEPT:
                decided.clear()
            known = decided[text] = [
                (spelling(said.item.text), spelling(said.next_word), rule)
                for said in self._tagger.tag_text(text).said
                if said.tagged is not None
                for _, rule in said.tagged.rules
            ]
        return known

    def of_word(
        self, word: str, environments: Collection[str] = (), count: int = 1, reading: int = 0
    ) -> str:
        """The best lines in which the sound of this word stands in one of these environments (all if none is named), best
        first, :data:`SEPARATOR` between; ``""`` if there is none. The other ``reading`` of a homograph has none: lines are
        read with the first, and those whose neighbours speak for the other are left out.

        >>> from lexiconforge.lexicon import load_lexicon
        >>> "water" in Examples(load_lexicon()).of_word("water").lower()
        True
        """
        if reading or not count:
            return ""
        row = self._lexicon.row(word)
        parts = () if row is None else self._lexicon.homograph_at(row)
        fit = (
            line.text
            for line in self._ranked(self._having(word), (word,))
            if (not parts or _may_be(line, word, parts))
            and (not environments or self._stands_in(line, word, environments))
        )
        return SEPARATOR.join(islice(fit, count))

    def of_link(self, first: str, second: str, allophone: str = "", count: int = 1) -> str:
        """The same for two words that are said together, the first ending in this allophone."""
        pair = (first, second)
        having = self._numbered(self._first_by_pair.get(pair, ()), _own_by_pair().get(pair, ()))
        fit = (
            line.text
            for line in self._ranked(having, pair)
            if not allophone or self._links_with(line, first, second, allophone)
        )
        return SEPARATOR.join(islice(fit, count))

    def _ranked(self, numbers: Sequence[int], targets: tuple[str, ...]) -> Iterator[Line]:
        lines = [self._lines[n] for n in numbers]
        own = len(self._first)
        costs = {n: self.cost(line, targets) for n, line in zip(numbers, lines, strict=True)}
        for n in sorted(numbers, key=lambda n: (n >= own, costs[n], n)):
            if costs[n] < float("inf"):
                yield self._lines[n]

    def cost(self, line: Line, targets: Collection[str]) -> float:
        """How far a line is from the best there could be: 0 for a short line of easy words, infinite for one that no class
        is given."""
        length = max(SHORT - len(line.words), len(line.words) - LONG, 0)
        sentences = sum(line.text.count(stop) for stop in ".!?") - 1
        opening = 0.3 if line.words and line.words[0] in line_words("answering") else 0.0
        words = sum(self.cost_of(word) for word in line.words if word not in targets)
        return length * 0.5 + sentences * 0.4 + opening + words

    def cost_of(self, word: str) -> float:
        """What a word beside the target costs a line."""
        costs = self._known.costs
        cost = costs.get(word)
        if cost is None:
            if len(costs) >= KEPT:
                costs.clear()
            cost = costs[word] = self._worked_out(word)
        return cost

    def _worked_out(self, word: str) -> float:
        lexicon = self._lexicon
        row = lexicon.row(word)
        if row is None:
            return 0.5
        if lexicon.reasons_at(row) & (exclusion_bits(UNFIT) | NEVER):
            return float("inf")
        base = lexicon.row(lexicon.lemma_at(row))
        of_both = (lexicon.level_at(at) for at in (row, base) if at is not None)
        level = min(filter(None, of_both), default="")
        common = (lexicon.rank_at(row) or 10**9) <= 3000
        return 0.0 if common and not level else HARD[level]

    def _stands_in(self, line: Line, word: str, environments: Collection[str]) -> bool:
        return any(
            one == word and rule.environment in environments for one, _, rule in self._rules(line.text)
        )

    def _links_with(self, line: Line, first: str, second: str, allophone: str) -> bool:
        # By the rule, as links are: a passage is labelled by what is heard most.
        return any(
            (one, after) == (first, second) and rule.allophone == allophone
            for one, after, rule in self._rules(line.text)
        )


_PLACES = {
    "before a verb": ("verb",),
    "before a noun": ("noun", "adjective"),
    "before an adjective": ("adjective",),
}
_PLACES_AFTER = {"after a verb": ("verb",), "after a noun": ("noun",)}


def _may_be(line: Line, word: str, parts: Sequence[str]) -> bool:
    """May a homograph with readings as these ``parts`` of speech be read as the first of them in a line? Not where the word
    before it, or else the one behind, speaks for the other."""
    first, others = set(parts[0].split(", ")), set(", ".join(parts[1:]).split(", "))
    words = ("", *line.words, "")
    for before, one, after in zip(words, words[1:], words[2:], strict=False):
        if one == word:
            near = _parts_by_place(before, _PLACES) or _parts_by_place(after, _PLACES_AFTER)
            if near & others and not near & first:
                return False
    return True


def _parts_by_place(neighbour: str, places: Mapping[str, Collection[str]]) -> set[str]:
    return {part for kind, found in places.items() if neighbour in line_words(kind) for part in found}
