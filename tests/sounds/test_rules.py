"""The rule table: every row is reached, the cases named in the literature come out, any phones get a token."""

from __future__ import annotations

import pytest
from conftest import cases
from hypothesis import given
from hypothesis import strategies as st

from lexiconforge import data
from lexiconforge.lexicon import Lexicon, load_lexicon
from lexiconforge.phonology.arpabet import CONSONANTS, INVENTORY
from lexiconforge.phonology.matcher import CLITIC, COMPOUND_BOUNDARY, PAUSE, WORD_BOUNDARY, Rule
from lexiconforge.sounds import load_sound
from lexiconforge.sounds.check import MOST_EXCEPTIONS

SOUNDS = ("t", "d")


def rules_in(lexicon: Lexicon, text: str) -> list[Rule]:
    """The rule of every t of a word, or of a few words said in one breath."""
    sound = lexicon.sound
    together = sound.weak_forms.get(text)
    if together is not None:
        return [sound.rules[token.rule] for token in sound.matcher.tag(together[0].phones)]
    symbols: list[str] = []
    for n, word in enumerate(text.split()):
        main = lexicon.main(word)
        assert main is not None, word
        leaning = [form.phones for form in sound.weak_forms.get(word, ()) if form.phones[0] == CLITIC]
        said = leaning[0] if n and leaning else main.symbols
        if n and said[0] != CLITIC:
            symbols.append(WORD_BOUNDARY)
        symbols += said if n or said[0] != CLITIC else said[1:]
    return [sound.rules[token.rule] for token in sound.matcher.tag(symbols)]


@pytest.mark.parametrize("name", SOUNDS)
def test_every_rule_decides_its_own_example(name: str) -> None:
    lexicon = load_lexicon(name)
    for rule in lexicon.sound.rules:
        assert rule in rules_in(lexicon, rule.example), rule.name


@pytest.mark.parametrize("name", SOUNDS)
def test_sources_are_the_ones_of_the_table(name: str) -> None:
    keys = {row["key"] for row in data.rows("references")}
    sound = load_sound(name)
    for rule in sound.rules:
        assert rule.allophone not in rule.also_heard, rule.name
        assert set(rule.source.split("; ")) <= keys, rule.name
    for word, row in sound.exceptions.items():
        assert set(row.source.split("; ")) <= keys, word
    for label, heard in sound.rates.environments():
        assert set(heard.source.split(":")[0].split("; ")) <= keys, label


@pytest.mark.parametrize("case", cases("taps"), ids=lambda case: case["text"])
def test_taps(case: dict[str, str], lexicon: Lexicon) -> None:
    rule = rules_in(lexicon, case["text"])[int(case["t"]) - 1]
    assert rule.allophone == "tap", case["source"]


@pytest.mark.parametrize("case", cases("not_taps"), ids=lambda case: case["text"])
def test_not_taps(case: dict[str, str], lexicon: Lexicon) -> None:
    rule = rules_in(lexicon, case["text"])[int(case["t"]) - 1]
    assert rule.allophone == case["allophone"], case["source"]


@pytest.mark.parametrize("case", cases("known_failures"), ids=lambda case: case["text"])
def test_known_failures_still_fail(case: dict[str, str], lexicon: Lexicon) -> None:
    rule = rules_in(lexicon, case["text"])[int(case["t"]) - 1]
    assert rule.allophone != case["allophone"], "it works now: move the case"


def test_a_true_t_is_accepted_wherever_a_tap_is_usual() -> None:
    # Common practice: a fully released t is never wrong where a tap is usual. Two t's run together are one.
    for rule in load_sound().rules:
        if rule.allophone == "tap" and rule.environment != "run together":
            assert "aspirated stop" in rule.also_heard, rule.name


def test_a_t_meets_a_y_as_an_affricate_in_you_and_year_alone(lexicon: Lexicon) -> None:
    # Common practice: get you, last year; not yet, but usually.
    for text in ("get you", "what your", "hit yourself", "last year"):
        (*_, rule) = rules_in(lexicon, text)
        assert "affricate" in rule.also_heard, text
    for text in ("not yet", "but usually", "just use"):
        found = [rule for rule in rules_in(lexicon, text) if rule.environment == "edge before y"]
        assert found, text
        assert all("affricate" not in (rule.allophone, *rule.also_heard) for rule in found), text


def test_the_table_of_single_words_is_short_and_fits_the_dictionary(lexicon: Lexicon) -> None:
    exceptions = load_sound().exceptions
    assert len(exceptions) <= MOST_EXCEPTIONS
    for word, row in exceptions.items():
        assert row.reason, word
        plain = [symbol for symbol in row.symbols if symbol in INVENTORY]
        entry = lexicon.entry(word)
        assert entry is not None, word
        assert len(plain) in {len(reading.phones) for reading in entry.readings}, word


symbols = st.lists(
    st.sampled_from([*sorted(INVENTORY), "T", "T", WORD_BOUNDARY, CLITIC, COMPOUND_BOUNDARY])
)


@given(symbols)
def test_any_symbols_get_exactly_one_token_a_t(text: list[str]) -> None:
    places = [token.at for token in load_sound().matcher.tag(text)]
    assert places == [n for n, symbol in enumerate(text) if symbol == "T"]


@given(symbols, st.sampled_from(sorted(CONSONANTS - {"T"})))
def test_what_is_far_away_does_not_matter(text: list[str], consonant: str) -> None:
    far = [consonant, "AH0"] * 3
    tag = load_sound().matcher.tag
    found = [token.rule for token in tag([*far, PAUSE, *text, PAUSE, *far])]
    assert found == [token.rule for token in tag(text)]
