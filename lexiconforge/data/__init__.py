"""The project's own tables, as a phonetician edits them: CSV, one header row, UTF-8."""

from __future__ import annotations

import csv
from pathlib import Path


def rows(name: str) -> list[dict[str, str]]:
    """The rows of one table, by its name without ``.csv``.

    >>> rows("abbreviations")[0]["written"]
    'mr.'
    """
    with (Path(__file__).parent / f"{name}.csv").open(encoding="utf-8", newline="") as table:
        return list(csv.DictReader(table))
