"""A sequence of lessons: the vocabulary divided by environment, easier and commoner words first.

Room: chooses from word lists, links and contrasts; decides nothing about sounds. The order of environments, and which one
looks like another and behaves otherwise, are rows of the sound's ``lessons.csv``. The same request gives the same plan.
"""

from __future__ import annotations

from collections.abc import Collection, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, NamedTuple

from lexiconforge import options as checks
from lexiconforge.errors import OptionError
from lexiconforge.lexicon import Lexicon
from lexiconforge.lists.contrasts import contrast_table
from lexiconforge.lists.linking import LinkFilter, link_table
from lexiconforge.lists.options import included, levels
from lexiconforge.lists.wordlists import LIST_COLUMNS, WordFilter, select
from lexiconforge.phonology.matcher import PAUSE
from lexiconforge.sounds import LessonStep
from lexiconforge.tables import Table

if TYPE_CHECKING:
    import pandas as pd

    from lexiconforge.lexicon.records import Reading

PLAN_COLUMNS = (
    "lesson", "environment", "role", "place", "item", "marked", "ipa", "syllables", "rank", "level",
    "allophone", "note",
)  # fmt: skip
ROLES = ("new", "review", "exception", "link", "contrast")

FIRST_SYLLABLES, LESSONS_PER_SYLLABLE = 2, 2
"""The longest words of the first lesson, and after how many lessons one more syllable is let in."""


@dataclass(frozen=True, kw_only=True)
class PlanOptions:
    """``lessons`` of ``words`` new words each; ``order``, environments in turn, begun again when they run
    out, those of the sound's ``lessons.csv`` if none is named; ``levels``, CEFR range of all words; ``review``, words of
    earlier lessons brought back in each; ``extras``, at most so many exceptions, links and contrasts of each kind in a
    lesson; ``include`` as in :class:`~lexiconforge.lists.wordlists.WordFilter`. Raises
    :class:`~lexiconforge.errors.OptionError`."""

    lessons: int = 8
    words: int = 12
    order: Sequence[str] | str | None = None
    levels: str | tuple[str, str] | None = None
    review: int = 3
    extras: int = 4
    include: Collection[str] | str = ()

    def __post_init__(self) -> None:
        for name, least in (("lessons", 1), ("words", 1), ("review", 0), ("extras", 0)):
            checks.whole(name, getattr(self, name), least=least)
        if self.order is not None:
            order = checks.many("order", self.order)
            if not order or not all(order):
                raise OptionError("order: name at least one environment, and none without a name")
            object.__setattr__(self, "order", order)
        object.__setattr__(self, "levels", levels(self.levels))
        object.__setattr__(self, "include", included(self.include))


class _Word(NamedTuple):
    """A word that may be taught: its pronunciation, its family, and the cells of a plan."""

    reading: Reading
    family: str
    syllables: int
    rank: int
    cells: tuple[object, ...]


def plan(lexicon: Lexicon, pairs: pd.DataFrame, options: PlanOptions | None = None) -> pd.DataFrame:
    """The lessons as one table, a row for each item of each lesson.

    Columns (:data:`PLAN_COLUMNS`): ``role`` is one of :data:`ROLES`: *new* words by rising number of
    syllables, then by rank; *review*, words of earlier lessons; *exception*, common words of the environment
    that looks alike and behaves otherwise; *link* and *contrast*, pairs in which a new word of the lesson or a member of
    its family stands; ``place`` counts within lesson and role; ``item`` is the word or the pair.

    No family comes twice among new words. The first lesson has words of two syllables at most, and one more
    is let in after every second lesson. Raises :class:`~lexiconforge.errors.OptionError` if a lesson
    cannot be filled, and says by how much.
    """
    return plan_table(lexicon, pairs, options or PlanOptions()).frame()


def plan_table(lexicon: Lexicon, pairs: pd.DataFrame, options: PlanOptions) -> Table:
    """As :func:`plan`, as a plain table."""
    planner = _Planner(lexicon, pairs, options)
    for number in range(1, options.lessons + 1):
        planner.add_lesson(number)
    return Table.of_rows("plan", PLAN_COLUMNS, planner.rows)


class _Planner:
    """Fills one lesson after another and remembers what has been taught."""

    def __init__(self, lexicon: Lexicon, pairs: pd.DataFrame, options: PlanOptions) -> None:
        self._lexicon, self._options = lexicon, options
        sound = lexicon.sound
        self._steps = {step.environment: step for step in sound.lessons}
        self._order = [sound.environment_id(name) for name in options.order or self._steps]
        self._links = list(link_table(lexicon, pairs, LinkFilter()).records()) if len(pairs) else []
        self._contrasts = list(contrast_table(lexicon, pairs, sound.contrasts).records())
        self._pools: dict[str, list[_Word]] = {}
        self._used: set[str] = set()
        self._taught: list[list[_Word]] = []
        self.rows: list[tuple[object, ...]] = []

    def add_lesson(self, number: int) -> None:
        """Add the rows of one lesson. Raises OptionError if it cannot be filled."""
        options = self._options
        environment = self._order[(number - 1) % len(self._order)]
        longest = FIRST_SYLLABLES + (number - 1) // LESSONS_PER_SYLLABLE
        pool = self._pool(environment)
        fit = [word for word in pool if word.family not in self._used and word.syllables <= longest]
        if len(fit) < options.words:
            raise OptionError(self._too_few(number, environment, longest, len(fit)))
        new = sorted(fit[: options.words], key=lambda word: (word.syllables, word.rank))
        families = {word.family for word in new}
        self._used |= families
        parts = {
            "new": [word.cells for word in new],
            "review": [word.cells for word in self._review(options.review)],
            "exception": self._exceptions(environment),
            "link": [_link_cells(row) for row in self._of_families(self._links, families)],
            "contrast": [_contrast_cells(row) for row in self._of_families(self._contrasts, families)],
        }
        for role, items in parts.items():
            shown = items if role in ("new", "review") else items[: options.extras]
            for place, cells in enumerate(shown, start=1):
                self.rows.append((number, environment, role, place, *cells))
        self._taught.append(new)

    def _pool(self, environment: str) -> list[_Word]:
        if environment not in self._pools:
            options = self._options
            wanted = WordFilter(
                environment=environment,
                levels=options.levels,
                include=options.include,
                one_per_family=True,
            )
            made = select(self._lexicon, wanted)
            at = {name: n for n, name in enumerate(LIST_COLUMNS)}
            shown = (
                "word",
                "marked",
                "ipa",
                "syllables",
                "rank",
                "level",
                "allophone",
                "family_members",
            )
            self._pools[environment] = [
                _Word(
                    entry.main,
                    entry.family,
                    row[at["syllables"]],
                    row[at["rank"]],
                    tuple(row[at[name]] for name in shown),
                )
                for entry, row in zip(made.entries, made.rows.rows(), strict=True)
            ]
        return self._pools[environment]

    def _exceptions(self, environment: str) -> list[tuple[object, ...]]:
        """Words of the environment that looks like this one, with the same context before the sound."""
        step = self._steps.get(environment, LessonStep(environment, "", ""))
        if not step.looks_like:
            return []
        return [
            word.cells
            for word in self._pool(step.looks_like)
            if word.family not in self._used and self._in_frame(word.reading, step)
        ]

    def _in_frame(self, reading: Reading, step: LessonStep) -> bool:
        if not step.frame:
            return True
        matcher = self._lexicon.sound.matcher
        return any(
            matcher.context_before((PAUSE, *reading.phones[: token.phone_index])) == step.frame
            for token in reading.tokens
            if token.rule.environment == step.looks_like
        )

    def _review(self, count: int) -> list[_Word]:
        """Words of the lessons before, one from each in turn, the latest lesson first; a lesson's longer words
        come back sooner, and every time another."""
        picked = []
        for turn in range(count if self._taught else 0):
            back, again = turn % len(self._taught), turn // len(self._taught)
            lesson = self._taught[-1 - back]
            place = len(lesson) - 1 - back - again * len(self._taught)
            if place >= 0:
                picked.append(lesson[place])
        return picked

    def _of_families(self, rows: list[dict[str, object]], families: set[str]) -> list[dict[str, object]]:
        """Rows in which a word of one of these families stands."""
        family = self._lexicon.family
        return [
            row
            for row in rows
            if any(
                family(word) in families
                for member in (row["first"], row["second"])
                for word in str(member).split()
            )
        ]

    def _too_few(self, number: int, environment: str, longest: int, count: int) -> str:
        options = self._options
        level = f", level {'-'.join(options.levels)}" if options.levels else ""
        return (
            f"lesson {number} ({environment}, up to {longest} syllables{level}) has {count} new words left of the "
            f"{options.words} asked for, {options.words - count} short; ask for fewer words or lessons, widen "
            f"--level, or change --order"
        )


def _link_cells(row: dict[str, object]) -> tuple[object, ...]:
    phrase = f"{row['first']} {row['second']}"
    return (phrase, "", row["ipa"], None, None, "", row["allophone"], row["environment"])


def _contrast_cells(row: dict[str, object]) -> tuple[object, ...]:
    pair, shown = f"{row['first']} / {row['second']}", f"{row['first_ipa']} / {row['second_ipa']}"
    return (pair, "", shown, None, row["rarer"], "", "", row["note"])
