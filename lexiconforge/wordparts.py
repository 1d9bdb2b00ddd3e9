"""What the inside of a word tells the rules: where its parts meet, and schwas the dictionary leaves out.

Room: takes a spelling, its phones and the pronunciations of other words; gives the symbols that
:func:`lexiconforge.allophones.tag` reads. Imports the ARPAbet and the marks of that module. Both findings come from the
dictionary itself (two words side by side, a relative), not from lists; what no rule can know stands in
``data/readings.csv``, one word a row with the reason.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Collection, Mapping, Sequence
from itertools import islice
from typing import NamedTuple

from lexiconforge import data
from lexiconforge.allophones import JUNCTURE, LEANING, SEAM
from lexiconforge.phones import is_vowel

Phones = tuple[str, ...]
Pronunciations = Mapping[str, Sequence[Phones]]

RARE_PART = 25_000
"""A part of a compound has at most this rank. Found by reading every T whose allophone changes among the
60,000 commonest words: with this limit nearly all parts are words; no other was tried."""
SHORT_PART = 3
"""A part shorter than this must be among the very common words (up, in, on)."""
COMMON_SHORT_PART = 200

_REDUCED = frozenset({"AH0", "IH0", "ER0", "IY0", "OW0", "UW0"})
_MARKS = frozenset({JUNCTURE, LEANING, SEAM})
_HIDDEN_L = re.compile(r"^(.*tl)(?:ing|er)")
_HIDDEN_R = re.compile(r"t[aeiou]r")


class Reading(NamedTuple):
    """A pronunciation as the rules read it.

    ``symbols`` are its phones with marks (``-``, ``=``) and restored schwas put in; ``places[i]`` is the
    index of symbol *i* among the phones, -1 for what was put in; ``note`` says why a single word is read
    otherwise than its phones, mostly ``""``.
    """

    symbols: Sequence[str]
    places: Sequence[int]
    note: str


def single_words() -> dict[str, tuple[Phones, str, str]]:
    """The table of single words: reading, reason, source."""
    return {
        row["word"]: (tuple(row["reading"].split()), row["reason"], row["source"])
        for row in data.rows("readings")
    }


_SINGLE_WORDS = single_words()


def parts_of_compounds(pronunciations: Pronunciations, rank: Mapping[str, int]) -> frozenset[str]:
    """The words that a compound may be made of. ``rank`` is in order of rank."""
    return frozenset(
        word
        for word, place in islice(rank.items(), RARE_PART)
        if place <= (RARE_PART if len(word) >= SHORT_PART else COMMON_SHORT_PART)
        and word in pronunciations
    )


def read(
    word: str,
    phones: Phones,
    pronunciations: Pronunciations,
    parts: Collection[str],
    is_word: Callable[[str], bool] = str.islower,
) -> Reading | None:
    """The symbols that the rules should see for this pronunciation of this word, None if just its phones.

    ``pronunciations`` holds the dictionary, ``parts`` what a compound may be made of
    (:func:`parts_of_compounds`); ``is_word`` tells whether a part is a word and not a name.

    >>> parts = {"set": [("S", "EH1", "T")], "up": [("AH1", "P")]}
    >>> " ".join(read("setup", ("S", "EH1", "T", "AH2", "P"), parts, parts).symbols)
    'S EH1 T - AH2 P'
    """
    single = _SINGLE_WORDS.get(word)
    if single is not None:
        symbols, reason, _ = single
        if _frame(symbols) == _frame(phones):
            return Reading(symbols, _places(symbols), reason)
    cuts = _junctures(word, phones, pronunciations, parts, is_word) if "T" in phones[1:-1] else ()
    schwas = _hidden_schwas(word, phones, pronunciations)
    if not cuts and not schwas:
        return None
    symbols_out: list[str] = []
    places: list[int] = []
    for place, phone in enumerate(phones):
        if place in cuts:
            symbols_out.append(SEAM)
            places.append(-1)
        if place in schwas:
            symbols_out.append(schwas[place])
            places.append(-1)
            if phone == "R":
                continue
        symbols_out.append(phone)
        places.append(place)
    return Reading(symbols_out, places, "")


def _frame(symbols: Sequence[str]) -> list[str]:
    return ["V" if is_vowel(symbol) else symbol for symbol in symbols if symbol not in _MARKS]


def _places(symbols: Sequence[str]) -> list[int]:
    count, places = 0, []
    for symbol in symbols:
        places.append(-1 if symbol in _MARKS else count)
        count += symbol not in _MARKS
    return places


def _segments(phones: Sequence[str]) -> list[str]:
    return [phone.rstrip("012") for phone in phones]


def _junctures(
    word: str,
    phones: Phones,
    pronunciations: Pronunciations,
    parts: Collection[str],
    is_word: Callable[[str], bool],
) -> set[int]:
    """Phone indexes before which the second part of a compound begins, a T at most one phone away.

    Both parts must be words common enough, their pronunciations must join up to this one, the first must
    keep a stress and the second a full vowel: that is what tells *set + up* from *port + ray*.
    """
    found: set[int] = set()
    segments: list[str] | None = None
    for cut in range(2, len(word) - 1):
        left, right = word[:cut], word[cut:]
        if left not in parts or right not in parts:
            continue
        if segments is None:
            segments = _segments(phones)
        for first in pronunciations[left]:
            size = len(first)
            if size >= len(phones) or "T" not in phones[size - 2 : size + 1]:
                continue
            if segments[:size] != _segments(first) or not _stressed_still(first, phones[:size]):
                continue
            if any(
                segments[size:] == _segments(second) and _full_still(second, phones[size:])
                for second in pronunciations[right]
            ):
                if is_word(left) and is_word(right):
                    found.add(size)
                break
    return found


def _stressed_still(alone: Sequence[str], inside: Sequence[str]) -> bool:
    return any(phone[-1] == "1" and other[-1] != "0" for phone, other in zip(alone, inside, strict=True))


def _full_still(alone: Sequence[str], inside: Sequence[str]) -> bool:
    return any(
        phone[-1] == "1" and other not in _REDUCED for phone, other in zip(alone, inside, strict=True)
    )


def _hidden_schwas(word: str, phones: Phones, pronunciations: Pronunciations) -> dict[int, str]:
    """Schwas that the spelling or a relative shows and these phones leave out, by the phone they precede.

    *rattling* T L has the schwa of *rattle* T AH0 L; *veterinary* T R is spelled with a vowel between, and
    its r becomes ER0. Not after n: *interest* keeps its tr.
    """
    schwas = {}
    if "tl" in word and (match := _HIDDEN_L.match(word)):
        base_word = match.group(1) + "e"
        for base in pronunciations.get(base_word, ()):
            size = len(base) - 3
            if base[size:] == ("T", "AH0", "L") and phones[: size + 2] == (*base[:size], "T", "L"):
                schwas[size + 1] = "AH0"
    if "R" in phones and "tr" not in word and _HIDDEN_R.search(word):
        for place in range(2, len(phones)):
            if phones[place - 1 : place + 1] == ("T", "R") and phones[place - 2] != "N":
                schwas[place] = "ER0"
    return schwas
