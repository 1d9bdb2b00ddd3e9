"""American spellings: the Hunspell dictionary ``en_US`` that the package ``spylls`` ships.

The dictionary is made from SCOWL (Spell Checker Oriented Word Lists, Kevin Atkinson), keeps names in
capitals and writes inflected forms as rules. A form is looked up by taking endings and beginnings off again,
as Hunspell's own manual, hunspell(5), describes them and as far as this dictionary uses them.
"""

from __future__ import annotations

import re
from collections import defaultdict
from functools import cache
from typing import NamedTuple

from lexiconforge.errors import SourceError
from lexiconforge.sources import locate, read_or_ask


class _Suffix(NamedTuple):
    flag: str
    cut: str
    condition: re.Pattern[str]
    crosses: bool


class AmericanWords:
    """The dictionary; a word can be in it in both cases (*turkey*, *Turkey*)."""

    def __init__(self, affixes: str, words: list[str]) -> None:
        """``affixes`` is the text of the affix file, ``words`` the lines ``stem/flags``."""
        self._suffixes: dict[str, list[_Suffix]] = defaultdict(list)
        self._prefixes: list[tuple[str, str]] = []
        self._read_rules(affixes)
        self._lower: dict[str, str] = {}
        self._capital: dict[str, str] = {}
        self._known: dict[str, bool] = {}
        for line in words:
            stem, _, flags = line.partition("/")
            if stem.islower():
                self._lower[stem] = self._lower.get(stem, "") + flags
            else:
                stem = stem.lower()
                self._capital[stem] = self._capital.get(stem, "") + flags
        sizes: dict[str, set[int]] = defaultdict(set)
        for ending in self._suffixes:
            sizes[ending[-1]].add(len(ending))
        self._sizes = {letter: sorted(some) for letter, some in sizes.items()}
        self._beginnings = tuple(prefix for prefix, _ in self._prefixes)

    def in_lower_case(self, word: str) -> bool:
        """Is this a form that the dictionary writes in lower case?

        >>> words = load_american_words()
        >>> words.in_lower_case("waited"), words.in_lower_case("seattle")
        (True, False)
        """
        found = self._known.get(word)
        if found is None:
            found = self._known[word] = self._has(self._lower, word)
        return found

    def flags(self, word: str) -> str:
        """The letters of the rules that a base form in lower case may take, as hunspell(5) calls them."""
        return self._lower.get(word, "")

    def with_capital(self, word: str) -> bool:
        """Is this lower-cased word one that the dictionary writes with a capital?

        >>> words = load_american_words()
        >>> words.with_capital("seattle"), words.with_capital("waited")
        (True, False)
        """
        return self._has(self._capital, word)

    def _read_rules(self, affixes: str) -> None:
        crosses = {}
        for line in affixes.splitlines():
            field = line.split()
            if len(field) == 4 and field[0] in ("SFX", "PFX"):
                crosses[field[1]] = field[2] == "Y"
            elif len(field) == 5 and field[0] == "SFX":
                cut = "" if field[2] == "0" else field[2]
                condition = re.compile(f"{field[4]}$")
                self._suffixes[field[3]].append(_Suffix(field[1], cut, condition, crosses[field[1]]))
            elif len(field) == 5 and field[0] == "PFX":
                if (field[2], field[4]) != ("0", "."):
                    raise SourceError(f"en_US.aff: a prefix with a condition: {line!r}")
                self._prefixes.append((field[3], field[1]))

    def _has(self, stems: dict[str, str], word: str) -> bool:
        if word in stems or self._from_suffix(stems, word, ""):
            return True
        if not word.startswith(self._beginnings):
            return False
        for prefix, flag in self._prefixes:
            if word.startswith(prefix):
                rest = word[len(prefix) :]
                if flag in stems.get(rest, "") or self._from_suffix(stems, rest, flag):
                    return True
        return False

    def _from_suffix(self, stems: dict[str, str], word: str, prefix_flag: str) -> bool:
        for size in self._sizes.get(word[-1:], ()):
            if size >= len(word):
                break
            for suffix in self._suffixes.get(word[-size:], ()):
                stem = word[:-size] + suffix.cut
                flags = stems.get(stem, "")
                if (
                    suffix.flag in flags
                    and (not prefix_flag or (suffix.crosses and prefix_flag in flags))
                    and suffix.condition.search(stem)
                ):
                    return True
        return False


@cache
def load_american_words() -> AmericanWords:
    """The dictionary as shipped. Raises SourceError if it is missing or has a shape that neither we nor its package read."""
    return read_or_ask(_read, _ask)


def _ask() -> AmericanWords:
    from spylls.hunspell import Dictionary

    found = Dictionary.from_files(
        str(locate("spylls", "hunspell", "data", "en", "en_US.aff").with_suffix(""))
    )
    affixes = []
    for kind, rules in (("PFX", found.aff.PFX), ("SFX", found.aff.SFX)):
        for flag, some in rules.items():
            affixes.append(f"{kind} {flag} {'Y' if some[0].crossproduct else 'N'} {len(some)}")
            affixes += [
                f"{kind} {flag} {one.strip or '0'} {one.add} {one.condition or '.'}" for one in some
            ]
    words = [f"{word.stem}/{''.join(sorted(word.flags))}" for word in found.dic.words]
    return AmericanWords("\n".join(affixes), words)


def _read() -> AmericanWords:
    folder = locate("spylls", "hunspell", "data", "en")
    lines = (folder / "en_US.dic").read_text(encoding="utf-8").splitlines()
    if not lines or not lines[0].isdigit():
        raise SourceError("en_US.dic: the first line is not a count of words")
    return AmericanWords((folder / "en_US.aff").read_text(encoding="utf-8"), lines[1:])
