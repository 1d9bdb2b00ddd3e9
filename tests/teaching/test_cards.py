"""Cards: one for each word, link and contrast, in a file that any flash-card program reads."""

from __future__ import annotations

import csv
from pathlib import Path

import pytest

from lexiconforge.cli import main
from lexiconforge.errors import OptionError
from lexiconforge.lexicon import Lexicon
from lexiconforge.teaching.cards import cards_of_rows, cards_of_targets

pytestmark = pytest.mark.usefixtures("few_only")


@pytest.fixture(scope="module")
def lexicon(few: Lexicon) -> Lexicon:
    return few


def deck(path: Path) -> list[list[str]]:
    """As programs read it: tabs between fields, no quotation (common practice)."""
    text = path.read_bytes().decode("utf-8")
    return list(csv.reader(text.split("\n")[:-1], delimiter="\t", quoting=csv.QUOTE_NONE))


def test_cards_of_every_kind_of_list(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    commands = {
        "words": ["words", "--environment", "between-vowels", "--one-per-family", "--limit", "9"],
        "links": ["links", "--first", "get", "--limit", "5"],
        "contrasts": ["contrasts", "--kind", "teen-ty"],
    }
    for name, command in commands.items():
        source, out = tmp_path / f"{name}.csv", tmp_path / f"{name}.tsv"
        assert main([*command, "--out", str(source)]) == 0
        assert main(["cards", str(source), "--out", str(out)]) == 0, capsys.readouterr().err
        cards = deck(out)
        assert len(cards) == len(source.read_text(encoding="utf-8").splitlines()) - 1
        assert all(len(card) == 4 for card in cards)
        for front, back, said, _ in cards:
            assert front
            assert said
            assert "[" in back
            # The back is the front with the sound in it: nothing else is changed.
            plain = "".join(piece.partition("[")[0] for piece in back.partition(":")[0].split("]"))
            assert plain == front
    assert main(["cards", str(tmp_path / "links.csv"), "--header", "--limit", "2"]) == 0
    shown = capsys.readouterr().out.splitlines()
    assert shown[0] == "front\tback\tipa\texample"
    assert len(shown) == 3


def test_cards_of_a_lesson_leave_out_review_and_lines(lexicon: Lexicon) -> None:
    base = {"marked": "wat[ɾ]er", "ipa": "ˈwɔɾɚ", "allophone": "tap", "example": 'Say "hot water"\tnow.'}
    rows = [{"role": "new", "item": "water", **base}, {"role": "review", "item": "city", **base},
            {"role": "line", "item": "Is the water hot?", **base}]  # fmt: skip
    table = cards_of_rows(lexicon, rows)
    assert table["front"] == ["water"]
    with pytest.raises(OptionError, match="makes no cards"):
        cards_of_rows(lexicon, rows[1:])


def test_cards_of_ones_own_words(lexicon: Lexicon) -> None:
    table, unknown = cards_of_targets(lexicon, [("button",), ("zorbo",), ("get", "it")])
    assert unknown == ["zorbo"]
    assert table["back"] == ["butt[ʔ]on: glottal stop", "get[ɾ] it: tap"]
    assert all(table["example"]), "lines of the project's own"
    with pytest.raises(OptionError, match="none of these words"):
        cards_of_targets(lexicon, [("zorbo",)])
