"""Tables as text: CSV in UTF-8, one header row, lines ended by a line feed, missing values empty; JSON records.

A spreadsheet takes a cell that begins with ``=``, ``+``, ``-`` or ``@`` for a formula and runs it. Such text is
written with an apostrophe before it, and so is text that already begins with apostrophes and one of these, so that
taking one apostrophe away gives every cell back. Numbers are left alone.
"""

from __future__ import annotations

import csv
import io
import re
from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    import pandas as pd

# A tab or a line end before the sign is skipped by some programs; the wide signs count as the narrow ones in others.
_SIGNS = "=+-@\t\r\n＝＋－＠"
_GUARDED = re.compile(rf"'*[{re.escape(_SIGNS)}]")
# A semicolon or a tab parts cells where the system's language makes it the separator.
_BEGINS_ANEW = re.compile(rf"[;\t] *'*[{re.escape(_SIGNS)}]")
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
        text = "\n" + "\n".join(cell for cell in column.tolist() if isinstance(cell, str))
        if any(sign in text for sign in ("\n=", "\n+", "\n-", "\n@", "\n'", "\t", "\r", "\n\n", *"＝＋－＠")):
            safe.isetitem(at, column.map(guarded, na_action="ignore"))
        if (";" in text or "\t" in text) and _BEGINS_ANEW.search(text):
            quoting = csv.QUOTE_NONNUMERIC
    safe.columns = [guarded(str(name)) for name in safe.columns]
    text = safe.to_csv(index=False, lineterminator="\n", quoting=quoting)
    return text


def guarded(cell: object) -> object:
    """Text that no spreadsheet runs; anything else as it is.

    >>> guarded("@all"), guarded("'@all"), guarded("'til"), guarded(-2)
    ("'@all", "''@all", "'til", -2)
    """
    return f"'{cell}" if isinstance(cell, str) and _GUARDED.match(cell) else cell


def unguarded(cell: str) -> str:
    """The text that :func:`guarded` was given.

    >>> unguarded("'@all"), unguarded("''@all"), unguarded("'til")
    ('@all', "'@all", "'til")
    """
    return cell[1:] if cell.startswith("'") and _GUARDED.match(cell) else cell


def read_columns(path: Path, names: Sequence[str]) -> list[tuple[str, ...]]:
    """These columns of a list that this program wrote, a tuple a row, also after a spreadsheet saved it.

    Raises TableError.
    """
    try:
        text = path.read_text(encoding="utf-8-sig")
    except OSError as error:
        raise TableError(f"cannot read {path}: {error.strerror}") from None
    except UnicodeDecodeError as error:
        raise TableError(
            f"{path} is not UTF-8 text (byte {error.start}); save the list as CSV in UTF-8"
        ) from None
    first = text.partition("\n")[0]
    delimiter = max(DELIMITERS, key=first.count)
    reader = csv.DictReader(io.StringIO(text, newline=""), delimiter=delimiter)
    try:
        present = [unguarded(name) for name in reader.fieldnames or ()]
        for name in names:
            if name not in present:
                raise TableError(f"{path} has no column named {name}; give a list that this program wrote")
        return [tuple(unguarded(row[name] or "") for name in names) for row in reader]
    except csv.Error as error:
        raise TableError(f"{path}, line {reader.line_num}: {error}") from None


def json_text(table: pd.DataFrame) -> str:
    """The table as a JSON array with an object a row; missing values are null.

    >>> import pandas as pd
    >>> json_text(pd.DataFrame({"word": ["city"], "rank": [217]}))
    '[{"word":"city","rank":217}]\\n'
    """
    text = table.to_json(orient="records", force_ascii=False, double_precision=15)
    return f"{text}\n"
