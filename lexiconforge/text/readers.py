"""Text out of files: plain text, SRT and WebVTT subtitles, a column of CSV, a field of JSON Lines, each gzipped too.

Every reader gives pieces of text in which a line break ends a unit (a line, a cue, a cell): no word pair is
counted across one. A file is read in blocks, so that its size, and that of its lines, does not matter.
"""

from __future__ import annotations

import codecs
import csv
import glob
import gzip
import html
import io
import json
import re
import zlib
from collections.abc import Callable, Iterable, Iterator, Sequence
from pathlib import Path
from typing import IO

from lexiconforge.errors import ReadError
from lexiconforge.places import not_a_file

BLOCK = 1 << 20
"""Characters or bytes read at a time."""
LONGEST_RECORD = 64 << 20
"""Characters of one line of JSON: it is held whole, several times over, while it is read."""
BOMB_RATIO, BOMB_SIZE = 200, 256 << 20
"""A gzip file that unpacks to more than both, so many times its size and so many bytes, is no text (text of the
corpora tried packs to a half to a twentieth; the format goes to a thousandth)."""
ENDINGS = (".txt", ".srt", ".vtt", ".csv", ".jsonl", ".ndjson")
"""Files of these endings, also with ``.gz``, are taken from a folder; a file named outright is read as plain
text if it has another."""

_MARKS = (
    (codecs.BOM_UTF8, "utf-8-sig", ""),
    (codecs.BOM_UTF16_LE, "utf-16", "read as UTF-16"),
    (codecs.BOM_UTF16_BE, "utf-16", "read as UTF-16"),
)
_TIMING = re.compile(r"^\s*(?:\d+:)?\d{1,2}:\d{2}[.,]\d{3}\s+-->\s")
_TAG = re.compile(r"<[^>\n]*>|\{\\[^}\n]*\}")


def find_files(paths: Sequence[str]) -> list[Path]:
    """The files that these paths, folders and patterns name, in order, each once.

    Folders are searched through. Raises :class:`ReadError` for a path or pattern that names nothing.
    """
    found: list[Path] = []
    for name in paths:
        path = Path(name)
        if "\0" in name:
            raise ReadError(f"{name!r}: a name cannot hold a NUL")
        if not name:
            raise ReadError("an empty name, of no file")
        if path.is_dir():
            inside = sorted(p for p in path.rglob("*") if p.is_file() and _ending(p) in ENDINGS)
            if not inside:
                raise ReadError(f"{name}: no text files in this folder ({', '.join(ENDINGS)})")
            found += inside
        elif path.exists():
            found.append(path)
        else:
            matches = sorted(Path(match) for match in glob.glob(name, recursive=True))  # noqa: PTH207
            if not matches:
                raise ReadError(f"{name}: no such file, folder or pattern")
            found += [match for match in matches if match.is_file()]
    return list(dict.fromkeys(found))


def _ending(path: Path) -> str:
    name = path.name.lower().removesuffix(".gz")
    return Path(name).suffix


def read_text(path: Path, column: str = "text", note: Callable[[str], None] = print) -> Iterator[str]:
    """Pieces of the text of one file, in order; ``column`` names the CSV column or JSON field.

    ``note`` is told what was done with text that is not UTF-8. Raises :class:`ReadError`, possibly after some
    pieces: what was given then must not be used.
    """
    _refuse_what_is_no_file(path)
    try:
        before = path.stat()
        with _opened(path, note) as file:
            for piece in _READERS.get(_ending(path), _plain)(file, column):
                yield piece
                # Looked at on the way too: a file that grows as fast as it is read would never end.
                after = path.stat()
                if (before.st_size, before.st_mtime_ns) != (after.st_size, after.st_mtime_ns):
                    raise ReadError("changed while it was read")
    except ReadError:
        raise
    except (gzip.BadGzipFile, zlib.error, EOFError):
        raise ReadError("damaged gzip data") from None
    except UnicodeError as error:
        raise ReadError(f"text that cannot be decoded ({getattr(error, 'reason', error)})") from None
    except OSError as error:
        raise ReadError(error.strerror or str(error)) from None


def can_be_split(path: Path) -> bool:
    """Is this plain text, uncompressed, so that parts of it can be read by themselves?"""
    return not path.name.lower().endswith(".gz") and _READERS.get(_ending(path), _plain) is _plain


def read_block(path: Path, start: int, end: int) -> Iterator[str]:
    """The lines of a plain UTF-8 text that begin in these bytes, ``end`` not included; blocks side by side give every
    line once. Raises :class:`ReadError` for anything but clean UTF-8: the file must then be read whole."""
    _refuse_what_is_no_file(path)
    decoder = codecs.getincrementaldecoder("utf-8-sig" if start == 0 else "utf-8")()
    try:
        before = path.stat()
        with path.open("rb") as file:
            file.seek(max(start - 1, 0))
            if start:
                # A line that began earlier belongs to the block before, which reads it to its end.
                while (skipped := file.readline(BLOCK)) and not skipped.endswith(b"\n"):
                    pass
            while file.tell() < end and (block := file.read(min(BLOCK, end - file.tell()))):
                if file.tell() >= end:
                    while not block.endswith(b"\n") and (more := file.readline(BLOCK)):
                        block += more
                if b"\0" in block:
                    raise ReadError("binary data (it has NUL bytes)")
                yield decoder.decode(block)
            yield decoder.decode(b"", final=True)
        after = path.stat()
    except UnicodeDecodeError:
        raise ReadError("not UTF-8") from None
    except OSError as error:
        raise ReadError(error.strerror or str(error)) from None
    if (before.st_size, before.st_mtime_ns) != (after.st_size, after.st_mtime_ns):
        raise ReadError("changed while it was read")


def _refuse_what_is_no_file(path: Path) -> None:
    kind = not_a_file(path)
    if kind:
        hint = "; write what comes through it into a file first" if kind == "a pipe" else ""
        raise ReadError(f"{kind}, not a file{hint}")


def _opened(path: Path, note: Callable[[str], None]) -> IO[str]:
    packed = path.name.lower().endswith(".gz")
    raw: IO[bytes] = gzip.open(path) if packed else path.open("rb")  # type: ignore[assignment] # noqa: SIM115
    most = max(BOMB_SIZE, BOMB_RATIO * path.stat().st_size) if packed else None
    head = raw.read(4)
    encoding = ""
    for mark, name, remark in _MARKS:
        if head.startswith(mark):
            encoding = name
            if remark:
                note(remark)
    encoding = encoding or _guess(_unpacked(raw, head, most), note)
    for _ in _unpacked(raw, head, most) if most is not None and encoding == "utf-16" else ():
        pass
    raw.seek(0)
    return io.TextIOWrapper(raw, encoding=encoding, newline=None)


def _unpacked(raw: IO[bytes], head: bytes, most: int | None) -> Iterator[bytes]:
    """The head and the rest in blocks. Raises :class:`ReadError` for more than ``most`` bytes."""
    block = head
    while block:
        yield block
        block = raw.read(BLOCK)
        if most is not None and raw.tell() > most:
            raise ReadError(f"unpacks to more than {BOMB_RATIO} times its size; no text does")


def _guess(blocks: Iterable[bytes], note: Callable[[str], None]) -> str:
    """UTF-8 if all of the file is; else the old Western encoding, which cannot fail on text."""
    decoder = codecs.getincrementaldecoder("utf-8")()
    valid, empty = True, True
    for block in blocks:
        empty = False
        if b"\0" in block:
            raise ReadError("binary data (it has NUL bytes)")
        if valid:
            try:
                decoder.decode(block)
            except UnicodeDecodeError:
                valid = False
    if empty:
        raise ReadError("empty")
    try:
        decoder.decode(b"", final=True)
    except UnicodeDecodeError:
        valid = False
    if valid:
        return "utf-8"
    note("not UTF-8: read as Windows-1252")
    return "cp1252"


def _plain(file: IO[str], column: str) -> Iterator[str]:
    rest = ""
    while block := file.read(BLOCK):
        block = rest + block
        cut = block.rfind("\n") + 1
        if not cut and len(block) > BLOCK:
            cut = block.rfind(" ") + 1
            if not cut and len(block) > 4 * BLOCK:
                raise ReadError(f"a run of {len(block):,} characters without a space or line break")
        yield block[:cut]
        rest = block[cut:]
    yield rest


def _subtitles(file: IO[str], column: str) -> Iterator[str]:
    """SRT and WebVTT: the lines of each cue joined, without numbers, timings, notes, styles and tags.

    As the WebVTT standard (W3C) has it: a block is what stands between blank lines; it is a cue if its first or
    second line holds a timing, and everything after the timing is its text.
    """
    block: list[str] = []
    for line in _lines(file):
        if line.strip():
            block.append(line)
        else:
            yield _cue(block)
            block = []
    yield _cue(block)


def _cue(block: Sequence[str]) -> str:
    for place, line in enumerate(block[:2]):
        if _TIMING.match(line):
            text = _TAG.sub("", " ".join(part.strip() for part in block[place + 1 :]))
            return html.unescape(text) + "\n"
    return ""


def _lines(file: IO[str]) -> Iterator[str]:
    """Lines of at most a block's length."""
    while line := file.readline(BLOCK):
        yield line.rstrip("\n")


def _csv(file: IO[str], column: str) -> Iterator[str]:
    rows = csv.DictReader(file, strict=True)
    try:
        if column not in (rows.fieldnames or ()):
            listed = ", ".join(rows.fieldnames or ()) or "none"
            raise ReadError(f"no column {column!r}; it has: {listed} (choose with --column)")
        for row in rows:
            yield (row[column] or "").replace("\n", " ") + "\n"
    except csv.Error as error:
        raise ReadError(f"line {rows.reader.line_num}: {error}") from None


def _json_lines(file: IO[str], column: str) -> Iterator[str]:
    number = 0
    while line := file.readline(LONGEST_RECORD + 1):
        number += 1
        if len(line) > LONGEST_RECORD:
            raise ReadError(f"line {number}: longer than {LONGEST_RECORD:,} characters")
        if not line.strip():
            continue
        try:
            record = json.loads(line)
        except (ValueError, RecursionError):
            raise ReadError(f"line {number}: not JSON") from None
        if not isinstance(record, dict) or not isinstance(record.get(column), str):
            raise ReadError(f"line {number}: no text field {column!r} (choose with --column)")
        yield record[column].replace("\n", " ") + "\n"


_READERS: dict[str, Callable[[IO[str], str], Iterator[str]]] = {
    ".srt": _subtitles,
    ".vtt": _subtitles,
    ".csv": _csv,
    ".jsonl": _json_lines,
    ".ndjson": _json_lines,
}
