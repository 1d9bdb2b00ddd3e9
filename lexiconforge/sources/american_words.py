"""American spellings: the Hunspell dictionary ``en_US`` that the package ``spylls`` ships.

The dictionary is made from SCOWL (Spell Checker Oriented Word Lists, Kevin Atkinson), keeps names in
capitals and writes inflected forms as rules, which are expanded here: the suffix and prefix rules of
Hunspell's own manual (hunspell(5)), as far as this dictionary uses them.
"""

from __future__ import annotations

import re
from collections import defaultdict
from dataclasses import dataclass

from lexiconforge.sources import SourceError, locate

_LONGEST_CONDITION = 4


@dataclass(frozen=True)
class AmericanWords:
    """``lower`` holds every form written in lower case, ``capital`` the lower-cased form of every one
    written with a capital; a word can be in both (*Turkey*, *turkey*)."""

    lower: frozenset[str]
    capital: frozenset[str]


def load_american_words() -> AmericanWords:
    """All forms of the dictionary. Raises SourceError if it is missing or has another shape.

    >>> words = load_american_words()
    >>> "water" in words.lower, "seattle" in words.lower, "seattle" in words.capital
    (True, False, True)
    """
    folder = locate("spylls", "hunspell", "data", "en")
    affixes = _Affixes((folder / "en_US.aff").read_text(encoding="utf-8"))
    lines = (folder / "en_US.dic").read_text(encoding="utf-8").splitlines()
    if not lines or not lines[0].isdigit():
        raise SourceError("en_US.dic: the first line is not a count of words")
    lower: set[str] = set()
    capital: set[str] = set()
    for line in lines[1:]:
        stem, _, flags = line.partition("/")
        if stem.islower():
            lower.update(affixes.forms(stem, flags))
        else:
            capital.update(form.lower() for form in affixes.forms(stem, flags))
    return AmericanWords(frozenset(lower), frozenset(capital))


class _Affixes:
    def __init__(self, text: str) -> None:
        self._suffixes: dict[str, list[tuple[str, str, re.Pattern[str]]]] = defaultdict(list)
        self._prefixes: dict[str, list[str]] = defaultdict(list)
        self._crosses: dict[str, bool] = {}
        self._endings: dict[tuple[str, str], list[tuple[int, str]]] = {}
        for line in text.splitlines():
            field = line.split()
            if len(field) == 4 and field[0] in ("SFX", "PFX"):
                self._crosses[field[1]] = field[2] == "Y"
            elif len(field) == 5 and field[0] == "SFX":
                cut = "" if field[2] == "0" else field[2]
                self._suffixes[field[1]].append((cut, field[3], re.compile(f"{field[4]}$")))
            elif len(field) == 5 and field[0] == "PFX":
                if (field[2], field[4]) != ("0", "."):
                    raise SourceError(f"en_US.aff: a prefix with a condition: {line!r}")
                self._prefixes[field[1]].append(field[3])

    def forms(self, stem: str, flags: str) -> list[str]:
        """The stem and all that its flags make of it."""
        forms, crossing = [stem], [stem]
        for flag in flags:
            if flag in self._suffixes:
                made = [
                    (stem[:-cut] if cut else stem) + ending for cut, ending in self._fit(flag, stem)
                ]
                forms += made
                if self._crosses[flag]:
                    crossing += made
        for flag in flags:
            for prefix in self._prefixes.get(flag, ()):
                forms += [prefix + form for form in crossing]
        return forms

    def _fit(self, flag: str, stem: str) -> list[tuple[int, str]]:
        key = (flag, stem[-_LONGEST_CONDITION:])
        if key not in self._endings:
            self._endings[key] = [
                (len(cut), ending)
                for cut, ending, condition in self._suffixes[flag]
                if condition.search(stem)
            ]
        return self._endings[key]
