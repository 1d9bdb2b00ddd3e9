"""Tables as text: CSV in UTF-8, one header row, lines ended by a line feed, missing values empty; JSON records.

A spreadsheet takes a cell that begins with ``=``, ``+``, ``-`` or ``@`` for a formula and runs it. Such text is
written with an apostrophe before the sign. So is text inside a cell where a spreadsheet may begin a cell of its own:
after a line end, and after a semicolon or a tab, which part the cells in some languages. Where apostrophes already
stand before the sign one more is added, so that taking one away gives every cell back. Numbers are left alone.
"""

from __future__ import annotations

import csv
import io
import re
from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    import pandas as pd

# A tab or a line end before the sign is skipped by some programs; the wide signs count as the narrow ones in others.
SIGNS = "=+-@\t\r\n＝＋－＠"
_SIGN = rf"[{re.escape(SIGNS)}]"
_OPEN = re.compile(rf"((?:^|[;\t\r\n]) *)('*)(?={_SIGN})")
_GUARDED = re.compile(rf"((?:^|[;\t\r\n]) *)'('*)(?={_SIGN})")
_SUSPECT = re.compile(rf"[\x1f;\t\r\n] *'*{_SIGN}")
DELIMITERS = ",;\t"
"""What may part the cells of a list that is read: spreadsheets save CSV with the separator of their language."""


class TableError(ValueError):
    """A file that does not hold the table it should; the message names it and the way out."""


def csv_text(table: pd.DataFrame) -> str:
    """The table as CSV text, without its index. Rows and columns stay in their order.

    To read it back, keep the words *nan* and *null* and take the guard off: :func:`read_columns`, or
    ``pandas.read_csv(path, keep_default_na=False)`` where no cell begins with a sign.

    >>> import pandas as pd
    >>> csv_text(pd.DataFrame({"word": ["null", "=1+1"], "rank": [9, -1]}))
    "word,rank\\nnull,9\\n'=1+1,-1\\n"
    """
    safe = table.copy(deep=False)
    quoting = csv.QUOTE_MINIMAL
    for at in range(safe.shape[1]):
        column = safe.iloc[:, at]
        if column.dtype.kind in "biufM":
            continue
        # One look at all cells as one text: most columns hold no sign in such a place.
        text = "\x1f".join(cell for cell in column.tolist() if isinstance(cell, str))
        if "\r" in text:
            # Left unquoted where lines end in a line feed, though readers take it for a line end.
            quoting = csv.QUOTE_NONNUMERIC
        if any(sign in text for sign in SIGNS) and _SUSPECT.search(f"\x1f{text}"):
            safe.isetitem(at, column.map(guarded, na_action="ignore"))
    safe.columns = [guarded(str(name)) for name in safe.columns]
    return str(safe.to_csv(index=False, lineterminator="\n", quoting=quoting))


def present(column: pd.Series) -> list[Any]:
    """The cells of a column as plain Python values, None where one is missing.

    >>> import pandas as pd
    >>> present(pd.Series([2, None], dtype="Int64"))
    [2, None]
    """
    return [
        None if missing else cell for cell, missing in zip(column.tolist(), column.isna(), strict=True)
    ]


def guarded(cell: object) -> object:
    """Text that no spreadsheet runs; anything else as it is.

    >>> guarded("@all"), guarded("'@all"), guarded("'til"), guarded(-2)
    ("'@all", "''@all", "'til", -2)
    """
    return _OPEN.sub(r"\1'\2", cell) if isinstance(cell, str) else cell


def unguarded(cell: str) -> str:
    """The text that :func:`guarded` was given.

    >>> unguarded("'@all"), unguarded("''@all"), unguarded("'til")
    ('@all', "'@all", "'til")
    """
    return _GUARDED.sub(r"\1\2", cell)


def read_rows(path: Path) -> list[dict[str, str]]:
    """The rows of a list that this program wrote, also after a spreadsheet saved it. Raises TableError."""
    try:
        text = path.read_bytes().decode("utf-8-sig")
    except OSError as error:
        raise TableError(f"cannot read {path}: {error.strerror}") from None
    except UnicodeDecodeError as error:
        raise TableError(
            f"{path} is not UTF-8 text (byte {error.start}); save the list as CSV in UTF-8"
        ) from None
    first = text.partition("\n")[0]
    reader = csv.reader(
        io.StringIO(text, newline=""), delimiter=max(DELIMITERS, key=first.count), strict=True
    )
    try:
        head = [unguarded(name) for name in next(reader, [])]
        rows = []
        for row in reader:
            if row and len(row) != len(head):
                raise TableError(
                    f"{path}, line {reader.line_num}: {len(row)} cells, {len(head)} expected"
                )
            if row:
                rows.append(dict(zip(head, map(unguarded, row), strict=True)))
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


def json_text(table: pd.DataFrame) -> str:
    """The table as a JSON array with an object a row; missing values are null.

    >>> import pandas as pd
    >>> json_text(pd.DataFrame({"word": ["city"], "rank": [217]}))
    '[{"word":"city","rank":217}]\\n'
    """
    text = table.to_json(orient="records", force_ascii=False, double_precision=15)
    return f"{text}\n"
