"""Checks of options that name kinds of words and levels. Room: as :mod:`lexiconforge.options`, for what lists take."""

from __future__ import annotations

from collections.abc import Collection, Sequence

from lexiconforge.errors import OptionError
from lexiconforge.lexicon.codes import EXCLUSIONS
from lexiconforge.options import one_of
from lexiconforge.sources.levels import LEVELS


def included(value: Collection[str] | str) -> tuple[str, ...]:
    """Kinds of words that are let in."""
    names = (value,) if isinstance(value, str) else value
    return tuple(one_of("left-out kind", name, EXCLUSIONS) for name in names if name)


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
