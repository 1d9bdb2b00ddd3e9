"""Rules as ordered tables, and the one short loop that applies them: symbols in, the first rule that fits out.

The notation of a pattern is explained in ``sounds/README.md``; the tables themselves are read by
:mod:`lexiconforge.sounds`. Knows no words, no files and no particular sound.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import NamedTuple

from lexiconforge.phonology import arpabet

PAUSE, WORD_BOUNDARY, CLITIC, RUN_TOGETHER, COMPOUND_BOUNDARY = "#", "+", "=", "~", "-"
ENDING = "."
MARKS = frozenset({PAUSE, WORD_BOUNDARY, CLITIC, RUN_TOGETHER, COMPOUND_BOUNDARY, ENDING})
SYMBOLS = arpabet.INVENTORY | MARKS
SIDES = ("before", "after")


@dataclass(frozen=True, slots=True)
class Rule:
    """One row of a rule table. ``before`` and ``after`` are names of contexts, empty = any."""

    name: str
    before: tuple[str, ...]
    after: tuple[str, ...]
    allophone: str
    also_heard: tuple[str, ...]
    environment: str
    source: str
    example: str


class Context(NamedTuple):
    """One row of the context table: ``side`` is one of :data:`SIDES`, ``pattern`` its symbols."""

    name: str
    side: str
    pattern: tuple[str, ...]
    note: str


class Token(NamedTuple):
    """One occurrence of the sound: where it stands among the symbols, counted from 0, and the number of the rule that
    decides, counted from 0 in the order of the table."""

    at: int
    rule: int


def fitting(wanted: str) -> frozenset[str]:
    """All symbols that one symbol of a pattern stands for. Raises ValueError for what is none.

    >>> sorted(fitting("ER/+"))
    ['+', 'ER0', 'ER1', 'ER2']
    """
    fits: set[str] = set()
    for choice in wanted.split("/"):
        name = choice.rstrip("012")
        digits = choice[len(name) :]
        if name == "C":
            fits |= arpabet.CONSONANTS
        elif name == "V" and (digits or choice == "V"):
            fits |= {phone for phone in arpabet.INVENTORY if phone[-1] in (digits or "012")}
        elif name in arpabet.VOWELS:
            fits |= {name + digit for digit in digits or "012"}
        else:
            fits.add(choice)
    if not fits <= SYMBOLS:
        raise ValueError(f"{wanted!r} is no symbol of a pattern")
    return frozenset(fits)


class Matcher:
    """The rules of one sound, ready to apply. ``phone`` is the ARPAbet phone they are about.

    How far it looks to either side follows from the longest pattern.
    """

    def __init__(self, phone: str, contexts: Iterable[Context], rules: Sequence[Rule]) -> None:
        self.phone = phone
        self.rules = tuple(rules)
        self._patterns: dict[str, list[tuple[str, list[frozenset[str]]]]] = {side: [] for side in SIDES}
        for context in contexts:
            self._patterns[context.side].append(
                (context.name, [fitting(one) for one in context.pattern])
            )
        self.reach_before, self.reach_after = (
            max((len(pattern) for _, pattern in self._patterns[side]), default=1) for side in SIDES
        )
        self._named: dict[str, dict[tuple[str, ...], str]] = {side: {} for side in SIDES}
        self._decided: dict[tuple[str, str], int] = {}

    def context_before(self, symbols: tuple[str, ...]) -> str:
        """Name of the context that these symbols make, which end right before the sound.

        Raises ValueError if none of the table fits.
        """
        for name, pattern in self._patterns["before"]:
            near = symbols[-len(pattern) :]
            if len(near) == len(pattern) and all(map(frozenset.__contains__, pattern, near)):
                return name
        raise ValueError(f"no context before fits {' '.join(symbols)}")

    def context_after(self, symbols: tuple[str, ...]) -> str:
        """Name of the context that these symbols make, which start right after the sound.

        Raises ValueError if none of the table fits.
        """
        for name, pattern in self._patterns["after"]:
            near = symbols[: len(pattern)]
            if len(near) == len(pattern) and all(map(frozenset.__contains__, pattern, near)):
                return name
        raise ValueError(f"no context after fits {' '.join(symbols)}")

    def decide(self, before: str, after: str) -> int:
        """Number of the first rule whose contexts hold these two. Raises ValueError if none does."""
        for number, rule in enumerate(self.rules):
            if (not rule.before or before in rule.before) and (not rule.after or after in rule.after):
                return number
        raise ValueError(f"no rule for a {self.phone} after {before!r} and before {after!r}")

    def between(self, left: tuple[str, ...], right: tuple[str, ...]) -> int:
        """Number of the rule for the sound between these symbols, as many on either side as there are."""
        left, right = left[-self.reach_before :], right[: self.reach_after]
        before, after = self._named["before"].get(left), self._named["after"].get(right)
        if before is None:
            before = self._named["before"][left] = self.context_before(left)
        if after is None:
            after = self._named["after"][right] = self.context_after(right)
        decided = self._decided.get((before, after))
        if decided is None:
            decided = self._decided[before, after] = self.decide(before, after)
        return decided

    def tag(self, symbols: Sequence[str]) -> list[Token]:
        """Every occurrence of the sound among these symbols, in order, with the rule that decides it.

        ``symbols`` are ARPAbet phones with the marks above; the ends count as pauses.
        """
        padded = (PAUSE, *symbols, PAUSE)
        return [
            Token(index - 1, self.between(padded[:index], padded[index + 1 :]))
            for index, symbol in enumerate(padded)
            if symbol == self.phone
        ]


def nearest_stress(symbols: Sequence[str], index: int) -> tuple[str, str]:
    """Stress digits of the nearest vowels before and after a symbol, ``""`` where a pause comes first.

    >>> nearest_stress("W AO1 T ER0".split(), 2)
    ('1', '0')
    """
    return (
        _first_stress(symbols[index - 1 :: -1] if index else ()),
        _first_stress(symbols[index + 1 :]),
    )


def _first_stress(symbols: Sequence[str]) -> str:
    for symbol in symbols:
        if symbol == PAUSE:
            break
        if symbol[-1] in "012":
            return symbol[-1]
    return ""
