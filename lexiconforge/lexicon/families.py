"""Which words are the same word for a learner: lemmas, the words that share a row of a list, and families.

A lemma is a word as a dictionary lists it, for all its inflected forms. A row of a list holds a lemma; a word in *-ly* or
*-ness* that is rarer than its base stands under it, and so does an agent noun (*annotator*) that is rarer than
:data:`OWN_ROW`. A family is wider: a lemma with the regular derivations that add no new idea (``data/derivations.csv``),
the one who does it (*waiter* to *wait*), the manner (*lately* to *late*), the quality (*neatness* to *neat*). Room: takes a
word, gives another; imports the sources.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from functools import cache
from typing import NamedTuple

from lexiconforge import data
from lexiconforge.phonology.inflection import bases
from lexiconforge.sources.lemmas import load_lemmas, load_verbs

Phones = Sequence[str]

OWN_ROW = 20_000
"""An agent noun at most this rare has a row of its own, as dictionaries list it (*writer*, *waiter*)."""
MUCH_RARER = 3
"""A word whose lemma by the source has a rank this many times higher is no form of it: *rent* of *rend*."""
AGENT, MANNER, QUALITY = "agent", "manner", "quality"
_UNRANKED = 10**7
_NOUN_OF_VERB = "ing"


@cache
def words_apart() -> frozenset[str]:
    """Words that look derived (*matter*, *letter*) and are words of their own, from ``data/words_apart.csv``."""
    return frozenset(row["word"] for row in data.rows("words_apart"))


@cache
def _names() -> frozenset[str]:
    """Names that lists have, in lower case: *Italians* is a form of *Italian*."""
    return frozenset(row["name"].lower() for row in data.rows("names"))


@cache
def _derivations() -> tuple[tuple[str, str, str], ...]:
    return tuple((row["ending"], row["base_ending"], row["kind"]) for row in data.rows("derivations"))


@cache
def _last_letters() -> tuple[str, ...]:
    return tuple({ending[-1] for ending, *_ in _derivations()})


class Kin(NamedTuple):
    """The words that stand for a word: its lemma, the word whose row of a list holds it, the base of its family."""

    lemma: str
    row: str
    family: str


class Families:
    """Lemma, row and family of a word.

    ``pronunciations`` is the dictionary: a derivation must also sound like its base, so that *hater* goes
    to *hate* and not to *hat*. ``known`` tells whether a word may stand for a family, ``rank`` how common it is.
    """

    def __init__(
        self,
        pronunciations: Mapping[str, Sequence[Phones]],
        known: Callable[[str], bool],
        rank: Mapping[str, int],
    ) -> None:
        self._pronunciations, self._known, self._rank = pronunciations, known, rank
        self._listed = load_lemmas()
        self._verbs = load_verbs()
        self._lemmas: dict[str, str] = {}
        self._families: dict[str, str] = {}
        self._bases: dict[str, list[tuple[str, str]]] = {}

    def kin(self, word: str) -> Kin:
        """All that :meth:`lemma`, :meth:`row` and :meth:`family` say of a word."""
        return Kin(self.lemma(word), self.row(word), self.family(word))

    def keep(self, words: Sequence[str], found: Sequence[Kin]) -> None:
        """Remember what :meth:`kin` gave for these words, maybe in another process."""
        self._lemmas |= {word: kin.lemma for word, kin in zip(words, found, strict=True)}
        self._families |= {word: kin.family for word, kin in zip(words, found, strict=True)}

    def lemma(self, word: str) -> str:
        """Base form: of a plural the singular, of a verb form the infinitive, of a possessive the noun.

        >>> families = Families({}, str.islower, {})
        >>> families.lemma("waited"), families.lemma("city's")
        ('wait', 'city')
        """
        found = self._lemmas.get(word)
        if found is None:
            found = self._lemmas[word] = self._lemma(word)
        return found

    def _lemma(self, word: str) -> str:
        if word.endswith(("'s", "s'")) and word[:-2] in self._pronunciations:
            return self.lemma(word[:-2])
        if word.endswith("'s"):
            word = word[:-2]
        listed = self._listed.get(word, word)
        if listed == word and word.endswith("s") and word[:-1] in _names():
            return word[:-1]
        if listed == word or word in words_apart():
            return word
        rank = self._rank
        others: tuple[str, ...] = ()
        if word.endswith(("ing", "ed", "es")) or not self._is_word(listed):
            # Of several bases that the spelling allows, the commonest that the word begins with in sound.
            others = tuple(b for b in bases(word) if b in self._verbs or not self._is_word(listed))
        fitting = [b for b in (listed, *others) if self._is_word(b)]
        if others and self._pronunciations:
            sounding = [b for b in fitting if self._sounds_like(b, word)]
            fitting = sorted(sounding, key=lambda b: rank.get(b, _UNRANKED)) or fitting
        if not fitting:
            return word
        base = fitting[0]
        rarer = rank.get(base, _UNRANKED) > MUCH_RARER * rank.get(word, _UNRANKED)
        return word if rarer and word in self._verbs else base

    def _is_word(self, base: str) -> bool:
        return base.isalpha() and (self._known(base) or base in _names())

    def row(self, word: str) -> str:
        """The word whose row of a list holds this one.

        >>> families = Families({}, str.islower, {})
        >>> families.row("cities")
        'city'
        """
        lemma = self.lemma(word)
        mine = self._rank.get(lemma, _UNRANKED)
        if lemma != word and lemma.endswith(_NOUN_OF_VERB):
            return self.row(lemma)
        if word.endswith(_NOUN_OF_VERB) and self._rank.get(word, _UNRANKED) < mine:
            # A noun of its own where it has a plural: building.
            return word if self._listed.get(word + "s") == word else lemma
        for base, kind in self._underived(lemma):
            if (mine > OWN_ROW) if kind == AGENT else mine > self._rank.get(base, _UNRANKED):
                return self.lemma(base)
        return lemma

    def family(self, word: str) -> str:
        """The base that stands for the whole family.

        >>> pronunciations = {"wait": ["W EY1 T".split()], "waiter": ["W EY1 T ER0".split()]}
        >>> families = Families(pronunciations, str.islower, {"wait": 900})
        >>> families.family("waiters"), families.family("water")
        ('wait', 'water')
        """
        found = self._families.get(word)
        if found is None:
            found = self.lemma(word)
            if found.endswith(_NOUN_OF_VERB):
                found = self.lemma(found)
            base, kind = next(iter(self._underived(found)), (found, ""))
            # An ending behind an ending: motherliness, motherly; the base of a form (reportedly) is a form itself. But
            # founder is of the verb found, not of find.
            whole = base == found or (kind == AGENT and base in self._verbs)
            found = self._families[word] = base if whole else self.family(base)
        return found

    def _underived(self, word: str) -> list[tuple[str, str]]:
        """The words of which this one is a regular derivation, and the kind."""
        if not word.endswith(_last_letters()):
            return []
        found = self._bases.get(word)
        if found is None:
            found = self._bases[word] = list(self._derived_from(word))
        return found

    def _derived_from(self, word: str) -> Iterator[tuple[str, str]]:
        if word in words_apart():
            return
        for ending, replaced, kind in _derivations():
            if not word.endswith(ending) or len(word) < len(ending) + 3:
                continue
            stem = word[: -len(ending)]
            doubled = [stem[:-1]] if kind == AGENT and stem[-1] == stem[-2] and not replaced else []
            for base in [stem + replaced, *doubled]:
                if (kind != AGENT or base in self._verbs) and self._sounds_like(base, word):
                    yield base, kind

    def _sounds_like(self, base: str, word: str) -> bool:
        """Does the word begin with the sounds of the base, but for its last syllable's end?"""
        if base not in self._pronunciations or not self._known(base):
            return False
        for longer in self._pronunciations[word][:1] if word in self._pronunciations else ():
            for shorter in self._pronunciations[base]:
                size = len(shorter) - (shorter[-1][-1] in "012")
                if tuple(shorter[-2:]) == ("AH0", "L"):
                    size -= 2  # notable, notably
                if _segments(longer[:size]) == _segments(shorter[:size]):
                    return True
        return False


def _segments(phones: Phones) -> list[str]:
    # The weak vowels of a base and its derivation may differ.
    return ["@" if phone in ("AH0", "IH0", "UH0") else phone.rstrip("012") for phone in phones]
