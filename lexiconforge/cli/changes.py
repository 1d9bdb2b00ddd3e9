"""Which rows of two builds came, went, moved and changed: for plans made with last year's lists.

Compares lists and links; a row that only slid because others came has not moved. What differs between the builds themselves
(versions, options, sources) is told first.

example: lexiconforge changes last-year output --only came,went
"""

from __future__ import annotations

import argparse
import sys
from collections import Counter
from pathlib import Path

from lexiconforge.cli import UsageError, common

SHOWN = ("file", "change", "item", "old_place", "new_place", "difference")


def add_arguments(parser: argparse.ArgumentParser) -> None:
    add = parser.add_argument
    add("old", metavar="OLD", help="folder of the older build")
    add("new", metavar="NEW", help="folder of the newer build")
    add("--only", type=common.names, default=(), metavar="KINDS", help="came, went, moved, changed")
    add("--file", default="", metavar="NAME", help="only this list: lists/tap.csv, or tap")
    common.add_out(parser)


def run(options: argparse.Namespace) -> int:
    from lexiconforge.export.builds import changes_of, why_different
    from lexiconforge.lists.changing import CHANGE_COLUMNS, KINDS
    from lexiconforge.options import one_of
    from lexiconforge.tables import Table

    common.check_out(options)
    kinds = [one_of("change", kind, KINDS) for kind in options.only] or list(KINDS)
    old, new = Path(options.old), Path(options.new)
    for line in why_different(old, new):
        common.notify(line)
    table = changes_of(old, new)
    rows = [
        row
        for row in table.rows()
        if row[1] in kinds and options.file in ("", row[0], Path(row[0]).stem)
    ]
    if options.file and not rows and not _is_there(new, options.file):
        raise UsageError(f"--file {options.file}: no such list in {new}")
    counts = Counter(row[1] for row in rows)
    common.notify(", ".join(f"{counts[kind]} {kind}" for kind in kinds))
    if rows or options.out or options.json:
        common.deliver(Table.of_rows("changes", CHANGE_COLUMNS, rows), options, SHOWN)
    sys.stdout.flush()
    return 0


def _is_there(folder: Path, name: str) -> bool:
    return any((folder / one).is_file() for one in (name, f"{name}.csv", f"lists/{name}.csv"))
