"""The tables of connected speech: every problem is named by file, line and column."""

from __future__ import annotations

from pathlib import Path

import pytest

from lexiconforge.sounds import OURS, load_sound
from lexiconforge.sounds.check import check_folder


def changed(tmp_path: Path, table: str, old: str, new: str) -> list[str]:
    """The problems of a folder that has one of our tables with one change."""
    text = (OURS / table).read_text(encoding="utf-8")
    assert old in text
    (tmp_path / "t").mkdir()
    (tmp_path / table).write_text(text.replace(old, new, 1), encoding="utf-8")
    return [str(problem) for problem in check_folder(tmp_path)]


@pytest.mark.parametrize(
    ("table", "old", "new", "where", "what"),
    [
        (
            "t/heard.csv",
            "count,stop 6,6",
            "count,stop 6,7",
            "t/heard.csv:2: heard",
            "add up to 6, not 7",
        ),
        ("t/heard.csv", "context,f,h", "context,g,h", "t/heard.csv:2: before", "no group before 'g'"),
        ("t/heard.csv", "context,f,h", "place,f,h", "t/heard.csv:2: cell", "no cell 'place'"),
        ("t/heard_groups.csv", "before,n,N", "before,n,NN", "t/heard_groups.csv:4: fits", "no symbol"),
        ("t/heard_groups.csv", "kind,just", "sort,just", "t/heard_groups.csv", "no grouping 'sort'"),
        ("t/heard_variants.csv", "tap,tap", "tap,flap", "t/heard_variants.csv:5", "no allophone 'flap'"),
        ("t/style_changes.csv", "careful,", "slow,", "t/style_changes.csv:2: style", "no style 'slow'"),
        ("styles.csv", "yes,heard", "yes,all", "styles.csv:2: label", "no label 'all'"),
        ("weak_forms.csv", "IY1,between words", "IY1,sometimes", "weak_forms.csv:3: where", "no place"),
        ("weak_forms.csv", "N T ~ T AH0", "N T T AH0", "weak_forms.csv", "as many parts as words"),
        ("word_classes.csv", "subject,", "subjekt,", "word_classes.csv:2: class", "'subject' would do"),
    ],
)
def test_a_problem_is_named(
    table: str, old: str, new: str, where: str, what: str, tmp_path: Path
) -> None:
    problems = changed(tmp_path, table, old, new)
    assert any(problem.startswith(where) and what in problem for problem in problems), problems


def test_a_style_of_ones_own(tmp_path: Path) -> None:
    text = (OURS / "styles.csv").read_text(encoding="utf-8")
    (tmp_path / "t").mkdir()
    (tmp_path / "styles.csv").write_text(f"{text}slow,yes,rule,,\n", encoding="utf-8")
    assert load_sound("t", tmp_path).styles["slow"].label == "rule"


def test_a_sound_that_nobody_counted_needs_no_table_of_counts() -> None:
    from lexiconforge.phonology.rates import Rates

    assert not Rates("k", (), (), ()).final("back", "AE1", "#")
