"""What changed between two builds, checked by putting the changes to the old list and getting the new one."""

from __future__ import annotations

import json
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from lexiconforge import BuildOptions, build, changes
from lexiconforge.cli import main
from lexiconforge.errors import TableError
from lexiconforge.export.texts import read_rows
from lexiconforge.lexicon import Lexicon, supplemented
from lexiconforge.lists.changing import change_table

pytestmark = pytest.mark.usefixtures("few_only")

WORDS = st.lists(
    st.sampled_from(["better", "city", "little", "water", "later", "party", "pretty"]), unique=True
)


def rows(words: list[str]) -> dict[str, list[dict[str, str]]]:
    return {"lists/tap.csv": [{"word": word, "place": str(n)} for n, word in enumerate(words, start=1)]}


@given(WORDS, WORDS)
def test_the_changes_make_the_new_list_of_the_old(old: list[str], new: list[str]) -> None:
    found = list(change_table(rows(old), rows(new)).records())
    came = {row["item"]: row["new_place"] for row in found if row["change"] == "came"}
    went = {row["item"] for row in found if row["change"] == "went"}
    moved = {row["item"]: row["new_place"] for row in found if row["change"] == "moved"}
    assert came.keys() == set(new) - set(old)
    assert went == set(old) - set(new)
    stayed = [word for word in old if word not in went and word not in moved]
    for word, place in sorted((came | moved).items(), key=lambda one: one[1]):
        stayed.insert(place - 1, word)
    assert stayed == new


@given(WORDS, st.integers(0, 7), st.integers(0, 7))
def test_one_word_that_changes_its_place_is_one_that_moved(words: list[str], a: int, b: int) -> None:
    if not words:
        return
    moved = list(words)
    moved.insert(b % len(words), moved.pop(a % len(words)))
    kinds = change_table(rows(words), rows(moved))["change"]
    assert kinds == ([] if moved == words else ["moved"])


def test_cells_are_told_but_not_those_that_follow_from_others() -> None:
    old = {"links.csv": [{"first": "get", "second": "it", "allophone": "tap", "pmi": "1.0"}]}
    new = {"links.csv": [{"first": "get", "second": "it", "allophone": "", "pmi": "2.0"}]}
    (row,) = change_table(old, new).records()
    assert row["item"] == "get it"
    assert row["difference"] == "allophone: tap → nothing"


@pytest.fixture(scope="module")
def builds(few: Lexicon, few_only: None, tmp_path_factory: pytest.TempPathFactory) -> tuple[Path, Path]:
    folder = tmp_path_factory.mktemp("builds")
    build(folder / "old", BuildOptions(size=30), few)
    mine = supplemented(few, pronunciations={"zutter": "Z AH1 T ER0"}, frequencies={"zutter": 5.9})
    build(folder / "new", BuildOptions(size=31), mine)
    return folder / "old", folder / "new"


def test_two_builds(builds: tuple[Path, Path]) -> None:
    old, new = builds
    found = changes(old, new)
    tap = found[found["file"] == "lists/tap.csv"]
    assert tap[["change", "item", "new_place"]].to_numpy().tolist() == [["came", "zutter", 1]]
    assert changes(old, old).empty
    back = changes(new, old)
    assert back.loc[back["file"] == "lists/tap.csv", "change"].tolist() == ["went"]


def test_builds_of_other_offices_compare(
    builds: tuple[Path, Path], few: Lexicon, tmp_path: Path
) -> None:
    build(tmp_path / "semicolons", BuildOptions(size=30, separator=";", decimal=","), few)
    text = (tmp_path / "semicolons" / "lists" / "tap.csv").read_text(encoding="utf-8")
    assert text.startswith("place;word;")
    assert changes(builds[0], tmp_path / "semicolons").empty


def test_the_command(
    builds: tuple[Path, Path], tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    old, new = map(str, builds)
    assert main(["changes", old, new, "--file", "tap", "--only", "came"]) == 0
    said = capsys.readouterr()
    assert "zutter" in said.out
    assert "option size: 30 → 31" in said.err
    assert main(["changes", old, new, "--out", str(tmp_path / "c.csv")]) == 0
    assert {row["change"] for row in read_rows(tmp_path / "c.csv")} <= {
        "came",
        "went",
        "moved",
        "changed",
    }
    assert main(["changes", old, new, "--file", "no-such"]) == 2
    assert main(["changes", old, new, "--only", "better"]) == 2
    assert main(["changes", old, str(tmp_path)]) == 2


def test_what_is_no_build_is_refused(tmp_path: Path) -> None:
    (tmp_path / "manifest.json").write_text(json.dumps({"made_by": "another", "files": {}}), "utf-8")
    for folder in (tmp_path, tmp_path / "none"):
        with pytest.raises(TableError, match="is no folder that build wrote"):
            changes(folder, folder)
