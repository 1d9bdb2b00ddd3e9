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

from typing import TYPE_CHECKING, NamedTuple

from lexiconforge.sources import SourceError, locate

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

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
_STEP = 50
"""A level is stored in fiftieths above A1."""


class Level(NamedTuple):
    """``level`` is A1 to C2, ``""`` where the source has none; ``parts_of_speech`` in the source's order."""

    level: str
    parts_of_speech: tuple[str, ...]


class Levels:
    """Level and parts of speech by word, looked up when asked.

    Raises SourceError if ``cefrpy`` is missing or its table has another shape.

    >>> Levels().of("water").level
    'A1'
    """

    def __init__(self) -> None:
        data = locate("cefrpy", "data.bin").read_bytes()
        count = data[0] if data else 0
        self._starts = [int.from_bytes(data[at : at + 4], "little") for at in range(1, 1 + 4 * count, 4)]
        self._records = data[1 + 4 * count :]
        if not self._starts or self._starts[-1] != len(self._records):
            raise SourceError("cefrpy: the table data.bin has another shape than it had in 1.0.3")
        self._by_length: dict[int, tuple[NDArray[np.bytes_], NDArray[np.uint8]]] = {}
        self._known: dict[str, Level] = {}

    def of(self, word: str) -> Level:
        """Level and parts of speech of a word, empty where the source does not have it."""
        if word not in self._known:
            found = [
                (PARTS_OF_SPEECH[_TAGS[tag]], level)
                for tag, level in self._rows(word)
                if _TAGS[tag] in PARTS_OF_SPEECH
            ]
            lowest = min((level for _, level in found), default=None)
            self._known[word] = Level(
                "" if lowest is None else LEVELS[round(1 + lowest / _STEP) - 1],
                tuple(dict.fromkeys(part for part, _ in found)),
            )
        return self._known[word]

    def _rows(self, word: str) -> list[tuple[int, int]]:
        import numpy as np

        size = len(word)
        if not word.isascii() or not 1 <= size < len(self._starts):
            return []
        if size not in self._by_length:
            kept = self._records[self._starts[size - 1] : self._starts[size]]
            records = np.frombuffer(kept, dtype=np.uint8).reshape(-1, size + 2)
            spellings = np.ascontiguousarray(records[:, :size]).view(f"S{size}")[:, 0]
            self._by_length[size] = (spellings, records[:, size:])
        spellings, values = self._by_length[size]
        first, last = (
            int(np.searchsorted(spellings, np.bytes_(word), side=side)) for side in ("left", "right")
        )
        return [(int(tag), int(level)) for tag, level in values[first:last]]
