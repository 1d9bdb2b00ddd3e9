"""Word frequencies: the large English list of ``wordfreq``.

The list holds words in bins of a hundredth of a power of ten (a centibel): a word in bin *b* makes up
10 ** (-b / 100) of all text. Zipf values follow van Heuven et al. (2014), *Quarterly Journal of
Experimental Psychology* 67: the base-ten logarithm of the frequency per billion words, so 9 - b / 100.
"""

from __future__ import annotations

import math
import re
from bisect import bisect_right
from collections.abc import Mapping
from dataclasses import dataclass
from functools import lru_cache

from lexiconforge.errors import SourceError
from lexiconforge.sources import read_or_ask

_SHAPE = re.compile(r"\d[\d.,]+")
"""Numbers stand in the list as shapes (00, 0000): they are no words and have no rank."""


@dataclass(frozen=True)
class Frequencies:
    """``rank`` by word counts all words of the list from 1, the commonest first; words of one bin stand in
    the list's own order. ``first_ranks[n]`` is the first rank of the bin ``bins[n]``."""

    rank: dict[str, int]
    first_ranks: list[int]
    bins: list[int]

    def centibels(self, word: str) -> int | None:
        """The bin of a word, None if the list does not have it."""
        place = self.rank.get(word)
        return None if place is None else self.bins[bisect_right(self.first_ranks, place) - 1]

    def zipf(self, word: str) -> float | None:
        """Zipf value of a word, None if the list does not have it.

        >>> Frequencies({"the": 1, "to": 2}, [1, 2], [127, 157]).zipf("the")
        7.73
        """
        bin_ = self.centibels(word)
        return None if bin_ is None else round(9 - bin_ / 100, 2)

    def share(self, word: str) -> float:
        """The word's share of all text, 0 if the list does not have it."""
        bin_ = self.centibels(word)
        return 0.0 if bin_ is None else 10 ** (-bin_ / 100)


@dataclass(frozen=True)
class CountedFrequencies:
    """As :class:`Frequencies`, from counts of one's own texts: ``shares`` of all words by word, ``rank`` in order
    of rank, words of the same count in the order of the alphabet."""

    rank: dict[str, int]
    shares: dict[str, float]

    def zipf(self, word: str) -> float | None:
        """Zipf value of a word, None if the counts do not have it.

        >>> counted_frequencies({"the": 900, "water": 100}).zipf("water")
        8.0
        """
        share = self.shares.get(word)
        return None if share is None else round(math.log10(share * 1e9), 2)

    def share(self, word: str) -> float:
        """The word's share of all words counted, 0 if the counts do not have it."""
        return self.shares.get(word, 0.0)


def counted_frequencies(
    counts: Mapping[str, int], blend_with: Frequencies | None = None
) -> CountedFrequencies:
    """Frequencies from word counts; blended, a word's share is the mean of its shares in both.

    >>> counted_frequencies({"water": 1, "city": 1, "the": 8}).rank
    {'the': 1, 'city': 2, 'water': 3}
    """
    whole = sum(counts.values())
    shares = {word: count / whole for word, count in counts.items()}
    if blend_with is not None:
        shares = {
            word: (shares.get(word, 0.0) + blend_with.share(word)) / 2
            for word in dict.fromkeys([*shares, *blend_with.rank])
        }
    ordered = sorted(shares, key=lambda word: (-shares[word], word))
    return CountedFrequencies({word: place for place, word in enumerate(ordered, start=1)}, shares)


@lru_cache(maxsize=4096)
def per_million(zipf: float) -> float:
    """Occurrences per million words, from a Zipf value, to four significant digits.

    >>> per_million(5.52)
    331.1
    """
    value: float = 10.0 ** (zipf - 3)
    return round(value, 3 - math.floor(math.log10(value)))


def load_frequencies() -> Frequencies:
    """The large English list. Raises SourceError if ``wordfreq`` is missing or has another shape.

    >>> frequencies = load_frequencies()
    >>> frequencies.rank["the"], frequencies.rank["water"] < frequencies.rank["waiter"]
    (1, True)
    """
    return read_or_ask(_read, _ask)


def _ask() -> Frequencies:
    import wordfreq

    shares = wordfreq.get_frequency_dict("en", "large")
    rank: dict[str, int] = {}
    first_ranks: list[int] = []
    bins: list[int] = []
    for word, share in shares.items():
        if "0" in word and _SHAPE.search(word):
            continue
        bin_ = round(-100 * math.log10(share))
        if not bins or bins[-1] != bin_:
            first_ranks.append(len(rank) + 1)
            bins.append(bin_)
        rank[word] = len(rank) + 1
    return Frequencies(rank, first_ranks, bins)


def _read() -> Frequencies:
    try:
        import wordfreq
    except ImportError:
        raise SourceError(
            "the package wordfreq is not installed; install it with: pip install wordfreq"
        ) from None
    rank: dict[str, int] = {}
    first_ranks, bins = [], []
    try:
        packed = wordfreq.read_cBpack(wordfreq.available_languages("large")["en"])
    except (AttributeError, LookupError, OSError, ValueError) as error:
        raise SourceError(f"wordfreq has another shape than it had in 3.1 ({error})") from None
    for number, listed in enumerate(packed):
        words = [word for word in listed if not ("0" in word and _SHAPE.search(word))]
        if words:
            first_ranks.append(len(rank) + 1)
            bins.append(number)
            rank.update(zip(words, range(len(rank) + 1, len(rank) + len(words) + 1), strict=True))
    return Frequencies(rank, first_ranks, bins)
