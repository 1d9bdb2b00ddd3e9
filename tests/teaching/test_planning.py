"""Lessons: what a plan promises at every level, and how it says that it cannot be."""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Callable
from pathlib import Path

import pandas as pd
import pytest

from lexiconforge.cli import main
from lexiconforge.errors import OptionError
from lexiconforge.lexicon import Lexicon, load_lexicon
from lexiconforge.sources.levels import LEVELS
from lexiconforge.teaching.planning import LEAST, PLAN_COLUMNS, ROLES, PlanOptions, plan
from lexiconforge.teaching.targets import read_targets

pytestmark = pytest.mark.usefixtures("few_only")

Course = Callable[[str], pd.DataFrame]


@pytest.fixture(scope="module")
def lexicon(few: Lexicon) -> Lexicon:
    return few


def by_role(lessons: pd.DataFrame, number: int) -> dict[str, pd.DataFrame]:
    lesson = lessons[lessons["lesson"] == number]
    return {str(role): rows for role, rows in lesson.groupby("role")}


@pytest.mark.parametrize("sound", ["t", "d"])
def test_a_plan_keeps_its_promises(sound: str, pairs: pd.DataFrame, course: Course) -> None:
    lexicon = load_lexicon(sound)
    lessons = course(sound)
    again = plan(lexicon, pairs, PlanOptions(levels="A1-A2"))
    pd.testing.assert_frame_equal(lessons, again)
    assert tuple(lessons.columns) == PLAN_COLUMNS
    assert set(lessons["role"]) == set(ROLES)
    assert lessons["lesson"].drop_duplicates().tolist() == list(range(1, lessons["lesson"].max() + 1))
    of_contrasts = {step.title for step in lexicon.sound.lessons if step.kind == "contrasts"}
    new = lessons[(lessons["role"] == "new") & ~lessons["title"].isin(of_contrasts)]
    assert new["item"].map(lexicon.family).is_unique
    assert new["level"].isin(["A1", "A2"]).all()
    for number, lesson in new.groupby("lesson"):
        assert LEAST <= len(lesson) <= 12
        assert lesson["syllables"].is_monotonic_increasing
        for _, alike in lesson.groupby("syllables"):
            assert alike["rank"].is_monotonic_increasing
        earlier = set(lessons.loc[(lessons["lesson"] < number) & (lessons["role"] == "new"), "item"])
        review = lessons[(lessons["lesson"] == number) & (lessons["role"] == "review")]
        assert set(review["item"]) <= earlier
    if sound == "t":  # of d there are too few short words
        assert new.loc[new["lesson"] == 1, "syllables"].max() == 2
    for _, part in lessons.groupby(["lesson", "role"]):
        assert part["place"].tolist() == list(range(1, len(part) + 1))
    for role in ("exception", "link", "contrast"):
        items = lessons.loc[lessons["role"] == role, "item"]
        assert items.is_unique, f"{role}: new ones each time"
    dialogues = lessons[(lessons["role"] == "line") & lessons["dialogue"].notna()]
    assert dialogues.drop_duplicates(["lesson", "dialogue"])["item"].is_unique


@pytest.mark.parametrize(
    ("sound", "level"), [("t", "A1"), ("t", "B1"), ("t", "C2"), ("t", "A1-A2"), ("d", "A1"), ("d", "C1")]
)
def test_every_level_gives_lessons_and_short_ones_say_so(
    sound: str, level: str, few_pairs: pd.DataFrame, course: Course
) -> None:
    # Of fewer pairs there are fewer links: whatever is enough of them is enough of all.
    lessons = (
        course(sound)
        if level == "A1-A2"
        else plan(load_lexicon(sound), few_pairs, PlanOptions(levels=level))
    )
    assert lessons["lesson"].max() >= 3
    kinds = {step.title: step.kind for step in load_lexicon(sound).sound.lessons}
    for number, lesson in lessons.groupby("lesson"):
        parts = by_role(lessons, int(str(number)))
        (reason,) = parts["rule"]["note"]
        kind = kinds.get(lesson["title"].iloc[0].partition(" (")[0], "words")
        size = len(parts[{"links": "link", "contrasts": "contrast"}.get(kind, "new")])
        assert size >= LEAST
        if size < 6 and kind == "words" and "once more" not in reason:
            assert "only" in reason
        assert 1 <= len(parts["line"]) <= 12
        spoken = parts["line"]
        assert spoken["dialogue"].nunique() == 2 or len(spoken) <= 8


def test_the_first_lesson_is_the_commonest_frame_and_teaches_by_exceptions(
    lexicon: Lexicon, course: Course
) -> None:
    """Of the places of a tap inside a word, the first lesson has the one most words of running text stand in (counted
    here from the lexicon's shares); that *hotel* and *return* have a true t beside *water* and *later* is in every
    textbook of the accent (common practice)."""
    shares: Counter[str] = Counter()
    for name in ("between vowels", "after r", "before syllabic l", "after n"):
        shares[name] = sum(lexicon.share_at(c.row) * len(c.tokens) for c in lexicon.having("", name))  # type: ignore[assignment]
    (first,) = {
        row["environment"]
        for row in course("t").query("lesson == 1 and role == 'new'").to_dict("records")
    }
    assert first == shares.most_common(1)[0][0]
    parts = by_role(course("t"), 1)
    assert {"water", "later", "better"} <= set(parts["new"]["item"])
    assert {"hotel", "return"} <= set(parts["exception"]["item"])
    assert parts["exception"]["note"].str.contains("before a stressed vowel").all()


def test_links_and_numbers_have_lessons_of_their_own(course: Course) -> None:
    lessons = course("t")
    titles = lessons.drop_duplicates("lesson")["title"].tolist()
    linking = by_role(lessons, titles.index("Linking with a tap") + 1)
    assert len(linking["link"]) == 12
    assert "new" not in linking
    numbers = by_role(lessons, titles.index("-teen and -ty") + 1)
    assert "thirteen / thirty" in set(numbers["contrast"]["item"])
    assert {"thirteen", "thirty"} <= set(numbers["new"]["item"])
    # From simple to combined: one kind of t in a word before two, inside words before between them.
    assert titles.index("Tap between vowels") < titles.index("Linking with a tap")
    assert titles.index("Linking with a tap") < titles.index("Two kinds of t in one word")


@pytest.mark.parametrize("sound", ["t", "d"])
def test_what_goes_with_the_new_words_of_a_lesson(sound: str, course: Course) -> None:
    lexicon = load_lexicon(sound)
    lessons = course(sound)
    steps = {step.title.lower(): step for step in lexicon.sound.lessons}
    for number, title in lessons.drop_duplicates("lesson")[["lesson", "title"]].values.tolist():
        # A lesson into which another was taken is called after both.
        here = [steps[name.lower()] for name in re.sub(r" \(.*?\)", "", title).split("; ")]
        step = here[0]
        parts = by_role(lessons, number)
        if step.kind not in ("words", "links"):
            continue
        if step.kind == "words":
            for row in parts["new"].to_dict("records"):
                entry = lexicon.entry(row["item"].lower())
                assert entry is not None
                # Of a homograph (detail) the reading that the row shows.
                tokens = next(one.tokens for one in entry.readings if one.ipa == row["ipa"])
                assert row["environment"] in {token.rule.environment for token in tokens}
                assert len({token.rule.allophone for token in tokens}) == 1, "one kind in a word"
        if "exception" in parts:
            assert set(parts["exception"]["environment"]) <= {
                name for one in here for name in one.looks_like
            }
            assert not set(parts["exception"]["item"]) & set(parts.get("new", parts["rule"])["item"])


def test_the_order_and_the_level_of_ones_own(lexicon: Lexicon, few_pairs: pd.DataFrame) -> None:
    options = PlanOptions(
        lessons=3, words=4, order=["After-R", "between vowels"], levels="a2-b1", extras=0
    )
    lessons = plan(lexicon, few_pairs, options)
    new = lessons[lessons["role"] == "new"]
    assert new.drop_duplicates("lesson")["environment"].tolist() == [
        "after r",
        "between vowels",
        "after r",
    ]
    assert set(lessons["role"]) == {"rule", "new", "review"}
    assert new["level"].map(LEVELS.index).between(1, 2).all()


def test_a_plan_that_cannot_be_says_what_would_do(lexicon: Lexicon, pairs: pd.DataFrame) -> None:
    with pytest.raises(OptionError, match="level A1-A1 in after r and before syllabic l; widen --level"):
        plan(lexicon, pairs, PlanOptions(levels="A1", order=["after r and before syllabic l"]))
    with pytest.raises(OptionError, match="no environment 'nowhere'"):
        plan(lexicon, pairs, PlanOptions(order=["nowhere"]))


def test_a_lesson_is_taken_by_the_other_commands(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert main(["plan", "--level", "A1-A2", "--lessons", "2", "--out", str(tmp_path)]) == 0
    lesson = tmp_path / "lesson-01.csv"
    targets = read_targets(lesson)
    assert ("water",) in targets
    assert ("hotel",) in targets
    assert not [target for target in targets if len(target) > 2 or "riding" in target]
    assert main(["practice", "--words", str(lesson), "--out", str(tmp_path / "lines.csv")]) == 0
    after = ["words", "--environment", "between-vowels", "--one-per-family", "--limit", "20", "--json"]
    capsys.readouterr()
    assert main([*after, "--starting-after", str(lesson)]) == 0
    left = capsys.readouterr().out
    assert '"word":"water"' not in left
    assert '"word":"photo"' in left
