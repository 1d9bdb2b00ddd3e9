"""Lines that practise a list: which sentences will do, and what is chosen."""

from __future__ import annotations

from pathlib import Path

import pytest
from conftest import cases

from lexiconforge.cli import main
from lexiconforge.errors import ReadError
from lexiconforge.lexicon import Lexicon
from lexiconforge.teaching.line_screen import LineScreen
from lexiconforge.teaching.practising import PRACTICE_COLUMNS, PracticeOptions, practice_lines
from lexiconforge.teaching.targets import read_targets
from lexiconforge.text.corpus import OWN, Line, own_lines, read_lines, spoken_words


def line(text: str) -> Line:
    return Line(text, "", 0, "mine.txt", 1)


@pytest.mark.parametrize(
    ("text", "why"),
    [
        # Common practice: what a class cannot say as it stands. Sentences written for this test.
        ("The water in the harbor.", "no whole sentence"),
        ("Waiting for the water to boil.", "no whole sentence"),
        ("And the water was cold again.", "leans on the line before"),
        ("Because the water was too cold.", "leans on the line before"),
        ("They bring the water on Monday.", "leans on the line before"),
        ("These bottles of water are mine.", "leans on the line before"),
        ("I gave him some water.", "somebody it does not name"),
        ("The water was NOT cold.", "shouting"),
        ("I want the water...", "stray marks"),
        ("I want water -- now.", "stray marks"),
        ("The water came from Brandonville today.", "a name"),
        ("The soldiers ran out of water.", "a sensitive subject"),
        ("The water that I wanted.", "no whole sentence"),
        ("The water you gave me.", "no whole sentence"),
        ("Is the water hot enough?", ""),
        ("I'd like a glass of water.", ""),
        ("The water is too cold for swimming.", ""),
        ("Put the water on the table.", ""),
        ("We'll get more water on Monday.", ""),
    ],
)
def test_what_is_wrong_with_a_sentence(text: str, why: str, lexicon: Lexicon) -> None:
    assert LineScreen(lexicon, {"water"}).problem(text, spoken_words(text), {"water"}) == why


def test_a_line_that_is_short_and_easy_is_fitter(lexicon: Lexicon) -> None:
    screen = LineScreen(lexicon, {"water"})
    easy = screen.fitness(line("Is the water hot enough?"))
    hard = screen.fitness(
        line("The municipal authorities scrutinize the water for particulate contamination nowadays.")
    )
    assert 0 <= hard.value < 0.5 < easy.value <= 1
    assert "question" in easy.reasons
    assert any(reason.startswith("hard: ") for reason in hard.reasons)


def test_the_own_corpus_is_the_default(lexicon: Lexicon) -> None:
    made = practice_lines(lexicon, ["water", "city", "get it"])
    assert tuple(made.lines.columns) == PRACTICE_COLUMNS
    assert made.uncovered == []
    assert set(made.lines["line"]) <= {one.text for one in own_lines()}
    assert made.lines["fitness"].between(0, 1).all()


def test_a_teachers_own_lines_win(lexicon: Lexicon) -> None:
    mine = [line("My water tastes of tomatoes.")]
    made = practice_lines(lexicon, ["water"], (), PracticeOptions(lines=mine))
    assert made.lines["line"].tolist() == ["My water tastes of tomatoes."]


def test_dialogues_are_whole(lexicon: Lexicon) -> None:
    made = practice_lines(lexicon, ["water", "potato"], (), PracticeOptions(dialogues=True)).lines
    assert made["dialogue"].notna().all()
    for _, block in made.groupby("dialogue"):
        assert 2 <= len(block) <= 6
        assert block["speaker"].nunique() > 1
        assert block["file_line"].tolist() == list(
            range(block["file_line"].min(), block["file_line"].max() + 1)
        )


def test_struck_out_words_are_in_no_line(lexicon: Lexicon) -> None:
    made = practice_lines(lexicon.without(["boat"]), ["water", "city", "better", "ticket"]).lines
    assert not made["line"].str.lower().str.contains(r"\bboats?\b").any()


def test_texts_give_whole_sentences_only(lexicon: Lexicon, tmp_path: Path) -> None:
    text = tmp_path / "text.txt"
    text.write_text("Cold water. I like cold water. WATER! And water is free.\n", encoding="utf-8")
    made = practice_lines(lexicon, ["water"], [text])
    assert made.lines["line"].tolist() == ["I like cold water."]


@pytest.mark.parametrize(
    ("name", "text", "found"),
    [
        ("list.csv", "place,word,rank\n1,water,284\n2,city,300\n", [("water",), ("city",)]),
        ("links.csv", "first,second,count\nget,it,9\n", [("get", "it")]),
        ("plan.csv", "lesson,role,item\n1,new,water\n1,link,get it\n", [("water",), ("get", "it")]),
        ("semicolons.csv", "\ufeffword;note\nwater;x\n", [("water",)]),
        (
            "words.txt",
            "water\n# a remark\nget it\ncity, party\n",
            [("water",), ("get", "it"), ("city",), ("party",)],
        ),
    ],
)
def test_any_file_of_words(name: str, text: str, found: list[tuple[str, ...]], tmp_path: Path) -> None:
    path = tmp_path / name
    path.write_text(text, encoding="utf-8")
    assert read_targets(path) == found


def test_a_file_without_words_is_refused(tmp_path: Path) -> None:
    path = tmp_path / "none.txt"
    path.write_text("\n\n", encoding="utf-8")
    with pytest.raises(ReadError, match="no words"):
        read_targets(path)
    with pytest.raises(ReadError, match="cannot read"):
        read_targets(tmp_path / "missing.csv")


def test_the_commands(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    words = tmp_path / "words.txt"
    words.write_text("water\nget it\n", encoding="utf-8")
    never = tmp_path / "never.txt"
    never.write_text("boat\n", encoding="utf-8")
    assert main(["practice", "--words", str(words), "--never", str(never)]) == 0
    assert "wat[ɾ]er" in capsys.readouterr().out
    assert main(["words", "--allophone", "tap", "--limit", "2", "--examples", "2", "--out", "-"]) == 0
    assert " / " in capsys.readouterr().out
    assert (
        main(["words", "--allophone", "tap", "--limit", "40", "--never", str(words), "--out", "-"]) == 0
    )
    assert ",water," not in capsys.readouterr().out
    assert main(["links", "--limit", "3", "--level", "A1", "--out", "-"]) == 0


def test_a_scene_is_read_as_written() -> None:
    path = OWN / "hotel-kitchen.txt"
    lines = read_lines(path)
    written = path.read_text(encoding="utf-8").split("\n")
    assert lines[0].number == 3
    assert all(one.text in written[one.number - 1] for one in lines)


def test_a_reader_found_lines_of_open_texts_usable() -> None:
    """A hundred lines drawn by seed from what practice chose from open written texts (MASC; addresses in the public
    domain), each judged as a teacher would: can a class say it, unedited?"""
    verdicts = cases("practice_verdicts")
    assert len({case["sha256"] for case in verdicts}) == len(verdicts) == 100
    assert sum(case["usable"] == "yes" for case in verdicts) >= 85
    assert all(bool(case["why_not"]) == (case["usable"] == "no") for case in verdicts)
