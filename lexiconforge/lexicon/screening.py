"""What a word is apart from its sounds: name, abbreviation, British spelling, sensitive, known at all.

Room: decides whether a word belongs in a list for class. Imports the sources and the spelling alignment;
knows nothing of t. Every decision comes from a source and a stated threshold; ``data/judged_words.csv`` adds,
by base form, what no source covers: violence, sex and drugs, names that are words in small print, British words without
a British spelling, words that the American dictionary lacks and rarities that it has. ``data/names.csv`` holds the names
that a class wants: days, months, nationalities, religions and the best-known places; persons, firms and teams stay out.
"""

from __future__ import annotations

from collections.abc import Callable, Collection, Mapping, Sequence
from functools import cache
from typing import NamedTuple

from lexiconforge import data
from lexiconforge.lexicon.codes import SENSITIVE, Verdict
from lexiconforge.lexicon.families import Families
from lexiconforge.phonology.spelling import unspelled
from lexiconforge.sources.american_words import AmericanWords
from lexiconforge.sources.british_spellings import load_british_spellings
from lexiconforge.sources.letter_case import share_capitalised
from lexiconforge.sources.profanity import count_lists

MOSTLY_CAPITAL = 0.65
"""From this share of capitals on a word that is also a name counts as the name. Found by reading the 260
commonest words that may be both: above it stand carter, peter and victor, below it hunter, knight and grant."""
RUDE_LISTS = 4
"""A word that this many independent lists name is rude: at three they still agree on breast and tramp."""

OFTEN_CAPITAL, COMMON_RANK = 0.3, 5000
"""A word this common that learners meet last (C1, C2) and that is written with a capital this often owes its
frequency to a name: twitter, trump, pat."""
ABBREVIATED = 1
"""More phones without a letter than this make an abbreviation; one is common in whole words (the y of
*music*, the schwa of *rhythm*)."""


class Screen:
    """The loaded sources of screening; :meth:`verdicts` decides on many words at once."""

    def __init__(
        self,
        candidates: Collection[str],
        families: Families,
        american: AmericanWords,
        rank: Mapping[str, int],
        level: Callable[[str], str],
        own: Collection[str] = (),
    ) -> None:
        """``candidates`` are the words that may be asked about; ``rank`` and ``level`` (CEFR, ``""`` if
        none) tell a name that an uncommon word shares; ``own`` words were added by the user, who knows them."""
        self._american = american
        self._own = own
        self._rank = rank
        self._level = level
        self._british = load_british_spellings()
        self._american_spellings = frozenset(self._british.values())
        self._profanity = count_lists()
        self._families = families
        self._judged = _judged()
        self._names = names_in_lists()
        self._capitals = share_capitalised(candidates)

    def verdicts(self, words: Sequence[str], phones: Sequence[Sequence[str]]) -> list[Verdict]:
        """What these words are; their pronunciations, in the same order, tell an abbreviation."""
        abbreviations = _abbreviations(words, phones)
        return [self._verdict(word, word in abbreviations) for word in words]

    def _verdict(self, word: str, abbreviation: bool) -> Verdict:
        base = word.removesuffix("'s").removesuffix("'") if "'" in word else word
        forms = (base, self._families.lemma(base), self._families.family(base))
        judged = next((self._judged[form] for form in forms if form in self._judged), "")
        own = word in self._own or judged == "known" or base in self._names
        lower = (
            own
            or self._american.in_lower_case(word)
            or (base != word and self._american.in_lower_case(base))
        )
        return Verdict(
            proper_name=not own and self._is_name(base, lower),
            abbreviation=abbreviation,
            spelling="British" if judged == "british" else self._spelling(word, lower),
            sensitive="" if judged == "known" else self._sensitive(forms),
            in_dictionary=lower and judged != "unknown",
            possessive=word.endswith(("'s", "s'")) and base not in _contracting(),
        )

    def _is_name(self, base: str, lower: bool) -> bool:
        if self._judged.get(base) == "name":
            return True
        capitals = self._capitals.get(base, 0.0)
        if not lower:
            return capitals >= MOSTLY_CAPITAL or self._american.with_capital(base)
        if capitals < OFTEN_CAPITAL or not self._american.with_capital(base):
            return False
        if capitals >= MOSTLY_CAPITAL:
            return True
        common = self._rank.get(base, COMMON_RANK + 1) <= COMMON_RANK
        return common and self._level(base) in ("C1", "C2")

    def _spelling(self, word: str, lower: bool) -> str:
        if word in self._british:
            return "both" if lower else "British"
        return "American" if word in self._american_spellings else "both"

    def _sensitive(self, forms: Sequence[str]) -> str:
        for form in forms:
            kind = self._judged.get(form, "")
            if kind in SENSITIVE and kind:
                return kind
            if form in self._profanity and self._profanity[form] >= RUDE_LISTS:
                return "offensive"
        return ""


@cache
def _contracting() -> frozenset[str]:
    """Words after which 's is mostly *is*, *has* or *us*: their forms stay in a list (common practice)."""
    return frozenset(row["word"] for row in data.rows("contracting"))


class Name(NamedTuple):
    """A name that lists have: as it is ``written``, its ``kind`` and parts of speech."""

    written: str
    kind: str
    parts: tuple[str, ...]


@cache
def names_in_lists() -> dict[str, Name]:
    """Names by their spelling in lower case, from ``data/names.csv``."""
    return {
        row["name"].lower(): Name(row["name"], row["kind"], tuple(row["part_of_speech"].split("; ")))
        for row in data.rows("names")
    }


@cache
def _judged() -> dict[str, str]:
    return {row["word"]: row["kind"] for row in data.rows("judged_words")}


def _abbreviations(words: Sequence[str], phones: Sequence[Sequence[str]]) -> set[str]:
    """Words without a vowel letter, and words with more sounds than their letters can spell (*rep* read as
    *representative*)."""
    found = set()
    longer = []
    for n, word in enumerate(words):
        letters = word.replace("'", "")
        if not _VOWEL_LETTERS & set(letters) or (len(letters) == 1 and letters not in "ai"):
            found.add(word)
        elif len(phones[n]) > len(letters):
            longer.append(n)
    missing = unspelled([words[n] for n in longer], [phones[n] for n in longer])
    return found | {words[n] for n, count in zip(longer, missing, strict=True) if count > ABBREVIATED}


_VOWEL_LETTERS = set("aeiouy")
