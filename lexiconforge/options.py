"""Checks of options and arguments. Room: takes a value, gives it back made plain, or raises OptionError."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from os import PathLike
from pathlib import Path

from lexiconforge.errors import OptionError

MOST = 1_000_000_000
"""No list has more rows, no word is rarer: larger numbers are mistakes, and some are too large for the system."""


def plain(name: str) -> str:
    """A name as it is compared: hyphens, underscores and spaces are the same, and so is letter case.

    >>> plain("Glottal-Stop")
    'glottal stop'
    """
    return " ".join(name.lower().replace("-", " ").replace("_", " ").split())


def text(kind: str, value: object) -> str:
    """The value, which must be text."""
    if not isinstance(value, str):
        raise OptionError(f"{kind} {value!r}: must be text")
    return value


def flag(kind: str, value: object) -> bool:
    """The value, which must be True or False."""
    if not isinstance(value, bool):
        raise OptionError(f"{kind} {value!r}: must be True or False")
    return value


def one_of(kind: str, value: object, known: Sequence[str]) -> str:
    """The known value that was meant: hyphens and spaces are the same, and so is letter case; ``""`` stays.

    >>> one_of("level", "b1", ("A2", "B1"))
    'B1'
    """
    named = text(kind, value)
    if not named:
        return named
    for name in known:
        if plain(name) == plain(named):
            return name
    raise OptionError(f"no {kind} {named!r}; there are: {', '.join(known)}")


def many(kind: str, value: object) -> tuple[str, ...]:
    """Texts; a string is one."""
    if isinstance(value, str):
        return (value,)
    if isinstance(value, bytes) or not isinstance(value, Iterable):
        raise OptionError(f"{kind} {value!r}: must be words")
    return tuple(text(kind, one) for one in value)


def some_of(kind: str, value: object, known: Sequence[str]) -> tuple[str, ...]:
    """Known values, as :func:`one_of`; a string is one."""
    return tuple(one_of(kind, name, known) for name in many(kind, value) if name)


def words(kind: str, value: object) -> tuple[str, ...]:
    """Words in small letters; a string is one word."""
    return tuple(word.lower().replace("’", "'").strip() for word in many(kind, value))


def word(kind: str, value: object) -> str:
    """One word in small letters, or ``""``."""
    (found,) = words(kind, text(kind, value))
    return found


def whole(kind: str, value: object, *, least: int = 1) -> int:
    """A whole number from ``least`` up."""
    if isinstance(value, bool) or not isinstance(value, int):
        raise OptionError(f"{kind} {value!r}: must be a whole number")
    if value < least:
        raise OptionError(f"{kind} {value}: must be {least} or more")
    if value > MOST:
        raise OptionError(f"{kind} {value}: must be at most {MOST:,}")
    return value


def whole_or_none(kind: str, value: object, *, least: int = 1) -> int | None:
    """The same, or None for no limit."""
    return None if value is None else whole(kind, value, least=least)


def span(kind: str, value: object) -> tuple[int, int] | None:
    """A whole number, or a pair of them, as a pair with both ends included."""
    if value is None:
        return None
    pair = (value, value) if isinstance(value, int) else value
    if not isinstance(pair, (tuple, list)) or len(pair) != 2:
        raise OptionError(f"{kind} {value!r}: write a number or a pair, as in 2 or (2, 3)")
    first, last = (whole(kind, one) for one in pair)
    if first > last:
        raise OptionError(f"{kind} {first}-{last}: write a number or a range from 1 up, as in 2-3")
    return first, last


def path(kind: str, value: object) -> Path | None:
    """A path, or None."""
    if value is None:
        return None
    if not isinstance(value, (str, PathLike)):
        raise OptionError(f"{kind} {value!r}: must be the name of a file")
    return Path(value)


def paths(kind: str, value: object) -> tuple[str, ...]:
    """Names of files; a string or a path is one."""
    named = (value,) if isinstance(value, (str, PathLike)) else value
    if isinstance(named, bytes) or not isinstance(named, Iterable):
        raise OptionError(f"{kind} {value!r}: must be names of files")
    return tuple(str(path(kind, one)) for one in named)
