"""Checks of options that several lists share. Room: takes a value, gives it back made plain, or raises OptionError."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Sequence

from lexiconforge.errors import OptionError
from lexiconforge.lexicon.codes import EXCLUSIONS
from lexiconforge.sounds import plain
from lexiconforge.sources.levels import LEVELS


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
    return value


def words(kind: str, value: Iterable[str] | str) -> tuple[str, ...]:
    """Words in lower case; a string is one word."""
    if isinstance(value, str):
        value = (value,)
    try:
        return tuple(text(kind, one).lower().replace("’", "'").strip() for one in value)
    except TypeError:
        raise OptionError(f"{kind} {value!r}: must be words") from None


def included(value: Collection[str] | str) -> tuple[str, ...]:
    """Kinds of words that are let in."""
    names = (value,) if isinstance(value, str) else value
    return tuple(one_of("left-out kind", name, EXCLUSIONS) for name in names if name)


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


def levels(value: Sequence[str] | str | None) -> tuple[str, str] | None:
    """A CEFR level, a range as A1-B1, or a pair, as a pair with both ends included."""
    if value is None or value == "":
        return None
    parts = value.split("-") if isinstance(value, str) else list(value)
    if not 1 <= len(parts) <= 2:
        raise OptionError(f"level {value!r}: write a level or a range, as in A1 or A1-B1")
    first, last = (one_of("level", str(part).strip(), LEVELS) for part in (parts[0], parts[-1]))
    if not first or not last:
        raise OptionError(f"level {value!r}: write a level or a range, as in A1 or A1-B1")
    if LEVELS.index(first) > LEVELS.index(last):
        raise OptionError(f"levels {first}-{last} run backwards")
    return first, last
