"""Screening: decisions written down before the output was looked at, and promises about the first rows."""

from __future__ import annotations

import pytest
from conftest import cases
from lexiconforge.screening import EXCLUSIONS
from lexiconforge.wordlists import Choice, word_list

from lexiconforge.lexicon import Lexicon
from lexiconforge.sources.american_words import AmericanWords


@pytest.mark.parametrize("case", cases("screening"), ids=lambda case: case["word"])
def test_decisions(case: dict[str, str], lexicon: Lexicon) -> None:
    reasons = lexicon.verdicts([case["word"]])[0].reasons
    if case["leave_out"]:
        # A name that no source knows is left out as unknown.
        assert {case["leave_out"], "unknown"} & set(reasons), case["reason"]
    else:
        assert reasons == (), case["reason"]


def test_no_common_tapped_word_is_left_out_but_for_names_and_abbreviations(lexicon: Lexicon) -> None:
    left_out = word_list(lexicon, Choice(allophone="tap", max_rank=5000)).left_out
    kinds = {reason for cell in left_out["reason"] for reason in cell.split("; ")}
    assert kinds <= {"names", "abbreviations", "british", "unknown", "possessives"}
    unknown_only = left_out[left_out["reason"] == "unknown"]
    assert unknown_only.empty


def test_include_lets_in_what_is_named(lexicon: Lexicon) -> None:
    with_names = word_list(lexicon, Choice(allophone="tap", include=["names", "unknown"], max_rank=9000))
    assert "seattle" in set(with_names.rows["word"])
    everything = word_list(lexicon, Choice(allophone="tap", include=EXCLUSIONS, max_rank=9000))
    assert everything.left_out.empty


def test_affixes_of_the_manual() -> None:
    # The example of hunspell(5): a suffix that changes the end, a prefix that crosses it.
    affixes = "SFX D Y 2\nSFX D y ied [^aeiou]y\nSFX D 0 ed [^ey]\nPFX A Y 1\nPFX A 0 re .\n"
    words = AmericanWords(affixes, ["try/D", "work/AD", "Tilda/D"])
    known = ["try", "tried", "work", "worked", "rework", "reworked"]
    assert all(map(words.in_lower_case, known))
    assert not any(map(words.in_lower_case, ["tryed", "retry", "retried", "tilda", "tildaed"]))
    assert words.with_capital("tilda")
