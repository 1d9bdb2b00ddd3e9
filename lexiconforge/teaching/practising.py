"""Lines that practise a list: natural ones from real text, as few as will do.

Room: cuts texts into sentences, keeps those a class can say, and chooses; the sounds are the tagger's business.
Choosing the fewest lines that hold all words is the set-cover problem: the greedy choice, line by line
the one with most words still missing, needs at most 1 + ln n times the fewest, n being the most words in one line
(Chvátal 1979); for short lists an integer program finds the fewest themselves.
"""

from __future__ import annotations

import re
from collections.abc import Collection, Iterable, Iterator, Sequence
from dataclasses import dataclass
from itertools import pairwise
from pathlib import Path
from typing import TYPE_CHECKING, NamedTuple

from lexiconforge import options as checks
from lexiconforge.errors import ReadError
from lexiconforge.lexicon import Lexicon
from lexiconforge.lexicon.codes import exclusion_bits
from lexiconforge.sources.levels import LEVELS
from lexiconforge.tables import Table
from lexiconforge.text.normalising import sentences
from lexiconforge.text.readers import find_files, read_text
from lexiconforge.text.tagger import Tagger

if TYPE_CHECKING:
    import pandas as pd

PRACTICE_COLUMNS = (
    "place", "line", "marked", "practises", "new", "targets_per_word", "words", "syllables", "file",
    "file_line",
)  # fmt: skip
UNFIT = ("sensitive", "abbreviations")
"""Words that no line may have, unless they are what it practises."""
EXACT_LINES = 400
"""Most different lines for which the fewest are sought exactly; above, the greedy choice stands."""

_SENTENCE_END = re.compile(r"(?<=[.!?])[\"”’')]*\s+(?=[\"“‘'(]?[A-Z0-9])")
_COMPLETE = re.compile(r"^[\"“‘'(]?[A-Z0-9].*[.!?][\"”’')]*$")
_SPEAKER = re.compile(r"^[A-Z][\w.]*(?: [A-Z][\w.]*)?:\s+")

Target = tuple[str, ...]
"""What is practised: one word, or the two words of a link."""


@dataclass(frozen=True, kw_only=True)
class PracticeOptions:
    """Which lines will do: ``words`` and ``syllables``, most of each; ``level`` (CEFR) and ``max_rank``, what the
    words beside the targets may be; ``style`` as in :class:`lexiconforge.text.tagger.Tagger`; ``column`` of CSV or JSON
    Lines texts. Raises :class:`~lexiconforge.errors.OptionError`."""

    words: int = 14
    syllables: int = 22
    level: str = ""
    max_rank: int | None = None
    style: str = "casual"
    column: str = "text"

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


@dataclass(frozen=True)
class _Line:
    text: str
    targets: frozenset[Target]
    count: int
    words: int
    syllables: int
    file: str
    number: int


def practice_lines(
    lexicon: Lexicon,
    targets: Sequence[Target | str],
    paths: Sequence[str | Path] | str | Path,
    options: PracticeOptions | None = None,
) -> PracticeLines:
    """The fewest lines of these texts in which all targets occur that occur in any.

    ``targets`` are words, ``"water"``, or linking pairs, ``"get it"``, also as tuples. A line is a
    whole sentence, short
    enough, of words that the dictionary has and screening lets pass. Columns of ``lines``
    (:data:`PRACTICE_COLUMNS`): ``marked``, every occurrence of the sound with its IPA;
    ``practises``, the targets in it; ``new``, those no
    line before had; ``targets_per_word``; ``file`` and ``file_line``, where it stands. Lines that bring most new
    targets first, then those with most targets a word.

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
    lines = _usable(lexicon, set(wanted), named, options, skipped)
    chosen, exact = smallest_cover([line.targets for line in lines])
    covered: set[Target] = set()
    tagger = Tagger(lexicon, options.style)
    rows: list[tuple[object, ...]] = []
    remaining = [lines[n] for n in chosen]
    while remaining:
        line = max(
            remaining, key=lambda one: (len(one.targets - covered), one.count / one.words, -one.words)
        )
        remaining.remove(line)
        rows.append(
            (
                len(rows) + 1,
                line.text,
                tagger.tag_text(line.text).marked,
                ", ".join(sorted(" ".join(target) for target in line.targets)),
                ", ".join(sorted(" ".join(target) for target in line.targets - covered)),
                round(line.count / line.words, 3),
                line.words,
                line.syllables,
                line.file,
                line.number,
            )
        )
        covered |= line.targets
    uncovered = [" ".join(target) for target in wanted if target not in covered]
    return Chosen(Table.of_rows("practice", PRACTICE_COLUMNS, rows), uncovered, skipped, exact)


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


def _usable(
    lexicon: Lexicon,
    wanted: set[Target],
    paths: Sequence[str],
    options: PracticeOptions,
    skipped: dict[str, str],
) -> list[_Line]:
    """Lines that hold a target and a class can say, each text once."""
    allowed = _Vocabulary(lexicon, options, {word for target in wanted for word in target})
    found: dict[str, _Line] = {}
    for path in find_files(paths):
        try:
            for number, text in _sentences_of(path, options.column, skipped):
                if text not in found and (
                    line := _judged(text, wanted, allowed, options, str(path), number)
                ):
                    found[text] = line
        except ReadError as problem:
            skipped[str(path)] = str(problem)
    return list(found.values())


def _sentences_of(path: Path, column: str, skipped: dict[str, str]) -> Iterator[tuple[int, str]]:
    number = 1
    rest = ""
    for piece in read_text(path, column, note=lambda text: None):
        *lines, rest = (rest + piece).split("\n")
        for line in lines:
            yield from ((number, text) for text in split_sentences(line))
            number += 1
    yield from ((number, text) for text in split_sentences(rest))


def split_sentences(line: str) -> list[str]:
    """The sentences of a line of text; a speaker's name before a colon is taken off.

    >>> split_sentences("Etta: Put it on. Is it hot?")
    ['Put it on.', 'Is it hot?']
    """
    return [text.strip() for text in _SENTENCE_END.split(_SPEAKER.sub("", line.strip())) if text.strip()]


class _Vocabulary:
    """Decides whether a word may stand in a line, and how many syllables it has."""

    def __init__(self, lexicon: Lexicon, options: PracticeOptions, targets: Collection[str]) -> None:
        self._lexicon, self._options, self._targets = lexicon, options, targets
        self._known: dict[str, int] = {}

    def syllables(self, word: str) -> int:
        """Number of syllables, 0 if the word may not stand in a line."""
        if word not in self._known:
            self._known[word] = self._judge(word)
        return self._known[word]

    def _judge(self, word: str) -> int:
        lexicon, options = self._lexicon, self._options
        entry = lexicon.entry(word)
        if entry is None:
            return 0
        if word not in self._targets:
            if lexicon.reasons_at(entry.row) & exclusion_bits(UNFIT):
                return 0
            level = lexicon.level(entry.lemma) or entry.level
            if options.level and (not level or level > options.level):
                return 0
            if options.max_rank is not None and (entry.rank is None or entry.rank > options.max_rank):
                return 0
        return len(entry.main.stress)


def _judged(
    text: str,
    wanted: Collection[Target],
    allowed: _Vocabulary,
    options: PracticeOptions,
    file: str,
    number: int,
) -> _Line | None:
    if not _COMPLETE.match(text) or any(letter.isdigit() for letter in text):
        return None
    words = [word for sentence in sentences(text) for word in sentence]
    if not 2 <= len(words) <= options.words:
        return None
    here = [target for target in _targets_in(text, words) if target in wanted]
    if not here:
        return None
    syllables = [allowed.syllables(word) for word in words]
    if not all(syllables) or sum(syllables) > options.syllables:
        return None
    return _Line(text, frozenset(here), len(here), len(words), sum(syllables), file, number)


def _targets_in(text: str, words: Sequence[str]) -> Iterable[Target]:
    yield from ((word,) for word in words)
    # A pause blocks a link: pairs are looked for between the marks that part phrases.
    for phrase in re.split(r"[,;:.!?…—–()\"“”]", text):
        spoken = [word for sentence in sentences(phrase) for word in sentence]
        yield from pairwise(spoken)


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
