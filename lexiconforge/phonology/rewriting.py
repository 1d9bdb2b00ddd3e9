"""Rewrites of dictionary phones by an ordered table: one main stress, weak vowels weak, one vowel for one sound.

``data/rewrites.csv`` has a row for each: what ``changes`` into what, ``before`` and ``after`` what (a context to the left
and to the right, as phonological rules are written), in which ``word`` (a regular expression over its spelling) and
``only`` where a named condition holds (:class:`Evidence`). The rows are tried once each, in order. Room: takes a word and
its phones, gives phones; imports the ARPAbet. Which words there are it is told by its caller.

A context is symbols with spaces between: a phone; ``V`` any vowel, ``C`` any consonant, with digits for the stress
(``V02``); a vowel without a digit has any; ``C*`` any number of consonants, ``0*`` any number of phones without stress,
``...`` any phones; ``#`` the end of the word; ``/`` separates what may stand in one place; ``'V'`` is the consonant. What a
phone changes into is a digit (the vowel stays), a vowel without one (the digit stays), phones, or ``-`` (nothing).
"""

from __future__ import annotations

import re
from collections.abc import Callable
from functools import cache
from itertools import pairwise
from typing import NamedTuple, Protocol

from lexiconforge import data
from lexiconforge.phonology.arpabet import VOWELS


class Evidence(Protocol):
    """What the conditions of the table ask about a word; ``phones`` is text with a space before each phone."""

    def seam(self, word: str, phones: str) -> bool:
        """Is the word two words side by side?"""

    def known(self, word: str) -> bool:
        """Is it a word and not a name?"""

    def weak_relative(self, word: str, onset: str) -> bool:
        """Has a variant or a relative a weak vowel after these first phones?"""


class Rewrite(NamedTuple):
    """One row, ready to apply."""

    name: str
    pattern: re.Pattern[str]
    change: Callable[[re.Match[str]], str]
    word: re.Pattern[str] | None
    only: str


class Part(NamedTuple):
    """The rows of one part of the table. ``asked_by`` gives, for a phone, a pair of neighbours or a number of main
    stresses, a bit for each row that can change nothing where this is not in the word: most rows are never tried."""

    rules: tuple[Rewrite, ...]
    asked_by: dict[str | tuple[str, str], int]
    chosen: dict[int, tuple[int, ...]]


def _one(symbol: str) -> str:
    choices = []
    for choice in symbol.split("/"):
        name = choice.rstrip("012")
        digits = choice[len(name) :] or "012"
        if choice.startswith("'"):
            choices.append(choice.strip("'"))
        elif name == "V":
            choices.append(f"[A-Z]{{2}}[{digits}]")
        elif name == "C":
            choices.append("[A-Z]{1,2}")
        else:
            choices.append(f"{name}[{digits}]" if name in VOWELS else name)
    return rf"(?: (?:{'|'.join(choices)})\b)"


_MANY = {
    "C*": r"(?: [A-Z]{1,2}\b)*",
    "0*": r"(?: [A-Z]{1,2}0?\b)*",
    "...": r"(?: [A-Z]{1,2}[012]?\b)*",
}


def _context(text: str, edge: str) -> str:
    return "".join(edge if one == "#" else _MANY.get(one) or _one(one) for one in text.split())


def _changed(into: str) -> Callable[[re.Match[str]], str]:
    def change(match: re.Match[str]) -> str:
        before, phone = match.group("before", "phone")
        if into in "012":
            return f"{before}{phone[:-1]}{into}"
        if into in VOWELS:
            return f"{before} {into}{phone[-1]}"
        return before if into == "-" else f"{before} {into}"

    return change


def _plain(symbol: str) -> tuple[str, ...]:
    """The phones that a symbol stands for, empty where these are a whole class."""
    found: list[str] = []
    for choice in symbol.split("/"):
        name = choice.rstrip("012")
        if choice in _MANY or name in ("V", "C"):
            return ()
        if name in VOWELS:
            found += [name + digit for digit in choice[len(name) :] or "012"]
        else:
            found.append(choice.strip("'"))
    return tuple(found)


NONE, SEVERAL = "no main stress", "two main stresses"


def _triggers(row: dict[str, str]) -> list[str | tuple[str, str]]:
    """What a word must have for a row to change it: the rarest single thing that can be told without its pattern."""
    if row["only"] == NONE:
        return [NONE]
    if row["changes"] == "V1":
        return [SEVERAL]
    changed, *more = row["changes"].split()
    near = [*row["before"].split()[-1:], changed, *more, *row["after"].split()[:1]]
    pairs = [
        [(a, b) for a in left for b in right]
        for left, right in pairwise(map(_plain, near))
        if left and right
    ]
    if not pairs:
        return list(_plain(changed))
    fewest = min(map(len, pairs))
    return list(next(found for found in pairs if len(found) == fewest))


@cache
def rewrites(part: str) -> Part:
    """The rows of one part of the table, ``stress`` or ``vowels``; all if none is named."""
    rules: list[Rewrite] = []
    asked_by: dict[str | tuple[str, str], int] = {}
    for row in data.rows("rewrites"):
        if part not in ("", row["part"]):
            continue
        for trigger in _triggers(row):
            asked_by[trigger] = asked_by.get(trigger, 0) | 1 << len(rules)
        pattern = (
            f"(?P<before>{_context(row['before'], '^')})(?P<phone>{_context(row['changes'], '')})"
            f"(?={_context(row['after'], '$')})"
        )
        word = re.compile(row["word"]) if row["word"] else None
        rules.append(Rewrite(row["rule"], re.compile(pattern), _changed(row["into"]), word, row["only"]))
    return Part(tuple(rules), asked_by, {})


def _asked(part: Part, text: str) -> tuple[int, ...]:
    """The numbers of the rows to try on these phones."""
    asked_by = part.asked_by.get
    phones = ["#", *text.split(), "#"]
    asked = 0
    for pair in pairwise(phones):
        asked |= asked_by(pair[0], 0) | asked_by(pair, 0)
    main = text.count("1")
    if main != 1:
        asked |= asked_by(SEVERAL if main else NONE, 0)
    found = part.chosen.get(asked)
    if found is None:
        found = part.chosen[asked] = tuple(n for n in range(len(part.rules)) if asked >> n & 1)
    return found


_MOST = 4
"""A row is applied until it changes nothing, where two places of a word overlap; no word has more."""


def rewritten(word: str, phones: str, evidence: Evidence, part: str = "") -> str:
    """The phones (with a space between) after the table, or one part of it.

    >>> class Nothing:
    ...     seam = known = weak_relative = lambda *asked: False
    >>> rewritten("hospital", "HH AA1 S P IH2 T AH0 L", Nothing())
    'HH AA1 S P IH0 T AH0 L'
    """
    table, text, tried = rewrites(part), " " + phones, -1
    asked = _asked(table, text)
    while asked:
        for number in asked:
            if (
                number > tried
                and (changed := _applied(table.rules[number], word, text, evidence)) != text
            ):
                # What is asked by the new phones: only the rows below can still come.
                text, tried = changed, number
                asked = _asked(table, text)
                break
        else:
            break
    return text[1:]


def _applied(rule: Rewrite, word: str, text: str, evidence: Evidence) -> str:
    spelling = rule.word.search(word) if rule.word is not None else None
    if rule.word is not None and spelling is None:
        return text
    match = rule.pattern.search(text)
    if match is None or (rule.only and not _holds_for(rule, word, text, spelling, match, evidence)):
        return text
    for _ in range(_MOST):
        changed = rule.pattern.sub(rule.change, text)
        if changed == text or rule.only == NONE:
            return changed
        text = changed
    return text


def _holds_for(
    rule: Rewrite,
    word: str,
    text: str,
    spelling: re.Match[str] | None,
    match: re.Match[str],
    evidence: Evidence,
) -> bool:
    if rule.only == "no seam":
        return not evidence.seam(word, text)
    if rule.only == "known":
        return evidence.known(word)
    if rule.only == NONE:
        return "1" not in text and sum(map(text.count, "02")) > 1
    if rule.only == "compound":
        return sum(map(text.count, "012")) <= 3 and evidence.seam(word, text)
    if rule.only.startswith("rest"):
        assert spelling is not None
        rest = spelling["rest"] + ("e" if rule.only == "rest with e is a word" else "")
        return evidence.known(word) and evidence.known(rest)
    assert rule.only == "weak relative", rule.only
    return evidence.known(word) and evidence.weak_relative(word, match["before"])
