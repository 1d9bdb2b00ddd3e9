"""Checks of options and arguments. Room: takes a value, gives it back made plain, or raises OptionError."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from lexiconforge.errors import OptionError

MOST = 1_000_000_000
"""No list has more rows, no word is rarer: larger numbers are mistakes, and some are too large for the system."""


def plain(name: str) -> str:
    """A name as it is compared: hyphens, underscores and spaces are the same, and so is letter case.

    >>> plain("Glottal-Stop")
    'glottal stop'
    """
    return " ".join(name.lower().replace("-", " ").replace("_", " ").split())


def one_of(kind: str, value: str, known: Sequence[str]) -> str:
    """The known value that was meant: hyphens and spaces are the same, and so is letter case.

    >>> one_of("level", "b1", ("A2", "B1"))
    'B1'
    """
    text(kind, value)
    if not value:
        return value
    for name in known:
        if plain(name) == plain(value):
            return name
    raise OptionError(f"no {kind} {value!r}; there are: {', '.join(known)}")


def text(kind: str, value: object) -> str:
    """The value, which must be text."""
    if not isinstance(value, str):
        raise OptionError(f"{kind} {value!r}: must be text")
    return value


def whole(kind: str, value: object, *, least: int = 1) -> int | None:
    """A whole number from ``least`` up, or None."""
    if value is None:
        return None
    if isinstance(value, bool) or not isinstance(value, int):
        raise OptionError(f"{kind} {value!r}: must be a whole number")
    if value < least:
        raise OptionError(f"{kind} {value}: must be {least} or more")
    if value > MOST:
        raise OptionError(f"{kind} {value}: must be at most {MOST:,}")
    return value


def words(kind: str, value: Iterable[str] | str) -> tuple[str, ...]:
    """Words in lower case; a string is one word."""
    if isinstance(value, str):
        value = (value,)
    try:
        return tuple(text(kind, one).lower().replace("’", "'").strip() for one in value)
    except TypeError:
        raise OptionError(f"{kind} {value!r}: must be words") from None


def span(kind: str, value: object) -> tuple[int, int] | None:
    """A whole number, or a pair of them, as a pair with both ends included."""
    if value is None:
        return None
    pair = (value, value) if isinstance(value, int) else value
    if not isinstance(pair, Sequence) or isinstance(pair, str) or len(pair) != 2:
        raise OptionError(f"{kind} {value!r}: write a number or a pair, as in 2 or (2, 3)")
    first, last = (whole(kind, one) or 0 for one in pair)
    if first > last:
        raise OptionError(f"{kind} {first}-{last}: write a number or a range from 1 up, as in 2-3")
    return first, last
