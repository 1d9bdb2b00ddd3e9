"""Lessons: what a plan promises, and how it says that it cannot be."""

from __future__ import annotations

import re

import pandas as pd
import pytest

from lexiconforge.errors import OptionError
from lexiconforge.lexicon import Lexicon, load_lexicon
from lexiconforge.sources.levels import LEVELS
from lexiconforge.teaching.planning import PLAN_COLUMNS, ROLES, PlanOptions, plan


@pytest.mark.parametrize(("sound", "words"), [("t", 10), ("d", 5)])
def test_a_plan_keeps_its_promises(sound: str, words: int, pairs: pd.DataFrame) -> None:
    lexicon = load_lexicon(sound)
    options = PlanOptions(lessons=10, words=words)
    lessons = plan(lexicon, pairs, options)
    pd.testing.assert_frame_equal(lessons, plan(lexicon, pairs, options))
    assert tuple(lessons.columns) == PLAN_COLUMNS
    assert set(lessons["role"]) <= set(ROLES)
    new = lessons[lessons["role"] == "new"]
    assert new.groupby("lesson").size().tolist() == [words] * 10
    assert new["item"].map(lexicon.family).is_unique
    for number, lesson in new.groupby("lesson"):
        assert lesson["syllables"].is_monotonic_increasing
        assert lesson["syllables"].max() <= 2 + (number - 1) // 2
        for _, alike in lesson.groupby("syllables"):
            assert alike["rank"].is_monotonic_increasing
        earlier = set(new.loc[new["lesson"] < number, "item"])
        review = lessons[(lessons["lesson"] == number) & (lessons["role"] == "review")]
        assert set(review["item"]) <= earlier
        assert len(review) == (3 if number > 1 else 0)
    for _, part in lessons.groupby(["lesson", "role"]):
        assert part["place"].tolist() == list(range(1, len(part) + 1))


@pytest.mark.parametrize("sound", ["t", "d"])
def test_what_goes_with_the_new_words_of_a_lesson(sound: str, pairs: pd.DataFrame) -> None:
    lexicon = load_lexicon(sound)
    lessons = plan(lexicon, pairs, PlanOptions(lessons=6, words=8, extras=3))
    assert set(lessons["role"]) == set(ROLES)
    looks_like = {step.environment: step.looks_like for step in lexicon.sound.lessons}
    for (_, environment), lesson in lessons.groupby(["lesson", "environment"]):
        by_role = {role: rows["item"].tolist() for role, rows in lesson.groupby("role")}
        families = {lexicon.family(word) for word in by_role["new"]}
        for word in by_role["new"]:
            main = lexicon.main(word)
            assert main is not None
            assert environment in {token.rule.environment for token in main.tokens}
        for role in ("link", "contrast"):
            assert len(by_role.get(role, ())) <= 3
            for item in by_role.get(role, ()):
                assert families & {lexicon.family(word) for word in item.replace("/", " ").split()}
        for word in by_role.get("exception", ()):
            main = lexicon.main(word)
            assert main is not None
            assert looks_like[environment] in {token.rule.environment for token in main.tokens}
            assert lexicon.family(word) not in families


def test_the_order_and_the_level_of_ones_own(lexicon: Lexicon, pairs: pd.DataFrame) -> None:
    options = PlanOptions(
        lessons=3, words=4, order=["After-R", "between vowels"], levels="a2-b1", extras=0
    )
    lessons = plan(lexicon, pairs, options)
    turns = lessons.drop_duplicates("lesson")["environment"].tolist()
    assert turns == ["after r", "between vowels", "after r"]
    assert set(lessons["role"]) == {"new", "review"}
    assert lessons["level"].map(LEVELS.index).between(1, 2).all()


def test_an_infeasible_plan_says_by_how_much(lexicon: Lexicon, pairs: pd.DataFrame) -> None:
    with pytest.raises(OptionError, match=r"lesson \d+ .* short") as caught:
        plan(lexicon, pairs, PlanOptions(levels=("A1", "A1")))
    told = re.search(r"has (\d+) new words left of the (\d+) asked for, (\d+) short", str(caught.value))
    assert told is not None
    left, asked, short = map(int, told.groups())
    assert (asked, left + short) == (12, 12)
    with pytest.raises(OptionError, match="no environment 'nowhere'"):
        plan(lexicon, pairs, PlanOptions(order=["nowhere"]))
