"""The tagger against two references that do not share its rules; benchmarks/accuracy.py says how."""

from __future__ import annotations

import csv
import re
import sys

import accuracy
import pytest

from lexiconforge.lexicon import Lexicon

if sys.version_info >= (3, 13):
    pytest.skip("misaki, one of the references, needs an older Python", allow_module_level=True)


@pytest.fixture(scope="module")
def score(lexicon: Lexicon) -> accuracy.Score:
    return accuracy.measure(lexicon)


@pytest.fixture(scope="module")
def stressed(lexicon: Lexicon) -> list[accuracy.Stressed]:
    return accuracy.stressed(lexicon)


@pytest.fixture(scope="module")
def pairs(lexicon: Lexicon) -> list[tuple[str, str, bool]]:
    return accuracy.families(lexicon)


def test_main_stress(stressed: list[accuracy.Stressed]) -> None:
    assert len(stressed) == accuracy.STRESSED
    assert sum(one.place for one in stressed) / len(stressed) >= 0.985


def test_every_difference_of_the_main_stress_was_looked_into(
    stressed: list[accuracy.Stressed],
) -> None:
    verdicts = {row["word"] for row in accuracy._table("stress_verdicts")}
    assert {one.word for one in stressed if not one.place} <= verdicts


def test_stressed_vowels(stressed: list[accuracy.Stressed]) -> None:
    assert sum(one.vowel for one in stressed) / len(stressed) >= 0.975


def test_the_rows_read_by_hand() -> None:
    sample = accuracy.hand_sample()
    assert len(sample) == 300
    assert {row["sound"] for row in sample} == {"t", "d"}
    assert {row["verdict"] for row in sample} == {"right", "wrong"}
    assert all(row["remark"] for row in sample if row["verdict"] == "wrong")


def test_there_is_something_to_score(score: accuracy.Score) -> None:
    assert sum(score.agreed.values()) > 8_500


def test_taps(score: accuracy.Score) -> None:
    assert score.precision("tap") >= 0.995
    assert score.recall("tap") >= 0.990


def test_glottal_stops(score: accuracy.Score) -> None:
    assert score.recall("glottal stop") >= 0.97


def test_no_tap_before_a_syllabic_n_where_both_say_not(score: accuracy.Score) -> None:
    wrong = [
        slot.word
        for slot in score.slots
        if slot.rule.environment == "before syllabic n"
        and slot.ours == "tap"
        and "tap" not in (slot.misaki, slot.espeak)
    ]
    assert wrong == []


def test_where_the_references_differ_ours_has_both(score: accuracy.Score) -> None:
    first, second = accuracy.also_heard_share(score)
    assert first >= 0.94
    assert second >= 0.90


def test_every_family_with_two_stems_was_looked_into(pairs: list[tuple[str, str, bool]]) -> None:
    verdicts = {(row["word"], row["family"]) for row in accuracy._table("family_verdicts")}
    assert {(word, family) for word, family, same in pairs if not same} <= verdicts


def test_the_coders_agree_beyond_chance(score: accuracy.Score) -> None:
    # Landis and Koch 1977: above .80 is almost perfect.
    assert min(accuracy.coders(score).values()) >= 0.80


def test_the_page_and_the_figures_of_the_rules_are_current(
    score: accuracy.Score,
    stressed: list[accuracy.Stressed],
    pairs: list[tuple[str, str, bool]],
) -> None:
    with accuracy.AGREEMENT.open(encoding="utf-8") as file:
        kept = list(csv.DictReader(file))
    measured = [{k: str(v) for k, v in row.items()} for row in accuracy.agreement_rows(score)]
    assert kept == measured, "run: python benchmarks/accuracy.py --write"
    page = accuracy.PAGE.read_text(encoding="utf-8")
    made = accuracy.page(score, stressed, pairs)
    # The figures are the same whichever NLTK finds them.
    one, other = (re.sub(r"NLTK [\d.]+", "NLTK", text) for text in (page, made))
    assert one == other, "run: python benchmarks/accuracy.py --write"
    assert "not looked into" not in page


def test_the_alignment_by_hand() -> None:
    assert accuracy.align(["B", "AH1", "T", "ER0"], list("bʌɾəɹ"))[2] == "ɾ"
    assert accuracy.align(["L", "AE1", "S", "T"], list("læs"))[3] == ""
