"""Columns of text and numbers in one file: what the compiled lexicon is stored in.

Room: knows bytes and files, nothing of words. A file begins with a mark, the length of its head and the head, JSON that
says of each column its kind, place, length and checksum. A column is read when it is asked for.
"""

from __future__ import annotations

import contextlib
import json
import os
import tempfile
import zlib
from array import array
from collections.abc import Mapping
from pathlib import Path
from typing import TYPE_CHECKING, TypeAlias

MARK = b"lexicon columns 1\n"
_TEXT = "text"

if TYPE_CHECKING:
    Numbers: TypeAlias = array[int]
else:
    Numbers = array


class DamagedError(Exception):
    """A file that does not hold what it says."""


class Columns:
    """Columns by name: lists of text without line ends, arrays of whole numbers.

    >>> columns = Columns({"word": ["at", "all"], "rank": array("i", [1, 2])})
    >>> Columns.from_bytes(columns.to_bytes()).text("word")
    ['at', 'all']
    """

    def __init__(self, made: Mapping[str, list[str] | Numbers]) -> None:
        self._made: dict[str, list[str] | Numbers] = dict(made)
        self._raw = b""
        self._head: dict[str, tuple[str, int, int, int]] = {}

    @classmethod
    def from_bytes(cls, raw: bytes) -> Columns:
        """Columns as :meth:`to_bytes` wrote them. Raises DamagedError for anything else."""
        found = cls({})
        start = len(MARK) + 8
        try:
            if not raw.startswith(MARK):
                raise ValueError
            size = int.from_bytes(raw[len(MARK) : start], "little")
            head = json.loads(raw[start : start + size])
            ends = [start + size]
            for name, (kind, first, length, checksum) in head.items():
                found._head[name] = (kind, start + size + first, length, checksum)
                ends.append(start + size + first + length)
            if max(ends) != len(raw):
                raise ValueError
        except (ValueError, TypeError, KeyError, AttributeError):
            raise DamagedError("not a file of columns") from None
        found._raw = raw
        return found

    def to_bytes(self) -> bytes:
        """The columns as one file."""
        blobs: list[bytes] = []
        head: dict[str, tuple[str, int, int, int]] = {}
        first = 0
        for name, column in self._made.items():
            kind = _TEXT if isinstance(column, list) else column.typecode
            blob = "\n".join(column).encode() if isinstance(column, list) else column.tobytes()
            head[name] = (kind, first, len(blob), zlib.crc32(blob))
            blobs.append(blob)
            first += len(blob)
        text = json.dumps(head).encode()
        return b"".join([MARK, len(text).to_bytes(8, "little"), text, *blobs])

    def _column(self, name: str) -> list[str] | Numbers:
        column = self._made.get(name)
        if column is None:
            kind, first, length, checksum = self._head[name]
            blob = self._raw[first : first + length]
            if zlib.crc32(blob) != checksum:
                raise DamagedError(f"the column {name} is not what was written")
            if kind == _TEXT:
                column = blob.decode().split("\n")
            else:
                column = array(kind)
                column.frombytes(blob)
            self._made[name] = column
        return column

    def text(self, name: str) -> list[str]:
        """A column of text. Raises DamagedError where it is not what was written."""
        column = self._column(name)
        assert isinstance(column, list)
        return column

    def numbers(self, name: str) -> Numbers:
        """A column of whole numbers. Raises DamagedError where it is not what was written."""
        column = self._column(name)
        assert isinstance(column, array)
        return column

    def check(self) -> None:
        """Raises DamagedError if any column is not what was written."""
        for name, (_, first, length, checksum) in self._head.items():
            if zlib.crc32(self._raw[first : first + length]) != checksum:
                raise DamagedError(f"the column {name} is not what was written")


def read_columns_file(path: Path) -> Columns | None:
    """The columns of a file, None where there is none or it is damaged."""
    try:
        columns = Columns.from_bytes(path.read_bytes())
        columns.check()
    except (OSError, DamagedError):
        return None
    return columns


def write_columns_file(path: Path, columns: Columns) -> None:
    """Write the file whole or not at all; a place that cannot be written is left alone."""
    with contextlib.suppress(OSError):
        handle, name = tempfile.mkstemp(prefix=".unfinished-", dir=path.parent)
        try:
            with os.fdopen(handle, "wb") as file:
                file.write(columns.to_bytes())
            Path(name).replace(path)
        except BaseException:
            Path(name).unlink(missing_ok=True)
            raise
