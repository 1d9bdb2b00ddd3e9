"""Words of a user's own: added whole, or refused with a line for every problem."""

from __future__ import annotations

import csv
import json
import re
from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from lexiconforge.cli import main
from lexiconforge.errors import SourceError
from lexiconforge.lexicon import Lexicon, supplemented
from lexiconforge.lexicon.catalog import sound_tokens
from lexiconforge.lists.wordlists import WordFilter, word_list
from lexiconforge.phonology.arpabet import CONSONANTS, VOWELS
from lexiconforge.sources.supplements import read_frequencies, read_pronunciations

pytestmark = pytest.mark.usefixtures("few_only")


def test_own_words_are_listed_and_marked(lexicon: Lexicon, tmp_path: Path) -> None:
    (tmp_path / "own.dict").write_text("zutter Z AH1 T ER0 # a boat\nTillery T IH1 L ER0 IY0\n", "utf-8")
    (tmp_path / "own.csv").write_text("word,zipf\nzutter,5.9\ntillery,4\n", encoding="utf-8")
    mine = supplemented(lexicon, pronunciations=tmp_path / "own.dict", frequencies=tmp_path / "own.csv")
    rows = word_list(mine, WordFilter(allophone="tap", limit=5)).rows
    assert rows.loc[0, "word"] == "zutter"
    assert rows.loc[0, "marked"] == "zutt[ɾ]er"
    # The others keep their order, one place further down.
    without = word_list(lexicon, WordFilter(allophone="tap", limit=4)).rows
    assert rows["word"].tolist()[1:] == without["word"].tolist()
    assert (rows["rank"].tolist()[1:] == without["rank"] + 1).all()
    assert sound_tokens(mine, ["tillery"])["allophone"].tolist() == ["aspirated stop"]


def test_an_own_pronunciation_stands_before_the_dictionarys(lexicon: Lexicon, tmp_path: Path) -> None:
    (tmp_path / "own.dict").write_text("data D AE1 T AH0\ndata(2) D EY1 T AH0\n", encoding="utf-8")
    mine = supplemented(lexicon, pronunciations=tmp_path / "own.dict")
    said, before = mine.entry("data"), lexicon.entry("data")
    assert said is not None
    assert [reading.phones for reading in said.readings] == [
        ("D", "AE1", "T", "AH0"), ("D", "EY1", "T", "AH0"),
    ]  # fmt: skip
    assert said.main is said.readings[0]
    assert mine.own == frozenset()
    assert before is not None
    assert before.main.phones == ("D", "EY1", "T", "AH0")


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("ok AA1\nzutter Z AH T ER0\n", "line 2: the vowel AH of zutter has no stress"),
        ("putty P AH1 TX IY0\n", "line 1: 'TX' in putty is no phone"),
        ("putty P AH1 T1 IY0\n", "line 1: 'T1' in putty is no phone"),
        (
            "putty P AH1 T IY0\n\nputty P AH1 T IY0\n",
            "line 3: putty P AH1 T IY0 stands in line 1 already",
        ),
        ("putty\n", "line 1: 'putty' has no phones"),
        ("put-1 P AH1 T\n", "line 1: 'put-1' is not one word"),
        ("pst P S T\n", "line 1: pst has no vowel"),
        ("putty P AH0 T IY0\n", "line 1: putty has no main stress"),
        ("# only a remark\n", "no pronunciations in it"),
        ("a\0b\n", "line 1: binary data"),
    ],
)
def test_problems_of_pronunciations(text: str, said: str, tmp_path: Path) -> None:
    path = tmp_path / "own.dict"
    path.write_text(text, encoding="utf-8")
    with pytest.raises(SourceError, match=re.escape(said)):
        read_pronunciations(path)


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("word;rank\nputty;3\n", "must name the columns word and zipf or per_million"),
        ("word,zipf\nputty,x\n", "line 2: 'x' is not a Zipf value from 0 to 9"),
        ("word,zipf\nputty,nan\n", "line 2: 'nan' is not a Zipf value"),
        ("word,zipf\nputty,12\n", "line 2: '12' is not a Zipf value"),
        ("word,per_million\nputty,0\n", "line 2: '0' is not a number above 0"),
        ("word,zipf\nputty,3\nPutty,4\n", "line 3: putty stands in line 2 already"),
        ("word,zipf\nputty\n", "line 2: 1 cells, 2 expected"),
        ("word,zipf\n,3\n", "line 2: '' is not one word"),
        ("word,zipf\n", "no frequencies in it"),
    ],
)
def test_problems_of_frequencies(text: str, said: str, tmp_path: Path) -> None:
    path = tmp_path / "own.csv"
    path.write_text(text, encoding="utf-8")
    with pytest.raises(SourceError, match=re.escape(said)):
        read_frequencies(path)


def test_all_problems_are_told_and_nothing_is_written(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    own, out = tmp_path / "own.dict", tmp_path / "out"
    own.write_text("".join(f"word{'x' * n} T\n" for n in range(30)), encoding="utf-8")
    assert main(["build", "--pronunciations", str(own), "--out", str(out)]) == 2
    lines = capsys.readouterr().err.splitlines()
    assert len(lines) == 21
    assert lines[1] == f"lexiconforge: {own}, line 2: wordx has no vowel"
    assert lines[-1] == f"lexiconforge: {own}: 10 more lines like these"
    assert not out.exists()
    assert main(["words", "--pronunciations", str(tmp_path / "none")]) == 2
    assert "cannot read" in capsys.readouterr().err


def test_a_build_with_own_words_says_so(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    (tmp_path / "own.dict").write_text("zutter Z AH1 T ER0\n", encoding="utf-8")
    (tmp_path / "own.csv").write_text("word,per_million\nzutter,900\n", encoding="utf-8")
    given = ["--pronunciations", str(tmp_path / "own.dict"), "--frequencies", str(tmp_path / "own.csv")]
    out = tmp_path / "out"
    assert main(["build", "--size", "10", "--out", str(out), *given]) == 0
    assert "zutter" in (out / "lists" / "tap.csv").read_text(encoding="utf-8").splitlines()[1]
    options = json.loads((out / "manifest.json").read_text(encoding="utf-8"))["options"]
    assert options["pronunciations"] == "own.dict"
    assert options["frequencies"] == "own.csv"
    assert "own.dict and own.csv" in (out / "SOURCES.md").read_text(encoding="utf-8")
    capsys.readouterr()
    assert main(["tag", "zutter", *given]) == 0
    assert "zutt[ɾ]er" in capsys.readouterr().out


LONG = {
    "letters": "t" + "a" * 198 + "t T AA1 T",
    "phones": "tat T AA1" + " T AH0" * 126,
    "both": "ta" * 100 + " T AA1" + " T AH0" * 99,
}
TOO_LONG = {
    "letters": "t" + "a" * 199 + "t T AA1 T",
    "phones": "tat T AA1" + " T AH0" * 127,
    "both": "ta" * 150 + " T AA1" + " T AH0" * 149,
}


@pytest.mark.parametrize("kind", TOO_LONG)
def test_a_longer_own_word_is_refused_in_one_line(
    kind: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    own = tmp_path / "own.dict"
    own.write_text(TOO_LONG[kind] + "\n", encoding="utf-8")
    assert main(["tag", "water", "--pronunciations", str(own)]) == 2
    (line,) = capsys.readouterr().err.splitlines()
    assert "line 1" in line
    assert "at most 200 letters and 255 phones" in line


@pytest.mark.parametrize("kind", LONG)
def test_an_own_word_as_long_as_may_be(
    kind: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    (tmp_path / "own.dict").write_text(LONG[kind] + "\n", encoding="utf-8")
    word, phones = LONG[kind].split(maxsplit=1)
    assert main(["tag", word, "--pronunciations", str(tmp_path / "own.dict"), "--out", "-"]) == 0
    rows = list(csv.DictReader(capsys.readouterr().out.splitlines()))
    places = [n for n, phone in enumerate(phones.split()) if phone == "T"]
    assert [int(row["phone_index"]) for row in rows] == places
    if kind != "phones":
        letters = [n for n, letter in enumerate(word) if letter == "t"]
        assert [row["letters_start"] for row in rows] == list(map(str, letters))


PHONES = st.lists(
    st.sampled_from(sorted(CONSONANTS)) | st.builds("{}{}".format, st.sampled_from(sorted(VOWELS)),
                                                     st.sampled_from("012")),
    min_size=1, max_size=8,
)  # fmt: skip


@given(
    st.dictionaries(
        st.from_regex(r"[a-z]{1,9}('[a-z])?", fullmatch=True), PHONES, min_size=1, max_size=5
    )
)
@settings(suppress_health_check=[HealthCheck.function_scoped_fixture])
def test_any_pronunciation_with_a_main_stress_is_taken_as_it_is(
    tmp_path: Path, words: dict[str, list[str]]
) -> None:
    words = {word: [*phones, "AH1"] for word, phones in words.items()}
    path = tmp_path / "any.dict"
    path.write_text("".join(f"{w}  {' '.join(p)}\r\n" for w, p in words.items()), encoding="utf-8")
    assert read_pronunciations(path) == {word: " ".join(phones) for word, phones in words.items()}
