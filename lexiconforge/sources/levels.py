"""CEFR levels and parts of speech: the table that ``cefrpy`` ships.

Levels are the Council of Europe's A1 to C2. Limits of the source: the levels are estimated from course
lists and frequencies, not assigned by examiners; a word has one level for each part of speech, and the one
given here is the lowest (the sense a learner meets first); inflected forms have levels of their own, and
names and rare words are often put at C2.

The package checks all of its 2.4 MB whenever it is imported, which costs about as much as reading the
two main sources; its table is fixed-width records in order, so it is read here directly, and the tests compare the
answers with the package's own.
"""

from __future__ import annotations

from itertools import pairwise
from typing import NamedTuple

from lexiconforge.errors import SourceError
from lexiconforge.sources import locate, read_or_ask

LEVELS = ("A1", "A2", "B1", "B2", "C1", "C2")

_TAGS = [
    "CC",
    "CD",
    "DT",
    "IN",
    "JJ",
    "JJR",
    "JJS",
    "MD",
    "NN",
    "NNS",
    "NNP",
    "NNPS",
    "PRP",
    "RB",
    "RBR",
    "RBS",
    "RP",
    "TO",
    "UH",
    "VB",
    "VBD",
    "VBG",
    "VBN",
    "VBP",
    "VBZ",
    "WDT",
    "WP",
    "WRB",
]
"""Tags of the Penn Treebank by their number in the table."""
PARTS_OF_SPEECH = {
    "CC": "conjunction", "CD": "number", "DT": "determiner", "IN": "preposition", "JJ": "adjective",
    "JJR": "adjective", "JJS": "adjective", "MD": "verb", "NN": "noun", "NNS": "noun",
    "PRP": "pronoun", "RB": "adverb", "RBR": "adverb", "RBS": "adverb", "RP": "adverb",
    "TO": "preposition", "UH": "interjection", "VB": "verb", "VBD": "verb", "VBG": "verb",
    "VBN": "verb", "VBP": "verb", "VBZ": "verb", "WDT": "determiner", "WP": "pronoun",
    "WRB": "adverb",
}  # fmt: skip
"""Plain names for the tags; those of proper nouns have none and give no level."""
_PARTS = [PARTS_OF_SPEECH.get(tag) for tag in _TAGS]
STEP = 50
"""A level is stored in fiftieths above A1."""


class Level(NamedTuple):
    """``level`` is A1 to C2, ``""`` where the source has none; ``parts_of_speech`` in the source's order."""

    level: str
    parts_of_speech: tuple[str, ...]


class Levels:
    """Level and parts of speech of every word that the table has.

    Raises SourceError if ``cefrpy`` is missing.

    >>> Levels().of("water").level
    'A1'
    """

    def __init__(self) -> None:
        self._known = read_or_ask(_table, _table_by_package)

    def values(self, word: str) -> list[tuple[str, int]]:
        """Parts of speech of a word and the level of each, in units of :data:`STEP` to a level, above A1."""
        known = self._known.get(word)
        if known is None:
            return []
        return [(part, level) for tag, level in known if (part := _PARTS[tag])]

    def of(self, word: str) -> Level:
        """Level and parts of speech of a word, empty where the source does not have it."""
        found = self.values(word)
        if not found:
            return _NONE
        lowest = min(level for _, level in found)
        return Level(named(lowest), tuple(dict.fromkeys(part for part, _ in found)))


def named(value: int) -> str:
    """The level of a value of :meth:`Levels.values`.

    >>> named(0), named(74), named(76)
    ('A1', 'A2', 'B1')
    """
    return LEVELS[round(1 + value / STEP) - 1]


_NONE = Level("", ())
_CHANGED = "cefrpy has another shape than it had in 1.0.3"


def _table() -> dict[str, list[tuple[int, int]]]:
    """Numbers of tag and level by word, read from the package's file. Raises SourceError."""
    raw = locate("cefrpy", "data.bin").read_bytes()
    count = raw[0] if raw else 0
    starts = [int.from_bytes(raw[at : at + 4], "little") for at in range(1, 1 + 4 * count, 4)]
    records = raw[1 + 4 * count :]
    if not starts or starts[-1] != len(records):
        raise SourceError(_CHANGED)
    found: dict[str, list[tuple[int, int]]] = {}
    for size, (first, last) in enumerate(pairwise(starts), start=1):
        step = size + 2
        block = records[first:last]
        if len(block) % step:
            raise SourceError(_CHANGED)
        letters = block.decode("latin-1")
        words = [letters[at : at + size] for at in range(0, len(block), step)]
        levels = zip(block[size::step], block[size + 1 :: step], strict=True)
        for word, graded in zip(words, levels, strict=True):
            if word in found:
                found[word].append(graded)
            else:
                found[word] = [graded]
    return found


def _table_by_package() -> dict[str, list[tuple[int, int]]]:
    from cefrpy import CEFRAnalyzer

    found: dict[str, list[tuple[int, int]]] = {}
    for word, tag, level in CEFRAnalyzer().yield_word_pos_level(
        pos_tag_as_string=True, word_level_as_float=True
    ):
        found.setdefault(word, []).append((_TAGS.index(tag), round((level - 1) * STEP)))
    return found
