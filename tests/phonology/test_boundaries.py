"""Where the parts of a word meet, and which schwas the dictionary leaves out."""

from __future__ import annotations

import pytest

from lexiconforge.lexicon import Lexicon
from lexiconforge.phonology.matcher import COMPOUND_BOUNDARY


@pytest.mark.parametrize("word", ["scriptwriter", "scriptwriters"])
def test_the_r_of_a_second_part_stays(word: str, lexicon: Lexicon) -> None:
    # Common practice: script + writer; no vowel is lost where *writer* begins.
    reading = lexicon.main(word)
    assert reading is not None
    at = reading.symbols.index(COMPOUND_BOUNDARY)
    assert reading.symbols[at - 1 : at + 2] == ("T", COMPOUND_BOUNDARY, "R")


@pytest.mark.parametrize("word", ["veterinary", "veterinarian"])
def test_a_lost_schwa_inside_a_part_is_found(word: str, lexicon: Lexicon) -> None:
    # Common practice: the e of *veter-* is written, and the t before it taps.
    entry = lexicon.entry(word)
    assert entry is not None
    for reading in entry.readings:
        assert reading.tokens[0].rule.allophone == "tap", reading.phones


@pytest.mark.parametrize("word", ["candidate", "candidates", "liquidate", "liquidated", "validate"])
def test_ate_is_no_part_of_a_compound(word: str, d_lexicon: Lexicon) -> None:
    # Common practice: -ate is an ending here, not the verb *ate*.
    entry = d_lexicon.entry(word)
    assert entry is not None
    assert not any(COMPOUND_BOUNDARY in reading.symbols for reading in entry.readings)
