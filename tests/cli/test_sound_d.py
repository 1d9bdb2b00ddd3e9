"""The sound d by the same commands and functions, and a build of it where a build of t stands."""

from __future__ import annotations

import csv
import hashlib
import io
import json
import re
from collections.abc import Callable, Sequence
from contextlib import AbstractContextManager
from pathlib import Path

import pandas as pd
import pronouncing
import pytest
from conftest import cases

from lexiconforge import building
from lexiconforge.building import BuildOptions, build
from lexiconforge.cli import main
from lexiconforge.errors import WriteError
from lexiconforge.lexicon import Lexicon
from lexiconforge.lexicon.catalog import rule_table, sound_tokens
from lexiconforge.lists.contrasts import contrast_sets
from lexiconforge.lists.linking import LinkFilter, links
from lexiconforge.lists.wordlists import WordFilter, word_list
from lexiconforge.sounds import OURS
from lexiconforge.text.tagger import Tagger

CORPUS = Path(__file__).parents[2] / "lexiconforge" / "data" / "corpus"
HOMOPHONES = [case["d"] for case in cases("homophones")]
"""Words whose d is a tap: Wikipedia, "Intervocalic alveolar flapping", an older snapshot."""


def run(capsys: pytest.CaptureFixture[str], *arguments: str) -> tuple[int, str, str]:
    code = main(list(arguments))
    out, err = capsys.readouterr()
    return code, out, err


def rows_of(capsys: pytest.CaptureFixture[str], *arguments: str) -> list[dict[str, str]]:
    """The rows that a command writes as CSV, looked at for d."""
    code, out, _ = run(capsys, *arguments, "--sound", "d", "--out", "-")
    assert code == 0
    return list(csv.DictReader(io.StringIO(out)))


def before_brackets(marked: str) -> list[str]:
    found = re.findall(r"(\w{1,2})\[[^]]*\]", marked)
    assert found
    return found


def same(rows: Sequence[dict[str, str]], table: pd.DataFrame, columns: Sequence[str]) -> bool:
    """Do the command and the function give the same?"""
    return [[row[name] for name in columns] for row in rows] == table[list(columns)].astype(
        str
    ).values.tolist()


def test_words(capsys: pytest.CaptureFixture[str], d_lexicon: Lexicon) -> None:
    rows = rows_of(capsys, "words", "--allophone", "tap", "--syllables", "2", "--limit", "60")
    assert len(rows) == 60
    for row in rows:
        assert row["syllables"] == "2"
        assert row["allophone"] == "tap"
        assert re.sub(r"\[[^]]*\]", "", row["marked"]) == row["word"]
        # Another reader of the dictionary: there is a d in it.
        assert any("D" in said.split() for said in pronouncing.phones_for_word(row["word"]))
    found = word_list(d_lexicon, WordFilter(allophone="tap", syllables=2, limit=60)).rows
    assert same(rows, found, ["word", "marked", "ipa", "environment", "also_heard", "family_members"])


def test_the_published_taps_are_in_the_list(
    capsys: pytest.CaptureFixture[str], d_lexicon: Lexicon
) -> None:
    rows = rows_of(capsys, "words", "--allophone", "tap", "--include", "names,unknown,sensitive,british")
    assert set(HOMOPHONES) <= {row["word"] for row in rows}
    tapped = sound_tokens(d_lexicon, HOMOPHONES)
    assert set(tapped.loc[tapped["allophone"] == "tap", "word"]) == set(HOMOPHONES)


def test_a_list_of_d_holds_no_word_that_has_a_t_there(capsys: pytest.CaptureFixture[str]) -> None:
    """The dictionary writes D for the tapped t of some words (*thirty*): no words to teach d by."""
    rows = rows_of(capsys, "words", "--allophone", "tap")
    assert len(rows) > 1000
    assert [
        row["marked"] for row in rows if not all("d" in x for x in before_brackets(row["marked"]))
    ] == []


def test_what_only_t_has_is_no_value_for_d(capsys: pytest.CaptureFixture[str]) -> None:
    code, out, err = run(capsys, "words", "--sound", "d", "--allophone", "aspirated-stop")
    assert (code, out) == (2, "")
    assert "nasal release" in err
    code, out, err = run(capsys, "contrasts", "--sound", "d", "--kind", "teen-ty")
    assert (code, out) == (2, "")
    assert "homophones, stress-shift, across-words" in err


def test_links(capsys: pytest.CaptureFixture[str], d_lexicon: Lexicon, pairs: pd.DataFrame) -> None:
    rows = rows_of(capsys, "links", "--first", "did")
    assert "it" in {row["second"] for row in rows}
    for row in rows:
        assert row["first"] == "did"
        # Wikipedia, "Flapping": before any vowel of the next word; the vowels are another reader's. A pronoun or
        # an auxiliary loses its h there (common practice).
        openings = {said.split()[0] for said in pronouncing.phones_for_word(row["second"])}
        assert any(one[-1].isdigit() or one == "HH" for one in openings), row
    found = links(d_lexicon, pairs, LinkFilter(first="did"))
    assert same(rows, found, ["second", "count", "ipa", "allophone", "rule"])
    code, out, err = run(capsys, "links", "--sound", "d", "--first", "get")
    assert (code, out) == (1, "")
    assert "no pair of these words" in err


@pytest.mark.parametrize(
    ("word", "marked", "allophone"),
    [
        # Wikipedia, "Flapping": between vowels, after r, before a syllabic l.
        ("ladder", "ladd[ɾ]er", "tap"),
        ("order", "ord[ɾ]er", "tap"),
        ("middle", "midd[ɾ]le", "tap"),
        # Common practice: before a stressed vowel and first no tap; before a syllabic n through the nose.
        ("adopt", "ad[d]opt", "stop"),
        ("day", "d[d]ay", "stop"),
        ("sudden", "sudd[dⁿ]en", "nasal release"),
        ("dream", "d[dʒ]ream", "affricate"),
        # English spelling: ee is one vowel, -ed one consonant; the final e is the vowel's, as in late.
        ("need", "need[d]", "stop"),
        ("speed", "speed[d]", "stop"),
        ("called", "called[d]", "stop"),
        ("side", "sid[d]e", "stop"),
        ("add", "add[d]", "stop"),
    ],
)
def test_tag(word: str, marked: str, allophone: str, capsys: pytest.CaptureFixture[str]) -> None:
    code, out, _ = run(capsys, "tag", word.title(), "--sound", "d")
    assert code == 0
    assert marked in out
    assert allophone in {row["allophone"] for row in rows_of(capsys, "tag", word)}


def test_tag_of_a_word_without_d(capsys: pytest.CaptureFixture[str], d_lexicon: Lexicon) -> None:
    code, _, err = run(capsys, "tag", "water", "--sound", "d")
    assert code == 0
    assert "no d is heard in: water" in err
    assert sound_tokens(d_lexicon, "water").empty


def test_tag_text(capsys: pytest.CaptureFixture[str], tmp_path: Path, d_lexicon: Lexicon) -> None:
    script = tmp_path / "script.txt"
    text = "Did you add it, Zorbo?\nThe ladder was ready.\nYes, today.\n"
    script.write_text(text, encoding="utf-8")
    code, out, err = run(capsys, "tag-text", str(script), "--sound", "d")
    assert code == 0
    # Common practice: d + y; Wikipedia, "Flapping": between vowels, also of two words.
    assert out == ("D[d]id[dʒ] you add[ɾ] it, Zorbo?\nThe ladd[ɾ]er was read[ɾ]y.\nYes, tod[d]ay.\n")
    assert "zorbo" in err
    assert out == Tagger(d_lexicon).tag_text(text).marked
    code, out, _ = run(capsys, "tag-text", str(script), "--sound", "d", "--show", "summary")
    assert code == 0
    assert "lines without a tap: 3" in out
    rows = rows_of(capsys, "tag-text", str(script))
    assert [text[int(row["start"]) : int(row["end"])] for row in rows] == [
        "D", "d", "dd", "dd", "d", "d",
    ]  # fmt: skip


def test_rules(capsys: pytest.CaptureFixture[str], d_lexicon: Lexicon) -> None:
    with (OURS / "d" / "rules.csv").open(encoding="utf-8", newline="") as file:
        written = list(csv.DictReader(file))
    rows = rows_of(capsys, "rules")
    kept = ["rule", "before", "after", "allophone", "also_heard", "environment", "source", "example"]
    assert [[row[name] for name in kept] for row in rows] == [
        [row[name] for name in kept] for row in written
    ]
    assert sum(float(row["share"]) for row in rows) == pytest.approx(1, abs=0.001)
    assert same(rows, rule_table(d_lexicon), kept)
    code, _, err = run(capsys, "rules", "--sound", "d")
    assert code == 0
    assert {source for row in written for source in row["source"].split("; ")} - {"common practice"} <= {
        line.partition(":")[0] for line in err.splitlines()
    }


def test_contrasts(capsys: pytest.CaptureFixture[str], d_lexicon: Lexicon, pairs: pd.DataFrame) -> None:
    rows = rows_of(capsys, "contrasts", "--kind", "homophones", "--include", "names", "--all-forms")
    found = {(row["first"], row["second"]) for row in rows}
    assert {(case["d"], case["t"]) for case in cases("homophones")} <= found
    for row in rows:
        # Alike in IPA but for the consonant that the tap replaces: each has the other's sound.
        assert "ɾ" in row["first_ipa"]
        assert any("T" in said.split() for said in pronouncing.phones_for_word(row["second"]))
    table = contrast_sets(d_lexicon, pairs, "homophones", include="names", all_forms=True)
    assert same(rows, table, ["first", "second", "first_ipa", "second_ipa", "rarer", "note"])


@pytest.mark.usefixtures("few_words")
def test_a_plan_and_lines_and_a_handout(capsys: pytest.CaptureFixture[str], tmp_path: Path) -> None:
    place = tmp_path / "lessons"
    assert (
        run(capsys, "plan", "--sound", "D", "--lessons", "2", "--words", "4", "--out", str(place))[0]
        == 0
    )
    lesson = place / "lesson-01.csv"
    with lesson.open(encoding="utf-8", newline="") as file:
        new = [row for row in csv.DictReader(file) if row["role"] == "new"]
    assert len(new) == 4
    assert all("d" in letters for row in new for letters in before_brackets(row["marked"]))
    sheet = tmp_path / "sheet.html"
    assert run(capsys, "handout", str(lesson), "--sound", "d", "--out", str(sheet))[0] == 0
    page = sheet.read_text(encoding="utf-8")
    assert all(row["item"][:2] in page for row in new)
    words = tmp_path / "words.csv"
    words.write_text("word\nready\ntoday\n", encoding="utf-8")
    lines = rows_of(capsys, "practice", "--words", str(words), "--texts", str(CORPUS))
    assert lines
    assert all(re.search(r"d\[", row["marked"]) for row in lines)


@pytest.mark.parametrize(
    "command",
    [
        ["build", "--out", "nowhere"], ["words"], ["links"], ["contrasts"], ["plan"], ["tag", "water"],
        ["tag-text", str(CORPUS / "town-hall.txt")], ["rules"], ["plot", "environments", "--out", "a.svg"],
    ],
    ids=lambda command: command[0],
)  # fmt: skip
def test_a_sound_that_does_not_exist(command: list[str], capsys: pytest.CaptureFixture[str]) -> None:
    code, out, err = run(capsys, *command, "--sound", "z")
    assert (code, out) == (2, "")
    assert err.strip() == "lexiconforge: no sound 'z'; there are: d, t"
    assert not Path("nowhere").exists()


# A folder that holds a build


def files_of(folder: Path) -> dict[str, str]:
    """Everything in a folder, folders too, with what files hold."""
    return {
        path.relative_to(folder).as_posix(): (
            hashlib.sha256(path.read_bytes()).hexdigest() if path.is_file() else "folder"
        )
        for path in folder.rglob("*")
    }


@pytest.fixture(scope="module")
def d_files(
    tmp_path_factory: pytest.TempPathFactory, fewer: Callable[[], AbstractContextManager[None]]
) -> dict[str, str]:
    """The files of a build of d in a place of its own."""
    place = tmp_path_factory.mktemp("d")
    with fewer():
        assert main(["build", "--sound", "d", "--size", "5", "--out", str(place)]) == 0
    return files_of(place)


@pytest.mark.usefixtures("few_words")
def test_a_build_of_d_where_a_build_of_t_stands(
    capsys: pytest.CaptureFixture[str], tmp_path: Path, d_files: dict[str, str], few_d: Lexicon,
    monkeypatch: pytest.MonkeyPatch,
) -> None:  # fmt: skip
    monkeypatch.setattr(building, "PAGE_WORDS", 300)
    place = tmp_path / "output"
    assert run(capsys, "build", "--size", "5", "--xlsx", "--html", "--out", str(place))[0] == 0
    (place / "notes.txt").write_text("mine", encoding="utf-8")
    before = files_of(place)
    assert {"t_tokens.csv", "sounds/t/rules.csv", "words.html", "lists.xlsx"} <= before.keys()
    assert "t_tokens.csv" not in d_files

    code, out, err = run(capsys, "build", "--sound", "d", "--size", "5", "--out", str(place))
    assert (code, out) == (2, "")
    assert len(err.strip().splitlines()) == 1
    assert f"{place} holds a build of the sound t" in err
    assert "--out" in err
    assert "--force" in err
    assert files_of(place) == before
    with pytest.raises(WriteError, match="holds a build of the sound t"):
        build(place, BuildOptions(size=5), few_d)
    assert files_of(place) == before

    code, _, _ = run(capsys, "build", "--sound", "d", "--size", "5", "--out", str(place), "--force")
    assert code == 0
    after = files_of(place)
    assert after.pop("notes.txt") == before["notes.txt"]
    assert after == d_files
    manifest = json.loads((place / "manifest.json").read_text(encoding="utf-8"))
    assert manifest["sound"] == "d"
    assert set(manifest["files"]) == {name for name, held in d_files.items() if held != "folder"} - {
        "manifest.json"
    }


@pytest.mark.usefixtures("few_words")
def test_a_build_of_d_in_python(tmp_path: Path, d_files: dict[str, str], few_d: Lexicon) -> None:
    made = build(tmp_path, BuildOptions(size=5), few_d)
    assert files_of(tmp_path) == d_files
    assert {f"lists/{target.name}.csv" for target in few_d.sound.lists} <= made.rows.keys()
    with (tmp_path / "d_tokens.csv").open(encoding="utf-8", newline="") as file:
        phones = {row["phones"].split()[int(row["phone_index"])] for row in csv.DictReader(file)}
    assert phones == {"D"}
    # Of its own sound no build is in the way.
    build(tmp_path, BuildOptions(size=5), few_d)
    assert files_of(tmp_path) == d_files
