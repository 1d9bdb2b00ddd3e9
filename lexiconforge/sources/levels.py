"""CEFR levels and parts of speech: the table that ``cefrpy`` ships.

Levels are the Council of Europe's A1 to C2. Limits of the source: the levels are estimated from course
lists and frequencies, not assigned by examiners; a word has one level for each part of speech, and the one
given here is the lowest (the sense a learner meets first); inflected forms have levels of their own, and
names and rare words are often put at C2.
"""

from __future__ import annotations

from typing import NamedTuple

from lexiconforge.sources import SourceError

LEVELS = ("A1", "A2", "B1", "B2", "C1", "C2")

PARTS_OF_SPEECH = {
    "CC": "conjunction", "CD": "number", "DT": "determiner", "IN": "preposition",
    "JJ": "adjective", "JJR": "adjective", "JJS": "adjective", "MD": "verb", "NN": "noun",
    "NNS": "noun", "PDT": "determiner", "PRP": "pronoun", "RB": "adverb",
    "RBR": "adverb", "RBS": "adverb", "RP": "adverb", "TO": "preposition", "UH": "interjection",
    "VB": "verb", "VBD": "verb", "VBG": "verb", "VBN": "verb", "VBP": "verb", "VBZ": "verb",
    "WDT": "determiner", "WP": "pronoun", "WRB": "adverb",
}  # fmt: skip
"""Plain names for the tags of the Penn Treebank, in which the source is written."""


class Level(NamedTuple):
    """``level`` is A1 to C2, ``""`` where the source has none; ``parts_of_speech`` in the source's order."""

    level: str
    parts_of_speech: tuple[str, ...]


class Levels:
    """Level and parts of speech by word, looked up when asked.

    Raises SourceError if ``cefrpy`` is missing.

    >>> Levels().of("water").level
    'A1'
    """

    def __init__(self) -> None:
        try:
            from cefrpy import CEFRAnalyzer
        except ImportError:
            raise SourceError(
                "the package cefrpy is not installed; install it with: pip install cefrpy"
            ) from None
        self._lookup = CEFRAnalyzer().get_pos_level_dict_for_word
        self._known: dict[str, Level] = {}

    def of(self, word: str) -> Level:
        """Level and parts of speech of a word, empty where the source does not have it."""
        if word not in self._known:
            by_tag = [
                (PARTS_OF_SPEECH[tag.name], LEVELS[level.value - 1])
                for tag, level in self._lookup(word).items()
                if tag.name in PARTS_OF_SPEECH
            ]
            self._known[word] = Level(
                min((level for _, level in by_tag), default=""),
                tuple(dict.fromkeys(part for part, _ in by_tag)),
            )
        return self._known[word]
