"""Word pairs with their measures against NLTK's, and contrast sets."""

from __future__ import annotations

import math

import pandas as pd
import pronouncing
import pytest
from conftest import cases
from hypothesis import given
from hypothesis import strategies as st
from nltk.metrics.association import BigramAssocMeasures

from lexiconforge.export.texts import csv_text
from lexiconforge.lexicon import Lexicon, load_lexicon
from lexiconforge.lists.contrasts import contrast_sets
from lexiconforge.lists.linking import (
    LINK_COLUMNS,
    LinkFilter,
    links,
    log_likelihood,
    pointwise_mutual_information,
)


@pytest.fixture(scope="module")
def table(lexicon: Lexicon, pairs: pd.DataFrame) -> pd.DataFrame:
    return links(lexicon, pairs)


@pytest.fixture(scope="module")
def d_table(d_lexicon: Lexicon, pairs: pd.DataFrame) -> pd.DataFrame:
    return links(d_lexicon, pairs)


@pytest.fixture(scope="module")
def sets(lexicon: Lexicon, pairs: pd.DataFrame) -> pd.DataFrame:
    return contrast_sets(lexicon, pairs, include=["names"], all_forms=True)


@pytest.fixture(scope="module")
def d_sets(d_lexicon: Lexicon, pairs: pd.DataFrame) -> pd.DataFrame:
    return contrast_sets(d_lexicon, pairs, include=["names"], all_forms=True)


def pairs_of(table: pd.DataFrame) -> set[tuple[str, str]]:
    return set(zip(table["first"], table["second"], strict=True))


def test_links_are_in_order_and_all_link(table: pd.DataFrame) -> None:
    assert tuple(table.columns) == LINK_COLUMNS
    assert table["count"].is_monotonic_decreasing
    assert set(table["allophone"]) == {"tap", "nasal tap"}
    assert table["coverage"].is_monotonic_increasing


@pytest.mark.parametrize("sound", ["t", "d"])
def test_a_link_ends_in_the_sound_and_goes_on_with_a_vowel(
    sound: str, request: pytest.FixtureRequest
) -> None:
    """Wikipedia, "Flapping": across words it stands before any vowel. The sounds are another reader's."""
    table = request.getfixturevalue("table" if sound == "t" else "d_table")
    assert len(table) > 1000
    for first, second in pairs_of(table.head(300)):
        ends = {said.split()[-1] for said in pronouncing.phones_for_word(first)}
        begins = {said.split()[0] for said in pronouncing.phones_for_word(second)}
        assert sound.upper() in ends, first
        assert any(phone[-1].isdigit() for phone in begins), second


def test_kahns_pair(table: pd.DataFrame) -> None:
    # Kahn 1976, from memory: the t of at all is tapped, that of a tall is not.
    assert ("at", "all") in pairs_of(table)
    assert ("a", "tall") not in pairs_of(table)


def margins_of(pairs: pd.DataFrame, first: str, second: str) -> tuple[int, int]:
    """How many pairs begin with one word and end with another."""
    return (
        int(pairs.loc[pairs["first"] == first, "count"].sum()),
        int(pairs.loc[pairs["second"] == second, "count"].sum()),
    )


@pytest.mark.parametrize("sound", ["t", "d"])
def test_the_measures_of_open_pairs_are_nltks(
    sound: str, pairs: pd.DataFrame, request: pytest.FixtureRequest
) -> None:
    table = request.getfixturevalue("table" if sound == "t" else "d_table")
    total = int(pairs["count"].sum())
    for row in table.iloc[:: len(table) // 40].itertuples():
        margins = margins_of(pairs, row.first, row.second)
        assert row.pmi == pytest.approx(BigramAssocMeasures.pmi(row.count, margins, total), abs=0.0051)
        ratio = BigramAssocMeasures.likelihood_ratio(row.count, margins, total)
        assert row.log_likelihood == pytest.approx(ratio, rel=1e-6, abs=0.051)


cells = st.integers(0, 10**9)


@given(st.integers(1, 10**9), cells, cells, cells)
def test_the_measures_of_any_counts_are_nltks(both: int, one: int, other: int, neither: int) -> None:
    margins, total = (both + one, both + other), both + one + other + neither
    pmi = BigramAssocMeasures.pmi(both, margins, total)
    assert pointwise_mutual_information(both, margins, total) == pytest.approx(pmi, rel=1e-9, abs=1e-9)
    ratio = BigramAssocMeasures.likelihood_ratio(both, margins, total)
    # The terms of the sum are of the size of the counts, and cancel.
    assert log_likelihood(both, margins, total) == pytest.approx(ratio, rel=1e-9, abs=1e-13 * total)


@given(st.integers(1, 10**6), st.integers(1, 1000), st.integers(1, 1000))
def test_words_that_meet_as_chance_has_it_measure_nothing(count: int, one: int, other: int) -> None:
    """By the definitions: independent rows and columns, in Church and Hanks 1990 and in Dunning 1993."""
    margins, total = (count * one, count * other), count * one * other
    assert pointwise_mutual_information(count, margins, total) == pytest.approx(0, abs=1e-9)
    assert log_likelihood(count, margins, total) == pytest.approx(0, abs=1e-13 * total)


FIRSTS, SECONDS = ("at", "get", "it", "not", "a", "go"), ("all", "it", "in", "tall", "up", "to")
counted_pairs = st.dictionaries(
    st.tuples(st.sampled_from(FIRSTS), st.sampled_from(SECONDS)),
    st.integers(1, 10**7),
    min_size=1,
)


@given(counted_pairs)
def test_the_measures_of_any_table_of_pairs_are_nltks(counts: dict[tuple[str, str], int]) -> None:
    pairs = pd.DataFrame(
        [(*pair, count) for pair, count in counts.items()], columns=["first", "second", "count"]
    )
    total = sum(counts.values())
    table = links(load_lexicon(), pairs)
    assert pairs_of(table) <= counts.keys()
    if ("at", "all") in counts:
        assert ("at", "all") in pairs_of(table)
    for row in table.itertuples():
        margins = (
            sum(count for (first, _), count in counts.items() if first == row.first),
            sum(count for (_, second), count in counts.items() if second == row.second),
        )
        assert row.count == counts[row.first, row.second]
        assert row.per_million == pytest.approx(1e6 * row.count / total, abs=0.00006)
        assert row.pmi == pytest.approx(BigramAssocMeasures.pmi(row.count, margins, total), abs=0.0051)
        ratio = BigramAssocMeasures.likelihood_ratio(row.count, margins, total)
        assert row.log_likelihood == pytest.approx(ratio, rel=1e-6, abs=0.051)


@pytest.mark.parametrize("sound", ["t", "d"])
def test_nothing_is_written_as_minus_nought(sound: str, request: pytest.FixtureRequest) -> None:
    table = request.getfixturevalue("table" if sound == "t" else "d_table")
    for column in ("pmi", "log_likelihood"):
        noughts = table.loc[table[column] == 0, column]
        assert all(math.copysign(1, nought) > 0 for nought in noughts), column
    assert "-0.0," not in csv_text(table)


def test_link_filters(lexicon: Lexicon, pairs: pd.DataFrame, table: pd.DataFrame) -> None:
    found = links(lexicon, pairs, LinkFilter(first="get", limit=5))
    assert set(found["first"]) == {"get"}
    assert len(found) == 5
    # What a pair measures does not depend on which pairs are asked for.
    measures = ["first", "second", "count", "per_million", "pmi", "log_likelihood"]
    same = table[table["first"] == "get"].head(5).reset_index(drop=True)
    pd.testing.assert_frame_equal(found[measures], same[measures])


@pytest.mark.parametrize("case", cases("homophones"), ids=lambda case: case["t"])
def test_the_published_homophones(
    case: dict[str, str], sets: pd.DataFrame, d_sets: pd.DataFrame
) -> None:
    # Wikipedia, "Intervocalic alveolar flapping", an older snapshot: alike, so a pair of either sound.
    assert (case["t"], case["d"]) in pairs_of(sets[sets["kind"] == "homophones"])
    assert (case["d"], case["t"]) in pairs_of(d_sets[d_sets["kind"] == "homophones"])


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
    assert (first, second) in pairs_of(sets[sets["kind"] == kind])


@pytest.mark.parametrize(
    ("first", "second"), [("edit", "edition"), ("audit", "audition"), ("melody", "melodic")]
)
def test_a_d_before_a_vowel_that_the_stress_moved_onto(
    first: str, second: str, d_sets: pd.DataFrame
) -> None:
    # Common practice: -ition has the stress on its i; that of -ic stands before the d, which stays a tap.
    found = pairs_of(d_sets[d_sets["kind"] == "stress-shift"])
    assert ((first, second) in found) == second.endswith("ition")


@pytest.mark.parametrize("sound", ["t", "d"])
def test_contrasts_are_ranked_by_the_rarer_member(sound: str, request: pytest.FixtureRequest) -> None:
    sets = request.getfixturevalue("sets" if sound == "t" else "d_sets")
    for kind, rows in sets.groupby("kind"):
        assert rows["rarer"].is_monotonic_increasing, kind
        assert rows["place"].tolist() == list(range(1, len(rows) + 1))
        assert (rows["rarer"] == rows[["first_rank", "second_rank"]].max(axis=1)).all()
    assert set(sets["kind"]) == {kind.kind for kind in load_lexicon(sound).sound.contrasts}


def test_of_two_families_the_commonest_pair_stands_for_all(
    lexicon: Lexicon, pairs: pd.DataFrame, sets: pd.DataFrame
) -> None:
    few = contrast_sets(lexicon, pairs, "homophones", include="names")
    many = sets[sets["kind"] == "homophones"]
    families = [
        tuple(map(lexicon.family, pair)) for pair in zip(few["first"], few["second"], strict=True)
    ]
    assert len(set(families)) == len(families)
    assert {("metal", "medal"), ("metals", "medals")} <= pairs_of(many)
    assert ("metal", "medal") in pairs_of(few)
    assert ("metals", "medals") not in pairs_of(few)
    assert pairs_of(few) < pairs_of(many)
