"""Word frequencies: the large English list of ``wordfreq``.

The list holds words in bins of a hundredth of a power of ten (a centibel): a word in bin *b* makes up
10 ** (-b / 100) of all text. Zipf values follow van Heuven et al. (2014), *Quarterly Journal of
Experimental Psychology* 67: the base-ten logarithm of the frequency per billion words, so 9 - b / 100.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from lexiconforge.sources import SourceError

if TYPE_CHECKING:
    import numpy as np

BAND = 1000
"""Ranks in one frequency band: band 1 holds ranks 1 to 1000."""


@dataclass(frozen=True)
class Frequencies:
    """Ranks and bins by word. ``rank`` counts all words of the list from 1, the commonest first; words of
    one bin stand in the list's own order. ``centibels`` is the bin, the same unit for every word."""

    rank: dict[str, int]
    centibels: dict[str, int]

    def zipf(self, word: str) -> float | None:
        """Zipf value of a word, None if the list does not have it.

        >>> Frequencies({"the": 1}, {"the": 127}).zipf("the")
        7.73
        """
        bin_ = self.centibels.get(word)
        return None if bin_ is None else round(9 - bin_ / 100, 2)

    def share(self, word: str) -> float:
        """The word's share of all text, 0 if the list does not have it."""
        bin_ = self.centibels.get(word)
        return 0.0 if bin_ is None else 10 ** (-bin_ / 100)


def per_million(zipf: np.ndarray) -> np.ndarray:
    """Occurrences per million words, from Zipf values, to four significant digits."""
    import numpy as np

    value = 10.0 ** (zipf - 3)
    digits = 3 - np.floor(np.log10(value)).astype(int)
    scale = 10.0**digits
    return np.round(value * scale) / scale


def load_frequencies() -> Frequencies:
    """The large English list. Raises SourceError if ``wordfreq`` is missing.

    >>> frequencies = load_frequencies()
    >>> frequencies.rank["the"], frequencies.rank["water"] < frequencies.rank["waiter"]
    (1, True)
    """
    try:
        import wordfreq
    except ImportError:
        raise SourceError(
            "the package wordfreq is not installed; install it with: pip install wordfreq"
        ) from None
    bins = wordfreq.read_cBpack(wordfreq.available_languages("large")["en"])
    rank: dict[str, int] = {}
    centibels: dict[str, int] = {}
    for number, words in enumerate(bins):
        first = len(rank) + 1
        rank.update(zip(words, range(first, first + len(words)), strict=True))
        centibels.update(dict.fromkeys(words, number))
    return Frequencies(rank, centibels)
