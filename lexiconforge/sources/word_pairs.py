"""Counts of word pairs: the English pairs that ``symspellpy`` ships, 242,342 of them.

Why these: ``wordsegment`` ships a comparable list. On pairs of a t and a vowel in open text (spoken and
written parts of an open corpus, political addresses) both cover 90 to 93 of 100 tokens and rank pairs
alike (Spearman 0.46 to 0.62 against 0.48 to 0.62). This one has one row for a pair, where the other has
several in different letter case, and its package is maintained.
"""

from __future__ import annotations

from lexiconforge.sources import SourceError, locate

WordPairs = dict[tuple[str, str], int]


def load_word_pairs() -> WordPairs:
    """Occurrences by (first word, second word), lower case.

    Raises SourceError for a line that is not two words and a count, by its number.

    >>> pairs = load_word_pairs()
    >>> pairs["at", "all"] > pairs["at", "odds"]
    True
    """
    path = locate("symspellpy", "frequency_bigramdictionary_en_243_342.txt")
    pairs: WordPairs = {}
    for number, line in enumerate(path.read_text(encoding="utf-8-sig").splitlines(), start=1):
        try:
            first, second, count = line.split()
            pairs[first, second] = int(count)
        except ValueError:
            raise SourceError(f"{path.name}, line {number}: not two words and a count: {line!r}") from None
    return pairs
