"""Checks of options that name kinds of words and levels. Room: as :mod:`lexiconforge.options`, for what lists take."""

from __future__ import annotations

from lexiconforge.errors import OptionError
from lexiconforge.lexicon.codes import EXCLUSIONS
from lexiconforge.options import one_of, some_of
from lexiconforge.sources.levels import LEVELS


def included(value: object) -> tuple[str, ...]:
    """Kinds of words that are let in; a string is one. Raises :class:`~lexiconforge.errors.OptionError`."""
    return some_of("include", value, EXCLUSIONS)


def levels(value: object) -> tuple[str, str] | None:
    """A CEFR level, a range as A1-B1, or a pair, as a pair with both ends included.

    Raises :class:`~lexiconforge.errors.OptionError`.

    >>> levels("a1-b1"), levels("A2")
    (('A1', 'B1'), ('A2', 'A2'))
    """
    if value is None or value == "":
        return None
    parts = value.split("-") if isinstance(value, str) else value
    if not isinstance(parts, (tuple, list)) or not 1 <= len(parts) <= 2:
        raise OptionError(f"levels {value!r}: write a level or a range, as in A1 or A1-B1")
    if isinstance(value, str) and "," in value:
        named = [part.strip().upper() for part in value.split(",") if part.strip()]
        if named and all(name in LEVELS for name in named):
            first, last = min(named), max(named)
            whole = first if first == last else f"{first}-{last}"
            raise OptionError(
                f"levels {value!r}: a level or a range with a hyphen is meant, here {whole}"
            )
    ends = (part.strip() if isinstance(part, str) else part for part in (parts[0], parts[-1]))
    first, last = (one_of("level", end, LEVELS) for end in ends)
    if not first or not last:
        raise OptionError(f"levels {value!r}: write a level or a range, as in A1 or A1-B1")
    if LEVELS.index(first) > LEVELS.index(last):
        raise OptionError(f"levels {first}-{last} run backwards")
    return first, last
