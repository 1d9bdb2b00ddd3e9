"""The sound at the end of one word and the start of the next: pairs for linking practice.

Room: takes the lexicon and the counts of pairs, gives a table; the rules of word edges are rows of the one
rule table, reached by putting the two words side by side with a ``+`` between.
"""

from __future__ import annotations

from collections.abc import Collection, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, NamedTuple

from lexiconforge import data, options
from lexiconforge.lexicon import Lexicon
from lexiconforge.lexicon.codes import NEVER, exclusion_bits
from lexiconforge.lexicon.records import Reading
from lexiconforge.lists.association import Association, associations
from lexiconforge.lists.examples import Examples
from lexiconforge.lists.options import included, levels
from lexiconforge.lists.phrasing import APART, TYPES, PairReadings, phrase_type
from lexiconforge.lists.spoken import contracted, spoken_pairs
from lexiconforge.phonology.ipa import ipa
from lexiconforge.phonology.matcher import PAUSE, WORD_BOUNDARY, Rule
from lexiconforge.tables import Table

if TYPE_CHECKING:
    import pandas as pd

    from lexiconforge.sounds import Sound

LINK_COLUMNS = (
    "first", "second", "count", "per_million", "spoken_estimate", "pmi", "log_likelihood", "t_score", "phrase_type",
    "level", "environment", "allophone", "ipa", "also_heard", "heard", "heard_source", "rule", "source", "coverage",
    "example",
)  # fmt: skip
LINK = "‿"
"""Joins two words in IPA (the Handbook of the IPA, 1999: linking, absence of a break)."""


@dataclass(frozen=True, kw_only=True)
class LinkFilter:
    """Which pairs: ``first`` and ``second`` fix a word; ``levels``, a CEFR level or range, is that of the harder of the two
    words; ``phrase_type`` is one of :data:`lexiconforge.lists.phrasing.TYPES`; ``include`` lets in kinds of
    :data:`lexiconforge.lexicon.codes.EXCLUSIONS`. Raises :class:`~lexiconforge.errors.OptionError`.

    >>> LinkFilter(first="Get").first
    'get'
    """

    first: str = ""
    second: str = ""
    levels: str | tuple[str, str] | None = None
    phrase_type: str = ""
    include: Collection[str] | str = ()
    limit: int | None = None

    def __post_init__(self) -> None:
        for name in ("first", "second"):
            object.__setattr__(self, name, options.word(name, getattr(self, name)))
        object.__setattr__(self, "levels", levels(self.levels))
        kind = options.one_of("phrase type", self.phrase_type, TYPES)
        object.__setattr__(self, "phrase_type", kind)
        object.__setattr__(self, "include", included(self.include))
        options.whole_or_none("limit", self.limit)


def links(lexicon: Lexicon, pairs: pd.DataFrame, wanted: LinkFilter | None = None) -> pd.DataFrame:
    """Word pairs in which the next word's start makes the final sound one that links, commonest in talk first.

    ``pairs`` has the columns of :func:`lexiconforge.sources.word_pairs.load_word_pairs`, or of counts of one's own. Both
    words are read as they are said in the pair, without a pause between: weak forms, a lost h, the verb or the noun of
    *present*. Columns (:data:`LINK_COLUMNS`): ``count``, occurrences in the source, ``per_million`` of all its pairs,
    both missing where the source cannot have the pair (contractions), and with them the measures; ``spoken_estimate``,
    occurrences per million words of talk (:mod:`lexiconforge.lists.spoken`), of counts of one's own their ``per_million``;
    ``pmi``, ``log_likelihood`` and ``t_score`` (:mod:`lexiconforge.lists.association`); ``phrase_type``
    (:mod:`lexiconforge.lists.phrasing`); ``level``, CEFR, of the harder word; ``environment`` to ``source`` as in
    :func:`lexiconforge.lexicon.catalog.sound_tokens`, ``ipa`` that of the whole phrase; ``coverage``, the share (0 to 1) of
    all such meetings in talk that the pairs down to this row account for, screened-out pairs counted in the whole;
    ``example``, a line to say.

    >>> import pandas as pd
    >>> from lexiconforge.lexicon import load_lexicon
    >>> pairs = pd.DataFrame({"first": ["at", "at"], "second": ["all", "tall"], "count": [3, 2]})
    >>> links(load_lexicon(), pairs)[["first", "second"]].values.tolist()
    [['at', 'all']]
    """
    return link_table(lexicon, pairs, wanted or LinkFilter()).frame()


def link_table(
    lexicon: Lexicon,
    pairs: pd.DataFrame,
    wanted: LinkFilter,
    *,
    examples: Examples | None = None,
    least: float = 0.0,
) -> Table:
    """As :func:`links`, as a plain table; ``examples`` gives the lines, and pairs of a smaller estimate than ``least`` are
    left away."""
    # In counts as they are mined, words alone are rows without a second.
    pairs = pairs.dropna(subset=["first", "second"])
    found = find_links(lexicon, pairs)
    whole = sum(link.estimate for link in found)
    found = _screened(lexicon, [link for link in found if link.estimate >= least], wanted.include)
    found = [link for link in found if _fits(lexicon, link, wanted)][: wanted.limit]
    total = int(pairs["count"].sum())
    measures = _measures(found, pairs, total)
    lines = examples or Examples(lexicon)
    covered = 0.0
    rows = []
    rates = lexicon.sound.rates
    for link in found:
        covered += link.estimate
        first, second, rule = link.first, link.second, link.rule
        pmi, likelihood, score = measures.get((first.word, second.word), (None, None, None))
        heard = rates.final(first.word, (PAUSE, *first.phones)[-2], second.phones[0], second.word)
        rows.append(
            (
                first.word,
                second.word,
                link.times,
                None if link.times is None else round(link.times / total * 1e6, 4),
                round(link.estimate, 3),
                pmi,
                likelihood,
                score,
                phrase_type(lexicon, first.word, second.word),
                _level(lexicon, link),
                rule.environment,
                rule.allophone,
                phrase_ipa(lexicon.sound, first, second, rule),
                "; ".join(rule.also_heard),
                heard.text,
                heard.source,
                rule.name,
                rule.source,
                round(covered / whole, 4),
                lines.of_link(first.word, second.word, rule.allophone),
            )
        )
    return Table.of_rows("links", LINK_COLUMNS, rows)


def _fits(lexicon: Lexicon, link: Link, wanted: LinkFilter) -> bool:
    first, second = link.first.word, link.second.word
    if wanted.first not in ("", first) or wanted.second not in ("", second):
        return False
    if wanted.phrase_type not in ("", phrase_type(lexicon, first, second)):
        return False
    if isinstance(wanted.levels, tuple):
        low, high = wanted.levels
        return low <= _level(lexicon, link) <= high
    return True


def _level(lexicon: Lexicon, link: Link) -> str:
    """CEFR level of the harder word, empty where that of one is not known. A contraction has that of its harder part."""
    levels = [
        lexicon.level(part)
        for reading in (link.first, link.second)
        for part in contracted().get(reading.word, (reading.word,))
    ]
    return max(levels) if all(levels) else ""


def _measures(
    found: list[Link],
    pairs: pd.DataFrame,
    total: int,
) -> dict[tuple[str, str], Association]:
    """The association of each pair that was counted."""
    firsts = pairs.groupby("first", sort=False)["count"].sum().to_dict()
    seconds = pairs.groupby("second", sort=False)["count"].sum().to_dict()
    named = {(link.first.word, link.second.word): link.times for link in found if link.times}
    counts = [(int(times), int(firsts[a]), int(seconds[b])) for (a, b), times in named.items()]
    return dict(zip(named, associations(counts, total) if counts else (), strict=True))


class Link(NamedTuple):
    """Two words that link, as they are said together; how many times the source has them (None: it cannot) and how many
    times a million words of talk have them, estimated; the rule for the sound between."""

    first: Reading
    second: Reading
    times: int | None
    estimate: float
    rule: Rule


def find_links(lexicon: Lexicon, pairs: pd.DataFrame) -> list[Link]:
    """Pairs of dictionary words that link, by falling estimate, then in the order of the alphabet."""
    words = {*pairs["first"].unique().tolist(), *pairs["second"].unique().tolist(), *contracted()}
    rows = {w: row for w in words if (row := lexicon.row(w)) is not None and lexicon.rank_at(row)}
    shown = dict(zip(rows, lexicon.main_cells("phones", list(rows.values())), strict=True))
    last, tapped = f" {lexicon.sound.phone}", lexicon.sound.tapped
    ending = {word for word, phones in shown.items() if f" {phones}".endswith(last)}
    apart = {(row["first"], row["second"]) for row in data.rows("pair_facts") if row["kind"] in APART}
    said = PairReadings(lexicon)
    found = []
    for first, second, count, estimate in spoken_pairs(lexicon, pairs, ending, rows, apart):
        rule = rule_across(lexicon.sound, *said.phones(first, second))
        if rule.allophone in tapped:
            found.append(Link(*said.of(first, second), count, estimate, rule))
    return sorted(found, key=lambda link: (-link.estimate, link.first.word, link.second.word))


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
    # What stands in the table of contractions is known, whatever the dictionaries say of a word with an apostrophe.
    parts = {word: contracted().get(word, (word,)) for word in words}
    clean = {
        word
        for word, of in parts.items()
        if not any(lexicon.reasons_at(lexicon.row(part) or 0) & keeping_out for part in of)
        and not lexicon.reasons_at(lexicon.row(word) or 0) & NEVER
    }
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
