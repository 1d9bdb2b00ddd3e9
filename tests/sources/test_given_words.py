"""Pronunciations and frequencies from memory are checked as those of files are; IPA is read as a phonetician writes it."""

from __future__ import annotations

import itertools
from pathlib import Path

import pytest

from lexiconforge import BuildOptions, build
from lexiconforge.errors import SourceError
from lexiconforge.lexicon import Lexicon, supplemented
from lexiconforge.lexicon.catalog import sound_tokens
from lexiconforge.phonology.ipa import ipa
from lexiconforge.phonology.ipa_reading import phones_of_ipa
from lexiconforge.sources.pronunciations import load_pronunciations
from lexiconforge.sources.supplements import (
    given_frequencies,
    given_pronunciations,
    read_pronunciations,
)

# The IPA of the Handbook of the IPA (1999), American English, and of dictionaries' common practice; the ARPAbet that of the
# CMU dictionary's own documentation where it lists the word, else common practice.
pytestmark = pytest.mark.usefixtures("few_only")

READ = [
    ("ˈwɔtɚ", "W AO1 T ER0"),
    ("/ˈwɑtər/", "W AA1 T ER0"),
    ("[ˈlɛtɚ]", "L EH1 T ER0"),
    ("ˈbʌtən", "B AH1 T AH0 N"),
    ("ˈbʌtn̩", "B AH1 T AH0 N"),
    ("ˈlɪtl̩", "L IH1 T AH0 L"),
    ("bɝd", "B ER1 D"),
    ("bɜːrd", "B ER1 D"),
    ("kɑː", "K AA1"),
    ("t͡ʃɝt͡ʃ", "CH ER1 CH"),
    ("dʒʌdʒ", "JH AH1 JH"),
    ("ˈfoʊ.toʊ", "F OW1 T OW0"),
    ("əˈbaʊt", "AH0 B AW1 T"),
    ("ˈɡoʊˌtaʊt", "G OW1 T AW2 T"),
    ("əˈraʊnd", "AH0 R AW1 N D"),
    ("θɔt", "TH AO1 T"),
    ("ˈhoʊteɪl", "HH OW1 T EY0 L"),
    ("jɛs", "Y EH1 S"),
    ("sɪŋ", "S IH1 NG"),
    ("ˈvɪʒən", "V IH1 ZH AH0 N"),
    ("bɔɪ", "B OY1"),
    ("ðɪs", "DH IH1 S"),
    ("ɹɛd", "R EH1 D"),
    ("bit", "B IY1 T"),
]


@pytest.mark.parametrize(("written", "phones"), READ)
def test_ipa_is_read(written: str, phones: str) -> None:
    assert given_pronunciations({"zutter": written}) == {"zutter": phones}


def test_what_the_dictionary_writes_is_read_back() -> None:
    """Our IPA of the whole dictionary without t and d, whose schwas it may hide, back to phones; what it does not tell
    (a second main stress, weak syllables marked IH2, a stressed schwa, a last vowel's stress) is left out."""
    tried = wrong = 0
    for word, pronunciations in list(load_pronunciations().items())[::7]:
        phones = list(pronunciations[0])
        hidden = {"T", "D", "AH0", "ER1", "ER2", "IH2", "IY2", "OW2"} & set(phones)
        unstressed = sum(phone.endswith("1") for phone in phones) != 1
        vowels_meet = any(p[-1] in "012" and q[-1] in "012" for p, q in itertools.pairwise(phones))
        if hidden or unstressed or vowels_meet or not word.isalpha():
            continue
        tried += 1
        wrong += phones_of_ipa(ipa(phones)) != phones
    assert tried > 2000
    assert wrong / tried < 0.01


@pytest.mark.parametrize(
    ("written", "said"),
    [
        ("ˈwɒtə", "'ɒ' is not used for General American here; meant is ɑ or ɔ"),
        ("ˈwɔɾɚ", "'ɾ' is not used for General American here; meant is t or d"),
        ("ˈbʌʔn̩", "meant is t"),
        ("gəʊt", "meant is oʊ"),
        ("ˈrøti", "'ø' is no sign"),
        ("ˈlɛtaɪˈ", "a stress mark stands before no vowel"),
        ("lɛtɚ", "zutter has no main stress; put ˈ before a syllable"),
        ("Z AH1 DX ER0", "'DX' in zutter is no phone of the ARPAbet; meant is T or D"),
        ("Z AH T ER0", "the vowel AH of zutter has no stress"),
        ("", "has no phones"),
        (["Z AH1 T ER0", "Z AH1 T ER0"], "stands in 'zutter' already"),
        (3, "must be text, or a list of them"),
        ([], "must be text, or a list of them"),
    ],
)
def test_a_problem_names_the_word_and_the_way_out(written: object, said: str) -> None:
    with pytest.raises(SourceError, match=said):
        given_pronunciations({"zutter": written})  # type: ignore[dict-item]


def test_every_problem_is_told_at_once() -> None:
    with pytest.raises(SourceError) as told:
        given_pronunciations(
            {"zutter": "Z AH T", "two words": "T UW1", "ok": "OW1 K EY2", "putty": "ˈpɒti"}
        )
    assert len(str(told.value).splitlines()) == 3


def test_a_file_may_mix_both_alphabets(tmp_path: Path) -> None:
    (tmp_path / "own.dict").write_text("grotto ˈɡrɑtoʊ\ngrotto(2) G R AO1 T OW0\n", encoding="utf-8")
    assert read_pronunciations(tmp_path / "own.dict") == {"grotto": "G R AA1 T OW0\nG R AO1 T OW0"}


def test_given_words_are_tagged_and_ranked(few: Lexicon, tmp_path: Path) -> None:
    mine = supplemented(
        few, pronunciations={"Zutter": ["Z AH1 T ER0", "Z UW1 T ER0"]}, frequencies={"zutter": 5.9}
    )
    assert mine.own == {"zutter"}
    assert sound_tokens(mine, "zutter")["allophone"].tolist() == ["tap", "tap"]
    entry = mine.entry("zutter")
    assert entry is not None
    assert entry.zipf == 5.9
    own = BuildOptions(size=5, pronunciations={"zutter": "Z AH1 T ER0"}, frequencies={"zutter": 5.9})
    build(tmp_path / "out", own, few)
    assert "zutter" in (tmp_path / "out" / "lists" / "tap.csv").read_text(encoding="utf-8")


@pytest.mark.parametrize(
    ("given", "said"),
    [
        ({"zutter": 11}, "11 is not a Zipf value"),
        ({"zutter": "often"}, "not a Zipf value"),
        ({"zutter": True}, "not a Zipf value"),
        ({"two words": 3}, "not one word"),
        ({"Zutter": 3, "zutter": 3}, "given already"),
        ({}, "none are given"),
    ],
)
def test_given_frequencies_are_checked(given: dict[str, float], said: str) -> None:
    with pytest.raises(SourceError, match=said):
        given_frequencies(given)
