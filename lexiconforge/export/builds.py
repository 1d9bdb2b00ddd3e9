"""A build read back: its tables and what its manifest says."""

from __future__ import annotations

import json
import re
from collections.abc import Mapping
from pathlib import Path
from typing import TYPE_CHECKING, Any

from lexiconforge.errors import ReadError, TableError
from lexiconforge.export.texts import read_rows
from lexiconforge.lists.changing import change_table
from lexiconforge.places import read_whole
from lexiconforge.tables import Table

if TYPE_CHECKING:
    import pandas as pd

LISTS = ("lists/", "links.csv")
"""What of a build is compared: what a class is given; the tables of everything follow from the same words."""


def read_manifest(folder: Path) -> dict[str, Any]:
    """The manifest of a build. Raises TableError for a folder that is none."""
    try:
        content = json.loads(read_whole(folder / "manifest.json"))
        if not content["made_by"].startswith("lexiconforge") or not isinstance(content["files"], dict):
            raise ValueError
    except (ReadError, ValueError, KeyError, TypeError, AttributeError, RecursionError):
        raise TableError(
            f"{folder} is no folder that build wrote (it has no manifest.json of one)"
        ) from None
    return dict(content)


def read_tables(folder: Path, manifest: Mapping[str, Any]) -> dict[str, list[dict[str, str]]]:
    """The rows of the lists and links of a build by file name, numbers with a point. Raises TableError."""
    wanted = (name for name in manifest["files"] if name.endswith(".csv") and name.startswith(LISTS))
    tables = {name: read_rows(folder / name) for name in sorted(wanted) if ".." not in Path(name).parts}
    if manifest.get("options", {}).get("decimal") == ",":
        for rows in tables.values():
            for row in rows:
                row.update({name: cell.replace(",", ".") for name, cell in row.items() if _COMMA(cell)})
    return tables


_COMMA = re.compile(r"-?\d+,\d+").fullmatch


def changes(old: Path | str, new: Path | str) -> pd.DataFrame:
    """Which rows of the lists and links of two builds came, went, moved and changed.

    Columns as :func:`lexiconforge.lists.changing.change_table` gives them. Raises
    :class:`~lexiconforge.errors.TableError` for a folder that holds no build.
    """
    return changes_of(Path(old), Path(new)).frame()


def changes_of(old: Path, new: Path) -> Table:
    """As :func:`changes`, as a plain table."""
    before, after = (read_tables(folder, read_manifest(folder)) for folder in (old, new))
    return change_table(before, after)


def why_different(old: Path, new: Path) -> list[str]:
    """What the manifests of two builds have different, a line each: versions, options, sources.

    Raises TableError for a folder that holds no build.
    """
    before, after = read_manifest(old), read_manifest(new)
    lines = []
    for name in ("made_by", "sound"):
        if before.get(name) != after.get(name):
            lines.append(f"{name.replace('_', ' ')}: {before.get(name)} → {after.get(name)}")
    options = before.get("options", {}), after.get("options", {})
    for name in sorted({*options[0], *options[1]}):
        if options[0].get(name) != options[1].get(name):
            lines.append(f"option {name}: {options[0].get(name)} → {options[1].get(name)}")
    versions = [{s["package"]: s["version"] for s in one.get("sources", ())} for one in (before, after)]
    for package in sorted({*versions[0], *versions[1]}):
        if versions[0].get(package) != versions[1].get(package):
            lines.append(f"{package}: {versions[0].get(package)} → {versions[1].get(package)}")
    return lines
