"""Screening: decisions written down before the output was looked at, and promises about the first rows."""

from __future__ import annotations

import pytest
from conftest import cases

from lexiconforge.lexicon import Lexicon
from lexiconforge.lexicon.codes import EXCLUSIONS
from lexiconforge.lists.wordlists import WordFilter, word_list


@pytest.mark.parametrize("case", cases("screening"), ids=lambda case: case["word"])
def test_decisions(case: dict[str, str], lexicon: Lexicon) -> None:
    entry = lexicon.entry(case["word"])
    assert entry is not None
    reasons = entry.verdict.reasons
    if case["leave_out"]:
        # A name that no source knows is left out as unknown.
        assert {case["leave_out"], "unknown"} & set(reasons), case["reason"]
    else:
        assert reasons == (), case["reason"]


def test_no_common_tapped_word_is_left_out_but_for_names_and_abbreviations(lexicon: Lexicon) -> None:
    left_out = word_list(lexicon, WordFilter(allophone="tap", max_rank=5000)).left_out
    kinds = {reason for cell in left_out["reason"] for reason in cell.split("; ")}
    assert kinds <= {"names", "abbreviations", "british", "unknown", "possessives"}
    unknown_only = left_out[left_out["reason"] == "unknown"]
    assert unknown_only.empty


def test_include_lets_in_what_is_named(lexicon: Lexicon) -> None:
    with_names = word_list(
        lexicon, WordFilter(allophone="tap", include=["names", "unknown"], max_rank=9000)
    )
    assert "peterson" in set(with_names.rows["word"])
    everything = word_list(lexicon, WordFilter(allophone="tap", include=EXCLUSIONS, max_rank=9000))
    assert everything.left_out.empty
