"""What the lexicon hands up: one record for each pronunciation, one for each word.

Room: plain values, made once by the lexicon and read by everything above. Imports the sound tables.
"""

from __future__ import annotations

from collections.abc import Iterable
from functools import cached_property
from typing import NamedTuple

from lexiconforge.lexicon.codes import Verdict, reasons
from lexiconforge.phonology.arpabet import Phones, plain_stress_pattern, stress_pattern
from lexiconforge.phonology.matcher import Rule
from lexiconforge.phonology.spelling import Spans, align

Span = tuple[int, int]
"""Start and end of some letters, counted from 0, the end not included; equal where no letters were found."""


class SoundToken(NamedTuple):
    """One occurrence of the sound in a pronunciation: the index of its phone, the rule that decides, its letters."""

    phone_index: int
    rule: Rule
    span: Span


class Reading:
    """One pronunciation of a word, worked out once.

    ``number`` is its place among the pronunciations of the word, from 1; ``symbols`` are what the rules see, with
    ``indexes`` into the phones (-1 for a mark); ``boundaries`` the phone indexes at which a part of a compound
    begins; ``ipa`` has the usual allophone of each token; ``note`` says why a single word is read otherwise than its
    phones.
    """

    __slots__ = (
        "_letters",
        "boundaries",
        "indexes",
        "ipa",
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
        ipa: str,
        tokens: tuple[SoundToken, ...],
        letters: Spans | None = None,
    ) -> None:
        self.word, self.number, self.phones = word, number, phones
        self.symbols, self.indexes, self.boundaries = symbols, indexes, boundaries
        self.note, self.ipa, self.tokens, self._letters = note, ipa, tokens, letters

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

    @property
    def plain_stress(self) -> str:
        """The same, a final vowel that only the dictionary marks counted as 0."""
        return plain_stress_pattern(self.phones)

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
        heard = getattr(token, "heard", {})
        return {
            "letters": self.word[start:end],
            "start": start,
            "end": end,
            "phone_index": token.phone_index,
            "environment": rule.environment,
            "allophone": rule.allophone,
            "also_heard": list(rule.also_heard),
            "heard": dict(heard),
            "heard_source": getattr(heard, "source", ""),
            "rule": rule.name,
            "source": rule.source,
        }


class Entry:
    """One word with all that is known of it; ``rank`` is None where the frequencies do not have it, ``zipf`` then
    too, and ``share`` is 0."""

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
    ) -> None:
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
        """Its pronunciations but the one that stands for it."""
        return tuple(reading for reading in self.readings if reading.phones != self.main.phones)


def bracketed(word: str, spans: Iterable[Span]) -> str:
    """The spelling with these letters in brackets.

    >>> bracketed("butter", [(2, 4)])
    'bu[tt]er'
    """
    out, done = [], 0
    for start, end in spans:
        if end > start:
            out += [word[done:start], "[", word[start:end], "]"]
            done = end
    return "".join([*out, word[done:]])


def bracket_spans(marked: str) -> list[Span]:
    """The spans that :func:`bracketed` was given, for a list that was read back from a file.

    >>> bracket_spans("bu[tt]er")
    [(2, 4)]
    """
    spans = []
    opened = closed = 0
    for n, letter in enumerate(marked):
        if letter == "[":
            start = n - opened - closed
            opened += 1
        elif letter == "]" and opened > closed:
            spans.append((start, n - opened - closed))
            closed += 1
    return spans
