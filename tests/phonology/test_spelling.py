"""Letters and sounds: examples from the orthography of English (common practice), and properties."""

from __future__ import annotations

from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st
from lexiconforge.spelling import align, align_t

from lexiconforge import phones as arpabet
from lexiconforge.lexicon import Lexicon

MARKED = [
    *("bu[tt]er", "recei[pt]", "walk[ed]", "ya[cht]", "wa[t]er", "nigh[t]", "though[t]", "la[t]e"),
    *("de[bt]", "[th]ames", "[t]wo", "indi[ct]", "[t]oma[t]o", "[t]wen[t]y", "cigare[tt]e"),
    *("pi[z]za", "miss[ed]", "su[bt]le"),
]


@pytest.mark.parametrize("text", MARKED)
def test_letters_of_every_t(text: str, lexicon: Lexicon) -> None:
    word = text.replace("[", "").replace("]", "")
    phones = lexicon.main_phones(word)
    starts, ends = align_t([word], [phones])
    shown, at = "", 0
    for start, end in zip(starts[0], ends[0], strict=True):
        shown += word[at:start] + "[" + word[start:end] + "]"
        at = end
    assert shown + word[at:] == text


@given(
    st.text("abcdefghijklmnopqrstuvwxyz'", min_size=1, max_size=24),
    st.lists(st.sampled_from(sorted(arpabet.INVENTORY)), min_size=1, max_size=24),
)
def test_spans_are_in_order_and_in_the_word(word: str, phones: list[str]) -> None:
    spans = align(word, phones)
    assert len(spans) == len(phones)
    assert all(0 <= start <= end <= len(word) for start, end in spans)
    assert all(first[1] <= second[0] for first, second in pairwise(spans))


def test_a_batch_gives_what_its_words_give_alone(lexicon: Lexicon) -> None:
    words = lexicon.with_t[:300]
    readings = [lexicon.main_phones(word) for word in words]
    starts, ends = align_t(words, readings)
    for n, (word, phones) in enumerate(zip(words, readings, strict=True)):
        alone = [span for span, phone in zip(align(word, phones), phones, strict=True) if phone == "T"]
        assert list(zip(starts[n], ends[n], strict=True)) == alone


@pytest.mark.parametrize(
    ("word", "ipa"),
    [
        # Broad General American as handbooks of the accent give it (common practice), symbols of the
        # International Phonetic Association, r for ɹ.
        ("water", "ˈwɔɾɚ"),
        ("button", "ˈbʌʔn̩"),
        ("little", "ˈlɪɾl̩"),
        ("attack", "əˈtʰæk"),
        ("photo", "ˈfoʊɾoʊ"),
        ("thirteen", "ˌθɝˈtʰin"),
        ("setup", "ˈsɛɾˌʌp"),
        ("cat", "kæt̚"),
        ("winter", "ˈwɪnɾ̃ɚ"),
    ],
)
def test_ipa(word: str, ipa: str, lexicon: Lexicon) -> None:
    assert lexicon.ipa(word, lexicon.main_phones(word)) == ipa
