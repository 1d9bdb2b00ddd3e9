"""Columns of text and numbers in one file: what the compiled lexicon is stored in.

Room: knows bytes and files, nothing of words. A file begins with a mark, the length and the checksum of its head,
and the head, JSON that says of each column its kind, place, length and checksum. A column is read when it is asked for.
"""

from __future__ import annotations

import contextlib
import json
import os
import tempfile
import zlib
from array import array
from bisect import bisect_left
from collections.abc import Mapping
from itertools import accumulate
from pathlib import Path
from typing import TYPE_CHECKING, TypeAlias

from lexiconforge.places import not_a_file

MARK = b"lexicon columns 3\n"
UNFINISHED = ".unfinished-"
"""How the name of a file begins that is being written."""
_TEXT, _ENDS = "text", " ends"
FEW = 500
"""Cells of a column that are read one by one before all of it is taken apart."""

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
        self._asked: dict[str, int] = {}

    def __getstate__(self) -> dict[str, object]:
        """Columns that can be taken from the file again stay behind."""
        return {
            "_made": {} if self._head else self._made, "_raw": self._raw, "_head": self._head, "_asked": {},
        }  # fmt: skip

    @classmethod
    def from_bytes(cls, raw: bytes) -> Columns:
        """Columns as :meth:`to_bytes` wrote them. Raises DamagedError for anything else."""
        found = cls({})
        start = len(MARK) + 12
        try:
            if not raw.startswith(MARK):
                raise ValueError
            size = int.from_bytes(raw[len(MARK) : start - 4], "little")
            text = raw[start : start + size]
            if zlib.crc32(text) != int.from_bytes(raw[start - 4 : start], "little"):
                raise ValueError
            head = json.loads(text)
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
        """The columns as one file. A column of text has its line ends beside it, so that one cell can be read alone."""
        blobs: list[bytes] = []
        head: dict[str, tuple[str, int, int, int]] = {}
        first = 0

        def add(name: str, kind: str, blob: bytes) -> None:
            nonlocal first
            head[name] = (kind, first, len(blob), zlib.crc32(blob))
            blobs.append(blob)
            first += len(blob)

        for name, column in self._made.items():
            if isinstance(column, list):
                encoded = [cell.encode() for cell in column]
                add(name, _TEXT, b"\n".join(encoded))
                add(
                    name + _ENDS,
                    "I",
                    array("I", accumulate(len(cell) + 1 for cell in encoded)).tobytes(),
                )
            else:
                add(name, column.typecode, column.tobytes())
        text = json.dumps(head).encode()
        sizes = len(text).to_bytes(8, "little") + zlib.crc32(text).to_bytes(4, "little")
        return b"".join([MARK, sizes, text, *blobs])

    def cell(self, name: str, row: int) -> str:
        """One cell of a column of text. Raises DamagedError where it is not what was written."""
        made = self._made.get(name)
        if made is None and name in self._head:
            self._asked[name] = self._asked.get(name, 0) + 1
            if self._asked[name] < FEW:
                ends = self.numbers(name + _ENDS)
                first = self._head[name][1]
                return self._raw[first + (ends[row - 1] if row else 0) : first + ends[row] - 1].decode()
        if made is None:
            made = self.text(name)
        cell = made[row]
        assert isinstance(cell, str)
        return cell

    @property
    def stored(self) -> bool:
        """Whether the columns were read from a file, so that a cell can be read alone."""
        return bool(self._head)

    def find(self, name: str, text: str) -> int | None:
        """The last row of a column of text with this cell, None if there is none."""
        if not text or "\n" in text:
            return None
        if name in self._made or name not in self._head:
            column = self.text(name)
            return next((n for n in range(len(column) - 1, -1, -1) if column[n] == text), None)
        _, first, length, _ = self._head[name]
        sought = text.encode("utf-8", "surrogatepass")
        end = first + length
        while (at := self._raw.rfind(sought, first, end)) >= 0:
            after = at + len(sought)
            if (at == first or self._raw[at - 1] == 10) and (
                after == first + length or self._raw[after] == 10
            ):
                return bisect_left(self.numbers(name + _ENDS), after - first + 1)
            end = at + len(sought) - 1
        return None

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
    if not_a_file(path):
        return None
    try:
        columns = Columns.from_bytes(path.read_bytes())
        columns.check()
    except (OSError, DamagedError):
        return None
    return columns


def write_columns_file(path: Path, columns: Columns) -> None:
    """Write the file whole or not at all; a place that cannot be written is left alone."""
    with contextlib.suppress(OSError):
        handle, name = tempfile.mkstemp(prefix=UNFINISHED, dir=path.parent)
        try:
            with os.fdopen(handle, "wb") as file:
                file.write(columns.to_bytes())
            Path(name).replace(path)
        except BaseException:
            Path(name).unlink(missing_ok=True)
            raise
