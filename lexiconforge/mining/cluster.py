"""The same counts on many machines: Dask's scheduler hands out files, workers count them, a tree merges.

Every worker must see the files under the same names. A task that a dying worker takes with it is run again
elsewhere, and files are read afresh, so nothing is counted twice or lost.
"""

from __future__ import annotations

import tempfile
from collections.abc import Callable, Sequence
from pathlib import Path
from typing import TYPE_CHECKING, NamedTuple

from lexiconforge.mining import MiningError
from lexiconforge.mining.counting import Counter, Report, connect, write_counts
from lexiconforge.mining.readers import ReadError, find_files

if TYPE_CHECKING:
    import pandas as pd

GROUP = 64 << 20
"""Bytes of files that one task counts, or one file if it is larger."""
FAN_IN = 8
"""Partial counts that one merging task sums."""


class Part(NamedTuple):
    """Counts of some files, ``first``, ``second``, ``count``, and what was skipped or remarked."""

    counts: pd.DataFrame
    report: Report


def mine_on_cluster(
    paths: Sequence[str],
    out: Path,
    address: str,
    *,
    column: str = "text",
    strict: bool = False,
    progress: Callable[[str], None] = lambda text: None,
) -> Report:
    """As :func:`lexiconforge.mining.counting.mine`, on the Dask cluster at this address (``tcp://…``).

    Raises :class:`MiningError` if the cluster cannot be reached.
    """
    try:
        from distributed import Client, as_completed
    except ImportError:
        raise MiningError(
            "the package distributed is not installed; install it with: pip install 'lexiconforge[cluster]'"
        ) from None
    try:
        files = find_files(paths)
    except ReadError as problem:
        raise MiningError(str(problem)) from None
    try:
        client = Client(address, timeout=5)
    except (OSError, ValueError):
        raise MiningError(f"no Dask scheduler answers at {address}") from None
    with client:
        waiting = [
            client.submit(count_files, [str(path) for path in group], column, strict, pure=False)
            for group in _groups(files)
        ]
        for number, future in enumerate(as_completed(waiting), start=1):
            progress(f"{number} of {len(waiting)} parts counted")
            if future.status == "error":
                raise MiningError(str(future.exception()))
        while len(waiting) > 1:
            waiting = [
                client.submit(merge, waiting[first : first + FAN_IN], pure=False)
                for first in range(0, len(waiting), FAN_IN)
            ]
        part: Part = waiting[0].result()
    with tempfile.TemporaryDirectory(prefix="lexiconforge-") as folder:
        connection = connect(Path(folder))
        counts = part.counts  # noqa: F841 - DuckDB reads it by name
        connection.execute("INSERT INTO parts SELECT * FROM counts")
        write_counts(connection, out, part.report)
        connection.close()
    return part.report


def _groups(files: Sequence[Path]) -> list[list[Path]]:
    groups: list[list[Path]] = []
    size = GROUP
    for path in files:
        own = path.stat().st_size if path.exists() else 0
        if size + own > GROUP:
            groups.append([])
            size = 0
        groups[-1].append(path)
        size += own
    return groups


def count_files(paths: Sequence[str], column: str, strict: bool) -> Part:
    """Count some files on the worker that runs this, with one thread."""
    report = Report()
    with (
        tempfile.TemporaryDirectory(prefix="lexiconforge-") as folder,
        Counter(Path(folder), column, report, threads=1) as counter,
    ):
        for path in paths:
            counter.add(Path(path), strict)
        counter.finish()
        counts = counter.connection.execute(
            "SELECT first, second, sum(count)::BIGINT AS count FROM parts GROUP BY ALL"
        ).df()
    return Part(counts, report)


def merge(parts: Sequence[Part]) -> Part:
    """Sum partial counts."""
    import pandas as pd

    counts = pd.concat([part.counts for part in parts], ignore_index=True)
    counts = counts.groupby(["first", "second"], as_index=False, sort=False)["count"].sum()
    report = Report()
    for part in parts:
        report.files += part.report.files
        report.size += part.report.size
        report.skipped |= part.report.skipped
        report.notes |= part.report.notes
    return Part(counts, report)
