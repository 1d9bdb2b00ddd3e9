"""Word pairs and contrast sets."""

from __future__ import annotations

import pandas as pd
import pytest
from conftest import cases
from lexiconforge.contrasts import KINDS, contrasts
from lexiconforge.linking import LINK_COLUMNS, LinkChoice, links
from lexiconforge.planning import ROLES, PlanOptions, plan
from lexiconforge.wordlists import ChoiceError
from nltk.metrics.association import BigramAssocMeasures

from lexiconforge.lexicon import Lexicon


@pytest.fixture(scope="module")
def table(lexicon: Lexicon, pairs: pd.DataFrame) -> pd.DataFrame:
    return links(lexicon, pairs)


@pytest.fixture(scope="module")
def sets(lexicon: Lexicon, pairs: pd.DataFrame) -> pd.DataFrame:
    return contrasts(lexicon, pairs, include=["names"], all_forms=True)


def test_links_are_in_order_and_all_link(table: pd.DataFrame) -> None:
    assert tuple(table.columns) == LINK_COLUMNS
    assert table["count"].is_monotonic_decreasing
    assert set(table["allophone"]) == {"tap", "nasal tap"}
    assert table["coverage"].is_monotonic_increasing


def test_kahns_pair(table: pd.DataFrame) -> None:
    # Kahn 1976, from memory: the t of at all is tapped, that of a tall is not.
    found = set(zip(table["first"], table["second"], strict=True))
    assert ("at", "all") in found
    assert ("a", "tall") not in found


def test_association_is_nltks_pmi(table: pd.DataFrame, pairs: pd.DataFrame) -> None:
    total = int(pairs["count"].sum())
    for row in table.iloc[:: len(table) // 40].itertuples():
        margins = (
            int(pairs.loc[pairs["first"] == row.first, "count"].sum()),
            int(pairs.loc[pairs["second"] == row.second, "count"].sum()),
        )
        expected = BigramAssocMeasures.pmi(row.count, margins, total)
        assert row.association == pytest.approx(expected, abs=0.006)


def test_link_filters(lexicon: Lexicon, pairs: pd.DataFrame) -> None:
    found = links(lexicon, pairs, LinkChoice(first="get", limit=5))
    assert set(found["first"]) == {"get"}
    assert len(found) == 5
    with pytest.raises(ChoiceError, match="1 or more"):
        LinkChoice(limit=0)


@pytest.mark.parametrize("case", cases("homophones"), ids=lambda case: case["t"])
def test_the_published_homophones(case: dict[str, str], sets: pd.DataFrame) -> None:
    # Wikipedia, "Intervocalic alveolar flapping", an older snapshot.
    found = sets[sets["kind"] == "homophones"]
    assert (case["t"], case["d"]) in set(zip(found["first"], found["second"], strict=True))


@pytest.mark.parametrize(
    ("kind", "first", "second"),
    [
        # Common practice: the textbook pair of each kind.
        ("stress-shift", "atom", "atomic"),
        ("stress-shift", "photograph", "photography"),
        ("stress-shift", "metal", "metallic"),
        ("teen-ty", "thirteen", "thirty"),
        ("tap-or-glottal", "batter", "batten"),
        ("tap-or-glottal", "bitter", "bitten"),
        ("across-words", "at all", "a tall"),
    ],
)
def test_textbook_pairs(kind: str, first: str, second: str, sets: pd.DataFrame) -> None:
    found = sets[sets["kind"] == kind]
    assert (first, second) in set(zip(found["first"], found["second"], strict=True))


def test_contrasts_are_ranked_by_the_rarer_member(sets: pd.DataFrame) -> None:
    for kind, rows in sets.groupby("kind"):
        assert rows["rarer"].is_monotonic_increasing, kind
        assert (rows["rarer"] == rows[["first_rank", "second_rank"]].max(axis=1)).all()
    assert set(sets["kind"]) == set(KINDS)


def test_unknown_contrast(lexicon: Lexicon, pairs: pd.DataFrame) -> None:
    with pytest.raises(ChoiceError, match="teen-ty"):
        contrasts(lexicon, pairs, ["rhymes"])


def test_a_plan_keeps_its_promises(lexicon: Lexicon, pairs: pd.DataFrame) -> None:
    options = PlanOptions(lessons=10, words=10)
    lessons = plan(lexicon, pairs, options)
    pd.testing.assert_frame_equal(lessons, plan(lexicon, pairs, options))
    assert set(lessons["role"]) <= set(ROLES)
    new = lessons[lessons["role"] == "new"]
    assert (new.groupby("lesson").size() == 10).all()
    families = new["item"].map(lexicon.families.family)
    assert families.is_unique
    for number, lesson in new.groupby("lesson"):
        assert lesson["syllables"].is_monotonic_increasing
        assert lesson["syllables"].max() <= 2 + (number - 1) // 2
        earlier = set(new.loc[new["lesson"] < number, "item"])
        review = lessons[(lessons["lesson"] == number) & (lessons["role"] == "review")]
        assert set(review["item"]) <= earlier


def test_an_infeasible_plan_says_by_how_much(lexicon: Lexicon, pairs: pd.DataFrame) -> None:
    with pytest.raises(ChoiceError, match=r"lesson 2 .* 9 short"):
        plan(lexicon, pairs, PlanOptions(levels=("A1", "A1")))
    with pytest.raises(ChoiceError, match="no environment 'nowhere'"):
        PlanOptions(order=["nowhere"])
