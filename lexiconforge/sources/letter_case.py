"""How often a word is written with a capital: the cased frequencies that ``spacy-lookups-data`` ships.

Its English table gives log-probabilities for a million forms as they stand in text (Reddit comments), the
commonest first. The file is read only as far as it tells something: a form rarer than
:data:`FLOOR` counts as not written at all.
"""

from __future__ import annotations

import gzip
import math
from collections.abc import Collection

from lexiconforge.sources import SourceError, locate

FLOOR = -16.0
"""Natural log-probability at which reading stops, one form in nine million: the commonest 100,000 forms.
The rarer form of a word that is common in the other case is then below one in a hundred."""
_BLOCK = 1 << 18


def share_capitalised(words: Collection[str]) -> dict[str, float]:
    """Of each word's uses, the share with a capital first letter (0 to 1), sentence starts included.

    A word of which neither form is above the floor is left out. Raises SourceError if the table is
    missing or not in order of frequency.

    >>> share = share_capitalised(["peter", "water"])
    >>> share["peter"] > 0.9, share["water"] < 0.3
    (True, True)
    """
    path = locate(
        "spacy_lookups_data", "data", "en_lexeme_prob.json.gz", distribution="spacy-lookups-data"
    )
    forms = {word: (word, word.capitalize()) for word in words}
    wanted = {form for pair in forms.values() for form in pair}
    found: dict[str, float] = {}
    previous = 0.0
    with gzip.open(path) as table:
        rest = table.read(2).decode()
        while block := table.read(_BLOCK):
            *lines, rest = (rest + block.decode("utf-8", errors="ignore")).split(",\n")
            for line in lines:
                form, _, value = line.strip().rpartition(":")
                if form[1:-1] in wanted:
                    found[form[1:-1]] = math.exp(float(value))
            last = float(value)
            if last > previous:
                raise SourceError(f"{path.name}: not in order of frequency")
            previous = last
            if last < FLOOR:
                break
    shares = {}
    for word, (small, large) in forms.items():
        total = found.get(small, 0.0) + found.get(large, 0.0)
        if total:
            shares[word] = found.get(large, 0.0) / total
    return shares
