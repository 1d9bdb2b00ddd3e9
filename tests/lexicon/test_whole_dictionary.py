"""Properties of the tables over the whole dictionary."""

from __future__ import annotations

import io
import math

import pandas as pd
import pytest
import wordfreq

from lexiconforge.export.texts import csv_text
from lexiconforge.lexicon import Lexicon
from lexiconforge.lexicon.catalog import (
    RULE_COLUMNS,
    TOKEN_COLUMNS,
    WORD_COLUMNS,
    rule_table,
    sound_tokens,
    words,
)


@pytest.fixture(scope="module")
def table(lexicon: Lexicon) -> pd.DataFrame:
    return words(lexicon)


@pytest.fixture(scope="module")
def d_tokens(d_lexicon: Lexicon) -> pd.DataFrame:
    return sound_tokens(d_lexicon)


@pytest.mark.parametrize("name", ["t", "d"])
def test_one_row_for_each_phone(name: str, request: pytest.FixtureRequest) -> None:
    tokens = request.getfixturevalue({"t": "tokens", "d": "d_tokens"}[name])
    looked_at: Lexicon = request.getfixturevalue({"t": "lexicon", "d": "d_lexicon"}[name])
    phones = [reading.split() for reading in looked_at._columns.text("phones")]
    assert len(tokens) == sum(reading.count(name.upper()) for reading in phones)
    assert not tokens.duplicated(["word", "pronunciation_no", "phone_index"]).any()


@pytest.mark.parametrize("name", ["t", "d"])
def test_indexes_point_at_the_phone(name: str, request: pytest.FixtureRequest) -> None:
    tokens = request.getfixturevalue({"t": "tokens", "d": "d_tokens"}[name])
    split = tokens["phones"].str.split(" ")
    assert all(p[i] == name.upper() for p, i in zip(split, tokens["phone_index"], strict=True))
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
    ranks = tokens["word"].map(lambda word: lexicon.rank(word) or 10**9)
    common = tokens[ranks < 40_000]
    missing = common.loc[common["letters"] == "", "word"].nunique() / common["word"].nunique()
    assert missing < 0.005


def test_columns_and_labels(tokens: pd.DataFrame, table: pd.DataFrame, lexicon: Lexicon) -> None:
    assert tuple(tokens.columns) == TOKEN_COLUMNS
    assert tuple(table.columns) == WORD_COLUMNS
    allophones = lexicon.sound.allophones
    assert set(tokens["allophone"]) <= set(allophones)
    symbols = tokens["allophone"].map({name: known.ipa or "∅" for name, known in allophones.items()})
    assert tokens["ipa"].equals(symbols.rename("ipa"))
    assert set(tokens["position"]) == {"initial", "medial", "final"}
    assert set(tokens["environment"]) <= set(lexicon.sound.environments)
    assert set(tokens["stress_before"].dropna()) == {0, 1, 2}


def test_the_nearest_stress_is_that_of_the_nearest_vowel(tokens: pd.DataFrame) -> None:
    for row in tokens.iloc[:: len(tokens) // 3000].itertuples():
        phones = row.phones.split()
        sides = (phones[: row.phone_index][::-1], phones[row.phone_index + 1 :])
        for side, shown in zip(sides, (row.stress_before, row.stress_after), strict=True):
            digits = [phone[-1] for phone in side if phone[-1].isdigit()]
            assert (None if pd.isna(shown) else str(shown)) == next(iter(digits), None), row.word


def test_words_that_pandas_would_take_for_missing_are_kept(lexicon: Lexicon) -> None:
    trap = pd.DataFrame({"word": ["nan", "null", "na", "none"], "rank": [1, 2, 3, 4]})
    assert "nan" in lexicon
    assert "null" in lexicon
    back = pd.read_csv(io.StringIO(csv_text(trap)), keep_default_na=False)
    assert back["word"].tolist() == trap["word"].tolist()


def test_words_are_in_order_of_rank(table: pd.DataFrame) -> None:
    assert table["rank"].is_monotonic_increasing
    assert table["word"].is_unique


def test_the_table_has_the_words_with_a_t_and_a_frequency(table: pd.DataFrame, lexicon: Lexicon) -> None:
    frequencies = wordfreq.get_frequency_dict("en", "large")
    wanted = {
        word
        for word in lexicon
        if word in frequencies
        and (main := lexicon.main(word)) is not None
        # A t in the dictionary that is none in the spelling is another sound: the tt of pizza is its zz. Common practice.
        and any(
            "t" in letters or letters in ("", "ed")
            for letters in (word[slice(*token.span)] for token in main.tokens)
        )
    }
    assert set(table["word"]) == wanted


def test_rank_is_the_place_in_the_whole_list(table: pd.DataFrame) -> None:
    # wordfreq's own ordering of its large list.
    top = wordfreq.top_n_list("en", 3000, "large")
    by_word = table.set_index("word")["rank"]
    for place, word in enumerate(top, start=1):
        if word in by_word.index:
            assert by_word[word] == place


def test_zipf_follows_its_definition(table: pd.DataFrame, lexicon: Lexicon) -> None:
    # Van Heuven et al. 2014: log10 of the frequency per billion words.
    frequencies = wordfreq.get_frequency_dict("en", "large")
    for row in table.iloc[:: len(table) // 200].itertuples():
        frequency = frequencies[row.word]
        assert row.zipf == pytest.approx(math.log10(frequency * 1e9), abs=0.006)
        assert row.per_million == pytest.approx(frequency * 1e6, rel=1e-3)
        entry = lexicon.entry(row.word)
        assert entry is not None
        assert (entry.rank, entry.zipf) == (row.rank, row.zipf)
        assert entry.share == pytest.approx(frequency, rel=1e-3)


@pytest.mark.parametrize("fixture", ["lexicon", "d_lexicon"])
def test_shares_of_the_rules_add_up(fixture: str, request: pytest.FixtureRequest) -> None:
    lexicon = request.getfixturevalue(fixture)
    table = rule_table(lexicon)
    assert tuple(table.columns) == RULE_COLUMNS
    assert table["rule"].tolist() == [rule.name for rule in lexicon.sound.rules]
    assert table["share"].sum() == pytest.approx(1, abs=1e-3)


def test_the_share_of_a_rule_is_that_of_the_whole_table(tokens: pd.DataFrame, lexicon: Lexicon) -> None:
    counted = tokens["rule"].value_counts(normalize=True)
    table = rule_table(lexicon).set_index("rule")["share"]
    for name, share in table.items():
        assert share == pytest.approx(counted.get(name, 0), abs=1e-5), name
