"""Pictures: what they show is counted again, and nothing in them needs a colour."""

from __future__ import annotations

import re
from pathlib import Path

import pandas as pd
import pytest

from lexiconforge.cli import main
from lexiconforge.errors import PlotError
from lexiconforge.export.plots import (
    coverage_figure,
    environments_figure,
    figure_bytes,
    heard_figure,
    text_figure,
)
from lexiconforge.lexicon import Lexicon
from lexiconforge.lists.wordlists import WordFilter, word_list
from lexiconforge.sounds import load_sound

pytestmark = pytest.mark.usefixtures("few_only")


def spread(colour: bytes) -> int:
    """How far the parts of a colour are apart; those of a grey are not."""
    parts = [int(colour[at : at + 2], 16) for at in (0, 2, 4)]
    return max(parts) - min(parts)


def test_coverage(lexicon: Lexicon) -> None:
    table = word_list(lexicon, WordFilter(allophone="tap", limit=50)).rows
    figure = coverage_figure({"tap": table, "again": table.head(9)})
    assert figure.axes[0].lines[0].get_ydata()[-1] == 100 * table["coverage"].iloc[-1]
    assert len({line.get_linestyle() for line in figure.axes[0].lines}) == 2


def test_environments(cards: pd.DataFrame) -> None:
    counted = environments_figure(cards)
    shown = sum(int(text.get_text()) for text in counted.axes[0].texts)
    assert shown == len(cards[cards["rank"] <= 10_000].drop_duplicates(["word", "environment"]))
    assert figure_bytes(counted, "svg") == figure_bytes(environments_figure(cards), "svg")


def test_a_text(lexicon: Lexicon, d_lexicon: Lexicon) -> None:
    text = "at it\n\nbutton, all of it\n"
    tokens = pd.DataFrame(
        {"line": [1, 1, 3], "start": [1, 4, 9], "allophone": ["tap", "tap", "glottal stop"]}
    )
    axes = text_figure(tokens, text, lexicon.sound).axes[0]
    places = sorted(float(line[0][0]) for mark in axes.collections for line in mark.get_segments())
    # The second and fifth of five letters of the first line, the third of seventeen of the third.
    assert places == pytest.approx([1 + 1 / 5, 1 + 4 / 5, 3 + 2 / 17])
    labels = {label.get_text() for label in axes.get_yticklabels()}
    assert labels == {"tap [ɾ], 2", "glottal stop [ʔ], 1"}
    stops = pd.DataFrame({"line": [1], "start": [0], "allophone": ["stop"]})
    axes = text_figure(stops, "day", d_lexicon.sound).axes[0]
    assert [label.get_text() for label in axes.get_yticklabels()] == ["stop [d], 1"]


@pytest.mark.parametrize("name", ["t", "d"])
def test_what_is_heard(name: str) -> None:
    sound = load_sound(name)
    axes = heard_figure(sound, least=20).axes[0]
    rows = sound.rates.environments(20)
    assert len(axes.get_yticklabels()) == len(rows)
    # Each row of bars is a hundred percent, and the number of tokens stands beside it.
    assert sum(bar.get_width() for bar in axes.patches) == 100 * len(rows)
    beside = {text.get_text() for text in axes.texts}
    assert {f"{heard.tokens:,}" for _, heard in rows if heard.tokens and not heard.estimated} <= beside


def test_pictures_of_lists_are_grey(tap_list: Path, tmp_path: Path) -> None:
    for name in ("a.svg", "a.png"):
        assert main(["plot", "coverage", str(tap_list), "--out", str(tmp_path / name)]) == 0
        data = (tmp_path / name).read_bytes()
        assert data.startswith(b"\x89PNG" if name.endswith("png") else b"<?xml")
    grey = set(re.findall(rb"#([0-9a-f]{6})", (tmp_path / "a.svg").read_bytes()))
    assert grey
    assert all(spread(colour) < 24 for colour in grey), "a hue that grey would lose"


def test_pictures_of_a_text_and_of_environments(tmp_path: Path) -> None:
    script = tmp_path / "script.txt"
    script.write_text("Put it on.\nNot now.\n", encoding="utf-8")
    assert main(["plot", "text", str(script), "--out", str(tmp_path / "text.svg")]) == 0
    assert b"tap" in (tmp_path / "text.svg").read_bytes()
    assert main(["plot", "environments", "--out", str(tmp_path / "all.svg")]) == 0
    assert b"between vowels" in (tmp_path / "all.svg").read_bytes()


def test_another_form_is_refused(cards: pd.DataFrame) -> None:
    with pytest.raises(PlotError, match="there are: svg, png"):
        figure_bytes(environments_figure(cards), "gif")
