"""Lines that practise a list: the project's own, or natural ones from real text, as few as will do.

Room: cuts texts into sentences, keeps those a class can say, and chooses; the sounds are the tagger's business.
Choosing the fewest lines that hold all words is the set-cover problem: the greedy choice, line by line
the one with most words still missing, needs at most 1 + ln n times the fewest, n being the most words in one line
(Chvátal 1979); for short lists an integer program finds the fewest themselves.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable, Iterator, Sequence
from dataclasses import dataclass, field
from pathlib import Path
from typing import TYPE_CHECKING, NamedTuple

from lexiconforge import options as checks
from lexiconforge.errors import ReadError
from lexiconforge.lexicon import Lexicon
from lexiconforge.sources.levels import LEVELS
from lexiconforge.tables import Table
from lexiconforge.teaching.line_screen import LEAST, Fitness, LineScreen
from lexiconforge.teaching.targets import Target
from lexiconforge.text.corpus import Line, dialogues, own_lines
from lexiconforge.text.phrases import split_sentences
from lexiconforge.text.readers import find_files, read_text
from lexiconforge.text.tagger import Tagger

if TYPE_CHECKING:
    import pandas as pd

PRACTICE_COLUMNS = (
    "place", "line", "marked", "practises", "new", "fitness", "reasons", "targets_per_word", "words", "syllables",
    "speaker", "dialogue", "file", "file_line",
)  # fmt: skip
EXACT_LINES = 400
"""Most different lines for which the fewest are sought exactly; above, the greedy choice stands."""
MOST_FEW = 4
"""Fewer words of somebody's text are rarely a sentence that stands alone."""
BEST = 6
"""Of the lines that hold a target, as many of the fittest are chosen from: fewer give less choice, more less fit lines."""


@dataclass(frozen=True, kw_only=True)
class PracticeOptions:
    """Which lines will do: ``words`` and ``syllables``, most of each; ``level`` (CEFR) and ``max_rank``, what the
    words beside the targets may be; ``style`` as in :class:`lexiconforge.text.tagger.Tagger`; ``column`` of CSV or JSON
    Lines texts; ``dialogues`` gives whole dialogues, of the project's own lines and of ``lines``; ``lines`` are a teacher's
    own, which win over all others. Raises :class:`~lexiconforge.errors.OptionError`."""

    words: int = 14
    syllables: int = 22
    level: str = ""
    max_rank: int | None = None
    style: str = "casual"
    column: str = "text"
    dialogues: bool = False
    lines: Sequence[Line] = field(default=(), repr=False)

    def __post_init__(self) -> None:
        for name in ("words", "syllables"):
            checks.whole(name, getattr(self, name))
        checks.whole_or_none("max rank", self.max_rank)
        object.__setattr__(self, "level", checks.one_of("level", self.level, LEVELS))


class PracticeLines(NamedTuple):
    """``lines`` as :func:`practice_lines` describes, ``uncovered`` the targets that no line holds, ``skipped`` files that
    could not be read, with the reason, ``exact`` whether the set is the smallest there is."""

    lines: pd.DataFrame
    uncovered: list[str]
    skipped: dict[str, str]
    exact: bool


class _Unit(NamedTuple):
    """What is chosen as a whole: one line, or the lines of a dialogue. ``own`` is of the teacher's lines."""

    lines: tuple[Line, ...]
    targets: frozenset[Target]
    fitness: Fitness
    own: bool


def practice_lines(
    lexicon: Lexicon,
    targets: Sequence[Target | str],
    paths: Sequence[str | Path] | str | Path = (),
    options: PracticeOptions | None = None,
) -> PracticeLines:
    """The fewest fit lines in which all targets occur that occur in any; without texts, of the project's own lines.

    ``targets`` are words, ``"water"``, or linking pairs, ``"get it"``, also as tuples. A line of a text is a whole sentence
    that a class can say as it stands (:mod:`lexiconforge.teaching.line_screen`), short enough, of words that the dictionary
    has and screening lets pass. Columns of ``lines`` (:data:`PRACTICE_COLUMNS`): ``marked``, every occurrence of the sound
    with its IPA; ``practises``, the targets in it; ``new``, those no line before had; ``fitness``, 0 to 1, with ``reasons``;
    ``targets_per_word``; ``speaker`` and ``dialogue``, its number in the table, of dialogues; ``file`` and ``file_line``,
    where it stands. Lines that bring most new targets first, the fitter of two first.

    Raises :class:`~lexiconforge.errors.ReadError` for a path that names nothing.
    """
    found = choose_lines(lexicon, targets, paths, options or PracticeOptions())
    return PracticeLines(found.lines.frame(), found.uncovered, found.skipped, found.exact)


class Chosen(NamedTuple):
    """:class:`PracticeLines` before they are made a data frame."""

    lines: Table
    uncovered: list[str]
    skipped: dict[str, str]
    exact: bool


def choose_lines(
    lexicon: Lexicon,
    targets: Sequence[Target | str],
    paths: Sequence[str | Path] | str | Path,
    options: PracticeOptions,
) -> Chosen:
    """As :func:`practice_lines`, as a plain table."""
    skipped: dict[str, str] = {}
    wanted = dict.fromkeys(_targets(targets))
    named = checks.paths("paths", paths)
    judge = _Judge(lexicon, options, set(wanted))
    units = list(judge.own_units(options.lines, own=True))
    units += judge.of_texts(named, skipped) if named else judge.own_units(own_lines(), own=False)
    units = _fittest(units)
    chosen, exact = smallest_cover([unit.targets for unit in units])
    table, covered = _table(lexicon, options, [units[n] for n in chosen])
    uncovered = [" ".join(target) for target in wanted if target not in covered]
    return Chosen(table, uncovered, skipped, exact)


def _targets(value: object) -> Iterator[Target]:
    """What is practised, words or pairs; a string is one."""
    if isinstance(value, (str, bytes)) or not isinstance(value, Iterable):
        named: Iterable[object] = checks.many("targets", value)
    else:
        named = value
    for target in named:
        if isinstance(target, tuple):
            yield checks.words("target", target)
        else:
            yield tuple(checks.word("target", target).split())


def _fittest(units: list[_Unit]) -> list[_Unit]:
    """The units that are among the best for one of their targets, the teacher's own before all."""
    ordered = sorted(units, key=lambda unit: (not unit.own, -unit.fitness.value))
    seen: dict[Target, int] = {}
    kept = []
    for unit in ordered:
        if any(seen.get(target, 0) < (1 if unit.own else BEST) for target in unit.targets):
            kept.append(unit)
            for target in unit.targets:
                # Of a target that the teacher has a line for, no other line is sought.
                seen[target] = seen.get(target, 0) + (BEST if unit.own else 1)
    return kept


def _table(
    lexicon: Lexicon, options: PracticeOptions, remaining: list[_Unit]
) -> tuple[Table, set[Target]]:
    """The chosen units as rows, those with most new targets first."""
    tagger = Tagger(lexicon, options.style)
    covered: set[Target] = set()
    rows: list[tuple[object, ...]] = []
    dialogue = 0
    while remaining:
        unit = max(remaining, key=lambda one: (len(one.targets - covered), one.fitness.value))
        remaining.remove(unit)
        dialogue += len(unit.lines) > 1
        for line in unit.lines:
            here = {target for target in targets_in(line) if target in unit.targets}
            rows.append(
                (
                    len(rows) + 1,
                    line.text,
                    tagger.tag_text(line.text).marked,
                    _listed(here),
                    _listed(here - covered),
                    unit.fitness.value,
                    "; ".join(unit.fitness.reasons),
                    round(len(here) / len(line.words), 3),
                    len(line.words),
                    sum(_syllables(lexicon, word) for word in line.words),
                    line.speaker if len(unit.lines) > 1 else "",
                    dialogue if len(unit.lines) > 1 else None,
                    line.file,
                    line.number,
                )
            )
            covered |= here
    return Table.of_rows("practice", PRACTICE_COLUMNS, rows), covered


def _listed(targets: Iterable[Target]) -> str:
    return ", ".join(sorted(" ".join(target) for target in targets))


def _syllables(lexicon: Lexicon, word: str) -> int:
    """Number of syllables, 0 for a word that the dictionary does not have."""
    reading = lexicon.main(word) or lexicon.derived(word)
    return 0 if reading is None else len(reading.stress)


class _Judge:
    """Finds the units that hold a target and will do."""

    def __init__(self, lexicon: Lexicon, options: PracticeOptions, wanted: set[Target]) -> None:
        self._lexicon, self._options, self._wanted = lexicon, options, wanted
        self._screen = LineScreen(lexicon, {word for target in wanted for word in target})
        self._fits_class: dict[str, bool] = {}

    def own_units(self, lines: Sequence[Line], *, own: bool) -> Iterator[_Unit]:
        """Lines that are written to be said: whole dialogues where those are wanted. Of a teacher's own only struck-out
        words keep one away; of the project's what the options say."""
        blocks = dialogues(lines).values() if self._options.dialogues else ((line,) for line in lines)
        for block in blocks:
            held = frozenset(t for line in block for t in targets_in(line) if t in self._wanted)
            if not held:
                continue
            words = [word for line in block for word in line.words]
            if own:
                fine = all(self._screen.never(word) is False for word in words)
            else:
                fine = all(map(self._may_stand, words)) and all(map(self._short, block))
            if fine:
                judged = [self._screen.fitness(line) for line in block]
                value = round(sum(one.value for one in judged) / len(judged), 2)
                reasons = (
                    ("your line",)
                    if own
                    else tuple(dict.fromkeys(r for one in judged for r in one.reasons))
                )
                yield _Unit(tuple(block), held, Fitness(1.0 if own else value, reasons), own)

    def of_texts(self, paths: Sequence[str], skipped: dict[str, str]) -> list[_Unit]:
        """Sentences of these texts, each once."""
        found: dict[str, _Unit] = {}
        for path in find_files(paths):
            try:
                for number, text in _sentences_of(path, self._options.column, skipped):
                    if text not in found and (unit := self._judged(text, str(path), number)):
                        found[text] = unit
            except ReadError as problem:
                skipped[str(path)] = str(problem)
        return list(found.values())

    def _judged(self, text: str, file: str, number: int) -> _Unit | None:
        line = Line(text, file=file, number=number)
        words = line.words
        if not MOST_FEW <= len(words) <= self._options.words:
            return None
        held = frozenset(target for target in targets_in(line) if target in self._wanted)
        if not held or not self._short(line) or not all(map(self._may_stand, words)):
            return None
        if self._screen.problem(text, words, {word for target in held for word in target}):
            return None
        fitness = self._screen.fitness(line)
        return _Unit((line,), held, fitness, own=False) if fitness.value >= LEAST else None

    def _short(self, line: Line) -> bool:
        most = self._options
        return (
            len(line.words) <= most.words
            and sum(_syllables(self._lexicon, word) for word in line.words) <= most.syllables
        )

    def _may_stand(self, word: str) -> bool:
        if word not in self._fits_class:
            self._fits_class[word] = self._screen.allowed(word) and self._within(word)
        return self._fits_class[word]

    def _within(self, word: str) -> bool:
        """Whether a word is within the level and rank of the class, which a target need not be."""
        lexicon, options = self._lexicon, self._options
        row = lexicon.row(word)
        if row is None or any(word in target for target in self._wanted):
            return True
        level = lexicon.level(lexicon.lemma_at(row)) or lexicon.level_at(row)
        if options.level and "'" not in word and (not level or level > options.level):
            return False
        return options.max_rank is None or 0 < lexicon.rank_at(row) <= options.max_rank


def _sentences_of(path: Path, column: str, skipped: dict[str, str]) -> Iterator[tuple[int, str]]:
    number = 1
    rest = ""
    for piece in read_text(path, column, note=lambda text: None):
        *lines, rest = (rest + piece).split("\n")
        for line in lines:
            yield from ((number, text) for text in split_sentences(line))
            number += 1
    yield from ((number, text) for text in split_sentences(rest))


def targets_in(line: Line) -> Iterator[Target]:
    """The words of a line, and its pairs that no pause parts."""
    yield from ((word,) for word in line.words)
    yield from line.pairs


def greedy_cover(sets: Sequence[Collection[Target]]) -> list[int]:
    """Indexes of sets that together hold all that any holds: each time the one with most that is still missing.

    >>> greedy_cover([{("a",)}, {("a",), ("b",)}, {("c",)}])
    [1, 2]
    """
    missing = {target for one in sets for target in one}
    chosen = []
    while missing:
        best = max(range(len(sets)), key=lambda n: (len(missing & set(sets[n])), -n))
        chosen.append(best)
        missing -= set(sets[best])
    return chosen


def smallest_cover(sets: Sequence[Collection[Target]]) -> tuple[list[int], bool]:
    """As :func:`greedy_cover`, the smallest there is where that can be found: ``(indexes, exact)``.

    Exact with scipy's integer programming, if it is installed and the sets are few; never more than greedy.
    """
    greedy = greedy_cover(sets)
    different = list({frozenset(one): n for n, one in reversed(list(enumerate(sets)))}.values())
    different.sort()
    if not greedy or len(different) > EXACT_LINES:
        return greedy, not greedy
    try:
        import numpy as np
        from scipy.optimize import Bounds, LinearConstraint, milp
    except ImportError:
        return greedy, False
    targets = sorted({target for one in sets for target in one})
    holds = np.array([[target in sets[n] for n in different] for target in targets], dtype=float)
    result = milp(
        c=np.ones(len(different)),
        integrality=np.ones(len(different)),
        bounds=Bounds(0, 1),
        constraints=LinearConstraint(holds, lb=1),
        options={"time_limit": 20},
    )
    if result.status != 0:
        return greedy, False
    exact = [n for n, value in zip(different, result.x, strict=True) if value > 0.5]
    return (exact, True) if len(exact) <= len(greedy) else (greedy, False)
