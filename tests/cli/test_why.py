"""why WORD: one screen, for a word in lists, one left out and one that is not there."""

from __future__ import annotations

import pytest

from lexiconforge.cli import main


def test_a_word_of_a_list(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["why", "putting"]) == 0
    out = capsys.readouterr().out
    assert "ˈpʊɾɪŋ" in out
    assert "not taken" in out
    assert "place" in out
    assert len(out.splitlines()) < 24


def test_a_word_left_out(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["why", "Clinton"]) == 0
    assert "left out: names" in capsys.readouterr().out


def test_a_word_that_is_not_there(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["why", "tappedness"]) == 1
    assert "not in the dictionary" in capsys.readouterr().err
