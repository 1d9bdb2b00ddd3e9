"""Counting words and word pairs out of core, with DuckDB.

Files are read through and normalised into scratch files of some megabytes, whose sentences DuckDB counts; a file
counts only when all of it could be read. The counts meet in a scratch database that goes to disk when memory is
short, so neither the size of a file nor of the whole matters.
"""

from __future__ import annotations

import contextlib
from collections.abc import Callable, Iterable
from concurrent.futures import Future, ThreadPoolExecutor
from dataclasses import dataclass, field
from pathlib import Path
from typing import IO, TYPE_CHECKING

from lexiconforge.errors import MiningError, ReadError
from lexiconforge.mining.scratch import scratch_folder
from lexiconforge.text.normalising import normalise
from lexiconforge.text.readers import find_files, read_block, read_text

if TYPE_CHECKING:
    import duckdb

MEMORY = "400MB"
"""What DuckDB may hold before it goes to disk."""
CHUNK = 48 << 20
"""Bytes of clean text that are counted in one go, while the next are read."""
LONGEST_LINE = 2 << 20
"""Bytes after which a text without any end of a sentence is broken; DuckDB takes lines up to 8 MB."""
LONG_CHUNK, LONG_LINE = 8 << 20, 4 << 10
"""Where a sentence has more than so many bytes on average, less is counted in one go: DuckDB splits some thousand
lines into words at a time, and these must fit its memory."""
COUNTERS = 2
"""Chunks counted at a time: DuckDB itself splits files of this size too coarsely to keep two cores busy."""

# The end of a sentence is taken as a last, empty word, so that a word's total is the number of pairs it opens:
# one pass gives pairs and words. Apostrophes at the ends of words go when the few distinct pairs are summed.
_COUNT = """
INSERT INTO {table}
SELECT first, second, count(*) AS count
FROM (
    SELECT unnest(words) AS first, unnest(list_append(words[2:], '')) AS second
    FROM (
        SELECT list_filter(string_split(line, ' '), lambda word: word <> '' AND word <> '''') AS words
        FROM read_csv($spool, columns = {{'line': 'VARCHAR'}}, delim = '\x01', quote = '', escape = '',
                      header = false, auto_detect = false, max_line_size = 8000000)
    )
    WHERE len(words) > 0
)
GROUP BY ALL
"""
_TRIMMED = "SELECT trim(first, '''') AS first, trim(second, '''') AS second, count FROM parts"
_SUMMED = f"""
CREATE TEMP TABLE summed AS
SELECT first, second, sum(count)::BIGINT AS count FROM ({_TRIMMED}) WHERE first <> '' GROUP BY first, second
"""
_ALL = """
SELECT first, second, count FROM summed WHERE second <> ''
UNION ALL
SELECT first, NULL AS second, sum(count)::BIGINT AS count FROM summed GROUP BY first
ORDER BY count DESC, first, second NULLS FIRST
"""


@dataclass
class Report:
    """What was done: files counted, their bytes, problems by file (those were skipped), and remarks."""

    files: int = 0
    size: int = 0
    words: int = 0
    pairs: int = 0
    skipped: dict[str, str] = field(default_factory=dict)
    notes: dict[str, str] = field(default_factory=dict)


def mine(
    paths: Iterable[str | Path] | str | Path,
    out: Path | str,
    *,
    column: str = "text",
    strict: bool = False,
    progress: Callable[[str], None] = lambda text: None,
) -> Report:
    """Count the words and word pairs of these files, folders and patterns into a Parquet file.

    Columns: ``first``, ``second``, ``count``, occurrences; ``second`` is missing in the row of a single word.
    Rows by falling count, then in the order of the alphabet. A pair is two words next to each other in one
    sentence (:mod:`lexiconforge.mining.tokens`). ``column`` names the column of CSV and the field of JSON Lines.
    A file that cannot be read whole is skipped and reported, or ends the run if ``strict``.

    Raises :class:`MiningError`; ``out`` is then as it was.
    """
    out = Path(out)
    try:
        files = find_files(paths)
    except ReadError as problem:
        raise MiningError(str(problem)) from None
    report = Report()
    with (
        scratch_folder() as folder,
        Counter(folder, column, report) as counter,
    ):
        for number, path in enumerate(files, start=1):
            progress(f"{number} of {len(files)}: {path.name}")
            counter.add(path, strict)
        counter.finish()
        write_counts(counter.connection, out, report)
    return report


class Counter:
    """Counts files into the table ``parts`` of a scratch database, each file whole or not at all.

    Clean text gathers in a spool file. Files smaller than a chunk share one; a larger file is counted chunk by
    chunk into a table of its own, which joins the rest when the file has been read to its end. A chunk is
    counted in another thread while the next one is read.
    """

    def __init__(self, folder: Path, column: str, report: Report, threads: int | None = None) -> None:
        self.connection = connect(folder, threads)
        self._folder, self._column, self._report = folder, column, report
        self._counting = ThreadPoolExecutor(max_workers=threads or COUNTERS)
        self._running: list[Future[None]] = []
        self._spools = 0
        self._spool = self._next_spool()

    def __enter__(self) -> Counter:
        return self

    def __exit__(self, *exception: object) -> None:
        self._counting.shutdown(wait=True, cancel_futures=True)
        self._spool.close()
        self.connection.close()

    def _next_spool(self) -> IO[bytes]:
        self._spools += 1
        self._lines = 0
        return (self._folder / f"spool-{self._spools}.txt").open("w+b")

    def add(self, path: Path, strict: bool, block: tuple[int, int] | None = None) -> None:
        """Count one file, or the lines of it that begin in a block of its bytes.

        Raises :class:`MiningError` if it cannot be read whole and ``strict`` says to stop.
        """
        if self._spool.tell() >= CHUNK // 2 or self._has_long_lines():
            self._hand_over("parts")
        start = self._spool.tell()
        streaming = False
        unbroken = 0

        def note(text: str) -> None:
            self._report.notes[str(path)] = text

        try:
            size = path.stat().st_size
            pieces = read_block(path, *block) if block else read_text(path, self._column, note)
            for piece in pieces:
                clean = normalise(piece)
                self._spool.write(clean)
                self._lines += clean.count(b"\n")
                last = clean.rfind(b"\n")
                unbroken = len(clean) - last - 1 if last >= 0 else unbroken + len(clean)
                if unbroken > LONGEST_LINE:
                    self._spool.write(b"\n")
                    unbroken = 0
                if self._spool.tell() - start >= CHUNK or self._has_long_lines():
                    if start:
                        start = self._split(start)
                    self._hand_over("pending", keep=unbroken)
                    streaming = True
            self._spool.write(b"\n")
        except (ReadError, FileNotFoundError) as problem:
            what = str(problem) if isinstance(problem, ReadError) else "vanished"
            if strict:
                raise MiningError(f"{path}: {what}") from None
            self._report.skipped[str(path)] = what
            self._wait()
            self.connection.execute("DELETE FROM pending")
            self._spool.seek(start)
            self._spool.truncate()
            return
        except OSError as error:
            raise MiningError(
                f"cannot write scratch files in {self._folder}: {error.strerror}"
            ) from None
        if streaming:
            self._hand_over("pending")
            self._wait()
            self.connection.execute("INSERT INTO parts SELECT * FROM pending; DELETE FROM pending")
        self._report.files += 1
        self._report.size += size

    def _has_long_lines(self) -> bool:
        size = self._spool.tell()
        return size >= LONG_CHUNK and size > self._lines * LONG_LINE

    def _split(self, start: int) -> int:
        """Have what other files left before ``start`` counted by itself; returns the new start, 0."""
        self._spool.seek(start)
        rest = self._spool.read()
        self._spool.seek(start)
        self._spool.truncate()
        self._hand_over("parts")
        self._spool.write(rest)
        return 0

    def _hand_over(self, table: str, keep: int = 0) -> None:
        """Have the spool counted and begin another; at most one waits while others are counted.

        ``keep``: so many bytes at the end are a sentence that goes on and move to the next spool.
        """
        full = self._spool
        unfinished = b""
        if keep:
            full.seek(-keep, 2)
            unfinished = full.read()
            full.seek(-keep, 2)
            full.truncate()
        full.close()
        self._spool = self._next_spool()
        self._spool.write(unfinished)
        while len(self._running) > COUNTERS:
            self._running.pop(0).result()
        self._running.append(self._counting.submit(count_spool, self.connection, Path(full.name), table))

    def _wait(self) -> None:
        for future in self._running:
            future.result()
        self._running.clear()

    def finish(self) -> None:
        """Count what is left."""
        self._hand_over("parts")
        self._wait()


def connect(folder: Path, threads: int | None = None) -> duckdb.DuckDBPyConnection:
    """A scratch database in this folder, with an empty table ``parts``.

    Raises :class:`MiningError` if DuckDB is not installed.
    """
    try:
        import duckdb
    except ImportError:
        raise MiningError(
            "the package duckdb is not installed; install it with: pip install duckdb"
        ) from None
    connection = duckdb.connect(":memory:")
    connection.execute(f"SET memory_limit = '{MEMORY}'")
    connection.execute("SET temp_directory = $folder", {"folder": str(folder / "spill")})
    connection.execute("SET preserve_insertion_order = false")
    if threads:
        connection.execute(f"SET threads = {threads}")
    for table in ("parts", "pending"):
        connection.execute(f"CREATE TABLE {table} (first VARCHAR, second VARCHAR, count BIGINT)")
    return connection


def count_spool(connection: duckdb.DuckDBPyConnection, spool: Path, table: str) -> None:
    """Add the counts of the spooled text to a table and delete the spool. Raises :class:`MiningError`."""
    import duckdb

    if spool.stat().st_size:
        try:
            with connection.cursor() as cursor:
                cursor.execute(_COUNT.format(table=table), {"spool": str(spool)})
        except duckdb.Error as error:
            raise MiningError(f"counting failed: {str(error).splitlines()[0]}") from None
    spool.unlink()


def write_counts(connection: duckdb.DuckDBPyConnection, out: Path, report: Report) -> None:
    """Sum up ``parts`` into the Parquet file, whole or not at all, and note the totals in the report."""
    import duckdb

    connection.execute(_SUMMED)
    totals = connection.execute(
        "SELECT count(DISTINCT first), count(*) FILTER (second <> '') FROM summed"
    ).fetchone()
    report.words, report.pairs = totals or (0, 0)
    if not report.words:
        raise MiningError("no words were found, so nothing was written")
    if out.is_dir():
        raise MiningError(f"{out} is a folder; name a file")
    unfinished = out.with_name(f".unfinished-{out.name}")
    try:
        connection.execute(f"COPY ({_ALL}) TO '{_quoted(unfinished)}' (FORMAT parquet)")
        unfinished.replace(out)
    except (duckdb.Error, OSError) as error:
        raise MiningError(f"cannot write {out}: {str(error).splitlines()[0]}") from None
    finally:
        with contextlib.suppress(OSError):
            unfinished.unlink(missing_ok=True)


def _quoted(path: Path) -> str:
    return str(path).replace("'", "''")
