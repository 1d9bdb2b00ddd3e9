"""Two words as they are said together, and what kind of phrase they make.

Room: knows closed classes of words from ``data/word_classes.csv``, single pairs from ``data/pair_facts.csv`` and weak forms
from the sound's ``weak_forms.csv``; everything else it takes from the records of the lexicon.
"""

from __future__ import annotations

from functools import cache

from lexiconforge import data
from lexiconforge.lexicon import Lexicon
from lexiconforge.lexicon.records import Reading
from lexiconforge.lists.spoken import is_a
from lexiconforge.phonology.arpabet import INVENTORY, Phones
from lexiconforge.phonology.ipa import ipa

TYPES = (
    "fixed phrase", "verb + particle", "verb + object pronoun", "clause start", "preposition phrase",
)  # fmt: skip
APART = frozenset({"misspelling", "British", "name", "apart"})
"""Kinds of ``data/pair_facts.csv`` that keep a pair out."""
BEFORE = ("in links",)
AFTER = ("after a word", "between words", "as an auxiliary", "in links")
"""Where a weak form of ``weak_forms.csv`` is meant that the first or the second of two words has: more of the conditions
than these nobody can see from two words, and whether a word is an auxiliary the word before it tells."""
LEANING = ("be", "auxiliary", "do", "modal", "subject pronoun", "negation")


@cache
def _facts() -> dict[tuple[str, str], str]:
    return {(row["first"], row["second"]): row["kind"] for row in data.rows("pair_facts")}


def phrase_type(lexicon: Lexicon, first: str, second: str) -> str:
    """One of :data:`TYPES`, or empty where none fits. Classes of words decide, not a parse: an estimate.

    >>> from lexiconforge.lexicon import load_lexicon
    >>> [phrase_type(load_lexicon(), *pair) for pair in (("get", "it"), ("put", "on"), ("but", "i"))]
    ['verb + object pronoun', 'verb + particle', 'clause start']
    """
    if _facts().get((first, second)) == TYPES[0]:
        return TYPES[0]
    row = lexicon.row(first)
    closed = is_a(first, *LEANING, "preposition", "conjunction", "determiner", "pronoun")
    verb = row is not None and "verb" in lexicon.parts_at(row) and not closed
    if verb and is_a(second, "object pronoun"):
        return "verb + object pronoun"
    if verb and is_a(second, "particle"):
        return "verb + particle"
    starts = is_a(first, "conjunction", "subject pronoun", "demonstrative")
    head = second.partition("'")[0]
    if starts and is_a(head, *LEANING):
        return "clause start"
    if is_a(first, "be", "do", "modal", "auxiliary") and is_a(second, "subject pronoun"):
        return "clause start"
    if is_a(second, "preposition") and not closed:
        return "preposition phrase"
    if is_a(first, "preposition") and not is_a(second, *LEANING[:-2], "negation"):
        return "preposition phrase"
    return ""


class PairReadings:
    """Readings of words in pairs, each made once: weak forms, and the verb or the noun of words that are both."""

    def __init__(self, lexicon: Lexicon) -> None:
        self._lexicon = lexicon
        self._weak: dict[tuple[str, bool], Reading | None] = {}
        self._stressed: dict[str, tuple[Reading, Reading] | None] = {}
        self._mains: dict[str, Reading] = {}
        self._spelled: dict[str, Phones] = {}

    def of(self, first: str, second: str) -> tuple[Reading, Reading]:
        """The two as they are said together.

        An auxiliary is weak only where it can be one: after a modal, a pronoun or a question word, not after *don't*.
        """
        one, two = self._others(first, second)
        return one or self._main(first), two or self._main(second)

    def phones(self, first: str, second: str) -> tuple[Phones, Phones]:
        """The phones of the two, for which no records are made where they are the usual ones."""
        one, two = self._others(first, second)
        return one.phones if one else self._usual(first), two.phones if two else self._usual(second)

    def _others(self, first: str, second: str) -> tuple[Reading | None, Reading | None]:
        """The readings of the two where they are not those that stand for the words."""
        one = self._reduced(first, after=False) or self._by_part(first, second)
        two = None
        if not is_a(second, "auxiliary") or (
            is_a(first, "modal", "subject pronoun", "demonstrative") and "'" not in first
        ):
            two = self._reduced(second, after=True)
        return one, two

    def _usual(self, word: str) -> Phones:
        found = self._spelled.get(word)
        if found is None:
            row = self._lexicon.row(word)
            assert row is not None
            found = self._spelled[word] = tuple(self._lexicon.main_cells("phones", [row])[0].split())
        return found

    def _main(self, word: str) -> Reading:
        found = self._mains.get(word)
        if found is None:
            found = self._lexicon.main(word)
            assert found is not None
            self._mains[word] = found
        return found

    def _reduced(self, word: str, *, after: bool) -> Reading | None:
        """The weak form of a word, None if it has none in this place; what stands first keeps its full form but where
        the table has one for every link."""
        if (word, after) not in self._weak:
            forms = self._lexicon.sound.weak_forms.get(word, ())
            places = AFTER if after else BEFORE
            phone = self._lexicon.sound.phone
            symbols = next(
                (f.phones for f in forms if f.where in places and (after or f.phones[-1] == phone)), None
            )
            made = None
            if symbols is not None:
                phones = tuple(symbol for symbol in symbols if symbol in INVENTORY)
                # Without a mark of stress: a weak form has none.
                made = Reading(
                    word,
                    1,
                    phones,
                    phones,
                    tuple(range(len(phones))),
                    (),
                    "",
                    _unstressed(phones),
                    (),
                )
            self._weak[word, after] = made
        return self._weak[word, after]

    def _by_part(self, first: str, second: str) -> Reading | None:
        """The reading that is meant where noun and verb differ in stress: the verb has it last (Sherman 1975), and is meant
        before a determiner or an object."""
        if first not in self._stressed:
            row = self._lexicon.row(first)
            assert row is not None
            both = None
            if {"noun", "verb"} <= set(self._lexicon.parts_at(row)):
                readings = self._lexicon.entry_at(row).readings
                by_place = {r.stress.find("1"): r for r in reversed(readings) if len(r.stress) > 1}
                if len(by_place) > 1:
                    both = (by_place[min(by_place)], by_place[max(by_place)])
            self._stressed[first] = both
        found = self._stressed[first]
        if found is None:
            return None
        return found[is_a(second, "determiner", "object pronoun", "pronoun")]


def _unstressed(phones: tuple[str, ...]) -> str:
    return ipa(phones, {})
