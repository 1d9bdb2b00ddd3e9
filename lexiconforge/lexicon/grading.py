"""Level and parts of speech of a word, as far as there is evidence for them.

The source (:mod:`lexiconforge.sources.levels`) grades whole stems alike and guesses some parts of speech from the shape of a
word. Kept is a part of speech that a second source has (the index of base forms, the rules that the American dictionary lets
a word take); the grammatical words are few and listed (``data/closed_classes.csv``). A level is the lowest of the parts
that are kept; an inflected form has that of its base; one that was only copied from a stem (``data/level_affixes.csv``)
is no evidence where the word's own rank speaks for a higher one; the highest level in every part is how the source says
that it does not know, and is empty here for a common word. A verb form has the level of the verb, not that of a noun spelled
alike (*voted*); a rare word is at most one level easier than its rank speaks for, the rank being that of its commonest form.
Of names only days, months and nationalities have a level, and
none of the last two, where the source puts what it does not know. ``data/judged_levels.csv`` and
``data/judged_parts.csv`` hold what was judged by reading.
Room: takes words, gives levels; imports the sources.
"""

from __future__ import annotations

from collections.abc import Mapping
from functools import cache

from lexiconforge import data
from lexiconforge.lexicon.families import Families
from lexiconforge.lexicon.screening import names_in_lists
from lexiconforge.sources.american_words import AmericanWords
from lexiconforge.sources.lemmas import load_index
from lexiconforge.sources.levels import LEVELS, STEP, Level, Levels, named

FLOORS = ((2_000, "A1"), (4_000, "A2"), (8_000, "B1"), (14_000, "B2"), (25_000, "C1"))
"""The lowest level that a word of at most this rank can have without evidence of its own: between the median ranks of the
source's levels over words that are not derived (1,376, 3,727, 6,998, 11,571, 16,985 and 32,475)."""
RARE = 8_000
"""A word rarer than this is not met in the first two levels, but for those judged."""
COMMON = 10_000
"""A word at least this common is not unknown to learners of the highest level only for lack of evidence."""
GRADED_NAMES = ("day", "month", "feast", "nationality or language", "religion")
"""The kinds of names that have a level: a place is as easy as one's map."""
UNKNOWN = STEP * (len(LEVELS) - 1)
"""The value with which the source says of a part of speech that it does not know."""
MUCH_RARER = 3
"""A verb with a rank this many times higher than that of its form does not make that a verb: *wedding* of *wed*."""
_OPEN = {"noun": "noun", "verb": "verb", "adjective": "adj", "adverb": "adv"}
_FLAGS = {"noun": "M", "verb": "GD", "adjective": "TPY"}
_FORMS = {"noun": ("s",), "verb": ("s", "ed", "ing", "en"), "adjective": ("er", "est")}
_PARTS_BY_ENDING = {
    "noun": (
        "tion",
        "sion",
        "ity",
        "ism",
        "ist",
        "ment",
        "ness",
        "ship",
        "ance",
        "ence",
        "ency",
        "or",
        "er",
    ),
    "adjective": ("al", "able", "ible", "ive", "ous", "ic", "ful", "less", "ary", "ory"),
}
_MISTAKEN = ("verb", "adjective")
_UNRANKED = 10**7


class Grading:
    """Level and parts of speech of any word; ``ranks`` are those of the language at large."""

    def __init__(self, families: Families, american: AmericanWords, ranks: Mapping[str, int]) -> None:
        self._families, self._american, self._ranks = families, american, ranks
        self.levels = Levels()
        self._index = load_index()
        self._known: dict[str, Level] = {}

    def of(self, word: str) -> Level:
        """Level and parts of speech of a word, empty where nothing is known."""
        found = self._known.get(word)
        if found is None:
            parts = self._parts(word)
            found = self._known[word] = Level(self._level(word, parts), parts)
        return found

    def _parts(self, word: str) -> tuple[str, ...]:
        judged = _judged_parts().get(word)
        if judged:
            return judged
        name = names_in_lists().get(word)
        if name is not None:
            return name.parts
        values = self.levels.values(word)
        if not values and not self._may_be_open(word):
            return ()
        listed = dict.fromkeys(part for part, _ in values)
        kept = tuple(part for part in listed if self._can_be(word, part))
        if kept:
            # The source takes many nouns for names: garden.
            noun_too = len(kept) == 1 and kept[0] in _MISTAKEN and "M" in self._american.flags(word)
            if noun_too and word in self._index["noun"]:
                return ("noun", *kept)
            return (*kept, "verb") if "verb" not in kept and self._is_verb_form(word) else kept
        open_parts = tuple(part for part in _OPEN if self._can_be(word, part))
        if open_parts or not listed:
            return open_parts
        return tuple(part for part, endings in _PARTS_BY_ENDING.items() if word.endswith(endings))[:1]

    def _is_verb_form(self, word: str) -> bool:
        """Is the word a form of a verb that is not much rarer itself?"""
        lemma = self._families.lemma(word)
        if lemma == word or not word.endswith(("ing", "ed")) or lemma not in self._index["verb"]:
            return False
        return self._ranks.get(lemma, _UNRANKED) <= MUCH_RARER * self._ranks.get(word, _UNRANKED)

    def _may_be_open(self, word: str) -> bool:
        """Can any evidence make the word a noun, verb, adjective or adverb? Most names of the dictionary have none."""
        return (
            word.endswith("ly")
            or bool(self._american.flags(word))
            or any(word in index for index in self._index.values())
            or self._families.lemma(word) != word
        )

    def _can_be(self, word: str, part: str) -> bool:
        if part not in _OPEN:
            return word in _closed().get(part, ())
        index = self._index[_OPEN[part]]
        if word in index or (part == "adverb" and word.endswith("ly")):
            return True
        flags = _FLAGS.get(part, "")
        if any(flag in flags for flag in self._american.flags(word)):
            return True
        lemma = self._families.lemma(word)
        return lemma != word and lemma in index and word.endswith(_FORMS.get(part, ("ly",)))

    def _level(self, word: str, parts: tuple[str, ...]) -> str:
        judged = _judged().get(word)
        if judged:
            return judged
        values = self.levels.values(word)
        lemma = self._families.lemma(word)
        own = word in self._index["adj"] or word in self._index["noun"]
        name = names_in_lists().get(word)
        if name is not None and name.kind not in GRADED_NAMES:
            return ""
        if lemma != word and not own and self.levels.values(lemma):
            as_verb = [
                value for part, value in self.levels.values(lemma) if part == "verb" and value < UNKNOWN
            ]
            if parts and set(parts) <= {"verb", "adjective"} and as_verb and lemma not in _judged():
                return max(named(min(as_verb)), self.of(lemma).level)
            return self.of(lemma).level
        if not values:
            return ""
        lowest = min([value for part, value in values if part in parts] or [v for _, v in values])
        level = named(lowest)
        rank = min(self._ranks.get(one, _UNRANKED) for one in (word, lemma, *self._forms(lemma)))
        only = {value for _, value in values}
        exact = len(only) == 1 and lowest % STEP == 0
        if name is not None and level >= "C1":
            return ""
        if exact and level == LEVELS[-1]:
            return "" if rank <= COMMON else level
        floor = next((name for most, name in FLOORS if rank <= most), LEVELS[-1])
        easy = level < "B1" and rank > RARE
        if floor > level and (easy or (exact and self._copied(word, lowest))):
            return floor
        return max(level, LEVELS[LEVELS.index(floor) - 1]) if floor > LEVELS[0] else level

    def _forms(self, lemma: str) -> list[str]:
        """Regular forms of a base: *frighten* is as common as *frightened*."""
        stem = lemma[:-1] if lemma.endswith(("e", "y")) else lemma
        forms = (
            lemma + "s",
            lemma + "ed",
            stem + "ed",
            lemma + "ing",
            stem + "ing",
            stem + "ies",
            stem + "ied",
        )
        return [form for form in forms if form in self._ranks and self._families.lemma(form) == lemma]

    def _copied(self, word: str, value: int) -> bool:
        """Has a part of the word without an affix the very level of the word?"""
        for affix in _affixes():
            if affix.endswith("-") and word.startswith(affix[:-1]):
                stems = [word[len(affix) - 1 :]]
            elif affix.startswith("-") and word.endswith(affix[1:]):
                stem = word[: 1 - len(affix)]
                stems = [stem, stem + "e", stem + "y", stem[:-1] if stem[-2:-1] == stem[-1:] else stem]
            else:
                continue
            for stem in stems:
                known = self.levels.values(stem) if len(stem) > 2 else ()
                if known and min(v for _, v in known) == value:
                    return True
        return False


@cache
def _affixes() -> tuple[str, ...]:
    return tuple(row["affix"] for row in data.rows("level_affixes"))


@cache
def _judged() -> dict[str, str]:
    return {row["word"]: row["level"] for row in data.rows("judged_levels")}


@cache
def _judged_parts() -> dict[str, tuple[str, ...]]:
    return {row["word"]: tuple(row["parts_of_speech"].split("; ")) for row in data.rows("judged_parts")}


@cache
def _closed() -> dict[str, frozenset[str]]:
    parts: dict[str, set[str]] = {}
    for row in data.rows("closed_classes"):
        parts.setdefault(row["part_of_speech"], set()).add(row["word"])
    return {part: frozenset(words) for part, words in parts.items()}
