"""IPA as a person writes it, turned into ARPAbet: the way back from :mod:`lexiconforge.phonology.ipa`.

Room: imports the ARPAbet; the signs are ``data/ipa_signs.csv``, one row each, with what is meant instead of a sign that
General American has no use for.
"""

from __future__ import annotations

import unicodedata
from functools import cache
from typing import NamedTuple

from lexiconforge import data
from lexiconforge.phonology.arpabet import VOWELS

MAIN, SECONDARY = "ˈ'", "ˌ"
"""Marks before a stressed syllable; the apostrophe of the keyboard is taken for the first."""
_PASSED_OVER = ".ː:‿͜͡/[]()-| "
"""Marks that say nothing of which phone it is: syllable breaks, length, ties, brackets."""


class _Sign(NamedTuple):
    phones: tuple[str, ...]
    meant: str


@cache
def _signs() -> dict[str, _Sign]:
    return {
        row["sign"]: _Sign(tuple(row["phones"].split()), row["meant"]) for row in data.rows("ipa_signs")
    }


@cache
def _longest() -> int:
    return max(map(len, _signs()))


def looks_like_ipa(text: str) -> bool:
    """Is this IPA and not ARPAbet: a sign outside ASCII, slashes or brackets around it, or one run of small letters?

    >>> looks_like_ipa("ˈɡrɑtoʊ"), looks_like_ipa("G R AA1 T OW0"), looks_like_ipa("/bit/")
    (True, False, True)
    """
    text = text.strip()
    return (
        not text.isascii()
        or text[:1] in ("/", "[")
        or (text.isalpha() and text.islower() and len(text) > 2)
    )


def phones_of_ipa(text: str) -> list[str]:
    """ARPAbet phones with stress digits, of broad IPA with or without brackets, length marks and ties.

    A mark of stress belongs to the next vowel; a word of one vowel needs none. ə and r that no vowel follows are the
    vowel of *letter*. Raises ValueError, which names a sign that is not of General American and what is meant by it.

    >>> phones_of_ipa("/ˈɡrɑːtoʊ/"), phones_of_ipa("ˈlɛtər"), phones_of_ipa("bʌt")
    (['G', 'R', 'AA1', 'T', 'OW0'], ['L', 'EH1', 'T', 'ER0'], ['B', 'AH1', 'T'])
    """
    found: list[str] = []
    marks: dict[int, str] = {}
    stress = ""
    rest = unicodedata.normalize("NFD", text)
    # A tie or a length mark inside a sign of two letters would hide it.
    rest = "".join(mark for mark in rest if mark not in _PASSED_OVER)
    while rest:
        if rest[0] in MAIN or rest[0] in SECONDARY:
            stress, rest = "1" if rest[0] in MAIN else "2", rest[1:]
            continue
        sign = next((rest[:n] for n in range(_longest(), 0, -1) if rest[:n] in _signs()), "")
        if not sign:
            raise ValueError(f"{_letter(rest)!r} is no sign of the IPA that this reads")
        known = _signs()[sign]
        if not known.phones:
            raise ValueError(f"{sign!r} is not used for General American here; meant is {known.meant}")
        for phone in known.phones:
            if phone in VOWELS and stress:
                marks[len(found)], stress = stress, ""
            found.append(phone)
        rest = rest[len(sign) :]
    if stress:
        raise ValueError("a stress mark stands before no vowel")
    return _with_digits(*_joined(found, marks))


def _letter(rest: str) -> str:
    """The first letter with the marks on it."""
    n = 1
    while n < len(rest) and unicodedata.combining(rest[n]):
        n += 1
    return rest[:n]


def _joined(found: list[str], marks: dict[int, str]) -> tuple[list[str], dict[int, str]]:
    """Schwa and r as the one vowel they are, unless the r opens the next syllable."""
    phones: list[str] = []
    stress: dict[int, str] = {}
    n = 0
    while n < len(found):
        if n in marks:
            stress[len(phones)] = marks[n]
        after = found[n + 2] if n + 2 < len(found) else ""
        if found[n : n + 2] == ["AH", "R"] and after not in VOWELS:
            phones.append("ER")
            n += 2
        else:
            phones.append(found[n])
            n += 1
    return phones, stress


def _with_digits(phones: list[str], stress: dict[int, str]) -> list[str]:
    vowels = [n for n, phone in enumerate(phones) if phone in VOWELS]
    if len(vowels) == 1 and not stress:
        stress = {vowels[0]: "1"}
    return [phone + stress.get(n, "0") if phone in VOWELS else phone for n, phone in enumerate(phones)]
