"""Word lists: order, filters, families, coverage."""

from __future__ import annotations

import pandas as pd
import pytest
import wordfreq
from hypothesis import given, settings
from hypothesis import strategies as st
from lexiconforge.families import Families
from lexiconforge.screening import EXCLUSIONS
from lexiconforge.wordlists import LIST_COLUMNS, LISTS, Choice, ChoiceError, word_list
from scipy.stats import spearmanr

from lexiconforge.lexicon import Lexicon, load_lexicon
from lexiconforge.sources.levels import LEVELS


@pytest.fixture(scope="module")
def taps(lexicon: Lexicon) -> pd.DataFrame:
    return word_list(lexicon, Choice(allophone="tap")).rows


def test_columns_and_order(taps: pd.DataFrame) -> None:
    assert tuple(taps.columns) == LIST_COLUMNS
    assert taps["place"].tolist() == list(range(1, len(taps) + 1))
    assert taps["rank"].is_monotonic_increasing
    assert taps["word"].is_unique
    assert (taps["marked"].str.replace("[", "").str.replace("]", "") == taps["word"]).all()


def test_each_list_holds_its_target(lexicon: Lexicon) -> None:
    for target in LISTS:
        choice = Choice(allophone=target.allophone, environment=target.environment, limit=200)
        rows = word_list(lexicon, choice).rows
        assert len(rows)
        for column, wanted in (("allophone", target.allophone), ("environment", target.environment)):
            if wanted:
                assert set(rows[column]) == {wanted}


def test_tapped_and_untapped_lists_share_no_t(lexicon: Lexicon, tokens: pd.DataFrame) -> None:
    untapped = tokens[tokens["environment"].isin(["before syllabic n", "stressed vowel after"])]
    assert "tap" not in set(untapped["allophone"])


def test_coverage_from_the_frequency_list_itself(lexicon: Lexicon, tokens: pd.DataFrame) -> None:
    frequency = wordfreq.get_frequency_dict("en", "large")
    first = tokens[tokens["allophone"] == "tap"].copy()
    main = {w: " ".join(lexicon.main_phones(w)) for w in first["word"].unique()}
    first = first[(first["word"].map(main) == first["phones"]) & first["word"].isin(frequency.keys())]
    first = first.drop_duplicates(["word", "phone_index"])
    weight = first["word"].map(frequency)
    by_word = weight.groupby(first["word"]).sum()
    rows = word_list(lexicon, Choice(allophone="tap", limit=300)).rows
    for place in (1, 2, 10, 50, 300):
        expected = by_word[rows["word"].head(place)].sum() / weight.sum()
        assert rows["coverage"].iloc[place - 1] == pytest.approx(expected, abs=0.002)
    assert rows["coverage"].is_monotonic_increasing
    assert (rows["coverage_with_family"] >= rows["coverage"] - 1e-9).all()


def test_one_per_family_keeps_the_commonest_and_names_the_others(lexicon: Lexicon) -> None:
    rows = word_list(lexicon, Choice(allophone="tap", one_per_family=True)).rows.set_index("word")
    assert rows["family"].is_unique
    also = rows.loc["waiting", "also"].split(", ")
    assert {"waited", "waiter"} <= set(also)
    for other in ("waited", "waiter", "writer"):
        assert other not in rows.index
    assert {"letter", "better", "matter"} <= set(rows.index)


@pytest.mark.parametrize(
    ("word", "family"),
    [
        ("waiters", "wait"), ("written", "write"), ("writer", "write"), ("lately", "late"),
        ("cities", "city"), ("city's", "city"), ("hater", "hate"), ("hotter", "hot"),
        ("letter", "letter"), ("butter", "butter"), ("water", "water"), ("notable", "notable"),
    ],
)  # fmt: skip
def test_families(word: str, family: str, lexicon: Lexicon) -> None:
    families: Families = lexicon.families
    assert families.family(word) == family


def test_levels_and_ranks_rise_together(taps: pd.DataFrame) -> None:
    # Two independent gradings, the Council of Europe's levels as cefrpy gives them and wordfreq's ranks.
    known = taps[taps["level"] != ""]
    result = spearmanr(known["level"].map(LEVELS.index), known["rank"])
    assert result.statistic > 0.3


def test_starting_after_leaves_out_families(lexicon: Lexicon) -> None:
    rows = word_list(lexicon, Choice(allophone="tap", without=["wait", "city"], limit=80)).rows
    assert not {"waiting", "waited", "waiter", "city", "cities"} & set(rows["word"])


choices = st.fixed_dictionaries(
    {},
    optional={
        "environment": st.sampled_from(["between-vowels", "After R", "before syllabic l"]),
        "syllables": st.sampled_from([(2, 2), (2, 3), (4, 9)]),
        "stress": st.sampled_from(["10", "010", "100"]),
        "max_rank": st.integers(500, 20_000),
        "levels": st.sampled_from([("A1", "A1"), ("A1", "B1"), ("B2", "C2")]),
        "part_of_speech": st.sampled_from(["verb", "noun"]),
        "include": st.sets(st.sampled_from(EXCLUSIONS)),
        "one_per_family": st.booleans(),
        "limit": st.integers(1, 60),
    },
)


@settings(max_examples=25, deadline=None)
@given(choices)
def test_filters_only_take_away(options: dict[str, object]) -> None:
    lexicon = load_lexicon()
    rows = word_list(lexicon, Choice(allophone="tap", **options)).rows  # type: ignore[arg-type]
    whole = word_list(lexicon, Choice(allophone="tap", include=EXCLUSIONS)).rows
    assert set(rows["word"]) <= set(whole["word"])
    assert rows["rank"].is_monotonic_increasing
    if "syllables" in options:
        low, high = options["syllables"]  # type: ignore[misc]
        assert rows["syllables"].between(low, high).all()


@pytest.mark.parametrize(
    ("field", "value", "listed"),
    [
        ("allophone", "tpa", "glottal stop"),
        ("environment", "nowhere", "between vowels"),
        ("part_of_speech", "werb", "verb"),
        ("levels", ("A1", "Z9"), "C2"),
        ("include", ["nams"], "names"),
        ("syllables", (0, 2), "2-3"),
        ("stress", "1x", "0, 1 and 2"),
        ("limit", 0, "1 or more"),
        ("max_rank", -3, "1 or more"),
    ],
)
def test_a_value_that_does_not_exist_lists_those_that_do(field: str, value: object, listed: str) -> None:
    with pytest.raises(ChoiceError, match=listed):
        Choice(**{field: value})  # type: ignore[arg-type]
