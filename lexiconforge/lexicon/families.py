"""Which words are the same word for a learner: lemmas, and families built on them.

A family is a lemma with its inflected forms and the regular derivations that add no new idea: the one who
does it (*waiter* to *wait*), the manner (*lately* to *late*), the quality (*neatness* to *neat*). Room:
takes a word, gives another; imports the sources.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from functools import cache

from lexiconforge import data
from lexiconforge.sources.lemmas import load_lemmas, load_verbs

Phones = Sequence[str]

_SUFFIXES = (("er", True), ("or", True), ("ly", False), ("ness", False))
"""Endings of a family, and whether the base must be a verb."""


@cache
def words_apart() -> frozenset[str]:
    """Words that look derived (*matter*, *letter*) and are words of their own, from ``data/words_apart.csv``."""
    return frozenset(row["word"] for row in data.rows("words_apart"))


class Families:
    """Lemma and family of a word.

    ``pronunciations`` is the dictionary: a derivation must also sound like its base, so that *hater* goes
    to *hate* and not to *hat*. ``known`` tells whether a word may stand for a family.
    """

    def __init__(
        self, pronunciations: Mapping[str, Sequence[Phones]], known: Callable[[str], bool]
    ) -> None:
        self._pronunciations = pronunciations
        self._known = known
        self._lemmas = load_lemmas()
        self._verbs = load_verbs()
        self._families: dict[str, str] = {}

    def lemma(self, word: str) -> str:
        """Base form: of a plural the singular, of a verb form the infinitive, of a possessive the noun.

        >>> families = Families({}, str.islower)
        >>> families.lemma("waited"), families.lemma("city's")
        ('wait', 'city')
        """
        if word.endswith(("'s", "s'")) and word[:-2] in self._pronunciations:
            return self.lemma(word[:-2])
        if word.endswith("'s"):
            word = word[:-2]
        return word if word in words_apart() else self._lemmas.get(word, word)

    def family(self, word: str) -> str:
        """The base that stands for the whole family.

        >>> pronunciations = {"wait": ["W EY1 T".split()], "waiter": ["W EY1 T ER0".split()]}
        >>> families = Families(pronunciations, str.islower)
        >>> families.family("waiters"), families.family("water")
        ('wait', 'water')
        """
        if word not in self._families:
            self._families[word] = self._climb(word)
        return self._families[word]

    def _climb(self, word: str) -> str:
        seen = {word}
        while True:
            base = self.lemma(word)
            if base == word:
                base = self._underived(word)
            if base in seen:
                return base
            seen.add(base)
            word = base

    def _underived(self, word: str) -> str:
        if word in words_apart():
            return word
        for suffix, of_verb in _SUFFIXES:
            if not word.endswith(suffix) or len(word) < len(suffix) + 3:
                continue
            stem = word[: -len(suffix)]
            bases = [stem + "e", stem] if of_verb else [stem]
            if of_verb and stem[-1] == stem[-2]:
                bases.append(stem[:-1])
            if stem.endswith("i"):
                bases.append(stem[:-1] + "y")
            for base in bases:
                if (not of_verb or base in self._verbs) and self._sounds_like(base, word):
                    return base
        return word

    def _sounds_like(self, base: str, word: str) -> bool:
        """Does the word begin with the sounds of the base, but for a final vowel?"""
        if base not in self._pronunciations or not self._known(base):
            return False
        for longer in self._pronunciations[word] if word in self._pronunciations else ():
            for shorter in self._pronunciations[base]:
                size = len(shorter) - (shorter[-1][-1] in "012")
                if _segments(longer[:size]) == _segments(shorter[:size]):
                    return True
        return False


def _segments(phones: Phones) -> list[str]:
    return [phone.rstrip("012") for phone in phones]
