"""The same counts on many machines: Dask's scheduler hands out files and blocks of large ones, workers count
them where they lie, a tree merges.

Every worker must see the files under the same names. A task that a dying worker takes with it is run again
elsewhere, and files are read afresh, so nothing is counted twice or lost.
"""

from __future__ import annotations

import contextlib
import logging
import re
import time
from collections.abc import Callable, Iterable, Iterator, Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Any, NamedTuple

from lexiconforge.errors import MiningError
from lexiconforge.mining.counting import (
    Counter,
    HowRead,
    Report,
    connect,
    files_to_count,
    write_counts,
)
from lexiconforge.mining.scratch import scratch_folder
from lexiconforge.text.readers import can_be_split

if TYPE_CHECKING:
    import pandas as pd
    from distributed import Client, Future

GROUP = 64 << 20
"""Bytes that one task counts: a block of a large plain text, or small files together. Files of other kinds and
gzipped ones are one task each, whatever their size."""
FAN_IN = 8
"""Partial counts that one merging task sums."""
LIMIT = 600
"""Seconds after which a cluster that has finished nothing is given up."""
WITHOUT_WORKER = 60
"""Seconds after which a cluster without any worker is given up; one that died may be started again by its keeper."""
POLL = 0.1
"""Seconds between two looks at what is done."""
_ADDRESS = re.compile(r"(?:tcp|tls|ws|wss|ucx)://(?:[^:/\s\[\]]+|\[[0-9A-Fa-f:.]+\]):(?P<port>\d{1,5})")


class Part(NamedTuple):
    """Counts of some files, ``first``, ``second``, ``count``, and what was skipped or remarked."""

    counts: pd.DataFrame
    report: Report


def mine_on_cluster(
    paths: Iterable[str | Path] | str | Path,
    out: Path | str,
    address: str,
    *,
    column: str = "text",
    strict: bool = False,
    spoken: bool = False,
    limit: float = LIMIT,
    progress: Callable[[str], None] = lambda text: None,
    advance: Callable[[int, int], None] = lambda done, whole: None,
) -> Report:
    """As :func:`lexiconforge.mining.counting.mine`, on the Dask cluster at this address (``tcp://…``).

    ``advance`` is told how many parts of how many are counted. Raises :class:`MiningError` if the cluster cannot be reached,
    has finished nothing for ``limit`` seconds, or has had no worker for :data:`WITHOUT_WORKER` seconds.
    """
    out = Path(out)
    files = files_to_count(paths, out)
    with _connected(address) as client:
        part = _counted(client, files, HowRead(column, spoken), strict, limit, progress, advance)
    with scratch_folder() as folder:
        connection = connect(folder)
        counts = part.counts  # noqa: F841 - DuckDB reads it by name
        connection.execute("INSERT INTO parts SELECT * FROM counts")
        write_counts(connection, out, part.report)
        connection.close()
    return part.report


@contextlib.contextmanager
def _connected(address: str) -> Iterator[Client]:
    """A client of the cluster at this address. Raises :class:`MiningError`."""
    try:
        from distributed import Client
    except ImportError:
        raise MiningError(
            "the package distributed is not installed; install it with: pip install 'lexiconforge[cluster]'"
        ) from None
    parts = _ADDRESS.fullmatch(address)
    if parts is None or not 0 < int(parts["port"]) < 1 << 16:
        raise MiningError(f"no address of a Dask scheduler: {address!r}; write tcp://HOST:PORT")
    # Dask logs to standard error what is answered here in one line.
    loggers = [logging.getLogger(name) for name in ("distributed", "tornado.application")]
    levels = [logger.level for logger in loggers]
    for logger in loggers:
        logger.setLevel(logging.CRITICAL + 1)
    try:
        try:
            client = Client(address, timeout=5)
        except Exception:  # whatever Dask, tornado or the system make of an address
            raise MiningError(f"no Dask scheduler answers at {address}") from None
        with client:
            yield client
    finally:
        for logger, level in zip(loggers, levels, strict=True):
            logger.setLevel(level)


def _counted(
    client: Client,
    files: Sequence[Path],
    how: HowRead,
    strict: bool,
    limit: float,
    progress: Callable[[str], None],
    advance: Callable[[int, int], None],
) -> Part:
    """All counts, merged on the cluster."""

    def submit(paths: Sequence[Path], strict: bool, block: tuple[int, int] | None) -> Future[Any]:
        return client.submit(count_files, list(map(str, paths)), how, strict, block, pure=False)

    running = {submit(task.files, strict and not task.block, task.block): task for task in _tasks(files)}
    for number, _ in enumerate(_finished(client, list(running), limit), start=1):
        progress(f"{number} of {len(running)} parts counted")
        advance(number, len(running))
    # A file of which one block could not be read counts as a whole or not at all.
    asked = {
        client.submit(has_problem, future, pure=False): task.files[0]
        for future, task in running.items()
        if task.block
    }
    unsplittable = {
        asked[future] for future in _finished(client, list(asked), limit) if _result(future, limit)
    }
    waiting = [
        future for future, task in running.items() if not (task.block and task.files[0] in unsplittable)
    ]
    waiting += [submit([path], strict, None) for path in sorted(unsplittable)]
    running.clear()
    while len(waiting) > 1:
        waiting = [
            client.submit(merge, waiting[first : first + FAN_IN], pure=False)
            for first in range(0, len(waiting), FAN_IN)
        ]
        # Level by level, so that the counts below are let go of.
        for _ in _finished(client, waiting, limit):
            pass
    (last,) = _finished(client, waiting, limit)
    part: Part = _result(last, limit)
    return part


def _result(future: Future[Any], limit: float) -> Any:
    """What was worked out. Its worker may have died since: then it is waited for. Raises :class:`MiningError`."""
    try:
        return future.result(timeout=limit)
    except Exception as problem:  # whatever the worker raised, or Dask says of it
        raise MiningError(
            f"counting on the cluster failed: {problem or type(problem).__name__}"
        ) from None


def _finished(client: Client, futures: Sequence[Future[Any]], limit: float) -> Iterator[Future[Any]]:
    """These futures as they are done. Raises :class:`MiningError` for one that failed, and when nothing is done for long."""
    from distributed import as_completed

    completed = as_completed(futures)
    left = len(futures)
    since = seen = time.monotonic()
    while left:
        batch = completed.next_batch(block=False)
        now = time.monotonic()
        # What was done on a worker that has died since is done again by another.
        again = [future for future in batch if future.status in ("lost", "pending")]
        for future in again:
            completed.add(future)
        batch = [future for future in batch if future not in again]
        if batch:
            since = seen = now
        elif client.scheduler_info().get("workers"):
            seen = now
        for future in batch:
            if future.status in ("error", "cancelled"):
                why = (
                    future.exception(timeout=limit)
                    if future.status == "error"
                    else "the scheduler has gone"
                )
                raise MiningError(f"counting on the cluster failed: {why}")
            left -= 1
            yield future
        if now - seen > min(limit, WITHOUT_WORKER):
            raise MiningError(
                f"the cluster has no worker, for {now - seen:.0f} seconds; start one: dask worker ADDRESS"
            )
        if now - since > limit:
            raise MiningError(
                f"the cluster has finished nothing for {limit:.0f} seconds; is a worker stuck? "
                "More time is given by --cluster-limit"
            )
        if not batch:
            time.sleep(POLL)


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
    paths: Sequence[str], how: HowRead, strict: bool, block: tuple[int, int] | None = None
) -> Part:
    """Count some files, or a block of one, on the worker that runs this, with one thread."""
    report = Report()
    with (
        scratch_folder() as folder,
        Counter(folder, how, report, threads=1) as counter,
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
