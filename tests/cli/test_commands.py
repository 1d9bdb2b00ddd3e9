"""The command line, in process: results, exit codes, one clear line for a mistake."""

from __future__ import annotations

import csv
import io
import json
import os
import subprocess
import sys
from pathlib import Path

import pytest

from lexiconforge.cli import COMMANDS, main, parser

pytestmark = pytest.mark.usefixtures("few_only")


def run(capsys: pytest.CaptureFixture[str], *arguments: str) -> tuple[int, str, str]:
    code = main(list(arguments))
    out, err = capsys.readouterr()
    return code, out, err


def test_words_as_csv(capsys: pytest.CaptureFixture[str]) -> None:
    code, out, _ = run(capsys, "words", "--allophone", "tap", "--syllables", "2", "--stress", "10",
                       "--max-rank", "3000", "--limit", "7", "--out", "-")  # fmt: skip
    rows = list(csv.DictReader(io.StringIO(out)))
    assert code == 0
    assert len(rows) == 7
    assert {row["syllables"] for row in rows} == {"2"}


def test_words_for_the_eye_and_to_a_file(capsys: pytest.CaptureFixture[str], tmp_path: Path) -> None:
    code, out, _ = run(capsys, "words", "--environment", "after-r", "--level", "A1-A2", "--limit", "3")
    assert code == 0
    assert "[ɾ]" in out
    file = tmp_path / "list.csv"
    assert run(capsys, "words", "--allophone", "tap", "--limit", "3", "--out", str(file))[0] == 0
    assert len(file.read_text(encoding="utf-8").splitlines()) == 4
    code, out, _ = run(capsys, "words", "--allophone", "tap", "--starting-after", str(file), "--limit",
                       "3", "--out", "-")  # fmt: skip
    taught = {row["word"] for row in csv.DictReader(file.open(encoding="utf-8"))}
    assert not taught & {row["word"] for row in csv.DictReader(io.StringIO(out))}


def test_links(capsys: pytest.CaptureFixture[str]) -> None:
    code, out, _ = run(capsys, "links", "--second", "all", "--limit", "3", "--out", "-")
    rows = list(csv.DictReader(io.StringIO(out)))
    assert code == 0
    assert {row["second"] for row in rows} == {"all"}


def test_tag(capsys: pytest.CaptureFixture[str]) -> None:
    code, out, _ = run(capsys, "tag", "Button", "atomic")
    assert code == 0
    assert "butt[ʔ]on" in out
    assert "glottal stop" in out


def test_tag_of_an_unknown_word_offers_the_closest(capsys: pytest.CaptureFixture[str]) -> None:
    code, out, err = run(capsys, "tag", "watter", "water")
    assert code == 1
    assert "wat[ɾ]er" in out
    assert "not in the dictionary: watter" in err
    assert "water" in err


def test_a_word_without_t_is_said_to_have_none(capsys: pytest.CaptureFixture[str]) -> None:
    code, _, err = run(capsys, "tag", "apple")
    assert code == 0
    assert "no t is heard in: apple" in err


def test_rules(capsys: pytest.CaptureFixture[str]) -> None:
    code, out, _ = run(capsys, "rules")
    assert code == 0
    assert "at all" in out


def test_contrasts(capsys: pytest.CaptureFixture[str]) -> None:
    code, out, _ = run(capsys, "contrasts", "--kind", "teen-ty")
    assert code == 0
    assert "thirteen" in out


def test_plan_writes_a_file_a_lesson(capsys: pytest.CaptureFixture[str], tmp_path: Path) -> None:
    assert run(capsys, "plan", "--lessons", "2", "--words", "5", "--out", str(tmp_path / "p"))[0] == 0
    assert sorted(path.name for path in (tmp_path / "p").iterdir()) == [
        *(f"{name}{end}" for name in ("lesson-01.csv", "lesson-02.csv", "plan.csv")
          for end in ("", "-metadata.json")),
    ]  # fmt: skip


CORPUS = Path(__file__).parents[2] / "lexiconforge" / "data" / "corpus"


def test_tag_text(capsys: pytest.CaptureFixture[str], tmp_path: Path) -> None:
    script = tmp_path / "script.txt"
    script.write_text("Put it on, Zorbo.\n", encoding="utf-8")
    code, out, err = run(capsys, "tag-text", str(script))
    assert code == 0
    assert out == "Put[ɾ] it[ɾ] on, Zorbo.\n"
    assert "zorbo" in err
    code, out, _ = run(capsys, "tag-text", str(script), "--show", "summary", "--level", "A1")
    assert "taps in ten words" in out
    code, out, _ = run(capsys, "tag-text", str(script), "--out", "-", "--style", "careful")
    assert [row["allophone"] for row in csv.DictReader(io.StringIO(out))] == ["tap"] * 2


@pytest.mark.usefixtures("few_words")
def test_mine_and_build_by_it(capsys: pytest.CaptureFixture[str], tmp_path: Path) -> None:
    counts = tmp_path / "counts.parquet"
    (tmp_path / "bad.txt").write_bytes(b"a\0b")
    code, out, err = run(capsys, "mine", str(CORPUS), str(tmp_path / "bad.txt"), "--out", str(counts))
    assert code == 0
    assert f"{len(list(CORPUS.glob('*.txt')))} files" in out
    assert f"skipped {tmp_path / 'bad.txt'}" in err
    assert run(capsys, "build", "--counts", str(counts), "--out", str(tmp_path / "out"))[0] == 0


def test_practice(capsys: pytest.CaptureFixture[str], tmp_path: Path) -> None:
    words = tmp_path / "words.csv"
    words.write_text("word\nwater\ncity\nzorbo\n", encoding="utf-8")
    code, out, err = run(capsys, "practice", "--words", str(words), "--texts", str(CORPUS), "--out", "-")
    rows = list(csv.DictReader(io.StringIO(out)))
    assert code == 0
    assert 1 <= len(rows) <= 2
    assert "in no line (1): zorbo" in err


@pytest.mark.parametrize(
    ("arguments", "said"),
    [
        (["words", "--allophone", "tapp"], "there are: tap"),
        (["words", "--environment", "x"], "between vowels"),
        (["words", "--syllables", "two"], "not a whole number"),
        (["words", "--limit", "0"], "1 or more"),
        (["words", "--level", "D1"], "A1, A2"),
        (["words", "--include", "everything"], "names"),
        (["words", "--starting-after", "no-such-file.csv"], "cannot read no-such-file.csv"),
        (["words", "--allophone", "tap", "--out", "list.txt"], "must end in .csv"),
        (["words", "--out", "no/such/folder/list.csv", "--limit", "1"], "cannot write no/such/folder"),
        (["build", "--size", "0"], "size 0"),
        (["build", "--size", "-5"], "size -5"),
        (["plan", "--lessons", "0"], "lessons 0"),
        (["contrasts", "--kind", "rhymes"], "homophones"),
        (["tag-text", "no-such.txt"], "cannot read no-such.txt"),
        (["tag-text", str(CORPUS / "town-hall.txt"), "--style", "formal"], "casual, careful"),
        (["tag-text", str(CORPUS / "town-hall.txt"), "--target", "x"], "glottal stop"),
        (["mine", "nowhere", "--out", "x.parquet"], "no such file, folder or pattern"),
        (["build", "--counts", "nowhere.parquet"], "no such counts file"),
        (["build", "--blend"], "--blend goes with --counts"),
        (["practice", "--texts", str(CORPUS)], "one of them"),
        (["practice", "--words", "none.csv", "--texts", str(CORPUS)], "cannot read none.csv"),
        (["handout", "none.csv"], "cannot read none.csv"),
        (["handout", "none.csv", "--parts", ","], "no part is named"),
        (["handout", "none.csv", "--seed", "-1"], "seed -1"),
        (["handout", "none.csv", "--out", "a.odt"], "must end in .html, .docx or .pdf"),
        (["cards", "none.csv", "--out", "a.apkg"], "must end in .tsv"),
        (["tag", "get it"], "tag-text -"),
        (["words", "--level", "A1,A2"], "here A1-A2"),
        (["words", "--environment", "nowhere"], "after r (party)"),
        (["plan", "--out", "plan.csv"], "a plan is a folder of files, or FILE.xlsx"),
        (["plot", "coverage", "--out", "a.svg"], "one list or more"),
        (["plot", "coverage", "none.csv", "--out", "a.svg"], "cannot read none.csv"),
        (["plot", "text", "none.txt", "--out", "a.bmp"], "must end in .svg or .png"),
        (["completion", "fish"], "invalid choice"),
        (["nonsense"], "invalid choice"),
        ([], "COMMAND"),
    ],
)
def test_mistakes(arguments: list[str], said: str, capsys: pytest.CaptureFixture[str]) -> None:
    code, out, err = run(capsys, *arguments)
    assert code == 2
    assert out == ""
    assert said in err
    assert len(err.strip().splitlines()) == 1
    assert "Traceback" not in err


def test_an_empty_result_is_not_found_and_writes_nothing(
    capsys: pytest.CaptureFixture[str], tmp_path: Path
) -> None:
    old = tmp_path / "old.csv"
    old.write_text("old", encoding="utf-8")
    for command in (["words", "--allophone", "tap", "--stress", "2222222"], ["links", "--first", "the"]):
        code, out, err = run(capsys, *command, "--out", str(old))
        assert (code, out) == (1, "")
        assert "no word fits" in err or "no pair" in err
    assert old.read_text(encoding="utf-8") == "old"


def test_ipa_goes_out_as_utf_8_whatever_the_system_has() -> None:
    command = [sys.executable, "-c", "from lexiconforge.cli import entry; entry()", "tag", "water"]
    environment = os.environ | {"PYTHONIOENCODING": "cp1252", "PYTHONUTF8": "0"}
    found = subprocess.run(command, capture_output=True, env=environment, check=True)
    assert "ɾ".encode() in found.stdout


@pytest.mark.parametrize("cell", ["one", ""])
def test_lists_with_cells_that_are_no_numbers(
    cell: str, capsys: pytest.CaptureFixture[str], tmp_path: Path
) -> None:
    path = tmp_path / "list.csv"
    path.write_text(f"place;coverage\n1;{cell}\n", encoding="utf-8")
    code, _, err = run(capsys, "plot", "coverage", str(path), "--out", str(tmp_path / "a.svg"))
    assert code == 2
    assert "row 1: place and coverage must be numbers" in err
    path.write_text("place;coverage\n1;0,25\n", encoding="utf-8")
    assert run(capsys, "plot", "coverage", str(path), "--out", str(tmp_path / "a.svg"))[0] == 0


@pytest.mark.parametrize("command", COMMANDS)
def test_help_has_an_example_that_parses(command: str, capsys: pytest.CaptureFixture[str]) -> None:
    code, out, _ = run(capsys, command, "--help")
    assert code == 0
    example = next(line for line in out.splitlines() if line.startswith("example: lexiconforge "))
    parser().parse_args(example.removeprefix("example: lexiconforge ").split())


@pytest.mark.parametrize(
    ("name", "allophone"),
    [
        ("true t", "aspirated stop"),
        ("Held-T", "unreleased stop"),
        ("flap", "tap"),
        ("stop t", "unreleased stop"),
    ],
)
def test_a_teachers_names_of_the_sounds(
    capsys: pytest.CaptureFixture[str], name: str, allophone: str
) -> None:
    code, out, _ = run(capsys, "words", "--allophone", name, "--limit", "5", "--json")
    assert code == 0
    assert all(allophone in row["allophone"] for row in json.loads(out))


def test_places_are_called_on_the_screen_as_people_call_them(
    capsys: pytest.CaptureFixture[str], tmp_path: Path
) -> None:
    """The id stays what files and programs know."""
    command = ["words", "--environment", "word-final", "--limit", "2"]
    assert "at the end of a word" in run(capsys, *command)[1]
    out = tmp_path / "words.csv"
    assert run(capsys, *command, "--out", str(out))[0] == 0
    text = out.read_text(encoding="utf-8")
    assert "word-final" in text
    assert "at the end of a word" not in text
