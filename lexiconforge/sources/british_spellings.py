"""British spellings and the American ones they stand beside: the table of the package ``breame``."""

from __future__ import annotations

import ast
import contextlib

from lexiconforge.errors import SourceError
from lexiconforge.sources import locate, read_or_ask

_TABLE = "BRITISH_ENGLISH_SPELLINGS"


def load_british_spellings() -> dict[str, str]:
    """American spelling by British spelling, lower case. Raises SourceError if the table is missing.

    >>> load_british_spellings()["theatre"]
    'theater'
    """
    return read_or_ask(_read, _ask)


def _ask() -> dict[str, str]:
    from breame import spelling

    return dict(spelling.BRITISH_ENGLISH_SPELLINGS)


def _read() -> dict[str, str]:
    path = locate("breame", "data", "spelling_constants.py")
    for statement in ast.parse(path.read_text(encoding="utf-8")).body:
        if isinstance(statement, ast.Assign) and [
            name.id for name in statement.targets if isinstance(name, ast.Name)
        ] == [_TABLE]:
            # Read as data: a file of a data package is not run.
            with contextlib.suppress(ValueError):
                table: dict[str, str] = ast.literal_eval(statement.value)
                return table
    raise SourceError(f"breame: no table {_TABLE}; install version 0.1.2")
