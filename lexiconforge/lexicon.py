"""The sources joined: one table of words and one table of T tokens.

Everything downstream reads these two. A :class:`Lexicon` is the sources as loaded, a plain value that any
number of callers can share; :func:`t_tokens` and :func:`words` make the tables from it.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass, field
from functools import cached_property, lru_cache
from operator import attrgetter
from pathlib import Path
from typing import TYPE_CHECKING, NamedTuple

from lexiconforge import data, wordparts
from lexiconforge import phones as arpabet
from lexiconforge.allophones import ALLOPHONE_IPA, PAUSE, SEAM, Rule, Token, nearest_stress, rules, tag
from lexiconforge.families import Families
from lexiconforge.screening import Screen, Verdict
from lexiconforge.sources.american_words import AmericanWords, load_american_words
from lexiconforge.sources.frequencies import (
    BAND,
    CountedFrequencies,
    Frequencies,
    load_frequencies,
    per_million,
)
from lexiconforge.sources.levels import Levels
from lexiconforge.sources.pronunciations import Pronunciations, load_pronunciations

if TYPE_CHECKING:
    import pandas as pd

Phones = tuple[str, ...]

TOKEN_COLUMNS = (
    "word", "pronunciation_no", "phones", "phone_index", "letters", "letters_start", "position",
    "environment", "before", "after", "stress_before", "stress_after", "allophone", "ipa",
    "also_heard", "rule", "source", "note",
)  # fmt: skip
WORD_COLUMNS = (
    "word", "rank", "zipf", "per_million", "band", "syllables", "stress", "phones", "ipa",
    "allophones", "lemma", "family", "proper_name", "abbreviation",
    "spelling", "sensitive", "known_word",
)  # fmt: skip

ELIDED_SIGN = "∅"
"""What a table writes for the IPA of a t that is not heard; the IPA of a whole word leaves it out."""


_OF_RULE: dict[str, Callable[[Rule], str]] = {
    "environment": attrgetter("environment"),
    "allophone": attrgetter("allophone"),
    "ipa": lambda rule: ALLOPHONE_IPA[rule.allophone] or ELIDED_SIGN,
    "also_heard": attrgetter("also_heard"),
    "rule": attrgetter("name"),
    "source": attrgetter("source"),
}


class WordTag(NamedTuple):
    """The T tokens of one pronunciation, ``phone_index`` counted in its own phones, and the places where
    its parts meet (phone indexes)."""

    tokens: list[Token]
    junctures: list[int]
    note: str


@dataclass(frozen=True, kw_only=True)
class Lexicon:
    """The loaded sources.

    ``pronunciations`` are lists of ARPAbet tuples by word, ``frequencies`` grade them. Where these are counts of
    one's own texts, ``general`` are those of the language at large, which tell common words and names from others:
    what the t of a word is does not depend on whose texts were counted. ``own`` are words that only the user's
    supplement has: screening takes them for known words.
    """

    pronunciations: Pronunciations
    frequencies: Frequencies | CountedFrequencies
    general: Frequencies | None = None
    own: frozenset[str] = frozenset()
    _verdicts: dict[str, Verdict] = field(default_factory=dict, repr=False, compare=False)
    _tags: dict[tuple[str, Phones], WordTag] = field(default_factory=dict, repr=False, compare=False)

    @cached_property
    def american(self) -> AmericanWords:
        """The American dictionary against which words are screened."""
        return load_american_words()

    @cached_property
    def families(self) -> Families:
        """Lemmas and families of words."""
        return Families(self.pronunciations, self.american.in_lower_case)

    @cached_property
    def levels(self) -> Levels:
        """CEFR levels and parts of speech."""
        return Levels()

    @cached_property
    def _screen(self) -> Screen:
        rank = self.frequencies.rank
        return Screen(
            self.pronunciations.keys() & rank.keys(),
            self.families,
            self.american,
            (self.general or self.frequencies).rank,
            lambda word: self.levels.of(word).level,
            self.own,
        )

    def verdicts(self, words: Sequence[str]) -> list[Verdict]:
        """The screening of these dictionary words, in their order."""
        new = [word for word in dict.fromkeys(words) if word not in self._verdicts]
        found = self._screen.verdicts(new, [self.main_phones(word) for word in new])
        self._verdicts.update(zip(new, found, strict=True))
        return [self._verdicts[word] for word in words]

    @cached_property
    def _parts(self) -> frozenset[str]:
        return wordparts.parts_of_compounds(self.pronunciations, (self.general or self.frequencies).rank)

    def listed(self, word: str) -> Sequence[Phones]:
        """The pronunciations of a word in the dictionary's order, empty if it has none."""
        return self.pronunciations[word] if word in self.pronunciations else ()

    @cached_property
    def with_t(self) -> list[str]:
        """Words that have a t in some pronunciation and a frequency, the commonest first."""
        rank = self.frequencies.rank
        return sorted(
            (word for word in self.pronunciations.with_phone("T") if word in rank),
            key=rank.__getitem__,
        )

    @cached_property
    def uses(self) -> dict[Rule, list[tuple[int, int]]]:
        """Where each rule decides a t of a word that has a frequency: pairs of the word's place in
        :attr:`with_t` and the place of the t among the t's of its main pronunciation."""
        uses: dict[Rule, list[tuple[int, int]]] = {rule: [] for rule in rules()}
        for n, word in enumerate(self.with_t):
            phones = self.main_phones(word)
            known = self._tags.get((word, phones))
            if known:
                tokens = known.tokens
            else:
                reading = self.read(word, phones)
                tokens = tag(reading.symbols if reading else phones)
            for place, token in enumerate(tokens):
                uses[token.rule].append((n, place))
        return uses

    def main_phones(self, word: str) -> Phones:
        """The pronunciation that stands for a word: the first listed that has a t, else the first.

        The dictionary writes some taps as D (*thirty* is listed with D, then with T); the reading with the
        t is the one this library is about.
        """
        listed = self.pronunciations[word]
        if len(listed) == 1 or "T" in listed[0]:
            return listed[0]
        return next((phones for phones in listed if "T" in phones), listed[0])

    def tag_phones(self, word: str, phones: Phones) -> WordTag:
        """Every T of one pronunciation of a word, with the rule that decides it."""
        key = (word, phones)
        if key not in self._tags:
            self._tags[key] = self._tag_afresh(word, phones)
        return self._tags[key]

    def _tag_afresh(self, word: str, phones: Phones) -> WordTag:
        reading = self.read(word, phones)
        if reading is None:
            return WordTag(tag(phones), [], "")
        return WordTag(
            [
                token._replace(phone_index=reading.places[token.phone_index])
                for token in tag(reading.symbols)
            ],
            [reading.places[i + 1] for i, symbol in enumerate(reading.symbols) if symbol == SEAM],
            reading.note,
        )

    def read(self, word: str, phones: Phones) -> wordparts.Reading | None:
        """The symbols that the rules see for one pronunciation of a word, None if just its phones."""
        return wordparts.read(
            word, phones, self.pronunciations, self._parts, self.american.in_lower_case
        )

    def ipa(self, word: str, phones: Phones, tagged: WordTag | None = None) -> str:
        """Broad IPA of one pronunciation with the usual allophone of every t."""
        tagged = tagged or self.tag_phones(word, phones)
        return arpabet.ipa(
            phones, [ALLOPHONE_IPA[t.rule.allophone] for t in tagged.tokens], tagged.junctures
        )


@lru_cache(maxsize=1)
def load_lexicon() -> Lexicon:
    """The lexicon from the packaged sources; loaded once, then shared.

    Raises :class:`lexiconforge.sources.SourceError` if a source is missing or damaged.

    >>> load_lexicon().main_phones("water")
    ('W', 'AO1', 'T', 'ER0')
    """
    return Lexicon(pronunciations=load_pronunciations(), frequencies=load_frequencies())


def supplemented(
    lexicon: Lexicon, *, pronunciations: Path | None = None, frequencies: Path | None = None
) -> Lexicon:
    """The lexicon with a user's pronunciations and frequencies (:mod:`lexiconforge.sources.supplements`).

    Raises :class:`lexiconforge.sources.SourceError` with a line for every problem of these files.
    """
    from lexiconforge.sources import supplements

    own = supplements.read_pronunciations(pronunciations) if pronunciations else {}
    shares = supplements.read_frequencies(frequencies) if frequencies else {}
    graded = lexicon.frequencies
    general = lexicon.general
    if shares:
        if not isinstance(graded, Frequencies):
            raise ValueError("own frequencies go with the shipped ones, not with counts")
        general, graded = graded, supplements.with_frequencies(graded, shares)
    return Lexicon(
        pronunciations=supplements.with_pronunciations(lexicon.pronunciations, own),
        frequencies=graded,
        general=general,
        own=frozenset(own.keys() - lexicon.pronunciations.keys()),
    )


def t_tokens(lexicon: Lexicon, words: Iterable[str] | None = None) -> pd.DataFrame:
    """Every t of every pronunciation: one row for each T phone.

    ``words`` restricts the table to these spellings, in their order; without it the whole dictionary in
    its own order. Columns (:data:`TOKEN_COLUMNS`): ``word``; ``pronunciation_no``, 1 = first listed;
    ``phones``, ARPAbet with spaces; ``phone_index``, 0-based place of this T; ``letters`` and
    ``letters_start``, the letters that spell it and their 0-based place (empty and missing where none were
    found); ``position``, initial, medial or final; ``environment``; ``before`` and ``after``, the
    neighbouring phones, ``#`` at an edge; ``stress_before`` and ``stress_after``, stress of the nearest
    vowels; ``allophone``, the usual one; ``ipa``, its symbol; ``also_heard``, others that are common,
    ``; `` between; ``rule`` and ``source``, the row of the rule table that decided; ``note``, why a single
    word is read otherwise than its phones.

    >>> t_tokens(load_lexicon(), ["water"])[["letters", "allophone"]].values.tolist()
    [['t', 'tap']]
    """
    import numpy as np
    import pandas as pd

    from lexiconforge.spelling import align_t

    spellings: list[str] = []
    readings: list[Phones] = []
    numbers: list[int] = []
    for word in lexicon.pronunciations.with_phone("T") if words is None else words:
        for number, phones in enumerate(lexicon.listed(word), start=1):
            if "T" in phones:
                spellings.append(word)
                readings.append(phones)
                numbers.append(number)
    starts, ends = align_t(spellings, readings)
    tags = [lexicon.tag_phones(word, phones) for word, phones in zip(spellings, readings, strict=True)]
    counts = [len(tagged.tokens) for tagged in tags]
    tokens = [token for tagged in tags for token in tagged.tokens]
    owner = np.repeat(np.arange(len(tags)), counts)
    places = np.array([token.phone_index for token in tokens], dtype=np.int64)
    last = np.array([len(phones) - 1 for phones in readings], dtype=np.int64)[owner]
    firsts, lasts = (
        np.array([n for row in rows for n in row], dtype=np.int64) for rows in (starts, ends)
    )
    around = [
        (
            phones[place - 1] if place else PAUSE,
            phones[place + 1] if place + 1 < len(phones) else PAUSE,
            *nearest_stress(phones, place),
        )
        for phones, tagged in zip(readings, tags, strict=True)
        for place, _ in tagged.tokens
    ]
    before, after, stress_before, stress_after = zip(*around, strict=True) if around else [()] * 4

    def spread(values: Sequence[object]) -> np.ndarray:
        return np.repeat(np.array(values, dtype=object), counts)

    words_of = spread(spellings)
    columns: dict[str, object] = {
        "word": words_of,
        "pronunciation_no": np.repeat(np.array(numbers, dtype=np.int64), counts),
        "phones": spread([" ".join(phones) for phones in readings]),
        "phone_index": places,
        "letters": [
            word[first:end]
            for word, first, end in zip(words_of, firsts.tolist(), lasts.tolist(), strict=True)
        ],
        "letters_start": pd.array(firsts, dtype="Int64"),
        "position": np.select([places == 0, places == last], ["initial", "final"], "medial").astype(
            object
        ),
        "before": before,
        "after": after,
        "stress_before": stress_before,
        "stress_after": stress_after,
        "note": spread([tagged.note for tagged in tags]),
    }
    columns |= {name: [of_rule(rule) for _, rule in tokens] for name, of_rule in _OF_RULE.items()}
    table = pd.DataFrame({name: pd.Series(columns[name]) for name in TOKEN_COLUMNS})
    table.loc[firsts == lasts, "letters_start"] = pd.NA
    return table


def words(lexicon: Lexicon, only: Sequence[str] | None = None) -> pd.DataFrame:
    """Every dictionary word that has a t and a frequency, the commonest first.

    ``only`` restricts the table to these words, in their order. Columns (:data:`WORD_COLUMNS`): ``rank``,
    place among all words of the frequency list, 1 = commonest; ``zipf``, Zipf scale; ``per_million``,
    occurrences per million words; ``band``, thousand of ranks, 1 = ranks 1 to 1000; ``syllables``;
    ``stress``, the digits of the vowels in order; ``phones``, ARPAbet of the pronunciation that stands for
    the word; ``ipa``, broad, with the usual allophones; ``allophones``, the usual one of each t in order;
    ``lemma`` and ``family`` (:mod:`lexiconforge.families`); the screening
    (:mod:`lexiconforge.screening`): ``proper_name``, ``abbreviation``, ``spelling``, ``sensitive``,
    ``known_word``.

    >>> words(load_lexicon(), ["water"])[["stress", "ipa", "allophones"]].values.tolist()
    [['10', 'ˈwɔɾɚ', 'tap']]
    """
    import numpy as np
    import pandas as pd

    chosen = lexicon.with_t if only is None else list(only)
    frequencies = lexicon.frequencies
    rank = np.array([frequencies.rank[word] for word in chosen], dtype=np.int64)
    zipf = np.array([frequencies.zipf(word) for word in chosen], dtype=float)
    verdicts = lexicon.verdicts(chosen)
    stress, phones_of, ipa, allophones = [], [], [], []
    for word in chosen:
        phones = lexicon.main_phones(word)
        tagged = lexicon.tag_phones(word, phones)
        stress.append(arpabet.stress_pattern(phones))
        phones_of.append(" ".join(phones))
        ipa.append(lexicon.ipa(word, phones, tagged))
        allophones.append("; ".join(t.rule.allophone for t in tagged.tokens))
    return pd.DataFrame(
        {
            "word": chosen,
            "rank": rank,
            "zipf": zipf,
            "per_million": per_million(zipf),
            "band": (rank - 1) // BAND + 1,
            "syllables": [len(digits) for digits in stress],
            "stress": stress,
            "phones": phones_of,
            "ipa": ipa,
            "allophones": allophones,
            "lemma": [lexicon.families.lemma(word) for word in chosen],
            "family": [lexicon.families.family(word) for word in chosen],
            "proper_name": [verdict.proper_name for verdict in verdicts],
            "abbreviation": [verdict.abbreviation for verdict in verdicts],
            "spelling": [verdict.spelling for verdict in verdicts],
            "sensitive": [verdict.sensitive for verdict in verdicts],
            "known_word": [verdict.known_word for verdict in verdicts],
        }
    )


def rule_table(lexicon: Lexicon) -> pd.DataFrame:
    """The rule table with the share of the dictionary's T's that each rule decides.

    Columns: ``rule``, ``before``, ``after`` (context names, ``any`` where all fit), ``environment``,
    ``allophone``, ``also_heard``, ``share`` (0 to 1, of all T's of all pronunciations; rules of the edge
    between words decide few inside them), ``slots``, ``misaki``, ``espeak_ng`` (of the T's on which the
    rule was scored against two references, their number and the share, 0 to 1, at which each reference
    agrees; ``docs/accuracy.md`` says how), ``source``, ``example``. Rows in the order of the rules.

    >>> rule_table(load_lexicon())["share"].sum().round(2).item()
    1.0
    """
    import pandas as pd

    decided: Counter[str] = Counter(
        token.rule.name
        for word in lexicon.pronunciations.with_phone("T")
        for phones in lexicon.listed(word)
        for token in lexicon.tag_phones(word, phones).tokens
    )
    whole = decided.total()
    agreement = {row["rule"]: row for row in data.rows("rule_agreement")}

    def measured(rule: Rule, column: str) -> float:
        return float(agreement[rule.name][column] or "nan") if rule.name in agreement else float("nan")

    return pd.DataFrame(
        [
            {
                "rule": rule.name,
                "before": "; ".join(rule.before) or "any",
                "after": "; ".join(rule.after) or "any",
                "environment": rule.environment,
                "allophone": rule.allophone,
                "also_heard": rule.also_heard,
                "share": round(decided[rule.name] / whole, 5),
                "slots": int(agreement.get(rule.name, {}).get("slots", 0)),
                "misaki": measured(rule, "misaki"),
                "espeak_ng": measured(rule, "espeak"),
                "source": rule.source,
                "example": rule.example,
            }
            for rule in rules()
        ]
    )
