"""The project's own tables, as a phonetician edits them: CSV, one header row, UTF-8."""

from __future__ import annotations

import csv
from importlib.resources import files


def rows(name: str) -> list[dict[str, str]]:
    """The rows of one table, by its name without ``.csv``.

    >>> rows("rules")[0]["allophone"]
    'tap'
    """
    with files(__name__).joinpath(f"{name}.csv").open(encoding="utf-8") as table:
        return list(csv.DictReader(table))
