"""A line of text as words and pauses, with their places. Room: knows letters and marks, no words but those clipped."""

from __future__ import annotations

import re
from functools import cache
from typing import NamedTuple

from lexiconforge import data
from lexiconforge.text.numbers import number_words

_ITEM = re.compile(
    r"(?P<word>[^\W\d_]+(?:['’][^\W\d_]+)*(?:(?<=s)['’](?![^\W_]))?)"
    r"|(?P<number>[$€£]?\d+(?:,\d{3})*(?:\.\d+)?(?::\d\d)?(?:st|nd|rd|th|s|%)?(?![^\W_]))"
    r"|(?P<pause>[.,;:!?…—–()\[\]{}|/\\]|(?<!\w)-|-(?!\w))"
)


class Item(NamedTuple):
    """A word as it is written, from ``start`` to ``end`` of the line; ``of_number`` where these are the digits of
    a number of which it is a word."""

    text: str
    start: int
    end: int
    of_number: bool


@cache
def _clipped() -> frozenset[str]:
    return frozenset(row["word"] for row in data.rows("clipped"))


def items(line: str) -> list[Item | None]:
    """The words of a line in order, None for a pause.

    >>> [item and item.text for item in items("Put it on, not in 13.")]
    ['Put', 'it', 'on', None, 'not', 'in', 'thirteen', None]
    """
    found: list[Item | None] = []
    for match in _ITEM.finditer(line):
        kind, (start, end) = match.lastgroup, match.span()
        if kind == "word":
            found.append(Item(match.group(), start, end, False))
        elif kind == "number":
            found += [Item(word, start, end, True) for word in number_words(match.group())]
        else:
            last = found[-1] if found else None
            if not (match.group() == "." and last is not None and last.text.lower() in _clipped()):
                found.append(None)
    return found


def spelling(written: str) -> str:
    """A word as the dictionary spells it: small letters, a straight apostrophe."""
    return written.lower().replace("’", "'")
