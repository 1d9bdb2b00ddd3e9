"""Counts of word pairs: the English pairs that ``symspellpy`` ships, 242,342 of them.

Why these: ``wordsegment`` ships a comparable list. On pairs of a t and a vowel in open text (spoken and
written parts of an open corpus, political addresses) both cover 90 to 93 of 100 tokens and rank pairs
alike (Spearman 0.46 to 0.62 against 0.48 to 0.62). This one has one row for a pair, where the other
has two with different counts for 28,000 of them, and its package is maintained.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from lexiconforge.errors import SourceError
from lexiconforge.sources import locate

if TYPE_CHECKING:
    import pandas as pd

PAIR_COLUMNS = ("first", "second", "count")


def load_word_pairs() -> pd.DataFrame:
    """One row a pair of lower-case words, in the source's order: ``first``, ``second``, ``count``, its
    occurrences.

    Raises SourceError if the file is missing or a line is not two words and a whole number.

    >>> pairs = load_word_pairs().set_index(["first", "second"])["count"]
    >>> bool(pairs["at", "all"] > pairs["at", "odds"])
    True
    """
    import pandas as pd

    path = locate("symspellpy", "frequency_bigramdictionary_en_243_342.txt")
    try:
        return pd.read_csv(
            path,
            sep=" ",
            names=list(PAIR_COLUMNS),
            dtype={"first": "str", "second": "str", "count": "int64"},
            encoding="utf-8-sig",
            keep_default_na=False,
        )
    except (ValueError, OverflowError) as error:
        raise SourceError(f"{path.name}: not two words and a count in every line ({error})") from None
