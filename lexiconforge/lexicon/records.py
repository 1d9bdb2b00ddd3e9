"""What the lexicon hands up: one record for each pronunciation, one for each word.

Room: plain values, made once by the lexicon and read by everything above. Imports the sound tables.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable
from functools import cache, cached_property
from itertools import accumulate
from typing import TYPE_CHECKING, NamedTuple

from lexiconforge import data
from lexiconforge.lexicon.codes import Verdict, reasons
from lexiconforge.phonology.arpabet import Phones, stress_pattern
from lexiconforge.phonology.matcher import Rule
from lexiconforge.phonology.rates import NOT_COUNTED, Heard
from lexiconforge.phonology.spelling import Spans, align

if TYPE_CHECKING:
    from lexiconforge.sounds import Sound

Span = tuple[int, int]
"""Start and end of some letters, counted from 0, the end not included; equal where no letters were found."""


class SoundToken(NamedTuple):
    """One occurrence of the sound in a pronunciation: the index of its phone, the rule that decides, its letters, and how
    often each variant is heard there in conversation."""

    phone_index: int
    rule: Rule
    span: Span
    heard: Heard = NOT_COUNTED


class Reading:
    """One pronunciation of a word, worked out once.

    ``number`` is its place among the pronunciations of the word, from 1; ``symbols`` are what the rules see, with
    ``indexes`` into the phones (-1 for a mark); ``boundaries`` the phone indexes at which a part of a compound
    begins; ``ipa`` has the usual allophone of each token; ``note`` says why a single word is read otherwise than its
    phones.
    """

    __slots__ = (
        "_ipa",
        "_letters",
        "boundaries",
        "indexes",
        "note",
        "number",
        "phones",
        "symbols",
        "tokens",
        "word",
    )

    def __init__(
        self,
        word: str,
        number: int,
        phones: Phones,
        symbols: Phones,
        indexes: tuple[int, ...],
        boundaries: tuple[int, ...],
        note: str,
        ipa: str | Callable[[], str],
        tokens: tuple[SoundToken, ...],
        letters: Spans | None = None,
    ) -> None:
        """``ipa`` may be a function that gives it, ``letters`` may be left away: both are found when asked for."""
        self.word, self.number, self.phones = word, number, phones
        self.symbols, self.indexes, self.boundaries = symbols, indexes, boundaries
        self.note, self._ipa, self.tokens, self._letters = note, ipa, tokens, letters

    def __reduce__(self) -> tuple[type[Reading], tuple[object, ...]]:
        of_symbols = (self.symbols, self.indexes, self.boundaries)
        rest = (self.note, self.ipa, self.tokens, self._letters)
        return Reading, (self.word, self.number, self.phones, *of_symbols, *rest)

    @property
    def ipa(self) -> str:
        """Broad IPA."""
        shown = self._ipa
        if not isinstance(shown, str):
            self._ipa = shown = shown()
        return shown

    @property
    def letters(self) -> Spans:
        """The span of every phone."""
        if self._letters is None:
            self._letters = align(self.word, self.phones)
        return self._letters

    @property
    def stress(self) -> str:
        """The stress digits of the vowels, in order."""
        return stress_pattern(self.phones)

    def __repr__(self) -> str:
        return f"<Reading {self.word} {self.ipa}>"

    def to_dict(self) -> dict[str, object]:
        """Plain values, as JSON takes them: ``number``, ``phones`` (ARPAbet with spaces), ``ipa``, ``stress``, ``note``,
        and ``tokens``, each with ``letters``, ``start`` and ``end`` (characters from 0), ``phone_index``,
        ``environment``, ``allophone``, ``also_heard``, ``heard`` (variant to percent, empty where nobody counted),
        ``heard_source``, ``rule`` and ``source``."""
        return {
            "number": self.number,
            "phones": " ".join(self.phones),
            "ipa": self.ipa,
            "stress": self.stress,
            "note": self.note,
            "tokens": [self._token(token) for token in self.tokens],
        }

    def _token(self, token: SoundToken) -> dict[str, object]:
        rule, (start, end) = token.rule, token.span
        heard = token.heard
        return {
            "letters": self.word[start:end],
            "start": start,
            "end": end,
            "phone_index": token.phone_index,
            "environment": rule.environment,
            "allophone": rule.allophone,
            "also_heard": list(rule.also_heard),
            "heard": dict(heard),
            "heard_source": heard.source,
            "rule": rule.name,
            "source": rule.source,
        }


class Entry:
    """One word with all that is known of it; ``rank`` is None where the frequencies do not have it, ``zipf`` then
    too, and ``share`` is 0. ``written`` is the word with the capital of a name; ``reading_note`` says why it is not read as
    the dictionary lists it first; ``homograph`` are the parts of speech of its first two readings where these differ."""

    def __init__(
        self,
        word: str,
        row: int,
        *,
        rank: int | None,
        zipf: float | None,
        share: float,
        level: str,
        parts_of_speech: tuple[str, ...],
        lemma: str,
        family: str,
        verdict: Verdict,
        readings: tuple[Reading, ...],
        main: Reading,
        written: str = "",
        reading_note: str = "",
        homograph: tuple[str, ...] = (),
    ) -> None:
        self.written, self.reading_note, self.homograph = written or word, reading_note, homograph
        self.word, self.row, self.rank, self.zipf, self.share = word, row, rank, zipf, share
        self.level, self.parts_of_speech = level, parts_of_speech
        self.lemma, self.family, self.verdict = lemma, family, verdict
        self.readings, self.main = readings, main

    def __repr__(self) -> str:
        return f"<Entry {self.word} {self.main.ipa}, rank {self.rank}>"

    def to_dict(self) -> dict[str, object]:
        """Plain values, as JSON takes them: ``word``, ``ipa``, ``rank``, ``zipf`` (null where the frequencies do not have
        it), ``level``, ``parts_of_speech``, ``lemma``, ``family``, ``left_out`` (why lists leave it out), and
        ``readings``, each as :meth:`Reading.to_dict` gives it with ``main``, whether it stands for the word."""
        return {
            "word": self.word,
            "ipa": self.main.ipa,
            "rank": self.rank,
            "zipf": self.zipf,
            "level": self.level,
            "parts_of_speech": list(self.parts_of_speech),
            "lemma": self.lemma,
            "family": self.family,
            "left_out": list(reasons(self.verdict.bits)),
            "readings": [
                {"main": reading is self.main, **reading.to_dict()} for reading in self.readings
            ],
        }

    @cached_property
    def others(self) -> tuple[Reading, ...]:
        """Its pronunciations but the one that stands for it; of a homograph without the other word."""
        apart = {self.main.phones, *(reading.phones for reading in self.readings[: len(self.homograph)])}
        return tuple(reading for reading in self.readings if reading.phones not in apart)


@cache
def _ordinary(phone: str) -> frozenset[str]:
    return frozenset(
        row["letters"] for row in data.rows("graphemes") if row["phone"] == phone and row["cost"] == "0"
    )


def is_spelling(sound: Sound, letters: str) -> bool:
    """Do these letters stand for the sound, and not for another that the dictionary writes as this phone?

    They do with its letter among them, or as one of the ordinary spellings of its phone (*walked* ends in a t).

    >>> from lexiconforge.sounds import load_sound
    >>> [is_spelling(load_sound(name), letters) for name, letters in (("d", "dd"), ("d", "t"), ("t", "ed"))]
    [True, False, True]
    """
    return sound.letters in letters or letters in _ordinary(sound.phone)


def bracketed(word: str, sounds: Iterable[tuple[Span, str]]) -> str:
    """The spelling with these sounds in brackets, each after the letters that spell it.

    >>> bracketed("butter", [((2, 4), "ɾ")])
    'butt[ɾ]er'
    """
    out, done = [], 0
    for (start, end), sound in sounds:
        if end > start:
            out += [word[done:end], "[", sound, "]"]
            done = end
    return "".join([*out, word[done:]])


def bracket_ends(marked: str) -> list[int]:
    """Where in the word the letters end that :func:`bracketed` marked, for a list that was read back from a file.

    >>> bracket_ends("butt[ɾ]er")
    [4]
    """
    *before, _ = re.split(r"\[[^\]]*\]", marked)
    return list(accumulate(map(len, before)))
