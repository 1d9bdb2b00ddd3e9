"""A sequence of lessons: the vocabulary divided by environment, from simple to combined, commoner words first.

Room: decides which lesson comes when and which words it has; what goes with them is found in
:mod:`lexiconforge.teaching.lesson_parts`. Order, rules and reasons are rows of the sound's ``lessons.csv``. The same request
gives the same plan.
"""

from __future__ import annotations

from collections.abc import Collection, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

from lexiconforge import options as checks
from lexiconforge.errors import OptionError
from lexiconforge.lexicon import Lexicon
from lexiconforge.lists.options import included, levels
from lexiconforge.sounds import LessonStep
from lexiconforge.tables import Table
from lexiconforge.teaching.lesson_parts import ITEM_COLUMNS, Material, Phrase, Word

if TYPE_CHECKING:
    import pandas as pd

PLAN_COLUMNS = ("lesson", "title", "environment", "role", "place", *ITEM_COLUMNS)
ROLES = ("rule", "new", "review", "exception", "link", "contrast", "line")
"""What a row of a lesson is: the rule as a sentence, with the reason for the place of the lesson as its note; new words;
words of earlier lessons; words that look alike and behave otherwise; pairs that link; pairs that differ; lines to say."""

FIRST_SYLLABLES, LESSONS_PER_SYLLABLE = 2, 2
"""The longest words of the first lesson, and after how many lessons one more syllable is let in."""
LEAST = 3
"""A lesson on fewer items than this is no lesson: what there is goes to a lesson on the same allophone, or falls away."""
AGAIN = "once more, with words that are rarer or longer"
"""The reason of a lesson for which the order began again."""
MOST_ROUNDS = 40
"""How often the order begins again, more than anybody has asked for."""


@dataclass(frozen=True, kw_only=True)
class PlanOptions:
    """``lessons`` at most, of ``words`` new words each at most; ``order``, environments in turn, begun again when they run
    out, the lessons of the sound's ``lessons.csv`` if none is named; ``levels``, CEFR range of all words; ``review``, words
    of earlier lessons brought back in each; ``extras``, at most so many exceptions, links and contrasts of each kind in a
    lesson; ``include`` as in :class:`~lexiconforge.lists.wordlists.WordFilter`. Raises
    :class:`~lexiconforge.errors.OptionError`."""

    lessons: int = 20
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


@dataclass
class _Draft:
    """A lesson before what goes with it is known: what is taught, and what is said of it."""

    step: LessonStep
    title: str
    words: list[Word]
    links: list[Phrase]
    contrasts: list[Phrase]
    rule: str
    reason: str
    guests: tuple[LessonStep, ...] = ()

    @property
    def size(self) -> int:
        """How many items it is about."""
        return len(self.links) or len(self.contrasts) or len(self.words)


def plan(lexicon: Lexicon, pairs: pd.DataFrame, options: PlanOptions | None = None) -> pd.DataFrame:
    """The lessons as one table, a row for each item of each lesson.

    Columns (:data:`PLAN_COLUMNS`): ``role`` is one of :data:`ROLES`; ``place`` counts within lesson and role; ``item`` is
    the word, the pair, the contrast (``/`` between its sides), the line or the rule; ``environment`` and ``allophone`` are
    those of the item; ``example`` is a line to say with it; ``speaker`` and ``dialogue`` are of lines of dialogues. The
    ``note`` of a rule says why the lesson stands here, that of an exception what the sound is there, that of a line what it
    practises.

    There are as many lessons as the words give, ``lessons`` at most. New words have one kind of the sound, but where
    several are combined; they stand by rising number of syllables, then by rank, and no family comes twice among them,
    but for the lessons on contrasts. The first lesson has words of two syllables, and one more is let in after every second,
    earlier where words would be lacking. A lesson of which the words give less than half is taken into one on the same
    allophone, or says that it is short. Exceptions, links, contrasts and lines come once each. Raises
    :class:`~lexiconforge.errors.OptionError` where not even one lesson can be made.
    """
    return plan_table(lexicon, pairs, options or PlanOptions()).frame()


def plan_table(lexicon: Lexicon, pairs: pd.DataFrame, options: PlanOptions) -> Table:
    """As :func:`plan`, as a plain table."""
    planner = _Planner(lexicon, pairs, options)
    planner.fill()
    if not planner.rows:
        level = f" of level {'-'.join(options.levels)}" if options.levels else ""
        raise OptionError(
            f"no lesson can be made of the words{level} in {', '.join(planner.places)}; "
            "widen --level, or change --order"
        )
    return Table.of_rows("plan", PLAN_COLUMNS, planner.rows)


class _Planner:
    """Fills one lesson after another and remembers what has been taught."""

    def __init__(self, lexicon: Lexicon, pairs: pd.DataFrame, options: PlanOptions) -> None:
        self._options = options
        self._material = Material(lexicon, pairs, options.levels, options.include)
        self._steps = self._ordered(lexicon)
        self._used: set[str] = set()
        self._taught: list[list[Word]] = []
        self.rows: list[tuple[object, ...]] = []
        self.places = [name for step in self._steps for name in step.environments]

    def _ordered(self, lexicon: Lexicon) -> list[LessonStep]:
        """The lessons in turn; an environment that has none of its own gets one."""
        sound, options = lexicon.sound, self._options
        if options.order is None:
            return list(sound.lessons)
        steps = []
        for name in options.order:
            place = sound.environment_id(name)
            label = sound.environments[place]
            bare = LessonStep(
                label[:1].upper() + label[1:], "words", (place,), rule="", reason="as asked for"
            )
            known = next((step for step in sound.lessons if place in step.environments), bare)
            steps.append(replace_environments(known, place))
        return steps

    def fill(self) -> None:
        """Add lessons until there are enough or the words give no more."""
        number = 0
        for turn in range(1, MOST_ROUNDS + 1):
            drafts = self._drafts(turn, number)
            if not drafts:
                return
            for draft in drafts:
                number += 1
                self._add(number, draft)
                if number == self._options.lessons:
                    return

    def _drafts(self, turn: int, before: int) -> list[_Draft]:
        """The lessons of one turn of the order, those too short taken into others or left out."""
        drafts: list[_Draft] = []
        for step in self._steps:
            if before + len(drafts) >= self._options.lessons:
                break
            drafts.append(self._draft(step, turn, before + len(drafts) + 1))
        half = (self._options.words + 1) // 2
        for draft in list(drafts):
            if 0 < draft.size < half and draft.step.kind == "words":
                self._merge(draft, drafts)
        return [draft for draft in drafts if draft.size >= min(LEAST, self._options.words)]

    def _draft(self, step: LessonStep, turn: int, number: int) -> _Draft:
        most, material = self._options.words, self._material
        words: list[Word] = []
        links: list[Phrase] = []
        contrasts: list[Phrase] = []
        if step.kind == "links":
            links = material.links(step.environments, most, each=2)
        elif step.kind == "contrasts":
            contrasts = material.contrasts(step.contrasts, (), most)
            words = material.words_of(contrasts, most, self._used)
        else:
            fit = [word for word in material.pool(step) if word.family not in self._used]
            words = self._chosen(fit, number)
        self._used |= {word.family for word in words}
        reason = step.reason if turn == 1 else AGAIN
        title = step.title if turn == 1 else f"{step.title} ({turn})"
        draft = _Draft(step, title, words, links, contrasts, step.rule, reason)
        if draft.size < most and turn == 1 and step.kind != "contrasts":
            what = "links" if step.kind == "links" else "words"
            draft.reason += f"; short: the level has only {draft.size} such {what}"
        return draft

    def _chosen(self, fit: list[Word], number: int) -> list[Word]:
        """The commonest words that are short enough for this lesson, longer ones where these do not fill it."""
        most = self._options.words
        longest = FIRST_SYLLABLES + (number - 1) // LESSONS_PER_SYLLABLE
        chosen: dict[str, Word] = {}
        for limit in range(longest, max((word.syllables for word in fit), default=0) + longest + 1):
            for word in fit:
                if len(chosen) < most and word.syllables <= limit:
                    chosen.setdefault(word.family, word)
        return sorted(chosen.values(), key=lambda word: (word.syllables, word.rank))

    def _merge(self, draft: _Draft, drafts: list[_Draft]) -> None:
        """Take a short lesson into the one before it on the same allophone, else into the one after; where there is none, it
        stands and says that it is short."""
        at = drafts.index(draft)
        material = self._material
        about = material.allophone(draft.step)
        near = [*reversed(drafts[:at]), *drafts[at + 1 :]]
        host = next(
            (
                other
                for other in near
                if other.step.kind == "words"
                and material.allophone(other.step) == about
                and other.size > draft.size
            ),
            None,
        )
        if host is None:
            return
        room = self._options.words - len(draft.words)
        self._used -= {word.family for word in host.words[room:]}
        words = [*host.words[:room], *draft.words]
        host.words = sorted(words, key=lambda word: (word.syllables, word.rank))
        host.title = f"{host.title}; {draft.title[:1].lower()}{draft.title[1:]}"
        host.rule = f"{host.rule} {draft.rule}"
        host.reason = host.reason.partition("; short:")[0]
        host.reason += f"; {draft.title.lower()} goes with it, as the level has only {draft.size} such"
        draft.words, host.guests = [], (*host.guests, draft.step)

    def _add(self, number: int, draft: _Draft) -> None:
        """The rows of one lesson."""
        options, material, step = self._options, self._material, draft.step
        taken = {word.family for word in draft.words} | {
            material.family(word) for phrase in draft.links for word in phrase.words
        }
        back = [word for word in self._review(options.review) if word.family not in taken]
        known = {word.family for lesson in self._taught for word in lesson}
        exceptions: list[Word | Phrase] = []
        for one in (step, *draft.guests):
            room = options.extras - len(exceptions)
            exceptions += material.exceptions(one, taken | known, draft.links, room)
        links = draft.links or material.links((), options.extras, families=taken)
        contrasts = draft.contrasts or material.contrasts(
            step.contrasts, taken, options.extras, step.environments if step.kind == "words" else ()
        )
        parts: dict[str, list[tuple[str, tuple[object, ...]]]] = {
            "rule": [("", _rule_cells(draft))] if draft.rule else [],
            "new": [(word.environment, material.shown(word)) for word in draft.words],
            "review": [(word.environment, material.shown(word)) for word in back],
            "exception": [(one.environment, material.shown(one)) for one in exceptions],
            "link": [(phrase.environment, phrase.cells) for phrase in links],
            "contrast": [(phrase.environment, phrase.cells) for phrase in contrasts],
            "line": [
                ("", cells) for cells in material.lines(draft.words, links, exceptions) if options.extras
            ],
        }
        for role, items in parts.items():
            for place, (environment, cells) in enumerate(items, start=1):
                self.rows.append((number, draft.title, environment, role, place, *cells))
        if draft.words:
            self._taught.append(draft.words)

    def _review(self, count: int) -> list[Word]:
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


def replace_environments(step: LessonStep, place: str) -> LessonStep:
    """The lesson for this environment alone, of those that it puts together."""
    if step.environments == (place,):
        return step
    return step._replace(environments=(place,))


def _rule_cells(draft: _Draft) -> tuple[object, ...]:
    return (draft.rule, "", "", None, None, "", "", "", "", None, draft.reason)
