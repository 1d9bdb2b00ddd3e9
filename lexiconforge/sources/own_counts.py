"""Counts of one's own texts: the Parquet file that ``lexiconforge mine`` writes."""

from __future__ import annotations

import glob
from pathlib import Path
from typing import TYPE_CHECKING, NamedTuple

from lexiconforge.errors import SourceError
from lexiconforge.places import not_a_file
from lexiconforge.sources.word_pairs import PAIR_COLUMNS

if TYPE_CHECKING:
    import duckdb
    import pandas as pd

MEMORY = "4GB"
"""What reading a counts file may take: some 40 million rows."""


class OwnCounts(NamedTuple):
    """``words`` gives occurrences by word; ``pairs`` has the columns of
    :func:`lexiconforge.sources.word_pairs.load_word_pairs`."""

    words: dict[str, int]
    pairs: pd.DataFrame


MOST_COUNT = 10**15
"""Of one word or pair: a thousand times what the web holds of the commonest; sums of them stay whole numbers."""
MOST_LETTERS = 8 << 20
"""Of one word: more than the readers of texts take without a space."""
_WHOLE = ("TINYINT", "SMALLINT", "INTEGER", "BIGINT", "HUGEINT")
_WRONG = """
SELECT
    count(*) FILTER (first IS NULL OR first = ''),
    count(*) FILTER (length(first) > $longest OR length(second) > $longest),
    count(*) FILTER (count IS NULL),
    count(*) FILTER (count < 1),
    count(*) FILTER (count > $most),
    count(*) FILTER (second IS NULL)
FROM read_parquet($path)
"""
_FAULTS = (
    "{} rows without a word",
    f"{{}} rows with a word of more than {MOST_LETTERS:,} letters",
    "{} rows without a count",
    "{} rows with a count below 1",
    f"{{}} rows with a count above {MOST_COUNT:,}",
)


def load_own_counts(path: Path | str) -> OwnCounts:
    """Words and pairs of a counts file, which is checked as a whole first: text in ``first`` and ``second``, whole
    numbers from 1 up in ``count``, single words in it, each word and pair once.

    Raises SourceError if it is missing, of another kind, or does not hold that."""
    path = Path(path)
    try:
        import duckdb
    except ImportError:
        raise SourceError(
            "the package duckdb is not installed; install it with: pip install duckdb"
        ) from None
    kind = not_a_file(path)
    if kind:
        raise SourceError(f"{path}: {kind}, not a counts file; write one with: lexiconforge mine")
    if not path.is_file():
        raise SourceError(f"{path}: no such counts file; write one with: lexiconforge mine")
    # Brackets and stars in the name are letters of it, no pattern.
    name = {"path": glob.escape(str(path.absolute()))}
    try:
        with duckdb.connect() as connection:
            connection.execute(f"SET memory_limit = '{MEMORY}'")
            _check(connection, path, name)
            table = connection.execute(
                "SELECT first, second, count::BIGINT AS count FROM read_parquet($path)", name
            ).df()
    except duckdb.OutOfMemoryException:
        raise SourceError(f"{path}: needs more than {MEMORY} of memory to read") from None
    except (duckdb.Error, UnicodeError):
        raise SourceError(
            f"{path}: not a counts file with the columns {', '.join(PAIR_COLUMNS)}; write one with: "
            "lexiconforge mine"
        ) from None
    alone = table["second"].isna()
    words = dict(zip(table.loc[alone, "first"], table.loc[alone, "count"].astype(int), strict=True))
    pairs = table.loc[~alone, list(PAIR_COLUMNS)].reset_index(drop=True)
    if len(words) < alone.sum() or pairs.duplicated(["first", "second"]).any():
        raise SourceError(f"{path}: counts a word or pair twice; write it anew with: lexiconforge mine")
    return OwnCounts(words, pairs)


def _check(connection: duckdb.DuckDBPyConnection, path: Path, name: dict[str, str]) -> None:
    """Raises SourceError for a file whose content cannot be counts, before any of it is taken."""
    rows = connection.execute("SELECT sum(num_rows) FROM parquet_file_metadata($path)", name).fetchone()
    # A different word or pair in each row takes more than a byte, however it is packed.
    if rows and rows[0] and rows[0] > path.stat().st_size:
        raise SourceError(
            f"{path}: {int(rows[0]):,} rows in {path.stat().st_size:,} bytes are no counts of different words"
        )
    described = connection.execute("DESCRIBE SELECT first, second, count FROM read_parquet($path)", name)
    types = {column: kind for column, kind, *_ in described.fetchall()}
    for column in ("first", "second"):
        if types[column] != "VARCHAR":
            raise SourceError(f"{path}: the column {column} must hold text, and holds {types[column]}")
    if types["count"].removeprefix("U") not in _WHOLE:
        raise SourceError(
            f"{path}: the column count must hold whole numbers, and holds {types['count']}"
        )
    found = (
        connection.execute(_WRONG, name | {"longest": MOST_LETTERS, "most": MOST_COUNT}).fetchone() or ()
    )
    faults = [
        fault.format(f"{number:,}") for fault, number in zip(_FAULTS, found, strict=False) if number
    ]
    if not faults and not found[-1]:
        faults = ["no row of a word alone, only pairs"]
    if faults:
        raise SourceError(f"{path}: {'; '.join(faults)}; write it anew with: lexiconforge mine")


def blended_pairs(own: pd.DataFrame, shipped: pd.DataFrame) -> pd.DataFrame:
    """Both tables as occurrences per thousand million pairs, summed: each weighs the same."""
    import pandas as pd

    scaled = [
        table.assign(count=(table["count"] / table["count"].sum() * 1e9).round().astype("int64"))
        for table in (own, shipped)
    ]
    both = pd.concat(scaled, ignore_index=True)
    both = both.groupby(["first", "second"], as_index=False, sort=False)["count"].sum()
    return both[both["count"] > 0].reset_index(drop=True)
