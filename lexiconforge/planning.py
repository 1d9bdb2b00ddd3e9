"""A sequence of lessons: the vocabulary divided by environment, easier and commoner words first.

Room: chooses from word lists, links and contrasts; decides nothing about sounds. The same request gives the
same plan.
"""

from __future__ import annotations

from collections.abc import Collection, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

from lexiconforge.allophones import PAUSE, context_before
from lexiconforge.contrasts import contrasts
from lexiconforge.lexicon import Lexicon
from lexiconforge.linking import links
from lexiconforge.wordlists import Choice, ChoiceError, environments, one_of, word_list

if TYPE_CHECKING:
    import pandas as pd

PLAN_COLUMNS = (
    "lesson", "environment", "role", "place", "item", "marked", "ipa", "syllables", "rank", "level",
    "allophone", "note",
)  # fmt: skip
ROLES = ("new", "review", "exception", "link", "contrast")

ORDER = (
    "between vowels", "before syllabic l", "after r", "after n", "before syllabic n",
    "stressed vowel after", "full vowel after", "after r and before syllabic l",
)  # fmt: skip
"""One environment a lesson, from the commonest tap to the t's that are not tapped."""

EXCEPTIONS = {
    "between vowels": "full vowel after",
    "after r": "stressed vowel after",
    "before syllabic l": "before l or n",
    "after r and before syllabic l": "before l or n",
    "after n": "before syllabic n",
    "before syllabic n": "before n and a vowel",
    "stressed vowel after": "between vowels",
    "full vowel after": "between vowels",
}
"""The environment that looks like this one and behaves otherwise: its words stand next to the lesson's."""
FRAMES = {
    "between vowels": "vowel",
    "after r": "r-coloured vowel",
    "before syllabic l": "vowel",
    "after r and before syllabic l": "r-coloured vowel",
    "after n": "n",
}
"""What stands before the t in these environments; it stands before that of an exception too."""

FIRST_SYLLABLES, LESSONS_A_SYLLABLE = 2, 2
"""The longest words of the first lesson, and after how many lessons one more syllable is let in."""


@dataclass(frozen=True, kw_only=True)
class PlanOptions:
    """``lessons`` of ``words`` new words each; ``order``, environments in turn, begun again when they run
    out; ``levels``, CEFR range of all words; ``review``, words of earlier lessons brought back in each;
    ``extras``, at most so many exceptions, links and contrasts of each kind in a lesson; ``include`` as in
    :class:`~lexiconforge.wordlists.Choice`. Raises :class:`~lexiconforge.wordlists.ChoiceError`."""

    lessons: int = 8
    words: int = 12
    order: Sequence[str] = ORDER
    levels: tuple[str, str] | None = None
    review: int = 3
    extras: int = 4
    include: Collection[str] = ()

    def __post_init__(self) -> None:
        for name, value, least in (
            ("lessons", self.lessons, 1),
            ("words", self.words, 1),
            ("review", self.review, 0),
            ("extras", self.extras, 0),
        ):
            if value < least:
                raise ChoiceError(f"{name} {value}: must be {least} or more")
        if not self.order:
            raise ChoiceError("order: name at least one environment")
        order = tuple(one_of("environment", name, environments()) for name in self.order)
        object.__setattr__(self, "order", order)
        Choice(levels=self.levels, include=self.include)


def plan(lexicon: Lexicon, pairs: pd.DataFrame, options: PlanOptions | None = None) -> pd.DataFrame:
    """The lessons as one table, a row for each item of each lesson.

    Columns (:data:`PLAN_COLUMNS`): ``role`` is one of :data:`ROLES`: *new* words by rising number of
    syllables, then by rank; *review*, words of earlier lessons; *exception*, common words of the environment
    that looks alike and behaves otherwise (:data:`EXCEPTIONS`); *link* and *contrast*, pairs in which a
    new word of the lesson or a member of its family stands; ``place`` counts within lesson and role;
    ``item`` is the word or the pair.

    No family comes twice among new words. The first lesson has words of two syllables at most, and one more
    is let in after every second lesson. Raises :class:`~lexiconforge.wordlists.ChoiceError` if a lesson
    cannot be filled, and says by how much.
    """
    import pandas as pd

    options = options or PlanOptions()
    rows: list[tuple[object, ...]] = []
    used: set[str] = set()
    taught: list[pd.DataFrame] = []
    all_links = links(lexicon, pairs) if len(pairs) else None
    all_contrasts = contrasts(lexicon, pairs)
    pools = {name: _pool(lexicon, name, options) for name in dict.fromkeys(options.order)}
    for number in range(1, options.lessons + 1):
        environment = options.order[(number - 1) % len(options.order)]
        longest = FIRST_SYLLABLES + (number - 1) // LESSONS_A_SYLLABLE
        pool = pools[environment]
        fit = pool[~pool["family"].isin(used) & (pool["syllables"] <= longest)]
        if len(fit) < options.words:
            raise ChoiceError(_short(number, environment, longest, len(fit), options))
        new = fit.head(options.words).sort_values(["syllables", "rank"])
        used |= set(new["family"])
        add = _Adder(rows, number, environment)
        add.words("new", new)
        if taught and options.review:
            add.words("review", _review(taught, options.review))
        other = EXCEPTIONS.get(environment)
        if other and options.extras:
            exceptions = _pool(lexicon, other, options)
            exceptions = exceptions[~exceptions["family"].isin(used)]
            exceptions = _in_frame(lexicon, exceptions, other, FRAMES.get(environment))
            add.words("exception", exceptions.head(options.extras))
        families = set(new["family"])
        if all_links is not None:
            add.links(_of_families(lexicon, all_links, families).head(options.extras))
        add.contrasts(_of_families(lexicon, all_contrasts, families).head(options.extras))
        taught.append(new)
    table = pd.DataFrame(rows, columns=list(PLAN_COLUMNS))
    return table.astype({"syllables": "Int64", "rank": "Int64"})


def _pool(lexicon: Lexicon, environment: str, options: PlanOptions) -> pd.DataFrame:
    choice = Choice(
        environment=environment,
        levels=options.levels,
        include=options.include,
        one_per_family=True,
    )
    return word_list(lexicon, choice).rows


def _in_frame(
    lexicon: Lexicon, words: pd.DataFrame, environment: str, frame: str | None
) -> pd.DataFrame:
    """The words whose t of this environment has this context before it."""
    if frame is None:
        return words

    def fits(word: str) -> bool:
        phones = lexicon.main_phones(word)
        return any(
            context_before((PAUSE, *phones[: token.phone_index])) == frame
            for token in lexicon.tag_phones(word, phones).tokens
            if token.rule.environment == environment
        )

    return words[[fits(word) for word in words["word"]]]


def _short(number: int, environment: str, longest: int, count: int, options: PlanOptions) -> str:
    level = f", level {'-'.join(options.levels)}" if options.levels else ""
    return (
        f"lesson {number} ({environment}, up to {longest} syllables{level}) has {count} new words left of the "
        f"{options.words} asked for, {options.words - count} short; ask for fewer words or lessons, widen "
        f"--level, or change --order"
    )


def _review(taught: list[pd.DataFrame], count: int) -> pd.DataFrame:
    """Words of the lessons before, one from each in turn, the latest lesson first; a lesson's longer words
    come back sooner, and every time another."""
    import pandas as pd

    picked = []
    for turn in range(count):
        back, again = turn % len(taught), turn // len(taught)
        lesson = taught[-1 - back]
        place = len(lesson) - 1 - back - again * len(taught)
        if place >= 0:
            picked.append(lesson.iloc[[place]])
    return pd.concat(picked) if picked else taught[0].head(0)


def _of_families(lexicon: Lexicon, table: pd.DataFrame, families: set[str]) -> pd.DataFrame:
    """Rows in which a word of one of these families stands."""
    family = lexicon.families.family
    holds = [
        any(family(word) in families for member in members for word in member.split())
        for members in zip(table["first"], table["second"], strict=True)
    ]
    return table[holds]


class _Adder:
    """Puts items of one lesson into the rows of a plan."""

    def __init__(self, rows: list[tuple[object, ...]], lesson: int, environment: str) -> None:
        self._rows, self._lesson, self._environment = rows, lesson, environment

    def _add(self, role: str, items: Sequence[tuple[object, ...]]) -> None:
        for place, item in enumerate(items, start=1):
            self._rows.append((self._lesson, self._environment, role, place, *item))

    def words(self, role: str, table: pd.DataFrame) -> None:
        columns = ["word", "marked", "ipa", "syllables", "rank", "level", "allophone", "also"]
        self._add(role, list(table[columns].itertuples(index=False, name=None)))

    def links(self, table: pd.DataFrame) -> None:
        self._add(
            "link",
            [
                (
                    f"{row.first} {row.second}",
                    "",
                    row.ipa,
                    None,
                    None,
                    "",
                    row.allophone,
                    row.environment,
                )
                for row in table.itertuples()
            ],
        )

    def contrasts(self, table: pd.DataFrame) -> None:
        self._add(
            "contrast",
            [
                (
                    f"{row.first} / {row.second}",
                    "",
                    f"{row.first_ipa} / {row.second_ipa}",
                    None,
                    row.rarer,
                    "",
                    "",
                    row.note,
                )
                for row in table.itertuples()
            ],
        )
