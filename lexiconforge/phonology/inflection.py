"""Pronunciations of regular inflected forms that the dictionary does not list, from the form it does.

The rules of the regular English endings (common practice): -s and -'s are S, Z or IH0 Z, -ed is T, D or IH0 D, by
the last sound of the stem. Room: takes a word and the dictionary, gives phones; imports the ARPAbet only.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence

from lexiconforge.phonology.arpabet import Phones

_VOICELESS = frozenset({"P", "T", "K", "F", "TH", "S", "SH", "CH", "HH"})
_SIBILANT = frozenset({"S", "Z", "SH", "ZH", "CH", "JH"})


def _s(stem: Phones) -> Phones:
    if stem[-1] in _SIBILANT:
        return ("IH0", "Z")
    return ("S",) if stem[-1] in _VOICELESS else ("Z",)


def _ed(stem: Phones) -> Phones:
    if stem[-1] in ("T", "D"):
        return ("IH0", "D")
    return ("T",) if stem[-1] in _VOICELESS else ("D",)


def inflected(word: str, pronunciations: Mapping[str, Sequence[Phones]]) -> Phones | None:
    """Phones of a regular form of a listed word, None if it is not one.

    >>> inflected("texted", {"text": [("T", "EH1", "K", "S", "T")]})
    ('T', 'EH1', 'K', 'S', 'T', 'IH0', 'D')
    """
    for base, ending in _analyses(word):
        if len(base) > 1 and base in pronunciations:
            stem = pronunciations[base][0]
            return (
                stem + {"s": _s, "ed": _ed}[ending](stem)
                if ending in ("s", "ed")
                else stem + _FIXED[ending]
            )
    return None


def bases(word: str) -> list[str]:
    """Spellings of which the word may be a regular form, whether or not there is such a word.

    >>> bases("waited")
    ['wait', 'waite']
    """
    return list(dict.fromkeys(base for base, _ in _analyses(word)))


_FIXED: dict[str, Phones] = {
    "ing": ("IH0", "NG"),
    "er": ("ER0",),
    "est": ("AH0", "S", "T"),
    "ly": ("L", "IY0"),
    "ness": ("N", "AH0", "S"),
}


def _analyses(word: str) -> Iterator[tuple[str, str]]:
    if word.endswith(("'s", "s'")):
        yield word[:-2], "s"
        yield word[:-1].rstrip("'"), "s"
    if word.endswith("ies"):
        yield word[:-3] + "y", "s"
    if word.endswith("s") and not word.endswith("ss"):
        yield word[:-1], "s"
        if word.endswith("es"):
            yield word[:-2], "s"
    if word.endswith("ied"):
        yield word[:-3] + "y", "ed"
    for ending in ("ed", "ing", "er", "est"):
        if word.endswith(ending):
            stem = word[: -len(ending)]
            yield stem, ending
            yield stem + "e", ending
            if len(stem) > 2 and stem[-1] == stem[-2]:
                yield stem[:-1], ending
            if stem.endswith("i"):
                yield stem[:-1] + "y", ending
    for ending in ("ly", "ness"):
        if word.endswith(ending):
            yield word[: -len(ending)], ending
