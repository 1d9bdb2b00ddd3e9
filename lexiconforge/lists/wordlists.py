"""Graded word lists: which words, in which order, with what beside them.

Room: chooses from the lexicon; writes nothing. The lists of a build are rows of a sound's ``lists.csv``; the one function
behind them, and behind ``lexiconforge words``, is :func:`word_list`.
"""

from __future__ import annotations

from collections.abc import Callable, Collection, Iterable, Sequence
from dataclasses import dataclass, field
from functools import cached_property
from typing import TYPE_CHECKING, NamedTuple

from lexiconforge import options
from lexiconforge.errors import OptionError
from lexiconforge.lexicon import Candidate, Lexicon
from lexiconforge.lexicon.codes import POSSESSIVES, exclusion_bits, reasons
from lexiconforge.lexicon.records import Entry, Reading, SoundToken, bracketed, is_spelling
from lexiconforge.lists.examples import Examples
from lexiconforge.lists.options import included, levels
from lexiconforge.phonology.matcher import PAUSE
from lexiconforge.sources.levels import PARTS_OF_SPEECH
from lexiconforge.tables import Table

if TYPE_CHECKING:
    import pandas as pd

    from lexiconforge.sounds import Sound, Target
    from lexiconforge.text.corpus import Line

LIST_COLUMNS = (
    "place", "word", "marked", "ipa", "syllables", "stress", "rank", "zipf", "level",
    "part_of_speech", "environment", "allophone", "also_heard", "heard", "heard_source", "coverage", "coverage_with_family",
    "lemma", "family", "family_members", "example",
)  # fmt: skip
CARD_COLUMNS = (
    "word", "ipa", "syllables", "stress", "rank", "zipf", "level", "part_of_speech", "family",
    "letters_start", "letters", "environment", "allophone", "also_heard", "heard", "heard_source", "rule",
    "source", "example",
)  # fmt: skip
RAREST = 60_000
"""Lists of a build end at this rank: rarer words are met by no learner."""
MUCH_RARER = 1.0
"""A base stands at the head of a row unless its Zipf value is lower by more than this: ten times rarer."""
POSSESSIVE = "'s"
"""No form that a class is given beside a word, though *somebody's* is also said for *somebody is*."""
LEFT_OUT_COLUMNS = ("word", "rank", "reason", "environment")


@dataclass(frozen=True, kw_only=True)
class WordFilter:
    """What a list holds. Every field narrows it; ``None``, ``""`` and ``()`` leave it as it is.

    ``allophone`` and ``environment`` are ids or labels of the lexicon's sound, checked when the filter meets it;
    ``syllables`` is a number or an inclusive pair, ``levels`` a level, a range as *A1-B1* or a pair; ``stress`` the digits
    of the vowels in order (*water* is ``10``);
    ``include`` names of :data:`lexiconforge.lexicon.codes.EXCLUSIONS` that are let in; ``one_per_family`` gives a row to
    each word as a dictionary lists it, with its forms beside it; ``without`` holds words already taught, whose families
    are left out too; ``examples`` is how many lines to say each word has at most, ``lines`` some that win over the
    project's own. Letter case does not matter, and a string where words are meant is one word.

    Raises :class:`~lexiconforge.errors.OptionError` for a value that cannot be.

    >>> WordFilter(allophone="tap", syllables=2).syllables
    (2, 2)
    """

    allophone: str = ""
    environment: str = ""
    syllables: int | tuple[int, int] | None = None
    stress: str = ""
    max_rank: int | None = None
    levels: str | tuple[str, str] | None = None
    part_of_speech: str = ""
    include: Collection[str] | str = ()
    one_per_family: bool = False
    without: Collection[str] | str = field(default=(), repr=False)
    limit: int | None = None
    examples: int = 1
    lines: Sequence[Line] = field(default=(), repr=False)

    def __post_init__(self) -> None:
        parts = sorted(set(PARTS_OF_SPEECH.values()))
        checked = {
            "allophone": options.text("allophone", self.allophone),
            "environment": options.text("environment", self.environment),
            "syllables": options.span("syllables", self.syllables),
            "max_rank": options.whole_or_none("max rank", self.max_rank),
            "levels": levels(self.levels),
            "part_of_speech": options.one_of("part of speech", self.part_of_speech, parts),
            "include": included(self.include),
            "without": options.words("without", self.without),
            "one_per_family": options.flag("one per family", self.one_per_family),
            "limit": options.whole_or_none("limit", self.limit),
            "examples": options.whole("examples", self.examples, least=0),
        }
        if options.text("stress", self.stress).strip("012"):
            raise OptionError(f"stress {self.stress!r}: write the digits 0, 1 and 2, as in 10 for water")
        for name, value in checked.items():
            object.__setattr__(self, name, value)


def default_filter(
    target: Target,
    *,
    include: Collection[str] | str = (),
    all_forms: bool = False,
    size: int | None = None,
) -> WordFilter:
    """What a list of a build holds: the sound so, no word rarer than :data:`RAREST`, ``size`` rows at most.

    >>> from lexiconforge.sounds import load_sound
    >>> default_filter(load_sound().lists[0], size=500).max_rank
    60000
    """
    return WordFilter(
        allophone=target.allophone,
        environment=target.environment,
        max_rank=RAREST,
        include=include,
        one_per_family=not all_forms,
        limit=size,
    )


class WordList(NamedTuple):
    """``rows`` as :func:`word_list` describes; ``left_out`` what screening kept out of the same stretch of
    the vocabulary (``word``, ``rank``, ``reason``, ``environment``), commonest first."""

    rows: pd.DataFrame
    left_out: pd.DataFrame


@dataclass
class Selection:
    """A :class:`WordList` before it is made a data frame, with what it was made from: its tables are written when they are
    asked for."""

    candidates: list[Candidate]
    _lexicon: Lexicon
    _rows: Callable[[], Iterable[tuple[object, ...]]]
    _left_out: Callable[[], Iterable[tuple[object, ...]]]

    @cached_property
    def rows(self) -> Table:
        return Table.of_rows("list", LIST_COLUMNS, self._rows())

    @cached_property
    def left_out(self) -> Table:
        return Table.of_rows("left_out", LEFT_OUT_COLUMNS, self._left_out())

    @cached_property
    def entries(self) -> list[Entry]:
        return [self._lexicon.entry_at(candidate.row) for candidate in self.candidates]


def word_list(lexicon: Lexicon, wanted: WordFilter | None = None) -> WordList:
    """The words that a filter lets through, commonest first, one row a word.

    With ``one_per_family`` a row is a word as a dictionary lists it, with its forms under ``family_members``; an agent
    noun (*writer*) has its own row, an adverb in *-ly* only where it is commoner than its adjective
    (:mod:`lexiconforge.lexicon.families`). The base stands at the head where it has the sound so, unless it is ten times
    rarer, and the rows are in the order of the commonest word of each. The two readings of a homograph (*content*) are two
    rows, with their parts of speech; days, months, nationalities and well-known places have their capital.

    Columns (:data:`LIST_COLUMNS`): ``place`` from 1; ``marked``, the spelling with the sound of each occurrence that
    is meant in brackets after its letters; ``environment``, ``allophone`` and ``also_heard`` of those, ``; `` between, the
    last with the allophones that the dictionary's other pronunciations of the word give, marked *(variant)*; ``heard`` and
    ``heard_source``, how often each variant is heard there in conversation, `` | `` between environments; ``coverage``,
    the share (0 to 1) of all such sounds in running text that the words down to this row account for, by
    frequency, names and all in the whole; ``coverage_with_family``, the same counting the words under
    ``family_members``: the other words of the row in the same environment, commonest first; ``example``, the best lines
    to say (:mod:`lexiconforge.lists.examples`), `` / `` between. The rest as in
    :func:`lexiconforge.lexicon.catalog.words`.

    Raises :class:`~lexiconforge.errors.OptionError` for an allophone or environment that the sound does not have.

    >>> from lexiconforge.lexicon import load_lexicon
    >>> word_list(load_lexicon(), WordFilter(environment="before syllabic n", limit=5)).rows["word"].is_unique
    True
    """
    found = select(lexicon, wanted or WordFilter())
    return WordList(found.rows.frame(), found.left_out.frame())


def word_cards(lexicon: Lexicon, wanted: WordFilter | None = None) -> pd.DataFrame:
    """Every occurrence of the sound in the words that a filter lets through, one row each, the words commonest first.

    Columns (:data:`CARD_COLUMNS`): those of the word as in :func:`word_list`, the same in all its rows; those of the
    occurrence as in :func:`lexiconforge.lexicon.catalog.sound_tokens`, ``also_heard`` with the variants that
    :func:`word_list` gives.

    >>> from lexiconforge.lexicon import load_lexicon
    >>> cards = word_cards(load_lexicon(), WordFilter(environment="before syllabic n", max_rank=3000))
    >>> cards.loc[cards["word"] == "button", ["letters", "allophone"]].values.tolist()
    [['tt', 'glottal stop']]
    """
    return cards(lexicon, wanted or WordFilter()).frame()


def select(lexicon: Lexicon, wanted: WordFilter, examples: Examples | None = None) -> Selection:
    """As :func:`word_list`, as plain tables; ``examples`` gives the lines, for whoever makes several lists."""
    sound = lexicon.sound
    candidates = lexicon.having(
        sound.allophone_id(wanted.allophone), sound.environment_id(wanted.environment)
    )
    whole = sum(len(c.tokens) * lexicon.share_at(c.row) for c in candidates)
    kept, left_out = _screened(lexicon, _fitting(lexicon, candidates, wanted), wanted)
    groups = _grouped(lexicon, kept, wanted)
    if wanted.limit is not None and len(groups) >= wanted.limit:
        groups = groups[: wanted.limit]
        rarest = max(_rank_of(lexicon, group) for group in groups)
        left_out = [c for c in left_out if lexicon.rank_at(c.row) <= rarest]
    lines = examples or Examples(lexicon, wanted.lines)
    return Selection(
        [group[0] for group in groups],
        lexicon,
        lambda: _rows(lexicon, groups, whole, wanted, lines),
        lambda: _left_out_rows(lexicon, left_out, wanted),
    )


def cards(lexicon: Lexicon, wanted: WordFilter) -> Table:
    """As :func:`word_cards`, as a plain table."""
    found = select(lexicon, wanted)
    of_word = found.rows.only(CARD_COLUMNS[: CARD_COLUMNS.index("letters_start")])
    rows = [
        (
            *cells,
            token.span[0] if token.span[1] > token.span[0] else None,
            entry.written[slice(*token.span)],
            token.rule.environment,
            token.rule.allophone,
            _also_heard(lexicon, entry, [token], lexicon.said(candidate)),
            token.heard.text,
            token.heard.source,
            token.rule.name,
            token.rule.source,
            example,
        )
        for cells, example, entry, candidate in zip(
            of_word.rows(), found.rows["example"], found.entries, found.candidates, strict=True
        )
        for token in lexicon.said(candidate).tokens
        if token.span[0] == token.span[1] or is_spelling(lexicon.sound, entry.word[slice(*token.span)])
    ]
    return Table.of_rows("cards", CARD_COLUMNS, rows)


def _fitting(lexicon: Lexicon, candidates: list[Candidate], wanted: WordFilter) -> list[Candidate]:
    """The candidates that the filter lets through, screening apart. Each filter that is set runs over what is left."""
    if wanted.max_rank is not None:
        candidates = [c for c in candidates if lexicon.rank_at(c.row) <= wanted.max_rank]
    if isinstance(wanted.levels, tuple):
        low, high = wanted.levels
        candidates = [c for c in candidates if low <= lexicon.level_at(c.row) <= high]
    if wanted.part_of_speech:
        candidates = [c for c in candidates if wanted.part_of_speech in lexicon.parts_said(c)]
    if wanted.stress or isinstance(wanted.syllables, tuple):
        fewest, most = wanted.syllables if isinstance(wanted.syllables, tuple) else (1, 99)
        mains = [(c, lexicon.said(c)) for c in candidates]
        candidates = [
            c
            for c, main in mains
            if fewest <= len(main.stress) <= most and wanted.stress in ("", main.stress)
        ]
    return candidates


def _screened(
    lexicon: Lexicon, candidates: list[Candidate], wanted: WordFilter
) -> tuple[list[Candidate], list[Candidate]]:
    keeping_out = ~exclusion_bits(wanted.include)
    kept: list[Candidate] = []
    left_out: list[Candidate] = []
    for candidate in candidates:
        (left_out if lexicon.reasons_at(candidate.row) & keeping_out else kept).append(candidate)
    return kept, left_out


def _left_out_rows(
    lexicon: Lexicon, left_out: Iterable[Candidate], wanted: WordFilter
) -> Iterable[tuple[object, ...]]:
    keeping_out = ~exclusion_bits(wanted.include)
    for candidate in left_out:
        tokens, row = lexicon.said(candidate).tokens, candidate.row
        why = reasons(lexicon.reasons_at(row) & keeping_out)
        # That a possessive is not listed needs no saying; its noun is.
        if why != (POSSESSIVES,):
            yield (
                lexicon.word_at(row),
                lexicon.rank_at(row),
                "; ".join(why),
                joined(tokens[place].rule.environment for place in candidate.tokens),
            )


def _rank_of(lexicon: Lexicon, group: Sequence[Candidate]) -> int:
    """The rank by which a row is ordered: that of the commonest word in it."""
    return min(lexicon.rank_at(candidate.row) for candidate in group)


def _grouped(lexicon: Lexicon, candidates: list[Candidate], wanted: WordFilter) -> list[list[Candidate]]:
    """Candidates by the word whose row holds them, the one to be listed first; the row with the commonest word first."""
    taught = {lexicon.family(word) for word in wanted.without}
    groups: dict[tuple[str, int], list[Candidate]] = {}
    for candidate in candidates:
        if lexicon.family_at(candidate.row) not in taught:
            # The second reading of a homograph is another word.
            groups.setdefault(_row_of(lexicon, candidate), []).append(candidate)
    if wanted.one_per_family:
        for (base, _), group in groups.items():
            head = _head(lexicon, base, group)
            group.remove(head)
            group.insert(0, head)
        return list(groups.values())
    found = ((c, groups.get(_row_of(lexicon, c), ())) for c in candidates)
    return [[one, *(other for other in group if other != one)] for one, group in found if group]


def _row_of(lexicon: Lexicon, candidate: Candidate) -> tuple[str, int]:
    """The word whose row of a list holds a candidate, and as which of its readings: *intimated* is of the verb."""
    base = lexicon.row_at(candidate.row)
    row = lexicon.row(base)
    if candidate.reading or row is None or row == candidate.row or not lexicon.homograph_at(row):
        return base, candidate.reading
    (said,) = lexicon.main_cells("phones", [candidate.row])
    shared = [_shared(said.split(), phones.split()) for phones in lexicon.listed_at(row)[:2]]
    return base, int(shared[1] > shared[0])


def _shared(phones: Sequence[str], others: Sequence[str]) -> int:
    """How many phones are the same from the beginning."""
    return next((n for n, (a, b) in enumerate(zip(phones, others, strict=False)) if a != b), len(others))


def _head(lexicon: Lexicon, base: str, group: list[Candidate]) -> Candidate:
    """The word at the head of a row: the base, unless it is much rarer than the commonest or has no such sound."""
    commonest = group[0]
    most = lexicon.zipf_at(commonest.row) or 0.0
    for candidate in group:
        if lexicon.word_at(candidate.row) == base:
            if (lexicon.zipf_at(candidate.row) or 0.0) >= most - MUCH_RARER:
                return candidate
            break
    return commonest


def _rows(
    lexicon: Lexicon,
    groups: list[list[Candidate]],
    whole: float,
    wanted: WordFilter,
    lines: Examples,
) -> Iterable[tuple[object, ...]]:
    covered = 0.0
    covered_with_family = 0.0
    counted: set[int] = set()
    for place, group in enumerate(groups, start=1):
        head = group[0]
        entry, said = lexicon.entry_at(head.row), lexicon.said(head)
        tokens = [said.tokens[n] for n in head.tokens]
        # How often a homograph is the one or the other nobody has counted: its uses go with the first.
        covered += 0.0 if head.reading else len(tokens) * entry.share
        for member in group:
            if member.row not in counted and not member.reading:
                counted.add(member.row)
                covered_with_family += len(member.tokens) * lexicon.share_at(member.row)
        yield (
            place,
            entry.written,
            bracketed(entry.written, ((t.span, lexicon.sound.symbol(t.rule.allophone)) for t in tokens)),
            said.ipa,
            len(said.stress),
            said.stress,
            entry.rank,
            entry.zipf,
            entry.level,
            "; ".join(lexicon.parts_said(head)),
            joined(token.rule.environment for token in tokens),
            joined(token.rule.allophone for token in tokens),
            _also_heard(lexicon, entry, tokens, said),
            *_heard(tokens),
            round(covered / whole, 4),
            round(covered_with_family / whole, 4),
            lexicon.written(entry.lemma),
            lexicon.written(entry.family),
            ", ".join(
                lexicon.written_at(member.row)
                for member in group[1:]
                if not lexicon.word_at(member.row).endswith(POSSESSIVE)
            ),
            lines.of_word(
                entry.word, {token.rule.environment for token in tokens}, wanted.examples, head.reading
            ),
        )


def joined(names: Iterable[str]) -> str:
    """Names with ``; `` between, each once."""
    return "; ".join(dict.fromkeys(names))


def _heard(tokens: Sequence[SoundToken]) -> tuple[str, str]:
    """The shares of each environment and their sources, each once, `` | `` between."""
    heard = {token.heard.source: token.heard.text for token in tokens}
    return " | ".join(text for text in heard.values() if text), " | ".join(heard)


def _variants(lexicon: Lexicon, entry: Entry, said: Reading) -> list[dict[int, str]]:
    """The usual allophones by the first letter of each occurrence, for every other pronunciation of a word."""
    sound = lexicon.sound
    written_as = {a.written_as: a.id for a in sound.allophones.values() if a.written_as}
    found = []
    for reading in entry.others:
        usual = {token.span[0]: token.rule.allophone for token in reading.tokens}
        if len(reading.tokens) < len(said.tokens):
            # The dictionary writes some allophones as the phone they sound like.
            for at, ((start, end), phone) in enumerate(
                zip(reading.letters, reading.phones, strict=True)
            ):
                spelled = phone in written_as and sound.letters in entry.word[start:end]
                if spelled and _can_be(sound, written_as[phone], reading.phones[:at]):
                    usual[start] = written_as[phone]
        found.append(usual)
    return found


def _can_be(sound: Sound, allophone: str, before: Sequence[str]) -> bool:
    """Is there a rule that gives this allophone after these phones? There is no oral tap after n."""
    context = sound.matcher.context_before((PAUSE, *before))
    giving = [rule for rule in sound.rules if rule.allophone == allophone]
    return any(context in rule.before or not rule.before for rule in giving)


def _also_heard(lexicon: Lexicon, entry: Entry, tokens: Sequence[SoundToken], said: Reading) -> str:
    """What the rules give besides the usual allophone; marked *(variant)*, what only other pronunciations give."""
    heard = list(dict.fromkeys(name for token in tokens for name in token.rule.also_heard))
    for by_letter in _variants(lexicon, entry, said):
        for token in tokens:
            there = by_letter.get(token.span[0], lexicon.sound.silent)
            if (
                there
                and there != token.rule.allophone
                and not {there, f"{there} (variant)"} & set(heard)
            ):
                heard.append(f"{there} (variant)")
    return "; ".join(heard)
