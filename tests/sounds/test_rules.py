"""The rule table: every row is reached, the cases named in the literature come out, any phones get a token."""

from __future__ import annotations

import pytest
from conftest import cases
from hypothesis import given
from hypothesis import strategies as st
from lexiconforge.allophones import (
    ALLOPHONE_IPA,
    JUNCTURE,
    LEANING,
    SEAM,
    Token,
    contexts,
    rules,
    tag,
)
from lexiconforge.phones import CONSONANTS, INVENTORY

from lexiconforge import data, wordparts
from lexiconforge.lexicon import Lexicon


def tag_text(lexicon: Lexicon, text: str) -> list[Token]:
    """Every t of a word, or of a few words said in one breath."""
    if " " not in text:
        return lexicon.tag_phones(text, lexicon.main_phones(text)).tokens
    symbols: list[str] = []
    for word in text.split():
        phones = lexicon.main_phones(word)
        single = wordparts.single_words().get(word)
        leaning = single is not None and single[0][0] == LEANING
        if symbols:
            symbols.append(LEANING if leaning else JUNCTURE)
        symbols += single[0][1:] if leaning and single else phones
    return tag(symbols)


def test_every_rule_decides_its_own_example(lexicon: Lexicon) -> None:
    reached = {r.name: {t.rule.name for t in tag_text(lexicon, r.example)} for r in rules()}
    assert {name for name, by in reached.items() if name not in by} == set()


def test_every_context_is_used_by_a_rule_or_any() -> None:
    used = {name for rule in rules() for name in (*rule.before, *rule.after)}
    # These two are what remains for rules that take any context.
    assert {c.name for c in contexts()} - used <= {"consonant"}


def test_labels_and_sources_are_the_ones_of_the_table() -> None:
    keys = {row["key"] for row in data.rows("references")}
    for rule in rules():
        assert rule.allophone in ALLOPHONE_IPA, rule.name
        assert set(filter(None, rule.also_heard.split("; "))) <= set(ALLOPHONE_IPA), rule.name
        assert rule.allophone not in rule.also_heard.split("; "), rule.name
        assert set(rule.source.split("; ")) <= keys, rule.name
    for row in data.rows("readings"):
        assert set(row["source"].split("; ")) <= keys, row["word"]
    assert {rule.allophone for rule in rules()} == set(ALLOPHONE_IPA)
    assert len({rule.name for rule in rules()}) == len(rules())


@pytest.mark.parametrize("case", cases("taps"), ids=lambda case: case["text"])
def test_taps(case: dict[str, str], lexicon: Lexicon) -> None:
    token = tag_text(lexicon, case["text"])[int(case["t"]) - 1]
    assert token.rule.allophone == "tap", case["source"]


@pytest.mark.parametrize("case", cases("not_taps"), ids=lambda case: case["text"])
def test_not_taps(case: dict[str, str], lexicon: Lexicon) -> None:
    token = tag_text(lexicon, case["text"])[int(case["t"]) - 1]
    assert token.rule.allophone == case["allophone"], case["source"]


@pytest.mark.parametrize("case", cases("known_failures"), ids=lambda case: case["text"])
def test_known_failures_still_fail(case: dict[str, str], lexicon: Lexicon) -> None:
    token = tag_text(lexicon, case["text"])[int(case["t"]) - 1]
    assert token.rule.allophone != case["allophone"], "it works now: move the case"


def test_a_true_t_is_accepted_wherever_a_tap_is_usual() -> None:
    # Common practice: a fully released t is never wrong where a tap is usual.
    for rule in rules():
        if rule.allophone == "tap":
            assert "aspirated stop" in rule.also_heard.split("; "), rule.name


def test_the_table_of_single_words_is_short_and_gives_reasons() -> None:
    table = wordparts.single_words()
    assert len(table) <= 60
    assert all(reason and source for _, reason, source in table.values())


def test_single_words_fit_the_dictionary(lexicon: Lexicon) -> None:
    for word, (symbols, _, _) in wordparts.single_words().items():
        plain = [symbol for symbol in symbols if symbol not in "-="]
        assert set(plain) <= INVENTORY, word
        assert len(plain) in {len(phones) for phones in lexicon.listed(word)}, word


symbols = st.lists(st.sampled_from([*sorted(INVENTORY), "T", "T", JUNCTURE, LEANING, SEAM]))


@given(symbols)
def test_any_symbols_get_exactly_one_token_a_t(text: list[str]) -> None:
    places = [token.phone_index for token in tag(text)]
    assert places == [n for n, symbol in enumerate(text) if symbol == "T"]


@given(symbols, st.sampled_from(sorted(CONSONANTS - {"T"})))
def test_what_is_far_away_does_not_matter(text: list[str], consonant: str) -> None:
    far = [consonant, "AH0"] * 3
    assert [t.rule for t in tag([*far, "#", *text, "#", *far])] == [t.rule for t in tag(text)]
