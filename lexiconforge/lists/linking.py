"""The sound at the end of one word and the start of the next: pairs for linking practice.

Room: takes the lexicon and the counts of pairs, gives a table; the rules of word edges are rows of the one
rule table, reached by putting the two words side by side with a ``+`` between.
"""

from __future__ import annotations

import math
from collections.abc import Collection, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, NamedTuple

from lexiconforge import options
from lexiconforge.lexicon import Lexicon
from lexiconforge.lexicon.codes import exclusion_bits
from lexiconforge.lexicon.records import Reading
from lexiconforge.lists.options import included
from lexiconforge.phonology.ipa import ipa
from lexiconforge.phonology.matcher import PAUSE, WORD_BOUNDARY, Rule
from lexiconforge.sources.word_pairs import PAIR_COLUMNS
from lexiconforge.tables import Table

if TYPE_CHECKING:
    import pandas as pd

    from lexiconforge.sounds import Sound

LINK_COLUMNS = (
    "first", "second", "count", "per_million", "pmi", "log_likelihood", "environment", "allophone", "ipa",
    "also_heard", "heard", "heard_source", "rule", "source", "coverage",
)  # fmt: skip
LINK = "‿"
"""Joins two words in IPA (the Handbook of the IPA, 1999: linking, absence of a break)."""


@dataclass(frozen=True, kw_only=True)
class LinkFilter:
    """Which pairs: ``first`` and ``second`` fix a word, ``include`` lets in kinds of
    :data:`lexiconforge.lexicon.codes.EXCLUSIONS`. Raises :class:`~lexiconforge.errors.OptionError`.

    >>> LinkFilter(first="Get").first
    'get'
    """

    first: str = ""
    second: str = ""
    include: Collection[str] | str = ()
    limit: int | None = None

    def __post_init__(self) -> None:
        for name in ("first", "second"):
            object.__setattr__(self, name, options.word(name, getattr(self, name)))
        object.__setattr__(self, "include", included(self.include))
        options.whole_or_none("limit", self.limit)


def links(lexicon: Lexicon, pairs: pd.DataFrame, wanted: LinkFilter | None = None) -> pd.DataFrame:
    """Word pairs in which the next word's start makes the final sound one that links, commonest first.

    ``pairs`` has the columns of :func:`lexiconforge.sources.word_pairs.load_word_pairs`. Both words are read
    in the pronunciation that stands for them, without a pause between. Columns (:data:`LINK_COLUMNS`):
    ``count``, occurrences in the source of the pairs; ``per_million``, the same per million of all its
    pairs; ``pmi``, pointwise mutual information in bits over all pairs of the source (Church and Hanks
    1990), 0 where the two meet as often as chance has it; ``log_likelihood``, Dunning's (1993) ratio, times two, in
    natural logarithms; ``environment`` to ``source`` as in :func:`lexiconforge.lexicon.catalog.sound_tokens`, ``ipa`` that
    of the whole phrase; ``coverage``, the share (0 to 1) of all such meetings that the pairs down to this row account
    for, screened-out pairs counted in the whole.

    >>> import pandas as pd
    >>> from lexiconforge.lexicon import load_lexicon
    >>> pairs = pd.DataFrame({"first": ["at", "at"], "second": ["all", "tall"], "count": [3, 2]})
    >>> links(load_lexicon(), pairs)[["first", "second"]].values.tolist()
    [['at', 'all']]
    """
    return link_table(lexicon, pairs, wanted or LinkFilter()).frame()


def link_table(lexicon: Lexicon, pairs: pd.DataFrame, wanted: LinkFilter) -> Table:
    """As :func:`links`, as a plain table."""
    found = _links(lexicon, pairs)
    whole = sum(link.times for link in found)
    found = [
        link
        for link in found
        if wanted.first in ("", link.first.word) and wanted.second in ("", link.second.word)
    ]
    found = _screened(lexicon, found, wanted.include)[: wanted.limit]
    firsts = pairs.groupby("first", sort=False)["count"].sum().to_dict()
    seconds = pairs.groupby("second", sort=False)["count"].sum().to_dict()
    total = int(pairs["count"].sum())
    covered = 0
    rows = []
    rates = lexicon.sound.rates
    for link in found:
        covered += link.times
        before = (PAUSE, *link.first.phones)[-2]
        heard = rates.final(link.first.word, before, link.second.phones[0], link.second.word)
        margins = (firsts[link.first.word], seconds[link.second.word])
        rows.append(
            (
                link.first.word,
                link.second.word,
                link.times,
                round(link.times / total * 1e6, 4),
                round(pointwise_mutual_information(link.times, margins, total), 2),
                round(log_likelihood(link.times, margins, total), 1),
                link.rule.environment,
                link.rule.allophone,
                phrase_ipa(lexicon.sound, link.first, link.second, link.rule),
                "; ".join(link.rule.also_heard),
                heard.text,
                heard.source,
                link.rule.name,
                link.rule.source,
                round(covered / whole, 4),
            )
        )
    return Table.of_rows("links", LINK_COLUMNS, rows)


def pointwise_mutual_information(count: int, margins: tuple[int, int], total: int) -> float:
    """In bits: how much oftener two words meet than chance has it (Church and Hanks 1990).

    >>> pointwise_mutual_information(8, (16, 16), 64)
    1.0
    """
    return math.log2(count * total / (margins[0] * margins[1]))


def log_likelihood(count: int, margins: tuple[int, int], total: int) -> float:
    """Dunning's (1993) log-likelihood ratio of two words meeting so often, times two, in natural logarithms.

    >>> log_likelihood(4, (16, 16), 64)   # as chance has it
    0.0
    """
    first, second = margins
    observed = (count, first - count, second - count, total - first - second + count)
    expected = (
        first * second / total,
        first * (total - second) / total,
        (total - first) * second / total,
        (total - first) * (total - second) / total,
    )
    return 2 * sum(o * math.log(o / e) for o, e in zip(observed, expected, strict=True) if o > 0)


class Link(NamedTuple):
    """Two words that link, how many times they meet, and the rule for the sound between."""

    first: Reading
    second: Reading
    times: int
    rule: Rule


def _links(lexicon: Lexicon, pairs: pd.DataFrame) -> list[Link]:
    """Pairs of dictionary words that link, by falling count, then in the order of the alphabet."""
    words = {*pairs["first"].unique().tolist(), *pairs["second"].unique().tolist()}
    rows = {w: row for w in words if (row := lexicon.row(w)) is not None and lexicon.rank_at(row)}
    shown = dict(zip(rows, lexicon.main_cells("phones", list(rows.values())), strict=True))
    last, tapped = f" {lexicon.sound.phone}", lexicon.sound.tapped
    ending = {word for word, phones in shown.items() if f" {phones}".endswith(last)}
    possible = pairs[pairs["first"].isin(ending) & pairs["second"].isin(list(rows))]
    split = {
        word: tuple(shown[word].split())
        for word in {*possible["first"].tolist(), *possible["second"].tolist()}
    }
    found = []
    for first, second, count in zip(*(possible[name].tolist() for name in PAIR_COLUMNS), strict=True):
        rule = rule_across(lexicon.sound, split[first], split[second])
        if rule.allophone in tapped:
            found.append(Link(lexicon.main_at(rows[first]), lexicon.main_at(rows[second]), count, rule))
    return sorted(found, key=lambda link: (-link.times, link.first.word, link.second.word))


def rule_across(sound: Sound, first: Sequence[str], second: Sequence[str]) -> Rule:
    """The rule for the sound that ends one pronunciation, said in one breath with the next.

    >>> from lexiconforge.sounds import load_sound
    >>> rule_across(load_sound(), ["AE1", "T"], ["AO1", "L"]).allophone      # at all
    'tap'
    """
    between = sound.matcher.between((PAUSE, *first[:-1]), (WORD_BOUNDARY, *second, PAUSE))
    return sound.rules[between]


def _screened(lexicon: Lexicon, found: list[Link], include: Collection[str]) -> list[Link]:
    keeping_out = ~exclusion_bits(include)
    words = {word for link in found for word in (link.first.word, link.second.word)}
    clean = {word for word in words if not lexicon.reasons_at(lexicon.row(word) or 0) & keeping_out}
    return [link for link in found if link.first.word in clean and link.second.word in clean]


def phrase_ipa(sound: Sound, first: Reading, second: Reading, rule: Rule) -> str:
    """Broad IPA of two words, the sound between them as this rule has it; ``‿`` marks the link.

    >>> from lexiconforge.lexicon import load_lexicon
    >>> lexicon = load_lexicon()
    >>> at, all_ = lexicon.main("at"), lexicon.main("all")
    >>> phrase_ipa(lexicon.sound, at, all_, rule_across(lexicon.sound, at.phones, all_.phones))
    'æɾ‿ɔl'
    """
    heard = {t.phone_index: sound.allophones[t.rule.allophone].ipa for t in first.tokens}
    heard[len(first.phones) - 1] = sound.allophones[rule.allophone].ipa
    return f"{ipa(first.phones, heard, first.boundaries)}{LINK}{second.ipa}"
