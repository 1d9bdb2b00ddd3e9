"""Letters and sounds: examples from the orthography of English (common practice), and properties."""

from __future__ import annotations

from collections.abc import Iterable
from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st

from lexiconforge.lexicon import Lexicon
from lexiconforge.phonology.arpabet import INVENTORY
from lexiconforge.phonology.spelling import align, align_coded, decoded

MARKED = [
    *("bu[tt]er", "recei[pt]", "walk[ed]", "ya[cht]", "wa[t]er", "nigh[t]", "though[t]", "la[t]e"),
    *("de[bt]", "[th]ames", "[t]wo", "indi[ct]", "[t]oma[t]o", "[t]wen[t]y", "cigare[tt]e"),
    *("pi[z]za", "miss[ed]", "su[bt]le"),
]


def bracketed(word: str, spans: Iterable[tuple[int, int]]) -> str:
    """The spelling with these letters in brackets."""
    out, done = "", 0
    for start, end in spans:
        if end > start:
            out += f"{word[done:start]}[{word[start:end]}]"
            done = end
    return out + word[done:]


@pytest.mark.parametrize("text", MARKED)
def test_letters_of_every_t(text: str, lexicon: Lexicon) -> None:
    word = text.replace("[", "").replace("]", "")
    reading = lexicon.main(word)
    assert reading is not None
    assert bracketed(word, [token.span for token in reading.tokens]) == text
    spans = zip(align(word, reading.phones), reading.phones, strict=True)
    assert bracketed(word, [span for span, phone in spans if phone == "T"]) == text


@given(
    st.text("abcdefghijklmnopqrstuvwxyz'", min_size=1, max_size=24),
    st.lists(st.sampled_from(sorted(INVENTORY)), min_size=1, max_size=24),
)
def test_spans_are_in_order_and_in_the_word(word: str, phones: list[str]) -> None:
    spans = align(word, phones)
    assert len(spans) == len(phones)
    assert all(0 <= start <= end <= len(word) for start, end in spans)
    assert all(first[1] <= second[0] for first, second in pairwise(spans))


def test_a_batch_gives_what_its_words_give_alone(lexicon: Lexicon) -> None:
    readings = [lexicon.main_at(row) for row in lexicon.graded[:300]]
    words, phones = [reading.word for reading in readings], [reading.phones for reading in readings]
    assert list(map(decoded, align_coded(words, phones))) == [
        align(*one) for one in zip(words, phones, strict=True)
    ]
