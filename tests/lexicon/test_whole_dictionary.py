"""Properties of the tables over the whole dictionary."""

from __future__ import annotations

import io
import math

import pandas as pd
import pytest
import wordfreq
from lexiconforge.allophones import ALLOPHONE_IPA
from lexiconforge.export.tables import csv_text
from lexiconforge.phones import INVENTORY

from lexiconforge.lexicon import ELIDED_SIGN, TOKEN_COLUMNS, WORD_COLUMNS, Lexicon, rule_table, words


@pytest.fixture(scope="module")
def table(lexicon: Lexicon) -> pd.DataFrame:
    return words(lexicon)


def test_one_row_for_each_t_phone(tokens: pd.DataFrame, lexicon: Lexicon) -> None:
    phones = [p for word in lexicon.pronunciations for p in lexicon.listed(word)]
    assert len(tokens) == sum(reading.count("T") for reading in phones)
    assert not tokens.duplicated(["word", "pronunciation_no", "phone_index"]).any()


def test_every_phone_is_in_the_inventory(lexicon: Lexicon) -> None:
    for word in lexicon.pronunciations:
        for phones in lexicon.listed(word):
            assert INVENTORY.issuperset(phones), word


def test_indexes_point_at_a_t(tokens: pd.DataFrame) -> None:
    split = tokens["phones"].str.split(" ")
    assert all(p[i] == "T" for p, i in zip(split, tokens["phone_index"], strict=True))
    for p, i, before, after in zip(
        split, tokens["phone_index"], tokens["before"], tokens["after"], strict=True
    ):
        assert before == (p[i - 1] if i else "#")
        assert after == (p[i + 1] if i + 1 < len(p) else "#")


def test_letters_are_in_the_word(tokens: pd.DataFrame) -> None:
    found = tokens[tokens["letters"] != ""]
    for word, letters, start in zip(
        found["word"], found["letters"], found["letters_start"].astype(int), strict=True
    ):
        assert word[start : start + len(letters)] == letters
    assert tokens.loc[tokens["letters"] == "", "letters_start"].isna().all()


def test_the_letters_of_nearly_all_common_words_are_found(
    tokens: pd.DataFrame, lexicon: Lexicon
) -> None:
    common = tokens[tokens["word"].map(lexicon.frequencies.rank).lt(40_000)]
    missing = common.loc[common["letters"] == "", "word"].nunique() / common["word"].nunique()
    assert missing < 0.005


def test_columns_and_labels(tokens: pd.DataFrame, table: pd.DataFrame) -> None:
    assert tuple(tokens.columns) == TOKEN_COLUMNS
    assert tuple(table.columns) == WORD_COLUMNS
    assert set(tokens["allophone"]) <= set(ALLOPHONE_IPA)
    assert set(tokens["ipa"]) <= {*ALLOPHONE_IPA.values(), ELIDED_SIGN} - {""}
    assert set(tokens["position"]) == {"initial", "medial", "final"}
    assert (tokens["environment"] != "").all()
    assert set(tokens["stress_before"]) == {"", "0", "1", "2"}


def test_words_that_pandas_would_take_for_missing_are_kept(lexicon: Lexicon) -> None:
    trap = pd.DataFrame({"word": ["nan", "null", "na", "none"], "rank": [1, 2, 3, 4]})
    assert "nan" in lexicon.pronunciations
    assert "null" in lexicon.pronunciations
    back = pd.read_csv(io.StringIO(csv_text(trap)), keep_default_na=False)
    assert back["word"].tolist() == trap["word"].tolist()


def test_words_are_in_order_of_rank(table: pd.DataFrame) -> None:
    assert table["rank"].is_monotonic_increasing
    assert table["word"].is_unique


def test_rank_is_the_place_in_the_whole_list(table: pd.DataFrame) -> None:
    # wordfreq's own ordering of its large list.
    top = wordfreq.top_n_list("en", 3000, "large")
    by_word = table.set_index("word")["rank"]
    for place, word in enumerate(top, start=1):
        if word in by_word.index:
            assert by_word[word] == place


def test_zipf_follows_its_definition(table: pd.DataFrame) -> None:
    # Van Heuven et al. 2014: log10 of the frequency per billion words.
    for row in table.iloc[:: len(table) // 200].itertuples():
        frequency = wordfreq.get_frequency_dict("en", "large")[row.word]
        assert row.zipf == pytest.approx(math.log10(frequency * 1e9), abs=0.006)
        assert row.per_million == pytest.approx(frequency * 1e6, rel=1e-3)
        assert row.band == math.ceil(row.rank / 1000)


def test_shares_of_the_rules_add_up(lexicon: Lexicon) -> None:
    table = rule_table(lexicon)
    assert table["share"].sum() == pytest.approx(1, abs=1e-3)
    assert table["rule"].is_unique
