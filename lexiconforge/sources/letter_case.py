"""How often a word is written with a capital: the cased frequencies that ``spacy-lookups-data`` ships.

Its English table gives log-probabilities for a million forms as they stand in text (Reddit comments), the
commonest first. The file is read only as far as it tells something: a form rarer than
:data:`FLOOR` counts as not written at all.
"""

from __future__ import annotations

import gzip
import math
import re
from collections.abc import Collection
from pathlib import Path

from lexiconforge.errors import SourceError
from lexiconforge.sources.lookups import CASED, lookup

FLOOR = -14.5
"""Natural log-probability at which reading stops, one form in two million.
For a word of which one form is common, taking the other for nothing below this changes its share little."""
_BLOCK = 1 << 18
_ENTRY = re.compile(r'"([A-Za-z\']+)":(-[0-9.]+)')


def read_entries(path: Path) -> dict[str, str]:
    """Log-probability by form down to :data:`FLOOR`, as the table has it. Raises SourceError."""
    found: dict[str, str] = {}
    last = 0.0
    with gzip.open(path, "rt", encoding="utf-8") as table:
        while last > FLOOR and (block := table.read(_BLOCK)):
            entries = _ENTRY.findall(block + table.readline())
            if not entries or float(entries[0][1]) > last:
                raise SourceError(f"{path.name}: not in order of frequency")
            last = float(entries[-1][1])
            found.update(entries)
    return found


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
