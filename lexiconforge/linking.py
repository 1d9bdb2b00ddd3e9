"""A t at the end of one word and the start of the next: pairs for linking practice.

Room: takes the lexicon and the counts of pairs, gives a table; the rules of word edges are rows of the one
rule table, reached by putting the two words side by side with a ``+`` between.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

from lexiconforge import phones as arpabet
from lexiconforge.allophones import ALLOPHONE_IPA, JUNCTURE, PAUSE, Rule, rule_between
from lexiconforge.lexicon import Lexicon
from lexiconforge.screening import EXCLUSIONS
from lexiconforge.sources.word_pairs import PAIR_COLUMNS
from lexiconforge.wordlists import ChoiceError

if TYPE_CHECKING:
    import pandas as pd

LINK_COLUMNS = (
    "first", "second", "count", "per_million", "association", "environment", "allophone", "ipa",
    "also_heard", "rule", "coverage",
)  # fmt: skip
LINKING = ("tap", "nasal tap")
"""The allophones that make a pair a candidate."""


@dataclass(frozen=True, kw_only=True)
class LinkChoice:
    """Which pairs: ``first`` and ``second`` fix a word, ``include`` lets in kinds of
    :data:`lexiconforge.screening.EXCLUSIONS`. Raises :class:`~lexiconforge.wordlists.ChoiceError`."""

    first: str = ""
    second: str = ""
    include: Sequence[str] = ()
    limit: int | None = None

    def __post_init__(self) -> None:
        if self.limit is not None and self.limit < 1:
            raise ChoiceError(f"limit {self.limit}: must be 1 or more")
        for name in self.include:
            if name not in EXCLUSIONS:
                raise ChoiceError(f"no left-out kind {name!r}; there are: {', '.join(EXCLUSIONS)}")


def links(lexicon: Lexicon, pairs: pd.DataFrame, choice: LinkChoice | None = None) -> pd.DataFrame:
    """Word pairs in which the next word's start makes the final t a tap or a nasal tap, commonest first.

    ``pairs`` has the columns of :func:`lexiconforge.sources.word_pairs.load_word_pairs`. Both words are read
    in the pronunciation that stands for them, without a pause between. Columns (:data:`LINK_COLUMNS`):
    ``count``, occurrences in the source of the pairs; ``per_million``, the same per million of all its
    pairs; ``association``, pointwise mutual information in bits over all pairs of the source (Church and Hanks
    1990; the measure that NLTK calls ``pmi``), 0 where the two meet as often as chance has it;
    ``environment`` to ``rule`` as in :func:`lexiconforge.lexicon.t_tokens`, ``ipa`` that of the whole
    phrase; ``coverage``, the share (0 to 1) of all such meetings that the pairs down to this row account
    for, screened-out pairs counted in the whole.

    >>> import pandas as pd
    >>> from lexiconforge.lexicon import load_lexicon
    >>> pairs = pd.DataFrame({"first": ["at", "at"], "second": ["all", "tall"], "count": [3, 2]})
    >>> links(load_lexicon(), pairs)[["first", "second"]].values.tolist()
    [['at', 'all']]
    """
    import pandas as pd

    choice = choice or LinkChoice()
    candidates = _candidates(lexicon, pairs)
    whole = sum(candidate.count for candidate in candidates)
    candidates = [
        candidate
        for candidate in candidates
        if choice.first in ("", candidate.first) and choice.second in ("", candidate.second)
    ]
    candidates = _screened(lexicon, candidates, choice.include)
    if choice.limit is not None:
        candidates = candidates[: choice.limit]
    firsts = pairs.groupby("first", sort=False)["count"].sum().to_dict()
    seconds = pairs.groupby("second", sort=False)["count"].sum().to_dict()
    total = int(pairs["count"].sum())
    covered = 0
    rows = []
    for candidate in candidates:
        first, second, count, rule = (
            candidate.first,
            candidate.second,
            candidate.count,
            candidate.rule,
        )
        covered += count
        chance = firsts[first] * seconds[second] / total
        rows.append(
            (
                first,
                second,
                count,
                round(count / total * 1e6, 4),
                round(math.log2(count / chance), 2),
                rule.environment,
                rule.allophone,
                phrase_ipa(lexicon, first, second, rule),
                rule.also_heard,
                rule.name,
                round(covered / whole, 4),
            )
        )
    return pd.DataFrame(rows, columns=list(LINK_COLUMNS))


@dataclass(frozen=True)
class _Candidate:
    first: str
    second: str
    count: int
    rule: Rule


def _candidates(lexicon: Lexicon, pairs: pd.DataFrame) -> list[_Candidate]:
    """Pairs of dictionary words that link, by falling count, then in the order of the alphabet."""
    words = set(pairs["first"]) | set(pairs["second"])
    known = {w for w in words if w in lexicon.frequencies.rank and w in lexicon.pronunciations}
    phones = {word: lexicon.main_phones(word) for word in known}
    ending = {word for word in known if phones[word][-1] == "T"}
    possible = pairs[pairs["first"].isin(ending) & pairs["second"].isin(known)]
    found = []
    for first, second, count in zip(*(possible[name].tolist() for name in PAIR_COLUMNS), strict=True):
        rule = rule_across(phones[first], phones[second])
        if rule.allophone in LINKING:
            found.append(_Candidate(first, second, count, rule))
    return sorted(found, key=lambda row: (-row.count, row.first, row.second))


def rule_across(first: Sequence[str], second: Sequence[str]) -> Rule:
    """The rule for the t that ends one pronunciation, said in one breath with the next.

    >>> rule_across(["AE1", "T"], ["AO1", "L"]).allophone      # at all
    'tap'
    >>> rule_across(["AE1", "T"], ["T", "EH1", "N"]).allophone   # at ten
    'unreleased stop'
    """
    return rule_between((PAUSE, *first[:-1]), (JUNCTURE, *second, PAUSE))


def _screened(
    lexicon: Lexicon, candidates: list[_Candidate], include: Sequence[str]
) -> list[_Candidate]:
    words = list(dict.fromkeys(word for pair in candidates for word in (pair.first, pair.second)))
    clean = {
        word
        for word, verdict in zip(words, lexicon.verdicts(words), strict=True)
        if not set(verdict.reasons) - set(include)
    }
    return [pair for pair in candidates if pair.first in clean and pair.second in clean]


def phrase_ipa(lexicon: Lexicon, first: str, second: str, rule: Rule) -> str:
    """Broad IPA of two words, the t between them as this rule has it; ``‿`` marks the link.

    >>> from lexiconforge.lexicon import load_lexicon
    >>> phrase_ipa(load_lexicon(), "at", "all", rule_across(["AE1", "T"], ["AO1", "L"]))
    'æɾ‿ɔl'
    """
    before, after = lexicon.main_phones(first), lexicon.main_phones(second)
    tagged = lexicon.tag_phones(first, before)
    symbols = [ALLOPHONE_IPA[token.rule.allophone] for token in tagged.tokens]
    symbols[-1] = ALLOPHONE_IPA[rule.allophone]
    return f"{arpabet.ipa(before, symbols, tagged.junctures)}‿{lexicon.ipa(second, after)}"
