"""What the inside of a word tells the rules: where its parts meet, and schwas the dictionary leaves out.

Room: takes a spelling, its phones and the pronunciations of other words; gives the symbols that the matcher reads. Both
findings come from the dictionary itself (two words side by side, a relative), not from lists; what no rule can know is
in the ``exceptions.csv`` of a sound, one word a row with the reason.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Collection, Container, Iterable, Mapping, Sequence
from functools import cache
from typing import NamedTuple

from lexiconforge import data
from lexiconforge.phonology.arpabet import Phones, is_vowel
from lexiconforge.phonology.inflection import bases
from lexiconforge.phonology.ipa import CARRY_SYLLABIC
from lexiconforge.phonology.matcher import COMPOUND_BOUNDARY, ENDING, MARKS

Pronunciations = Mapping[str, Sequence[Phones]]

RARE_PART = 25_000
"""A part of a compound has at most this rank. Found by reading every T whose allophone changes among the
60,000 commonest words: with this limit nearly all parts are words; no other was tried."""
SHORT_PART = 3
"""A part shorter than this must be among the very common words (up, in, on)."""
COMMON_SHORT_PART = 200

_REDUCED = frozenset({"AH0", "IH0", "ER0", "IY0", "OW0", "UW0"})
_WEAK = frozenset({"AH0", "IH0", "UH0", "IY0", "UW0"})


@cache
def prefixes() -> frozenset[str]:
    """Beginnings behind which a word may stand that keeps its own (``data/prefixes.csv``)."""
    return frozenset(row["prefix"] for row in data.rows("prefixes"))


class ExceptionRow(NamedTuple):
    """One single word: the symbols the rules should see, and why."""

    symbols: Phones
    reason: str
    source: str


class Symbols(NamedTuple):
    """A pronunciation as the rules read it.

    ``symbols`` are its phones with marks (``-``, ``=``, ``.``) and restored schwas put in; ``indexes[i]`` is the
    index of symbol *i* among the phones, -1 for what was put in; ``note`` says why a single word is read
    otherwise than its phones, mostly ``""``.
    """

    symbols: Phones
    indexes: tuple[int, ...]
    note: str

    @property
    def boundaries(self) -> list[int]:
        """Indexes of the phones at which a part of a compound begins."""
        return [self.indexes[i + 1] for i, one in enumerate(self.symbols) if one == COMPOUND_BOUNDARY]

    @property
    def ending(self) -> int | None:
        """Index of the phone with which an ending begins behind a syllabic consonant."""
        return self.indexes[self.symbols.index(ENDING) + 1] if ENDING in self.symbols else None


def parts_of_compounds(
    pronunciations: Collection[str], ranked: Iterable[tuple[str, int]]
) -> frozenset[str]:
    """The words that a compound may be made of. ``ranked`` gives words with their ranks."""
    return frozenset(word for word, rank in ranked if is_part(word, rank) and word in pronunciations)


def is_part(word: str, rank: int) -> bool:
    """May a compound be made of a word of this rank? Not of those that are mostly a beginning or an ending
    (``data/never_parts.csv``)."""
    most = RARE_PART if len(word) >= SHORT_PART else COMMON_SHORT_PART
    return rank <= most and word not in _never_parts()


@cache
def _never_parts() -> frozenset[str]:
    return frozenset(row["word"] for row in data.rows("never_parts"))


class BoundaryFinder:
    """Finds the symbols of words with one sound: ``phone`` and the ``letter`` that spells it.

    ``exceptions`` are single words; ``pronunciations`` holds the dictionary, ``parts`` what a compound may be made of
    (:func:`parts_of_compounds`); ``is_word`` tells whether a part is a word and not a name.

    >>> parts = {"set": [("S", "EH1", "T")], "up": [("AH1", "P")]}
    >>> finder = BoundaryFinder("T", "t", {}, parts, parts)
    >>> " ".join(finder.symbols("setup", ("S", "EH1", "T", "AH2", "P")).symbols)
    'S EH1 T - AH2 P'
    """

    def __init__(
        self,
        phone: str,
        letter: str,
        exceptions: Mapping[str, ExceptionRow],
        pronunciations: Pronunciations,
        parts: Container[str],
        is_word: Callable[[str], bool] = str.islower,
    ) -> None:
        self._phone, self._exceptions = phone, exceptions
        self._pronunciations, self._parts, self._is_word = pronunciations, parts, is_word
        self._lost_before_l = re.compile(rf"^(.*{letter}l)(?:ing|er)")
        self._lost_before_r = re.compile(rf"{letter}[aeiou]r")
        self._letter = letter
        self._segmented: dict[str, list[tuple[Phones, list[str]]]] = {}

    def symbols(self, word: str, phones: Phones) -> Symbols | None:
        """The symbols that the rules should see for this pronunciation of this word, None if just its phones."""
        exception = self._exceptions.get(word)
        if exception is not None and _frame(exception.symbols) == _frame(phones):
            return Symbols(exception.symbols, _indexes(exception.symbols), exception.reason)
        cuts = self._compound_boundaries(word, phones) if self._phone in phones[1:-1] else ()
        schwas = self._syncopated_schwas(word, phones, cuts)
        ending = ending_after_syllabic(word, phones, self._pronunciations)
        if not cuts and not schwas and ending is None:
            return None
        symbols: list[str] = []
        indexes: list[int] = []
        for index, phone in enumerate(phones):
            if index == ending:
                symbols.append(ENDING)
                indexes.append(-1)
            if index in cuts:
                symbols.append(COMPOUND_BOUNDARY)
                indexes.append(-1)
            if index in schwas and index not in cuts:
                symbols.append(schwas[index])
                indexes.append(-1)
                if phone == "R":
                    continue
            symbols.append(phone)
            indexes.append(index)
        return Symbols(tuple(symbols), tuple(indexes), "")

    def _compound_boundaries(self, word: str, phones: Phones) -> set[int]:
        """Phone indexes before which the second part of a compound begins, the sound at most one phone away.

        Both parts must be words common enough, their pronunciations must join up to this one, the first must
        keep a stress and the second a full vowel: that is what tells *set + up* from *port + ray*.
        """
        found: set[int] = set()
        parts = self._parts
        segments: list[str] | None = None
        for cut in range(2, len(word) - 1):
            left, right = word[:cut], word[cut:]
            if left not in parts or right not in parts:
                continue
            if segments is None:
                segments = _segments(phones)
            for first, first_segments in self._part(left):
                size = len(first)
                if size >= len(phones) or self._phone not in phones[size - 2 : size + 1]:
                    continue
                if segments[:size] != first_segments or not _stressed_still(first, phones[:size]):
                    continue
                if any(
                    segments[size:] == second_segments and _full_still(second, phones[size:])
                    for second, second_segments in self._part(right)
                ):
                    if self._is_word(left) and self._is_word(right):
                        found.add(size)
                    break
        return found or self._after_prefix(word, phones)

    def _after_prefix(self, word: str, phones: Phones) -> set[int]:
        """The phone index at which a word that begins with the sound in a weak syllable stands after a prefix: *redefine*.

        In a stressed syllable the sound opens the syllable with or without a boundary.
        """
        for cut in range(2, min(8, len(word) - 2)):
            if word[:cut] in prefixes() and word[cut:] in self._parts and self._is_word(word[cut:]):
                for alone in self._pronunciations[word[cut:]]:
                    size = len(phones) - len(alone)
                    weak = next((phone for phone in alone if phone[-1] in "012"), "")[-1:] == "0"
                    if (
                        weak
                        and alone[0] == self._phone
                        and _weak_alike(phones[size:]) == _weak_alike(alone)
                    ):
                        return {size}
        return set()

    def prefix_end(self, word: str, phones: Phones) -> int | None:
        """The phone index at which a syllable begins because a word begins there after a prefix: *mis-leading*, *un-even*.

        Not between the s of a weak prefix and a voiceless stop, which is said with it: *mi-stake*, *di-splace*; but
        *mis-conduct*, *dis-count* (from memory).
        """
        for cut in range(2, min(8, len(word) - 2)):
            if word[:cut] in prefixes() and word[cut:] in self._parts and self._is_word(word[cut:]):
                for alone in self._pronunciations[word[cut:]]:
                    size = len(phones) - len(alone)
                    if size > 1 and _unmarked(phones[size:]) == _unmarked(alone):
                        weak = phones[size - 2][-1] == "0"
                        joined = weak and phones[size - 1] == "S" and alone[0] in ("P", "T", "K")
                        return None if joined else size
        return None

    def _part(self, word: str) -> list[tuple[Phones, list[str]]]:
        known = self._segmented.get(word)
        if known is None:
            known = [(phones, _segments(phones)) for phones in self._pronunciations[word]]
            self._segmented[word] = known
        return known

    def _syncopated_schwas(self, word: str, phones: Phones, cuts: Collection[int]) -> dict[int, str]:
        """Schwas that the spelling or a relative shows and these phones leave out, by the phone they precede.

        *rattling* T L has the schwa of *rattle* T AH0 L; *veterinary* T R is spelled with a vowel between, and
        its r becomes ER0. Not after n: *interest* keeps its tr; nor where a part of a compound begins (``cuts``):
        *scriptwriter*.
        """
        schwas = {}
        letter, sound = self._letter, self._phone
        if f"{letter}l" in word and (match := self._lost_before_l.match(word)):
            base_word = match.group(1) + "e"
            for base in self._pronunciations.get(base_word, ()):
                size = len(base) - 3
                if base[size:] == (sound, "AH0", "L") and phones[: size + 2] == (
                    *base[:size],
                    sound,
                    "L",
                ):
                    schwas[size + 1] = "AH0"
        if "R" in phones and f"{letter}r" not in word and self._lost_before_r.search(word):
            for index in range(2, len(phones)):
                if (
                    phones[index - 1 : index + 1] == (sound, "R")
                    and phones[index - 2] != "N"
                    and index not in cuts
                ):
                    schwas[index] = "ER0"
        return schwas


def ending_after_syllabic(word: str, phones: Phones, pronunciations: Pronunciations) -> int | None:
    """Index of the vowel with which an ending begins behind a base that ends in a syllabic l or n, None if there is none.

    The consonant of *battle* stays a syllable in *battling*; in *capitalism* and *botany* there is no such base.

    >>> battle = {"battle": ["B AE1 T AH0 L".split()]}
    >>> ending_after_syllabic("battling", "B AE1 T AH0 L IH0 NG".split(), battle)
    5
    """
    for index in range(len(phones) - 1, 3, -1):
        if (
            phones[index][-1] in "012"
            and phones[index - 1] in ("L", "N")
            and phones[index - 2] in ("AH0", "IH0")
            and phones[index - 3] in CARRY_SYLLABIC
        ):
            near = [*bases(word), word[:-1] + "e"]
            # settlers: the ending of settler is behind another one; disheartening: hearten is behind a prefix.
            near += [base for one in near if one in pronunciations for base in bases(one)]
            near += [
                one.removeprefix(prefix)
                for one in near
                for prefix in prefixes()
                if one.startswith(prefix)
            ]
            tail = _weak_alike(phones[:index])
            for base in near:
                for alone in pronunciations[base] if base in pronunciations else ():
                    if len(alone) > 3 and tail[-len(alone) :] == _weak_alike(alone):
                        return index
            # totally: the l of total and that of the ending are one.
            return None
    return None


def _weak_alike(phones: Sequence[str]) -> list[str]:
    return ["IH0" if phone == "AH0" else phone for phone in phones]


def _unmarked(phones: Sequence[str]) -> list[str]:
    # The weak vowels of a word and of the same behind a prefix may differ.
    return ["@" if phone in _WEAK else phone.rstrip("012") for phone in phones]


def _frame(symbols: Sequence[str]) -> list[str]:
    return ["V" if is_vowel(symbol) else symbol for symbol in symbols if symbol not in MARKS]


def _indexes(symbols: Sequence[str]) -> tuple[int, ...]:
    count, indexes = 0, []
    for symbol in symbols:
        indexes.append(-1 if symbol in MARKS else count)
        count += symbol not in MARKS
    return tuple(indexes)


def _segments(phones: Sequence[str]) -> list[str]:
    return [phone.rstrip("012") for phone in phones]


def _stressed_still(alone: Sequence[str], inside: Sequence[str]) -> bool:
    return any(phone[-1] == "1" and other[-1] != "0" for phone, other in zip(alone, inside, strict=True))


def _full_still(alone: Sequence[str], inside: Sequence[str]) -> bool:
    return any(
        phone[-1] == "1" and other not in _REDUCED for phone, other in zip(alone, inside, strict=True)
    )
