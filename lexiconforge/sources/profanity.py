"""Rude words: how many of the word lists in the package ``expletives`` name a word.

Single lists of this kind hold *stroke*, *fat* and *kumquat*; what several independent lists name is rude.
Only English lists that the package itself calls profanity are read, each once.
"""

from __future__ import annotations

from collections import Counter

from lexiconforge.errors import SourceError
from lexiconforge.sources import locate

_NOT_RUDE = ("lssu", "chic-fil-a")
"""Lists of worn-out phrases and banned slang, which the package keeps beside the others."""
_TWICE = ("ldnoobw", "facebook-2011-723", "gizmodo-google-473")
"""Older copies of lists that are there under another name."""


def count_lists() -> Counter[str]:
    """Number of lists by word, lower case, single words only. Raises SourceError if they are missing."""
    folder = locate("expletives", "data", "sources")
    lists: Counter[str] = Counter()
    for path in sorted(folder.glob("*.txt")):
        foreign = path.stem.startswith("ldnoobw-") and path.stem != "ldnoobw-en"
        if foreign or path.stem in _TWICE or path.stem.startswith(_NOT_RUDE):
            continue
        lines = path.read_text(encoding="utf-8", errors="replace").lower().splitlines()
        lists.update({line.strip() for line in lines if line.strip().isalpha()})
    if not lists:
        raise SourceError("expletives: no word lists found in the package")
    return lists
