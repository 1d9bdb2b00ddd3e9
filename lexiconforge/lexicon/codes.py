"""How facts of words are coded in columns, and what screening can say of a word. Room: constants and one value."""

from __future__ import annotations

from collections.abc import Collection
from typing import NamedTuple

NO_FREQUENCY = 65_535
"""Stands for the centibels of a word that the frequencies do not have."""
SPELLINGS = ("both", "American", "British")
SENSITIVE = ("", "offensive", "sexual", "violent", "drugs")
LEVEL_NAMES = ("", "A1", "A2", "B1", "B2", "C1", "C2")
EXCLUSIONS = ("names", "abbreviations", "british", "sensitive", "unknown", "possessives")
"""What a list leaves out unless asked; the names are the values of ``--include``."""
POSSESSIVES = EXCLUSIONS[-1]
NEVER = 1 << len(EXCLUSIONS)
"""The bit of a word that the user struck out: nothing lets it in."""
STRUCK_OUT = "struck out"


class Verdict(NamedTuple):
    """The screening of one word. ``spelling`` is one of :data:`SPELLINGS`, ``sensitive`` of :data:`SENSITIVE`."""

    proper_name: bool
    abbreviation: bool
    spelling: str
    sensitive: str
    in_dictionary: bool
    possessive: bool

    @property
    def bits(self) -> int:
        """Why a list leaves the word out: a bit for each of :data:`EXCLUSIONS`, 0 if it does not."""
        return (
            self.proper_name
            | self.abbreviation << 1
            | (self.spelling == "British") << 2
            | bool(self.sensitive) << 3
            | (not self.in_dictionary) << 4
            | self.possessive << 5
        )

    @property
    def reasons(self) -> tuple[str, ...]:
        """The same by name."""
        return reasons(self.bits)


def exclusion_bits(names: Collection[str]) -> int:
    """One bit for each of these kinds of words.

    >>> exclusion_bits(["names", "british"])
    5
    """
    return sum(1 << n for n, name in enumerate(EXCLUSIONS) if name in names)


def reasons(bits: int) -> tuple[str, ...]:
    """The names of the kinds for which there is a bit.

    >>> reasons(5)
    ('names', 'british')
    """
    return tuple(name for n, name in enumerate((*EXCLUSIONS, STRUCK_OUT)) if bits >> n & 1)
