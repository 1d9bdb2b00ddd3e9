"""Counts of one's own texts: the Parquet file that ``lexiconforge mine`` writes, or what was counted from memory."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, NamedTuple

from lexiconforge.errors import SourceError
from lexiconforge.sources.word_pairs import PAIR_COLUMNS

if TYPE_CHECKING:
    import pandas as pd


class OwnCounts(NamedTuple):
    """``words`` gives occurrences by word; ``pairs`` has the columns of
    :func:`lexiconforge.sources.word_pairs.load_word_pairs`."""

    words: dict[str, int]
    pairs: pd.DataFrame

    @property
    def counts(self) -> pd.DataFrame:
        """Both as one data frame ``first``, ``second``, ``count``, the words first; ``second`` is missing in the row of a
        single word."""
        import pandas as pd

        alone = pd.DataFrame({"first": list(self.words), "count": list(self.words.values())})
        alone["second"] = pd.Series(None, index=alone.index, dtype=self.pairs["second"].dtype)
        return pd.concat([alone[list(PAIR_COLUMNS)], self.pairs], ignore_index=True)

    def __repr__(self) -> str:
        return f"<OwnCounts of {len(self.words):,} words and {len(self.pairs):,} pairs>"


def own_counts(counts: Path | str | OwnCounts | pd.DataFrame) -> OwnCounts:
    """Counts from a file, from memory, or from a data frame with the columns of such a file.

    Raises SourceError for a file as :func:`load_own_counts` does, and for a frame without these columns.
    """
    if isinstance(counts, OwnCounts):
        return counts
    if isinstance(counts, str | Path):
        return load_own_counts(Path(counts))
    if not set(PAIR_COLUMNS).issubset(getattr(counts, "columns", ())):
        raise SourceError(f"counts must have the columns {', '.join(PAIR_COLUMNS)}")
    return _parted(counts)


def load_own_counts(path: Path | str) -> OwnCounts:
    """Words and pairs of a counts file. Raises SourceError if it is missing or of another kind."""
    path = Path(path)
    try:
        import duckdb
    except ImportError:
        raise SourceError(
            "the package duckdb is not installed; install it with: pip install duckdb"
        ) from None
    if not path.is_file():
        raise SourceError(f"{path}: no such counts file; write one with: lexiconforge mine")
    try:
        with duckdb.connect() as connection:
            table = connection.execute(
                "SELECT first, second, count FROM read_parquet($path)", {"path": str(path)}
            ).df()
    except duckdb.Error:
        raise SourceError(
            f"{path}: not a counts file with the columns {', '.join(PAIR_COLUMNS)}; write one with: "
            "lexiconforge mine"
        ) from None
    return _parted(table)


def _parted(table: pd.DataFrame) -> OwnCounts:
    """Rows of single words and rows of pairs, apart."""
    alone = table["second"].isna()
    words = dict(zip(table.loc[alone, "first"], table.loc[alone, "count"].astype(int), strict=True))
    pairs = table.loc[~alone, list(PAIR_COLUMNS)].reset_index(drop=True)
    return OwnCounts(words, pairs)


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
