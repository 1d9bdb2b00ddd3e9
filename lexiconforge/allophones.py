"""The rule table of /t/ and the one function that applies it: phones in, T tokens out.

Two tables beside this module hold the English: ``data/contexts.csv`` names what can stand before
and after a t, as patterns over the ARPAbet, and ``data/rules.csv`` says, row by row, what the t is
in each. In both the first row that fits wins, so the order is part of the table.

A pattern is a row of symbols, the one nearest the t innermost:

======== ==========================================================================
``#``    a pause, or the edge of the text
``+``    the edge of a word inside running speech
``=``    the same, where the next word leans on this one (*go to*)
``-``    where the parts of a compound meet (*set-up*)
``V``    any vowel; ``V0``, ``V12`` a vowel with one of these stress digits
``C``    any consonant
``AH0``  this phone; ``AH`` the vowel with any stress; ``IY02`` with stress 0 or 2
``A/B``  either
======== ==========================================================================

Knows no words, files of the user or frequencies: what is known of single words is put in front of
this module by :mod:`lexiconforge.lexicon`.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cache
from typing import NamedTuple

from lexiconforge import data
from lexiconforge import phones as arpabet

PAUSE, JUNCTURE, LEANING, SEAM = "#", "+", "=", "-"

ALLOPHONE_IPA = {
    "tap": "ɾ",
    "nasal tap": "ɾ̃",
    "glottal stop": "ʔ",
    "unreleased stop": "t̚",
    "aspirated stop": "tʰ",
    "unaspirated stop": "t",
    "affricate": "tʃ",
    "elided": "",
}
"""Every label the tables use, with the symbol written for it."""

_BEFORE_REACH, _AFTER_REACH = 3, 4


@dataclass(frozen=True, eq=False, slots=True)
class Rule:
    """One row of the rule table. ``before`` and ``after`` are context names, empty = any. Each row is itself
    and no other, so that it can be a key."""

    name: str
    before: tuple[str, ...]
    after: tuple[str, ...]
    allophone: str
    also_heard: str
    environment: str
    source: str
    example: str


class Context(NamedTuple):
    """One row of the context table; ``side`` is ``before`` or ``after``."""

    name: str
    side: str
    pattern: tuple[str, ...]
    note: str


class Token(NamedTuple):
    """One t: where it stands among the symbols, counted from 0, and which rule decided."""

    phone_index: int
    rule: Rule


@cache
def contexts() -> tuple[Context, ...]:
    """The context table, in its order."""
    return tuple(
        Context(row["context"], row["side"], tuple(row["pattern"].split()), row["note"])
        for row in data.rows("contexts")
    )


@cache
def rules() -> tuple[Rule, ...]:
    """The rule table, in its order.

    >>> rules()[0].allophone in ALLOPHONE_IPA
    True
    """
    known = {"before": {c.name for c in contexts() if c.side == "before"}}
    known["after"] = {c.name for c in contexts() if c.side == "after"}

    def names(row: dict[str, str], side: str) -> tuple[str, ...]:
        if row[side] == "any":
            return ()
        wanted = tuple(row[side].split("; "))
        if unknown := set(wanted) - known[side]:
            raise ValueError(f"rule {row['rule']!r}: no context {sorted(unknown)}")
        return wanted

    return tuple(
        Rule(
            row["rule"],
            names(row, "before"),
            names(row, "after"),
            row["allophone"],
            row["also_heard"],
            row["environment"],
            row["source"],
            row["example"],
        )
        for row in data.rows("rules")
    )


_SYMBOLS = frozenset(arpabet.INVENTORY | {PAUSE, JUNCTURE, LEANING, SEAM})


def _fitting(wanted: str) -> frozenset[str]:
    """All symbols that one symbol of a pattern stands for."""
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
    if not fits <= _SYMBOLS:
        raise ValueError(f"contexts.csv: {wanted!r} is no symbol of a pattern")
    return frozenset(fits)


@cache
def _patterns(side: str) -> list[tuple[str, list[frozenset[str]]]]:
    return [
        (context.name, [_fitting(wanted) for wanted in context.pattern])
        for context in contexts()
        if context.side == side
    ]


@cache
def context_before(symbols: tuple[str, ...]) -> str:
    """Name of the context that these symbols, which end right before the t, make.

    Raises ValueError if none of the table fits.

    >>> context_before(("B", "AH1"))
    'vowel'
    """
    for name, pattern in _patterns("before"):
        near = symbols[-len(pattern) :]
        if len(near) == len(pattern) and all(map(frozenset.__contains__, pattern, near)):
            return name
    raise ValueError(f"no context before a t fits {' '.join(symbols)}")


@cache
def context_after(symbols: tuple[str, ...]) -> str:
    """Name of the context that these symbols, which start right after the t, make.

    Raises ValueError if none of the table fits.

    >>> context_after(("ER0", "#"))
    'weak vowel'
    """
    for name, pattern in _patterns("after"):
        near = symbols[: len(pattern)]
        if len(near) == len(pattern) and all(map(frozenset.__contains__, pattern, near)):
            return name
    raise ValueError(f"no context after a t fits {' '.join(symbols)}")


@cache
def decide(before: str, after: str) -> Rule:
    """The first rule whose contexts hold these two.

    >>> decide("vowel", "weak vowel").allophone
    'tap'
    """
    for rule in rules():
        if (not rule.before or before in rule.before) and (not rule.after or after in rule.after):
            return rule
    raise ValueError(f"no rule for a t after {before!r} and before {after!r}")


def rule_between(left: tuple[str, ...], right: tuple[str, ...]) -> Rule:
    """The rule for a t between these symbols, as many on either side as there are.

    >>> rule_between(("W", "AO1"), ("ER0", "#")).allophone
    'tap'
    """
    return _rule_near(left[-_BEFORE_REACH:], right[:_AFTER_REACH])


@cache
def _rule_near(left: tuple[str, ...], right: tuple[str, ...]) -> Rule:
    return decide(context_before(left), context_after(right))


def tag(symbols: Sequence[str]) -> list[Token]:
    """Every T among these symbols, in order, each with the rule that decides it.

    ``symbols`` are ARPAbet phones with the marks above; the ends count as pauses. ``phone_index`` counts symbols from 0.

    >>> [(t.phone_index, t.rule.allophone) for t in tag("W AO1 T ER0".split())]
    [(2, 'tap')]
    >>> tag("AE1 T + AO1 L".split())[0].rule.allophone
    'tap'
    """
    padded = (PAUSE, *symbols, PAUSE)
    return [
        Token(
            place - 1,
            _rule_near(
                padded[place - _BEFORE_REACH if place > _BEFORE_REACH else 0 : place],
                padded[place + 1 : place + 1 + _AFTER_REACH],
            ),
        )
        for place, symbol in enumerate(padded)
        if symbol == "T"
    ]


def nearest_stress(symbols: Sequence[str], place: int) -> tuple[str, str]:
    """Stress digits of the nearest vowels before and after a symbol, ``""`` where a pause comes first.

    >>> nearest_stress("W AO1 T ER0".split(), 2)
    ('1', '0')
    """
    return _first_stress(symbols[place - 1 :: -1] if place else ()), _first_stress(symbols[place + 1 :])


def _first_stress(symbols: Sequence[str]) -> str:
    for symbol in symbols:
        if symbol == PAUSE:
            break
        if symbol[-1] in "012":
            return symbol[-1]
    return ""
