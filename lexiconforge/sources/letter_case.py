"""How often a word is written with a capital: the cased frequencies that ``spacy-lookups-data`` ships.

Its English table gives log-probabilities for a million forms as they stand in text (Reddit comments), the
commonest first. The file is read only as far as it tells something: a form rarer than
:data:`~lexiconforge.sources.lookups.FLOOR` counts as not written at all.
"""

from __future__ import annotations

import math
from collections.abc import Collection

from lexiconforge.sources.lookups import CASED, lookup, read_entries


def share_capitalised(words: Collection[str]) -> dict[str, float]:
    """Of each word's uses, the share with a capital first letter (0 to 1), sentence starts included.

    A word of which neither form is above the floor is left out. Raises SourceError if the table is
    missing or not in order of frequency.

    >>> share = share_capitalised(["peter", "water"])
    >>> share["peter"] > 0.9, share["water"] < 0.3
    (True, True)
    """
    found = read_entries(lookup(CASED))
    shares = {}
    for word in words:
        small, large = found.get(word), found.get(word.capitalize())
        if large is None:
            if small is not None:
                shares[word] = 0.0
        else:
            shares[word] = 1 / (1 + math.exp(float(small) - float(large))) if small else 1.0
    return shares
