"""Tables as CSV: UTF-8, one header row, lines ended by a line feed, missing values empty."""

from __future__ import annotations

from typing import TYPE_CHECKING

if TYPE_CHECKING:
    import pandas as pd


def csv_text(table: pd.DataFrame) -> str:
    """The table as CSV text, without its index. Rows and columns stay in their order.

    To read it back, keep the words *nan* and *null*: ``pandas.read_csv(path, keep_default_na=False)``.

    >>> import pandas as pd
    >>> csv_text(pd.DataFrame({"word": ["null"], "rank": [9]}))
    'word,rank\\nnull,9\\n'
    """
    text: str = table.to_csv(index=False, lineterminator="\n")
    return text
