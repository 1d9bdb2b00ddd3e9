"""Phrases read and labelled by hand against the facts of connected speech, and what is known to fail.

``fact`` numbers the facts behind a case: 2 taps inside a word after r, 14 to 23 the linking of words (14 final t
before a vowel;
15 after a consonant; 16 lost h; 17 *to* and what runs together with it; 18 t + y; 19 t + consonant; 20 the glottal
stop before
a vowel; 21 *n't*; 22 style; 23 pauses). A remark that begins with *rates* gives the count that decided the label:
such a case shows that the program finds the count, not that the count is right.
"""

from __future__ import annotations

import re

import pytest
from conftest import cases

from lexiconforge.lexicon import Lexicon
from lexiconforge.text.phrases import WORD
from lexiconforge.text.tagger import SaidToken, Tagger


@pytest.fixture(scope="module")
def tagger(lexicon: Lexicon) -> Tagger:
    return Tagger(lexicon)


def token_at(tagger: Tagger, text: str, number: int) -> SaidToken | None:
    """What the written t with this number is, doubled ones counted once; None where it is not said."""
    at = [match.start() for match in re.finditer("t+", text, re.IGNORECASE)][number - 1]
    for said in tagger.tag_text(text).said:
        for token in said.tagged.tokens if said.tagged is not None else ():
            start, end = said.start, said.end
            if said.item.kind == WORD:
                start, end = said.start + token.span[0], said.start + token.span[1]
            if start <= at < end:
                return token
    return None


CASES = cases("connected_speech")


@pytest.mark.parametrize("case", CASES, ids=lambda case: f"{case['text']} {case['t']}")
def test_a_phrase(case: dict[str, str], tagger: Tagger) -> None:
    token = token_at(tagger, case["text"], int(case["t"]))
    assert ("none" if token is None else token.allophone) == case["expected"], case["remark"]


def test_there_are_enough_phrases_of_every_fact() -> None:
    facts = {fact for case in CASES for fact in case["fact"].split(";")}
    assert len(CASES) >= 150
    assert {str(number) for number in range(14, 24)} <= facts


@pytest.mark.parametrize("case", cases("connected_known_failures"), ids=lambda case: case["text"])
def test_a_known_failure_still_fails(case: dict[str, str], tagger: Tagger) -> None:
    token = token_at(tagger, case["text"], int(case["t"]))
    found = "none" if token is None else token.allophone
    assert found != case["expected"], "it works now: move the case"
