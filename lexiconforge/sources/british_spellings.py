"""British spellings and the American ones they stand beside: the table of the package ``breame``."""

from __future__ import annotations

import runpy

from lexiconforge.sources import SourceError, locate


def load_british_spellings() -> dict[str, str]:
    """American spelling by British spelling, lower case. Raises SourceError if the table is missing.

    >>> load_british_spellings()["theatre"]
    'theater'
    """
    path = locate("breame", "data", "spelling_constants.py")
    table = runpy.run_path(str(path)).get("BRITISH_ENGLISH_SPELLINGS")
    if not isinstance(table, dict):
        raise SourceError("breame: no table BRITISH_ENGLISH_SPELLINGS")
    return table
