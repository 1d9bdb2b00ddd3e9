"""Sets of words that rhyme. The sets are common practice (rhyming dictionaries list them); stress is compared with
the package ``pronouncing``, which reads the dictionary by itself."""

from __future__ import annotations

import subprocess
import sys

import pandas as pd
import pytest

from lexiconforge.cli import main
from lexiconforge.errors import OptionError
from lexiconforge.lexicon import Lexicon
from lexiconforge.lists.rhyming import RHYME_COLUMNS, RhymeFilter, rhymes, rhyming_part
from lexiconforge.lists.wordlists import WordFilter

TAPPED = WordFilter(allophone="tap", max_rank=30000)


@pytest.fixture(scope="module")
def tapped(lexicon: Lexicon) -> pd.DataFrame:
    return rhymes(lexicon, RhymeFilter(), TAPPED)


@pytest.mark.parametrize(
    "together",
    [
        "better letter sweater",
        "city pretty pity committee",
        "water daughter",
        "writing fighting lighting",
        "matter flatter batter",
        "little spittle brittle",
        "later waiter greater",
        "sitting hitting fitting",
        "bottle throttle",
        "party",
    ],
)
def test_words_that_rhyme_stand_in_one_set(lexicon: Lexicon, together: str) -> None:
    words = together.split()
    found = rhymes(lexicon, RhymeFilter(least=2), words)
    assert set(found["word"]) == (set(words) if len(words) > 1 else set())
    assert found["set"].nunique() <= 1


@pytest.mark.parametrize(
    "apart", ["better after", "late relate", "right write", "city sitting", "photo motto"]
)
def test_words_that_do_not_rhyme_do_not(lexicon: Lexicon, apart: str) -> None:
    """*late, relate* and *right, write* are the same syllable, which is no rhyme (common practice)."""
    assert rhymes(lexicon, RhymeFilter(near=True), apart.split()).empty


def test_a_table_holds_together(tapped: pd.DataFrame) -> None:
    assert tuple(tapped.columns) == RHYME_COLUMNS
    assert not tapped.duplicated(["set", "word"]).any()
    assert (tapped.groupby("set").size() >= 2).all()
    for _, group in tapped.groupby("set"):
        assert group["place"].tolist() == list(range(1, len(group) + 1))
        assert group["rank"].is_monotonic_increasing
    for ipa, rhyme in zip(tapped["ipa"], tapped["rhyme"], strict=True):
        assert ipa.endswith(rhyme[1:])


def test_sets_begin_with_tapped_words(lexicon: Lexicon) -> None:
    found = rhymes(lexicon, RhymeFilter(limit=200), WordFilter(max_rank=8000))
    for _, group in found.groupby("set"):
        taps = ["tap" in allophones for allophones in group["allophone"]]
        assert taps == sorted(taps, reverse=True)


def test_a_word_asks_for_its_set(lexicon: Lexicon) -> None:
    found = rhymes(lexicon, RhymeFilter(words="Letter"), TAPPED)
    assert found["set"].unique().tolist() == [1]
    assert {"letter", "better", "sweater"} <= set(found["word"])
    # A word without a t may be asked about; the words found are still those of the list.
    assert "letter" in set(rhymes(lexicon, RhymeFilter(words="header", near=True), TAPPED)["word"])


def test_stress_is_searched_as_pronouncing_does(lexicon: Lexicon) -> None:
    pronouncing = pytest.importorskip("pronouncing")
    found = rhymes(lexicon, RhymeFilter(stress="010"), TAPPED)
    assert len(found) > 50
    for word in found["word"]:
        entry = lexicon.entry(word.lower())
        if entry is None or entry.reading_note:
            continue  # another reading than the dictionary's was chosen, and its stress searched
        assert any(
            digits.replace("2", "0") == "010" for digits in pronouncing.stresses_for_word(word)
        ), word
    ends = rhymes(lexicon, RhymeFilter(stress="*10"), TAPPED)
    assert set(found["word"]) & set(ends["word"])


def test_stress_patterns_part_sets(lexicon: Lexicon) -> None:
    together = rhymes(lexicon, RhymeFilter(), ["city", "pretty", "committee"])
    apart = rhymes(lexicon, RhymeFilter(same_stress=True), ["city", "pretty", "committee"])
    assert len(together) == 3
    assert set(apart["word"]) == {"city", "pretty"}


def test_near_rhymes_differ_in_voice_or_nasal(lexicon: Lexicon) -> None:
    found = rhymes(lexicon, RhymeFilter(near=True), ["rated", "traded", "button"])
    assert dict(zip(found["word"], found["kind"], strict=True)) == {"rated": "perfect", "traded": "near"}
    assert rhymes(lexicon, RhymeFilter(), ["rated", "traded"]).empty


@pytest.mark.parametrize(
    ("phones", "part"),
    [("L EH1 T ER0", "EH1 T ER0"), ("F OW1 T OW2", "OW1 T OW0"), ("IH1 T", "IH1 T"), ("HH M", "HH M")],
)
def test_what_rhymes_begins_at_the_last_main_stress(phones: str, part: str) -> None:
    assert rhyming_part(phones.split()) == part


def test_wrong_options_are_one_line(lexicon: Lexicon) -> None:
    with pytest.raises(OptionError, match=r"stress '1x'"):
        RhymeFilter(stress="1x")
    with pytest.raises(OptionError, match="least 1: must be 2 or more"):
        RhymeFilter(least=1)
    with pytest.raises(OptionError, match="not in the dictionary: zzz"):
        rhymes(lexicon, RhymeFilter(words="zzz"), TAPPED)


def test_the_command(capsys: pytest.CaptureFixture[str], tmp_path: object) -> None:
    assert main(["rhymes", "letter", "--allophone", "tap"]) == 0
    assert "bett[ɾ]er" in capsys.readouterr().out
    assert main(["rhymes", "letter", "--max-rank", "3", "--allophone", "tap"]) == 1
    assert main(["rhymes", "--stress", "x"]) == 2


def test_pronouncing_is_imported_only_for_rhymes(few_beside: dict[str, str]) -> None:
    code = (
        "import sys; from lexiconforge.cli import main; main(['words', '--limit', '1']); "
        "assert 'pronouncing' not in sys.modules; main(['rhymes', 'letter']); assert 'pronouncing' in sys.modules"
    )
    subprocess.run([sys.executable, "-c", code], check=True, capture_output=True, env=few_beside)
