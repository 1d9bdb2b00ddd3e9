"""Broad IPA, with the allophones."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from lexiconforge.lexicon import Lexicon
from lexiconforge.phonology.arpabet import INVENTORY
from lexiconforge.phonology.ipa import PRIMARY, SECONDARY, ipa


@pytest.mark.parametrize(
    ("word", "shown"),
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
def test_words_with_t(word: str, shown: str, lexicon: Lexicon) -> None:
    reading = lexicon.main(word)
    assert reading is not None
    assert reading.ipa == shown


@pytest.mark.parametrize(
    ("word", "shown"),
    # The same, a d in the place of the t.
    [("ready", "ˈrɛɾi"), ("middle", "ˈmɪɾl̩"), ("sudden", "ˈsʌdⁿn̩"), ("adopt", "əˈdɑpt")],
)
def test_words_with_d(word: str, shown: str, d_lexicon: Lexicon) -> None:
    reading = d_lexicon.main(word)
    assert reading is not None
    assert reading.ipa == shown


phones = st.lists(st.sampled_from(sorted(INVENTORY)), min_size=1, max_size=12)


@given(phones)
def test_at_most_one_main_stress_and_none_in_one_syllable(said: list[str]) -> None:
    shown = ipa(said)
    syllables = sum(phone[-1] in "012" for phone in said)
    assert shown.count(PRIMARY) <= min(1, said_stressed(said))
    if syllables < 2:
        assert PRIMARY not in shown
        assert SECONDARY not in shown


def said_stressed(said: list[str]) -> int:
    return sum(phone[-1] == "1" for phone in said)


@given(phones, st.data())
def test_an_allophone_takes_the_place_of_its_phone_only(said: list[str], draw: st.DataObject) -> None:
    """Named as it is written anyway it changes nothing; left out it takes one symbol away."""
    consonants = [n for n, phone in enumerate(said) if phone in ("T", "D")]
    if not consonants:
        said.append("T")
        consonants = [len(said) - 1]
    at = draw.draw(st.sampled_from(consonants))
    plain = said[at].lower()
    assert ipa(said, {at: plain}) == ipa(said)
    assert ipa(said, {at: "@"}).replace("@", plain) == ipa(said)
    assert ipa(said, {at: ""}) == ipa(said, {at: "@"}).replace("@", "")
