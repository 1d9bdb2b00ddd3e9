"""Tables as text: CSV in UTF-8, one header row, lines ended by a line feed, missing values empty; JSON records.

A spreadsheet takes a cell that begins with ``=``, ``+``, ``-`` or ``@`` for a formula and runs it. Such text is
written with an apostrophe before the sign. So is text inside a cell where a spreadsheet may begin a cell of its own:
after a line end, and after a semicolon or a tab, which part the cells in some languages. Where apostrophes already
stand before the sign one more is added, so that taking one away gives every cell back. Numbers are left alone.
"""

from __future__ import annotations

import csv
import io
import json
import re
from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Any

from lexiconforge.errors import ReadError, TableError
from lexiconforge.places import read_whole
from lexiconforge.tables import Table

if TYPE_CHECKING:
    import pandas as pd

# A tab or a line end before the sign is skipped by some programs; the wide signs count as the narrow ones in others.
SIGNS = "=+-@\t\r\n＝＋－＠"
_SIGN = rf"[{re.escape(SIGNS)}]"
_OPEN = re.compile(rf"((?:^|[;\t\r\n]) *)('*)(?={_SIGN})")
_GUARDED = re.compile(rf"((?:^|[;\t\r\n]) *)'('*)(?={_SIGN})")
DELIMITERS = ",;\t"
"""What may part the cells of a list that is read: spreadsheets save CSV with the separator of their language."""


def csv_text(table: Table | pd.DataFrame) -> str:
    """The table as CSV text, a data frame without its index. Rows and columns stay in their order.

    To read it back, keep the words *nan* and *null* and take the guard off: :func:`read_columns`, or
    ``pandas.read_csv(path, keep_default_na=False)`` where no cell begins with a sign.

    >>> csv_text(Table("list", {"word": ["null", "=1+1"], "rank": [9, -1]}))
    "word,rank\\nnull,9\\n'=1+1,-1\\n"
    """
    if not isinstance(table, Table):
        table = Table.of_frame("", table)
    columns = [[_cell(escape_formula(name)), *_texts(cells)] for name, cells in table.columns.items()]
    if len(columns) == 1:
        # An empty line would be no row.
        columns = [[cell or '""' for cell in columns[0]]]
    return "".join([",".join(row) + "\n" for row in zip(*columns, strict=True)]) or "\n"


def _texts(cells: list[Any]) -> list[str]:
    if any(isinstance(cell, str) for cell in cells):
        return list(map(_Texts().__getitem__, cells))
    return ["" if cell is None or cell != cell else str(cell) for cell in cells]


class _Texts(dict[Any, str]):
    """The text of each cell, worked out once for each string: most columns hold few different ones."""

    def __missing__(self, value: Any) -> str:
        if not isinstance(value, str):
            return "" if value is None or value != value else str(value)
        text = _cell(escape_formula(value)) if _SPECIAL.search(value) else value
        self[value] = text
        return text


_SPECIAL = re.compile(rf'[",{re.escape(SIGNS)}]')
_QUOTED = re.compile(r'[",\r\n]')


def _cell(text: str) -> str:
    return '"' + text.replace('"', '""') + '"' if _QUOTED.search(text) else text


def escape_formula(cell: str) -> str:
    """Text that no spreadsheet runs.

    >>> escape_formula("@all"), escape_formula("'@all"), escape_formula("'til")
    ("'@all", "''@all", "'til")
    """
    return _OPEN.sub(r"\1'\2", cell)


def unescape_formula(cell: str) -> str:
    """The text that :func:`escape_formula` was given.

    >>> unescape_formula("'@all"), unescape_formula("''@all"), unescape_formula("'til")
    ('@all', "'@all", "'til")
    """
    return _GUARDED.sub(r"\1\2", cell)


def read_rows(path: Path | str) -> list[dict[str, str]]:
    """The rows of a list that this program wrote, also after a spreadsheet saved it. Raises TableError."""
    path = Path(path)
    try:
        text = read_whole(path).decode("utf-8-sig")
    except ReadError as problem:
        raise TableError(f"cannot read {path}: {problem}") from None
    except UnicodeDecodeError as error:
        raise TableError(
            f"{path} is not UTF-8 text (byte {error.start}); save the list as CSV in UTF-8"
        ) from None
    first = text.partition("\n")[0]
    reader = csv.reader(
        io.StringIO(text, newline=""), delimiter=max(DELIMITERS, key=first.count), strict=True
    )
    try:
        head = [unescape_formula(name) for name in next(reader, [])]
        rows = []
        for row in reader:
            if row and len(row) != len(head):
                raise TableError(
                    f"{path}, line {reader.line_num}: {len(row)} cells, {len(head)} expected"
                )
            if row:
                rows.append(dict(zip(head, map(unescape_formula, row), strict=True)))
    except csv.Error as error:
        raise TableError(f"{path}, line {reader.line_num}: {error}") from None
    return rows


def read_columns(path: Path, names: Sequence[str]) -> list[tuple[str, ...]]:
    """These columns of such a list, a tuple a row. Raises TableError."""
    rows = read_rows(path)
    for name in names:
        if rows and name not in rows[0]:
            raise TableError(f"{path} has no column named {name}; give a list that this program wrote")
    return [tuple(row[name] for name in names) for row in rows]


def read_numbers(path: Path, names: Sequence[str]) -> list[tuple[float, ...]]:
    """These columns as numbers, with a decimal point or comma. Raises TableError, also for a list without rows."""
    rows = read_columns(path, names)
    if not rows:
        raise TableError(f"{path} holds no rows")
    numbers = []
    for place, row in enumerate(rows, start=1):
        try:
            numbers.append(tuple(float(cell.replace(",", ".")) for cell in row))
        except ValueError:
            raise TableError(f"{path}, row {place}: {' and '.join(names)} must be numbers") from None
    return numbers


def json_text(table: Table) -> str:
    """The table as a JSON array with an object a row; missing values are null.

    >>> json_text(Table("list", {"word": ["city"], "rank": [217]}))
    '[{"word":"city","rank":217}]\\n'
    """
    return json.dumps(list(table.records()), ensure_ascii=False, separators=(",", ":")) + "\n"
