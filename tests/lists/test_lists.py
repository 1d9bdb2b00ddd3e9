"""Word lists: order, filters, families, coverage."""

from __future__ import annotations

from collections import Counter
from functools import cache

import pandas as pd
import pytest
import wordfreq
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.stats import spearmanr

from lexiconforge.lexicon import Lexicon, load_lexicon
from lexiconforge.lexicon.codes import EXCLUSIONS
from lexiconforge.lists.wordlists import CARD_COLUMNS, LIST_COLUMNS, WordFilter, word_cards, word_list
from lexiconforge.sources.levels import LEVELS


@pytest.fixture(scope="module")
def taps(lexicon: Lexicon) -> pd.DataFrame:
    return word_list(lexicon, WordFilter(allophone="tap")).rows


def test_columns_and_order(taps: pd.DataFrame) -> None:
    assert tuple(taps.columns) == LIST_COLUMNS
    assert taps["place"].tolist() == list(range(1, len(taps) + 1))
    assert taps["rank"].is_monotonic_increasing
    # The two readings of a homograph are two rows.
    assert not taps.duplicated(["word", "ipa"]).any()
    assert (taps["marked"].str.replace(r"\[[^]]*\]", "", regex=True) == taps["word"]).all()


@pytest.mark.parametrize("sound", ["t", "d"])
def test_each_list_holds_its_target(sound: str) -> None:
    lexicon = load_lexicon(sound)
    assert lexicon.sound.lists
    for target in lexicon.sound.lists:
        wanted = WordFilter(allophone=target.allophone, environment=target.environment, limit=200)
        rows = word_list(lexicon, wanted).rows
        assert len(rows)
        for column, named in (("allophone", target.allophone), ("environment", target.environment)):
            if named:
                assert set(rows[column]) == {named}


def test_tapped_and_untapped_lists_share_no_t(tokens: pd.DataFrame) -> None:
    untapped = tokens[tokens["environment"].isin(["before syllabic n", "stressed vowel after"])]
    assert len(untapped)
    assert "tap" not in set(untapped["allophone"])


def test_coverage_from_the_frequency_list_itself(lexicon: Lexicon, tokens: pd.DataFrame) -> None:
    frequency = wordfreq.get_frequency_dict("en", "large")
    first = tokens[tokens["allophone"] == "tap"].copy()
    main = {
        word: " ".join(reading.phones)
        for word in first["word"].unique()
        if (reading := lexicon.main(word)) is not None
    }
    first = first[(first["word"].map(main) == first["phones"]) & first["word"].isin(frequency.keys())]
    first = first.drop_duplicates(["word", "phone_index"])
    weight = first["word"].map(frequency)
    by_word = weight.groupby(first["word"]).sum()
    rows = word_list(lexicon, WordFilter(allophone="tap", limit=300)).rows
    for place in (1, 2, 10, 50, 300):
        listed = rows["word"].head(place).str.lower().drop_duplicates()
        expected = by_word[listed].sum() / weight.sum()
        assert rows["coverage"].iloc[place - 1] == pytest.approx(expected, abs=0.002)
    assert rows["coverage"].is_monotonic_increasing
    assert (rows["coverage_with_family"] >= rows["coverage"] - 1e-9).all()


def homograph(lexicon: Lexicon, word: str) -> bool:
    entry = lexicon.entry(word)
    return entry is not None and bool(entry.homograph)


def commonest(lexicon: Lexicon, rows: pd.DataFrame) -> list[int]:
    """Rank of the commonest word of each row."""
    return [
        min(lexicon.rank(one.lower()) or 10**9 for one in [word, *filter(None, members.split(", "))])
        for word, members in zip(rows["word"], rows["family_members"], strict=True)
    ]


def test_one_per_family_keeps_the_commonest_and_names_the_others(lexicon: Lexicon) -> None:
    rows = word_list(lexicon, WordFilter(allophone="tap", one_per_family=True)).rows.set_index("word")
    listed = [
        word.lower()
        for head, members in rows["family_members"].items()
        for word in [head, *filter(None, members.split(", "))]
    ]
    twice = {word for word, count in Counter(listed).items() if count > 1}
    # Each word stands in one row, but for the two readings of a homograph.
    assert {word for word in twice if not homograph(lexicon, word)} == set()
    assert "waited" in rows.loc["waiting", "family_members"].split(", ")
    assert "waited" not in rows.index
    # Agent nouns have rows of their own, as in a dictionary.
    assert {"letter", "better", "matter", "waiter", "writer"} <= set(rows.index)


@pytest.mark.parametrize(
    ("word", "family"),
    [
        ("waiters", "wait"), ("written", "write"), ("writer", "write"), ("lately", "late"),
        ("cities", "city"), ("city's", "city"), ("hater", "hate"), ("hotter", "hot"),
        ("letter", "letter"), ("butter", "butter"), ("water", "water"), ("notable", "notable"),
    ],
)  # fmt: skip
def test_families(word: str, family: str, lexicon: Lexicon) -> None:
    assert lexicon.family(word) == family


def test_levels_and_ranks_rise_together(taps: pd.DataFrame) -> None:
    # Two independent gradings, the Council of Europe's levels as cefrpy gives them and wordfreq's ranks.
    known = taps[taps["level"] != ""]
    result = spearmanr(known["level"].map(LEVELS.index), known["rank"])
    assert result.statistic > 0.3


def test_starting_after_leaves_out_families(lexicon: Lexicon) -> None:
    taught = {"waiting", "waited", "waiter", "city", "cities"}
    before = word_list(lexicon, WordFilter(allophone="tap", limit=400)).rows
    rows = word_list(lexicon, WordFilter(allophone="tap", without=["wait", "city"], limit=400)).rows
    assert taught & set(before["word"])
    assert not taught & set(rows["word"])


@pytest.mark.parametrize("sound", ["t", "d"])
def test_cards_hold_every_occurrence_of_the_words_of_a_list(sound: str) -> None:
    lexicon = load_lexicon(sound)
    wanted = WordFilter(allophone="tap", limit=150)
    rows, cards = word_list(lexicon, wanted).rows, word_cards(lexicon, wanted)
    assert tuple(cards.columns) == CARD_COLUMNS
    # The two readings of a homograph are two rows.
    reading = ["word", "ipa"]
    assert cards[reading].drop_duplicates().values.tolist() == rows[reading].values.tolist()
    tapped = cards[cards["allophone"] == "tap"].groupby(reading, sort=False).size()
    marks = rows.set_index(reading)["marked"].str.count(r"\[")
    assert (tapped == marks).all()
    spelled = cards.dropna(subset=["letters_start"])
    assert len(spelled)
    for word, start, letters in zip(
        spelled["word"], spelled["letters_start"], spelled["letters"], strict=True
    ):
        assert word[start : start + len(letters)] == letters


filters = st.fixed_dictionaries(
    {},
    optional={
        "environment": st.sampled_from(["between-vowels", "After R", "before syllabic l"]),
        "syllables": st.sampled_from([2, (2, 2), (2, 3), (4, 9)]),
        "stress": st.sampled_from(["10", "010", "100"]),
        "max_rank": st.integers(500, 20_000),
        "levels": st.sampled_from(["a1", "A1-B1", ("A1", "A1"), ("A1", "B1"), ("B2", "C2")]),
        "part_of_speech": st.sampled_from(["verb", "noun"]),
        "include": st.sets(st.sampled_from(EXCLUSIONS)),
        "one_per_family": st.booleans(),
        "limit": st.integers(1, 60),
    },
)


@cache
def all_tapped(sound: str) -> frozenset[str]:
    found = word_list(load_lexicon(sound), WordFilter(allophone="tap", include=EXCLUSIONS)).rows
    return frozenset(found["word"])


@settings(max_examples=15)
@given(filters, st.sampled_from(["t", "d"]))
def test_filters_only_take_away(options: dict[str, object], sound: str) -> None:
    lexicon = load_lexicon(sound)
    wanted = WordFilter(allophone="tap", **options)  # type: ignore[arg-type]
    rows = word_list(lexicon, wanted).rows
    assert set(rows["word"]) <= all_tapped(sound)
    ranks = commonest(lexicon, rows) if wanted.one_per_family else rows["rank"].tolist()
    assert ranks == sorted(ranks)
    if isinstance(wanted.syllables, tuple):
        assert rows["syllables"].between(*wanted.syllables).all()
    if isinstance(wanted.levels, tuple):
        low, high = map(LEVELS.index, wanted.levels)
        assert rows["level"].map(LEVELS.index).between(low, high).all()
    if wanted.part_of_speech:
        assert all(wanted.part_of_speech in cell.split("; ") for cell in rows["part_of_speech"])
    if wanted.max_rank is not None:
        assert (rows["rank"] <= wanted.max_rank).all()
    if wanted.limit is not None:
        assert len(rows) <= wanted.limit
