"""Graded word lists: which words, in which order, with what beside them.

Room: chooses from the lexicon; writes nothing. :data:`LISTS` is the table of the lists a build makes; the
one function behind them, and behind ``lexiconforge words``, is :func:`word_list`.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable, Sequence
from dataclasses import dataclass, field
from typing import TYPE_CHECKING, NamedTuple

from lexiconforge import phones as arpabet
from lexiconforge.allophones import ALLOPHONE_IPA, Token, rules
from lexiconforge.lexicon import Lexicon
from lexiconforge.screening import EXCLUSIONS
from lexiconforge.sources.frequencies import BAND
from lexiconforge.sources.levels import LEVELS, PARTS_OF_SPEECH

if TYPE_CHECKING:
    import pandas as pd

LIST_COLUMNS = (
    "place", "word", "marked", "ipa", "syllables", "stress", "rank", "zipf", "band", "level",
    "part_of_speech", "environment", "allophone", "also_heard", "coverage", "coverage_with_family",
    "lemma", "family", "also",
)  # fmt: skip
CARD_COLUMNS = (
    "word", "ipa", "syllables", "stress", "rank", "zipf", "band", "level", "part_of_speech", "family",
    "letters_start", "letters", "environment", "allophone", "also_heard", "rule", "source",
)  # fmt: skip
LEFT_OUT_COLUMNS = ("list", "word", "rank", "reason", "environment")


class Target(NamedTuple):
    """One list of a build: its file name, what it is called, and the t it is about (``""`` = any)."""

    name: str
    title: str
    allophone: str
    environment: str


LISTS = (
    Target("tap", "Tapped words", "tap", ""),
    Target("tap-between-vowels", "Tap between vowels", "tap", "between vowels"),
    Target("tap-after-r", "Tap after r", "tap", "after r"),
    Target("tap-before-syllabic-l", "Tap before a syllabic l", "tap", "before syllabic l"),
    Target(
        "tap-after-r-before-syllabic-l",
        "Tap after r and before a syllabic l",
        "tap",
        "after r and before syllabic l",
    ),
    Target("nasal-tap", "Nasal tap", "nasal tap", ""),
    Target("no-tap-before-syllabic-n", "No tap: before a syllabic n", "", "before syllabic n"),
    Target("no-tap-stressed-vowel-after", "No tap: a stressed t", "", "stressed vowel after"),
    Target("no-tap-full-vowel-after", "No tap: a full vowel after", "", "full vowel after"),
)
"""The graded lists of a build: tapped words, each tapping environment, and the words a class must not tap."""


class ChoiceError(ValueError):
    """A filter with a value that does not exist; the message lists the ones that do."""


def allophones() -> list[str]:
    """The allophones that a word by itself can have, in the order of the label table."""
    used = {rule.allophone for rule in rules()}
    return [name for name in ALLOPHONE_IPA if name in used]


def environments() -> list[str]:
    """The environments of the rule table, in its order."""
    return list(dict.fromkeys(rule.environment for rule in rules()))


@dataclass(frozen=True, kw_only=True)
class Choice:
    """What a list holds. Every field narrows it; ``None``, ``""`` and ``()`` leave it as it is.

    ``syllables`` and ``levels`` are inclusive pairs; ``stress`` the digits of the vowels in order (*water* is
    ``10``; *photo*, which the dictionary marks 12, is found as 10 as well); ``include`` names of
    :data:`lexiconforge.screening.EXCLUSIONS` that are let in;
    ``one_per_family`` keeps the commonest member of a family; ``without`` holds words already taught, whose
    families are left out too. Raises :class:`ChoiceError` for a value that does not exist.

    >>> Choice(allophone="tap", syllables=(2, 2)).allophone
    'tap'
    """

    allophone: str = ""
    environment: str = ""
    syllables: tuple[int, int] | None = None
    stress: str = ""
    max_rank: int | None = None
    levels: tuple[str, str] | None = None
    part_of_speech: str = ""
    include: Collection[str] = ()
    one_per_family: bool = False
    without: Collection[str] = field(default=(), repr=False)
    limit: int | None = None

    def __post_init__(self) -> None:
        object.__setattr__(self, "allophone", one_of("allophone", self.allophone, allophones()))
        object.__setattr__(self, "environment", one_of("environment", self.environment, environments()))
        parts = sorted(set(PARTS_OF_SPEECH.values()))
        object.__setattr__(self, "part_of_speech", one_of("part of speech", self.part_of_speech, parts))
        for name in self.include:
            one_of("left-out kind", name, EXCLUSIONS)
        for level in self.levels or ():
            one_of("level", level, LEVELS)
        if self.levels and LEVELS.index(self.levels[0]) > LEVELS.index(self.levels[1]):
            raise ChoiceError(f"levels {self.levels[0]}-{self.levels[1]} run backwards")
        if self.stress.strip("012"):
            raise ChoiceError(f"stress {self.stress!r}: write the digits 0, 1 and 2, as in 10 for water")
        if self.syllables and not 1 <= self.syllables[0] <= self.syllables[1]:
            first, last = self.syllables
            raise ChoiceError(
                f"syllables {first}-{last}: write a number or a range from 1 up, as in 2-3"
            )
        for name, value in (("limit", self.limit), ("max_rank", self.max_rank)):
            if value is not None and value < 1:
                raise ChoiceError(f"{name.replace('_', ' ')} {value}: must be 1 or more")


def one_of(kind: str, value: str, known: Sequence[str]) -> str:
    """The known value that was meant: hyphens and spaces are the same, and so is letter case."""
    if not value:
        return value
    for name in known:
        if _plain(name) == _plain(value):
            return name
    raise ChoiceError(f"no {kind} {value!r}; there are: {', '.join(known)}")


def _plain(name: str) -> str:
    return name.lower().replace("-", " ").replace("_", " ").strip()


class WordList(NamedTuple):
    """``rows`` as :func:`word_list` describes; ``left_out`` what screening kept out of the same stretch of
    the vocabulary (``word``, ``rank``, ``reason``, ``environment``), commonest first."""

    rows: pd.DataFrame
    left_out: pd.DataFrame


class _Candidate(NamedTuple):
    word: str
    rank: int
    places: tuple[int, ...]
    """Which T's of the main pronunciation are meant, counted from 0."""


def word_list(lexicon: Lexicon, choice: Choice) -> WordList:
    """The words that a choice describes, commonest first, one row a word.

    Columns (:data:`LIST_COLUMNS`): ``place`` from 1; ``marked``, the spelling with each t that is meant in
    brackets; ``environment``, ``allophone`` and ``also_heard`` of those t's, ``; `` between, the last with the
    allophones that the dictionary's other pronunciations of the word give, marked *(variant)*; ``coverage``,
    the share (0 to 1) of all such t's in running text that the words down to this row account for, by
    frequency, names and all in the whole; ``coverage_with_family``, the same counting the words under
    ``also``; ``also``, other members of the family in the same environment, commonest first. The rest as in
    :func:`lexiconforge.lexicon.words`.

    The pronunciation that stands for a word is :meth:`Lexicon.main_phones`.

    >>> from lexiconforge.lexicon import load_lexicon
    >>> word_list(load_lexicon(), Choice(environment="before syllabic n", limit=5)).rows["word"].is_unique
    True
    """
    import pandas as pd

    chosen = _candidates(lexicon, choice)
    share = lexicon.frequencies.share
    whole = sum(len(candidate.places) * share(candidate.word) for candidate in chosen)
    chosen = [candidate for candidate in chosen if _fits(lexicon, candidate, choice)]
    kept, left_out = _screened(lexicon, chosen, choice)
    groups = _grouped(lexicon, kept, choice)
    if choice.limit is not None:
        groups = groups[: choice.limit]
    rows = _rows(lexicon, groups, whole)
    if len(groups) == choice.limit:
        left_out = [row for row in left_out if row[1] <= groups[-1][0].rank]
    return WordList(
        pd.DataFrame(rows, columns=list(LIST_COLUMNS)),
        pd.DataFrame(left_out, columns=list(LEFT_OUT_COLUMNS[1:])),
    )


def word_cards(lexicon: Lexicon, choice: Choice) -> pd.DataFrame:
    """Every t of the words that a choice describes, one row a t, the words commonest first.

    Columns (:data:`CARD_COLUMNS`): those of the word as in :func:`word_list`, the same in all its rows; those of the
    t as in :func:`lexiconforge.lexicon.t_tokens`, ``also_heard`` with the variants that :func:`word_list` gives.

    >>> from lexiconforge.lexicon import load_lexicon
    >>> cards = word_cards(load_lexicon(), Choice(environment="before syllabic n", max_rank=3000))
    >>> cards.loc[cards["word"] == "button", ["letters", "allophone"]].values.tolist()
    [['tt', 'glottal stop']]
    """
    import pandas as pd

    from lexiconforge.spelling import align_t

    listed = word_list(lexicon, choice).rows
    words = listed["word"].tolist()
    starts, ends = align_t(words, [lexicon.main_phones(word) for word in words])
    variants = _variants(lexicon, words)
    of_word = listed[list(CARD_COLUMNS[: CARD_COLUMNS.index("letters_start")])]
    rows: list[tuple[object, ...]] = []
    for columns, first, last in zip(
        of_word.itertuples(index=False, name=None), starts, ends, strict=True
    ):
        word = columns[0]
        tokens = lexicon.tag_phones(word, lexicon.main_phones(word)).tokens
        for token, start, end in zip(tokens, first, last, strict=True):
            rows.append(
                (
                    *columns,
                    start if end > start else None,
                    word[start:end],
                    token.rule.environment,
                    token.rule.allophone,
                    _also_heard([token], [(start, end)], variants.get(word, [])),
                    token.rule.name,
                    token.rule.source,
                )
            )
    cards = pd.DataFrame(rows, columns=list(CARD_COLUMNS))
    cards["letters_start"] = cards["letters_start"].astype("Int64")
    return cards


def _candidates(lexicon: Lexicon, choice: Choice) -> list[_Candidate]:
    """Every word with a t of this allophone in this environment, commonest first."""
    found: dict[int, list[int]] = {}
    for rule, uses in lexicon.uses.items():
        if choice.allophone in ("", rule.allophone) and choice.environment in ("", rule.environment):
            for n, place in uses:
                found.setdefault(n, []).append(place)
    rank = lexicon.frequencies.rank
    return [
        _Candidate(word := lexicon.with_t[n], rank[word], tuple(sorted(found[n]))) for n in sorted(found)
    ]


def _fits(lexicon: Lexicon, candidate: _Candidate, choice: Choice) -> bool:
    if choice.max_rank is not None and candidate.rank > choice.max_rank:
        return False
    if choice.syllables or choice.stress:
        phones = lexicon.main_phones(candidate.word)
        patterns = (arpabet.stress_pattern(phones), arpabet.plain_stress_pattern(phones))
        if choice.stress and choice.stress not in patterns:
            return False
        if choice.syllables and not choice.syllables[0] <= len(patterns[0]) <= choice.syllables[1]:
            return False
    if choice.levels or choice.part_of_speech:
        level, parts = lexicon.levels.of(candidate.word)
        if choice.levels and not choice.levels[0] <= level <= choice.levels[1]:
            return False
        if choice.part_of_speech and choice.part_of_speech not in parts:
            return False
    return True


def _screened(
    lexicon: Lexicon, candidates: list[_Candidate], choice: Choice
) -> tuple[list[_Candidate], list[tuple[str, int, str, str]]]:
    kept, left_out = [], []
    verdicts = lexicon.verdicts([candidate.word for candidate in candidates])
    for candidate, verdict in zip(candidates, verdicts, strict=True):
        reasons = [reason for reason in verdict.reasons if reason not in choice.include]
        if reasons:
            environment = _joined(token.rule.environment for token in _tokens(lexicon, candidate))
            left_out.append((candidate.word, candidate.rank, "; ".join(reasons), environment))
        else:
            kept.append(candidate)
    return kept, left_out


def _grouped(lexicon: Lexicon, candidates: list[_Candidate], choice: Choice) -> list[list[_Candidate]]:
    """Candidates by family, the one to be listed first."""
    family = lexicon.families.family
    taught = {family(word) for word in choice.without}
    groups: dict[str, list[_Candidate]] = {}
    for candidate in candidates:
        of = family(candidate.word)
        if of not in taught:
            groups.setdefault(of, []).append(candidate)
    if choice.one_per_family:
        return list(groups.values())
    return [
        [candidate, *(other for other in groups[family(candidate.word)] if other != candidate)]
        for candidate in candidates
        if family(candidate.word) in groups
    ]


def _rows(lexicon: Lexicon, groups: list[list[_Candidate]], whole: float) -> list[tuple[object, ...]]:
    from lexiconforge.spelling import align_t

    share = lexicon.frequencies.share
    words = [group[0].word for group in groups]
    starts, ends = align_t(words, [lexicon.main_phones(word) for word in words])
    variants = _variants(lexicon, words)
    rows: list[tuple[object, ...]] = []
    covered = 0.0
    covered_with_family = 0.0
    counted: set[str] = set()
    for place, (group, starts_of, ends_of) in enumerate(zip(groups, starts, ends, strict=True), start=1):
        candidate = group[0]
        word = candidate.word
        phones = lexicon.main_phones(word)
        stress = arpabet.stress_pattern(phones)
        tokens = _tokens(lexicon, candidate)
        spans = [(starts_of[n], ends_of[n]) for n in candidate.places]
        covered += len(candidate.places) * share(word)
        for member in group:
            if member.word not in counted:
                counted.add(member.word)
                covered_with_family += len(member.places) * share(member.word)
        level, parts = lexicon.levels.of(word)
        zipf = lexicon.frequencies.zipf(word)
        rows.append(
            (
                place,
                word,
                marked(word, spans),
                lexicon.ipa(word, phones),
                len(stress),
                stress,
                candidate.rank,
                zipf,
                (candidate.rank - 1) // BAND + 1,
                level,
                "; ".join(parts),
                _joined(token.rule.environment for token in tokens),
                _joined(token.rule.allophone for token in tokens),
                _also_heard(tokens, spans, variants.get(word, [])),
                round(covered / whole, 4),
                round(covered_with_family / whole, 4),
                lexicon.families.lemma(word),
                lexicon.families.family(word),
                ", ".join(member.word for member in group[1:]),
            )
        )
    return rows


def _tokens(lexicon: Lexicon, candidate: _Candidate) -> list[Token]:
    tokens = lexicon.tag_phones(candidate.word, lexicon.main_phones(candidate.word)).tokens
    return [tokens[place] for place in candidate.places]


def marked(word: str, spans: Sequence[tuple[int, int]]) -> str:
    """The spelling with these letters in brackets.

    >>> marked("butter", [(2, 4)])
    'bu[tt]er'
    """
    out, at = [], 0
    for start, end in spans:
        if end > start:
            out += [word[at:start], "[", word[start:end], "]"]
            at = end
    return "".join([*out, word[at:]])


def _joined(names: Iterable[str]) -> str:
    return "; ".join(dict.fromkeys(names))


def _variants(lexicon: Lexicon, words: Sequence[str]) -> dict[str, list[dict[int, str]]]:
    """The usual allophones by the first letter of each t, for every other pronunciation of these words."""
    from lexiconforge.spelling import align, align_t

    spellings, readings = [], []
    for word in words:
        main = lexicon.main_phones(word)
        for phones in lexicon.listed(word):
            if phones != main:
                spellings.append(word)
                readings.append(phones)
    starts, _ = align_t(spellings, readings)
    found: dict[str, list[dict[int, str]]] = {}
    for word, phones, starts_of in zip(spellings, readings, starts, strict=True):
        tokens = lexicon.tag_phones(word, phones).tokens
        usual = dict(zip(starts_of, (token.rule.allophone for token in tokens), strict=True))
        if phones.count("T") < lexicon.main_phones(word).count("T"):
            # The dictionary writes some taps as D and some affricates as CH.
            for (start, end), phone in zip(align(word, phones), phones, strict=True):
                if phone in ("D", "CH") and "t" in word[start:end]:
                    usual[start] = "tap" if phone == "D" else "affricate"
        found.setdefault(word, []).append(usual)
    return found


def _also_heard(
    tokens: Sequence[Token], spans: Sequence[tuple[int, int]], variants: Sequence[dict[int, str]]
) -> str:
    """What the rules give besides the usual allophone, and what the other pronunciations give."""
    heard = list(
        dict.fromkeys(name for token in tokens for name in token.rule.also_heard.split("; ") if name)
    )
    for by_letter in variants:
        for token, (start, _) in zip(tokens, spans, strict=True):
            there = by_letter.get(start, "elided")
            if there != token.rule.allophone and f"{there} (variant)" not in heard:
                heard = [name for name in heard if name != there] + [f"{there} (variant)"]
    return "; ".join(heard)
