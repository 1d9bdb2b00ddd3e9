"""A t at the end of one word and the start of the next: pairs for linking practice.

Room: takes the lexicon and the counts of pairs, gives a table; the rules of word edges are rows of the one
rule table, reached by putting the two words side by side with a ``+`` between.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

from lexiconforge import phones as arpabet
from lexiconforge.allophones import ALLOPHONE_IPA, JUNCTURE, Token, tag
from lexiconforge.lexicon import Lexicon
from lexiconforge.screening import EXCLUSIONS
from lexiconforge.sources.word_pairs import WordPairs
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


def links(lexicon: Lexicon, pairs: WordPairs, choice: LinkChoice | None = None) -> pd.DataFrame:
    """Word pairs in which the next word's start makes the final t a tap or a nasal tap, commonest first.

    Both words are read in the pronunciation that stands for them, without a pause between. Columns
    (:data:`LINK_COLUMNS`): ``count``, occurrences in the source of the pairs; ``per_million``, the same per
    million of all its pairs; ``association``, pointwise mutual information in bits (Church and Hanks 1990;
    NLTK's ``BigramAssocMeasures.pmi`` on all pairs of the source), 0 where the two meet as often as chance
    has it; ``environment`` to ``rule`` as in :func:`lexiconforge.lexicon.t_tokens`, ``ipa`` that of the whole
    phrase; ``coverage``, the share (0 to 1) of all such meetings that the pairs down to this row account for,
    screened-out pairs counted in the whole.

    >>> from lexiconforge.lexicon import load_lexicon
    >>> links(load_lexicon(), {("at", "all"): 3, ("at", "tall"): 2})[["first", "second"]].values.tolist()
    [['at', 'all']]
    """
    import pandas as pd

    choice = choice or LinkChoice()
    candidates = _candidates(lexicon, pairs)
    whole = sum(count for _, _, count, _ in candidates)
    candidates = [
        row
        for row in candidates
        if choice.first in ("", row[0]) and choice.second in ("", row[1])
    ]
    candidates = _screened(lexicon, candidates, choice.include)
    if choice.limit is not None:
        candidates = candidates[: choice.limit]
    measure = _Association(pairs)
    covered = 0
    rows = []
    for first, second, count, token in candidates:
        covered += count
        rows.append(
            (
                first,
                second,
                count,
                round(count / measure.total * 1e6, 4),
                round(measure.of(first, second), 2),
                token.rule.environment,
                token.rule.allophone,
                phrase_ipa(lexicon, first, second, token),
                token.rule.also_heard,
                token.rule.name,
                round(covered / whole, 4),
            )
        )
    return pd.DataFrame(rows, columns=list(LINK_COLUMNS))


_Candidate = tuple[str, str, int, Token]


def _candidates(lexicon: Lexicon, pairs: WordPairs) -> list[_Candidate]:
    """Pairs of dictionary words that link, by falling count, then in the order of the alphabet."""
    rank = lexicon.frequencies.rank
    ends: dict[str, bool] = {}
    found = []
    for (first, second), count in pairs.items():
        if first not in ends:
            listed = lexicon.listed(first) if first in rank else ()
            ends[first] = any(phones[-1] == "T" for phones in listed)
        if not ends[first] or second not in rank or second not in lexicon.pronunciations:
            continue
        token = link_token(lexicon, first, second)
        if token is not None and token.rule.allophone in LINKING:
            found.append((first, second, count, token))
    return sorted(found, key=lambda row: (-row[2], row[0], row[1]))


def link_token(lexicon: Lexicon, first: str, second: str) -> Token | None:
    """The t that ends the first word, read before the second; None if it does not end in one.

    >>> from lexiconforge.lexicon import load_lexicon
    >>> link_token(load_lexicon(), "not", "at").rule.allophone
    'tap'
    """
    phones = lexicon.main_phones(first)
    if phones[-1] != "T":
        return None
    # Three phones on either side are all that the rules look at.
    symbols = [*phones[-4:], JUNCTURE, *lexicon.main_phones(second)[:3]]
    place = min(len(phones), 4) - 1
    return next(token for token in tag(symbols) if token.phone_index == place)


def _screened(
    lexicon: Lexicon, candidates: list[_Candidate], include: Sequence[str]
) -> list[_Candidate]:
    words = list(dict.fromkeys(word for row in candidates for word in row[:2]))
    clean = {
        word
        for word, verdict in zip(words, lexicon.verdicts(words), strict=True)
        if not set(verdict.reasons) - set(include)
    }
    return [row for row in candidates if row[0] in clean and row[1] in clean]


def phrase_ipa(lexicon: Lexicon, first: str, second: str, token: Token) -> str:
    """Broad IPA of two words, the t between them as this token has it; ``‿`` marks the link.

    >>> from lexiconforge.lexicon import load_lexicon
    >>> phrase_ipa(load_lexicon(), "at", "all", link_token(load_lexicon(), "at", "all"))
    'æɾ‿ɔl'
    """
    before, after = lexicon.main_phones(first), lexicon.main_phones(second)
    symbols = [ALLOPHONE_IPA[t.rule.allophone] for t in lexicon.tag_phones(first, before).tokens]
    symbols[-1] = ALLOPHONE_IPA[token.rule.allophone]
    junctures = lexicon.tag_phones(first, before).junctures
    return f"{arpabet.ipa(before, symbols, junctures)}‿{lexicon.ipa(second, after)}"


class _Association:
    """Pointwise mutual information, the counts of single words being sums over all pairs."""

    def __init__(self, pairs: WordPairs) -> None:
        from nltk.metrics.association import BigramAssocMeasures

        self._pmi = BigramAssocMeasures.pmi
        self._pairs: Mapping[tuple[str, str], int] = pairs
        self._firsts: dict[str, int] = {}
        self._seconds: dict[str, int] = {}
        self.total = 0
        for (first, second), count in pairs.items():
            self._firsts[first] = self._firsts.get(first, 0) + count
            self._seconds[second] = self._seconds.get(second, 0) + count
            self.total += count

    def of(self, first: str, second: str) -> float:
        margins = (self._firsts[first], self._seconds[second])
        return float(self._pmi(self._pairs[first, second], margins, self.total))
