"""Counts of word pairs: the English pairs that ``symspellpy`` ships, 242,342 of them.

Why these: ``wordsegment`` ships a comparable list. On pairs of a t and a vowel in open text (spoken and
written parts of an open corpus, political addresses) both cover 90 to 93 of 100 tokens and rank pairs
alike (Spearman 0.46 to 0.62 against 0.48 to 0.62). This one has one row for a pair, where the other
has two with different counts for 28,000 of them, and its package is maintained. The package has a list of single words
from the same web pages, which tells how much commoner a word is there than elsewhere.
"""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

from lexiconforge.errors import SourceError
from lexiconforge.sources import locate, read_or_ask

if TYPE_CHECKING:
    import pandas as pd

PAIR_COLUMNS = ("first", "second", "count")
WEB_COLUMNS = ("first_on_web", "second_on_web")
"""Share, 0 to 1, of each word in the web pages of which the pairs are counted; counts of one's own lack them."""


def load_word_pairs() -> pd.DataFrame:
    """One row a pair of lower-case words, in the source's order: ``first``, ``second``, ``count``, its
    occurrences, and :data:`WEB_COLUMNS`.

    Raises SourceError if a file is missing or a line is not words and a whole number.

    >>> pairs = load_word_pairs().set_index(["first", "second"])["count"]
    >>> bool(pairs["at", "all"] > pairs["at", "odds"])
    True
    """
    pairs = _counted("frequency_bigramdictionary_en", "_243_342.txt", PAIR_COLUMNS)
    words = _counted("frequency_dictionary_en", "_82_765.txt", ("word", "count"))
    shares = (words["count"] / words["count"].sum()).set_axis(words["word"])
    for word, share in zip(PAIR_COLUMNS, WEB_COLUMNS, strict=False):
        pairs[share] = pairs[word].map(shares)
    return pairs


def _counted(name: str, numbered: str, columns: tuple[str, ...]) -> pd.DataFrame:
    """A list of the package. Its name carries the number of its rows, so another edition has another name."""
    return read_or_ask(
        lambda: _read(locate("symspellpy", name + numbered), columns),
        lambda: _read(max(locate("symspellpy", ".").glob(f"{name}_*.txt")), columns),
    )


def _read(path: Path, columns: tuple[str, ...]) -> pd.DataFrame:
    import pandas as pd

    try:
        return pd.read_csv(
            path,
            sep=" ",
            names=list(columns),
            dtype={column: "int64" if column == "count" else "str" for column in columns},
            encoding="utf-8-sig",
            keep_default_na=False,
        )
    except (ValueError, OverflowError) as error:
        raise SourceError(
            f"{path.name}: not {len(columns) - 1} words and a count in every line ({error})"
        ) from None
