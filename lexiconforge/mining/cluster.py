"""The same counts on many machines: Dask's scheduler hands out files and blocks of large ones, workers count
them where they lie, a tree merges.

Every worker must see the files under the same names. A task that a dying worker takes with it is run again
elsewhere, and files are read afresh, so nothing is counted twice or lost.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from pathlib import Path
from typing import TYPE_CHECKING, NamedTuple

from lexiconforge.errors import MiningError, ReadError
from lexiconforge.mining.counting import Counter, Report, connect, write_counts
from lexiconforge.mining.scratch import scratch_folder
from lexiconforge.text.readers import can_be_split, find_files

if TYPE_CHECKING:
    import pandas as pd

GROUP = 64 << 20
"""Bytes that one task counts: a block of a large plain text, or small files together. Files of other kinds and
gzipped ones are one task each, whatever their size."""
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
        tasks = _tasks(files)
        running = {
            client.submit(
                count_files,
                [str(p) for p in task.files],
                column,
                strict and not task.block,
                task.block,
                pure=False,
            ): task
            for task in tasks
        }
        unsplittable: set[Path] = set()
        for number, future in enumerate(as_completed(list(running)), start=1):
            progress(f"{number} of {len(running)} parts counted")
            if future.status == "error":
                raise MiningError(str(future.exception()))
            task = running[future]
            if task.block and client.submit(has_problem, future, pure=False).result():
                unsplittable.add(task.files[0])
        # A file of which one block could not be read counts as a whole or not at all.
        waiting = [
            future
            for future, task in running.items()
            if not (task.block and task.files[0] in unsplittable)
        ]
        waiting += [
            client.submit(count_files, [str(path)], column, strict, None, pure=False)
            for path in sorted(unsplittable)
        ]
        while len(waiting) > 1:
            waiting = [
                client.submit(merge, waiting[first : first + FAN_IN], pure=False)
                for first in range(0, len(waiting), FAN_IN)
            ]
        part: Part = waiting[0].result()
    with scratch_folder() as folder:
        connection = connect(folder)
        counts = part.counts  # noqa: F841 - DuckDB reads it by name
        connection.execute("INSERT INTO parts SELECT * FROM counts")
        write_counts(connection, out, part.report)
        connection.close()
    return part.report


class _Task(NamedTuple):
    files: list[Path]
    block: tuple[int, int] | None
    """Bytes of the one file that this task counts, None for all of its files."""


def _tasks(files: Sequence[Path]) -> list[_Task]:
    """Small files together, large plain ones in blocks."""
    tasks: list[_Task] = []
    size = GROUP
    for path in files:
        own = path.stat().st_size if path.exists() else 0
        if own > GROUP and can_be_split(path):
            tasks += [_Task([path], (at, min(at + GROUP, own))) for at in range(0, own, GROUP)]
            size = GROUP
            continue
        if size + own > GROUP or tasks[-1].block:
            tasks.append(_Task([], None))
            size = 0
        tasks[-1].files.append(path)
        size += own
    return tasks


def count_files(
    paths: Sequence[str], column: str, strict: bool, block: tuple[int, int] | None = None
) -> Part:
    """Count some files, or a block of one, on the worker that runs this, with one thread."""
    report = Report()
    with (
        scratch_folder() as folder,
        Counter(folder, column, report, threads=1) as counter,
    ):
        for path in paths:
            counter.add(Path(path), strict, block)
        counter.finish()
        counts = counter.connection.execute(
            "SELECT first, second, sum(count)::BIGINT AS count FROM parts GROUP BY ALL"
        ).df()
    if block:
        # One file, however many blocks: the first stands for it.
        report.files = int(block[0] == 0 and not report.skipped)
        report.size = block[1] - block[0]
    return Part(counts, report)


def has_problem(part: Part) -> bool:
    """Was something skipped in this part?"""
    return bool(part.report.skipped)


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
