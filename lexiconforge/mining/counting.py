"""Counting words and word pairs out of core, with numpy and DuckDB.

Files are read through and normalised in chunks of some megabytes; numpy makes numbers of a chunk's words and counts the
pairs of numbers, in other threads while the next chunk is read. The counts of the chunks meet in a scratch database that
goes to disk when memory is short, and the vocabulary starts anew when it grows too large, so neither the size of a file
nor of the whole matters. A file counts only when all of it could be read.
"""

from __future__ import annotations

import contextlib
import os
import tempfile
from collections.abc import Callable, Iterable, Iterator
from concurrent.futures import Future, ThreadPoolExecutor
from dataclasses import dataclass, field
from pathlib import Path
from typing import TYPE_CHECKING, NamedTuple

from lexiconforge.beside import uninterrupted
from lexiconforge.errors import MiningError, ReadError, WriteError
from lexiconforge.locks import alone
from lexiconforge.mining.scratch import scratch_folder
from lexiconforge.places import check_target, is_own_file, real
from lexiconforge.text.normalising import EDGE, as_said, normalise
from lexiconforge.text.readers import find_files, read_block, read_text

if TYPE_CHECKING:
    import duckdb

    from lexiconforge.mining.vocabulary import Numbers

MEMORY = "400MB"
"""What DuckDB may hold before it goes to disk."""
CHUNK = 12 << 20
"""Bytes of clean text that are counted in one go, while the next are read."""
BLOCK = 1 << 20
"""Bytes of a chunk that numpy works on at a time: they and what is made of them stay in a processor's cache."""
COUNTERS = 2
"""Chunks counted at a time."""
VOCABULARY = 2_000_000
"""Different words after which the vocabulary goes to the database and starts anew: some 300 MB."""

MOST_REASONS = 20
"""Files that are named with what was wrong with them when no file gave any words."""
LONGEST_WAIT = 600
"""Seconds to wait for another run that writes into the same folder; then this one writes all the same."""
_UNFINISHED = ".lexiconforge-unfinished-"

_DECODED = """
INSERT INTO {table}
SELECT before.word, after.word, counted.count
FROM (SELECT code, sum(count)::BIGINT AS count FROM {table}_coded GROUP BY code) AS counted
JOIN vocabulary AS before ON before.number = counted.code >> 32
JOIN vocabulary AS after ON after.number = counted.code & 4294967295
"""
# The end of a sentence is a last, empty word, so that a word's total is the number of pairs it opens.
_SUMMED = """
CREATE TEMP TABLE summed AS
SELECT first, second, sum(count)::BIGINT AS count FROM parts GROUP BY first, second
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
    spoken: bool = False,
    progress: Callable[[str], None] = lambda text: None,
    advance: Callable[[int, int], None] = lambda done, whole: None,
) -> Report:
    """Count the words and word pairs of these files, folders and patterns into a Parquet file.

    Columns: ``first``, ``second``, ``count``, occurrences; ``second`` is missing in the row of a single word.
    Rows by falling count, then in the order of the alphabet. A pair is two words next to each other in one
    sentence, or if ``spoken`` in one phrase as it is said (:mod:`lexiconforge.text.normalising`), which takes many times
    as long. ``column`` names the column of CSV and the field of JSON Lines.
    A file that cannot be read whole is skipped and reported, or ends the run if ``strict``. ``progress`` is told what
    comes next, ``advance`` how many bytes of how many are read.

    Raises :class:`MiningError`, also if ``out`` is one of the files, before any is read; ``out`` is then as it was.
    """
    out = Path(out)
    files = files_to_count(paths, out)
    report = Report()
    whole = sum(map(_size, files))
    with (
        scratch_folder() as folder,
        Counter(folder, HowRead(column, spoken), report) as counter,
    ):
        done = 0
        for number, path in enumerate(files, start=1):
            progress(f"{number} of {len(files)}: {path.name}")
            size, before = _size(path), done
            # A packed file gives more than its size: the rest of it then counts as read.
            counter.add(
                path,
                strict,
                read=lambda n, b=before, s=size: advance(b + min(n, s), whole),  # type: ignore[misc]
            )
            done = before + size
            advance(done, whole)
        progress("adding up")
        counter.finish()
        write_counts(counter.connection, out, report)
    return report


def files_to_count(paths: Iterable[str | Path] | str | Path, out: Path) -> list[Path]:
    """The files that are meant, none of which is ``out``. Raises :class:`MiningError`."""
    if out.suffix.lower() != ".parquet":
        raise MiningError(f"{out}: counts are written as Parquet; the name must end in .parquet")
    try:
        files = find_files(paths)
    except ReadError as problem:
        raise MiningError(str(problem)) from None
    for path in files:
        with contextlib.suppress(OSError):
            if out.exists() and path.samefile(out):
                raise MiningError(
                    f"{out} is one of the files to count; write to another place with --out"
                )
    return files


def _size(path: Path) -> int:
    with contextlib.suppress(OSError):
        return path.stat().st_size
    return 0


class _Text:
    """Clean text in blocks that end between words."""

    def __init__(self) -> None:
        self.size = 0
        self._blocks: list[bytes] = []
        self._open = bytearray()

    def add(self, clean: bytes) -> None:
        """Append clean text, which may end within a word."""
        self._open += clean
        self.size += len(clean)
        if len(self._open) >= BLOCK:
            self._close(max(self._open.rfind(b" "), self._open.rfind(b"\n")) + 1)

    def _close(self, cut: int) -> None:
        if cut:
            self._blocks.append(bytes(self._open[:cut]))
            del self._open[:cut]

    def take(self) -> tuple[list[bytes], bool]:
        """All blocks that are complete, and whether the sentence that the last one ends in goes on.

        Its last word then stays here too: it opens a pair with what comes next. Nothing is taken where no word is.
        """
        if not self._blocks:
            return [], False
        end = self._blocks[-1].rstrip(b" " + EDGE.encode())
        if not end:
            return [], False
        blocks, self._blocks = self._blocks, []
        goes_on = not end.endswith(b"\n")
        if goes_on:
            self._open[:0] = end[max(end.rfind(b" "), end.rfind(b"\n")) + 1 :] + b" "
        self.size = len(self._open)
        return blocks, goes_on

    def take_all(self) -> list[bytes]:
        """All there is; what comes next is another sentence."""
        blocks = [*self._blocks, bytes(self._open)]
        self._blocks, self.size = [], 0
        self._open.clear()
        return blocks


class HowRead(NamedTuple):
    """How files are read: the ``column`` of CSV and field of JSON Lines; whether as they are ``spoken``."""

    column: str = "text"
    spoken: bool = False


class Counter:
    """Counts files into the table ``parts`` of a scratch database, each file whole or not at all.

    Files smaller than a chunk are counted together; a larger one is counted chunk by chunk into a table of its own,
    which joins the rest when the file has been read to its end.
    """

    def __init__(self, folder: Path, how: HowRead, report: Report, threads: int | None = None) -> None:
        # An interrupt that falls into the import of native libraries is lost, or breaks them.
        with uninterrupted():
            from lexiconforge.mining.vocabulary import Vocabulary

            self.connection = connect(folder, threads)
        self._folder, self._how, self._report = folder, how, report
        self._counting = ThreadPoolExecutor(max_workers=threads or COUNTERS)
        self._running: list[tuple[Future[tuple[Numbers, Numbers]], str]] = []
        self._vocabulary = Vocabulary()
        self._small = _Text()

    def __enter__(self) -> Counter:
        return self

    def __exit__(self, *exception: object) -> None:
        self._counting.shutdown(wait=True, cancel_futures=True)
        self.connection.close()

    def add(
        self,
        path: Path,
        strict: bool,
        block: tuple[int, int] | None = None,
        read: Callable[[int], None] = lambda size: None,
    ) -> None:
        """Count one file, or the lines of it that begin in a block of its bytes; ``read`` is told how much is read.

        Raises :class:`MiningError` if it cannot be read whole and ``strict`` says to stop.
        """
        own = _Text()
        streaming, gone = False, 0

        def note(text: str) -> None:
            self._report.notes[str(path)] = text

        try:
            size = path.stat().st_size
            pieces = read_block(path, *block) if block else read_text(path, self._how.column, note)
            for clean in as_said(pieces) if self._how.spoken else map(normalise, pieces):
                own.add(clean)
                if own.size >= CHUNK:
                    gone += own.size
                    blocks, goes_on = own.take()
                    self._hand_over(blocks, "pending", unfinished=goes_on)
                    streaming = True
                    read(gone)
        except (ReadError, OSError) as problem:
            what = str(problem) if isinstance(problem, ReadError) else problem.strerror or str(problem)
            if isinstance(problem, FileNotFoundError):
                what = "vanished"
            if strict:
                raise MiningError(f"{path}: {what}") from None
            self._report.skipped[str(path)] = what
            if streaming:
                self._wait()
                self.connection.execute("DELETE FROM pending; DELETE FROM pending_coded")
            return
        own.add(b"\n")
        if streaming:
            self._hand_over(own.take_all(), "pending")
            self._wait()
            for kind in ("", "_coded"):
                self.connection.execute(
                    f"INSERT INTO parts{kind} SELECT * FROM pending{kind}; DELETE FROM pending{kind}"
                )
        else:
            for clean in own.take_all():
                self._small.add(clean)
            if self._small.size >= CHUNK:
                self._hand_over(self._small.take_all(), "parts")
        self._report.files += 1
        self._report.size += size

    def _hand_over(self, blocks: list[bytes], table: str, *, unfinished: bool = False) -> None:
        """Have blocks counted; at most one chunk waits while others are counted."""
        from lexiconforge.mining.vocabulary import pair_counts

        if not blocks:
            return
        while len(self._running) > COUNTERS:
            self._collect()
        if len(self._vocabulary.words) > VOCABULARY:
            self._decode()
        future = self._counting.submit(pair_counts, self._vocabulary, blocks, unfinished=unfinished)
        self._running.append((future, table))

    def _collect(self) -> None:
        """Put the oldest counts that are waited for into the database. Raises :class:`MiningError`."""
        import duckdb

        future, table = self._running.pop(0)
        codes, counts = future.result()
        found = {"code": codes, "count": counts}  # noqa: F841 - DuckDB reads it by name
        try:
            self.connection.execute(f"INSERT INTO {table}_coded SELECT code, count FROM found")
        except duckdb.Error as error:
            raise self._failed(error) from None

    def _wait(self) -> None:
        while self._running:
            self._collect()

    def _decode(self) -> None:
        """Turn all numbers in the database into words, and begin another vocabulary."""
        import duckdb

        from lexiconforge.mining.vocabulary import Vocabulary

        self._wait()
        words = b" ".join(self._vocabulary.words).decode("utf-8")
        try:
            self.connection.execute(
                "CREATE OR REPLACE TEMP TABLE vocabulary AS SELECT unnest(range($number)) AS number, "
                "unnest(string_split($words, ' ')) AS word",
                {"number": len(self._vocabulary.words), "words": words},
            )
            for table in ("parts", "pending"):
                self.connection.execute(_DECODED.format(table=table))
                self.connection.execute(f"DELETE FROM {table}_coded")
            self.connection.execute("DROP TABLE vocabulary")
        except duckdb.Error as error:
            raise self._failed(error) from None
        self._vocabulary = Vocabulary()

    def _failed(self, error: Exception) -> MiningError:
        return MiningError(f"counting failed in {self._folder.parent}: {str(error).splitlines()[0]}")

    def finish(self) -> None:
        """Count what is left."""
        self._hand_over(self._small.take_all(), "parts")
        self._decode()


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
        connection.execute(f"CREATE TABLE {table}_coded (code UBIGINT, count BIGINT)")
    return connection


def write_counts(connection: duckdb.DuckDBPyConnection, out: Path, report: Report) -> None:
    """Sum up ``parts`` into the Parquet file, whole or not at all, and note the totals in the report.

    Raises :class:`MiningError`, also where no words are; the message then says what was wrong with which file.
    """
    import duckdb

    try:
        connection.execute(_SUMMED)
        totals = connection.execute(
            "SELECT count(DISTINCT first), count(*) FILTER (second <> '') FROM summed"
        ).fetchone()
    except duckdb.Error as error:
        raise MiningError(f"counting failed: {str(error).splitlines()[0]}") from None
    report.words, report.pairs = totals or (0, 0)
    if not report.words:
        why = [f"{path}: {what}" for path, what in list(report.skipped.items())[:MOST_REASONS]]
        if len(report.skipped) > MOST_REASONS:
            why.append(f"and {len(report.skipped) - MOST_REASONS} files more")
        raise MiningError("\n".join(["no words were found, so nothing was written", *why]))
    with _written(out) as unfinished:
        try:
            connection.execute(f"COPY ({_ALL}) TO '{_quoted(unfinished)}' (FORMAT parquet)")
        except duckdb.Error as error:
            # The user knows the name that they gave.
            told = str(error).splitlines()[0].replace(str(unfinished), str(out))
            raise MiningError(f"cannot write {out}: {told}") from None


@contextlib.contextmanager
def _written(out: Path) -> Iterator[Path]:
    """A file to write that takes the place of ``out``, or of what that links to, when the block ends well. Raises
    MiningError."""
    try:
        check_target(out)
        target = real(out)
        with alone(target.parent, wait=LONGEST_WAIT):
            for left in filter(is_own_file, target.parent.glob(f"{_UNFINISHED}*{out.suffix}")):
                left.unlink(missing_ok=True)
            handle, name = tempfile.mkstemp(prefix=_UNFINISHED, suffix=out.suffix, dir=target.parent)
            os.close(handle)
            unfinished = Path(name)
            try:
                yield unfinished
                # Such files are for their owner alone; what is written has the rights of any other file.
                mask = os.umask(0)
                os.umask(mask)
                unfinished.chmod(0o666 & ~mask)
                unfinished.replace(target)
            finally:
                unfinished.unlink(missing_ok=True)
    except WriteError as problem:
        raise MiningError(str(problem)) from None
    except OSError as error:
        raise MiningError(f"cannot write {out}: {error.strerror}") from None


def _quoted(path: Path) -> str:
    return str(path).replace("'", "''")
