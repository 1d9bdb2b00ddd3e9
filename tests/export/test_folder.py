"""Deliveries: files appear whole or not at all, and what a killed process left is cleared or moved in."""

from __future__ import annotations

import os
from pathlib import Path

import pytest

from lexiconforge.errors import WriteError
from lexiconforge.export.folder import delivery, write_file, write_whole
from lexiconforge.export.schema import METADATA_SUFFIX, csv_files
from lexiconforge.places import own_folder
from lexiconforge.tables import Table


def contents(folder: Path) -> dict[str, str]:
    return {
        path.relative_to(folder).as_posix(): path.read_text(encoding="utf-8")
        for path in folder.rglob("*")
        if path.is_file()
    }


def test_nothing_stays_of_a_delivery_that_fails(tmp_path: Path) -> None:
    (tmp_path / "old.csv").write_text("old", encoding="utf-8")

    def fails_half_way() -> None:
        with delivery(tmp_path) as scratch:
            (scratch / "old.csv").write_text("new", encoding="utf-8")
            raise ValueError("half way")

    with pytest.raises(ValueError, match="half way"):
        fails_half_way()
    assert [path.name for path in tmp_path.iterdir()] == ["old.csv"]
    assert contents(tmp_path) == {"old.csv": "old"}


def test_a_place_that_is_a_file(tmp_path: Path) -> None:
    (tmp_path / "taken").write_text("mine", encoding="utf-8")
    for place in (tmp_path / "taken", tmp_path / "taken" / "below"):
        with pytest.raises(WriteError, match="is a file"), delivery(place):
            pass
    assert contents(tmp_path) == {"taken": "mine"}


def test_scratch_of_a_killed_process_is_cleared(tmp_path: Path) -> None:
    own_folder(tmp_path, ".lexiconforge-unfinished-")
    with delivery(tmp_path) as scratch:
        (scratch / "a").write_text("1", encoding="utf-8")
    assert [path.name for path in tmp_path.iterdir()] == ["a"]


def test_what_was_complete_when_the_end_came_is_moved_in(tmp_path: Path) -> None:
    (tmp_path / "a.csv").write_text("old", encoding="utf-8")
    on_its_way = own_folder(tmp_path, ".lexiconforge-complete-") / "lists"
    on_its_way.mkdir(parents=True)
    (on_its_way / "tap.csv").write_text("new", encoding="utf-8")
    (on_its_way.parent / "a.csv").write_text("new", encoding="utf-8")
    with delivery(tmp_path) as scratch:
        (scratch / "b.csv").write_text("b", encoding="utf-8")
    assert contents(tmp_path) == {"a.csv": "new", "lists/tap.csv": "new", "b.csv": "b"}


def test_what_a_delivery_replaces_goes_and_nothing_else(tmp_path: Path) -> None:
    """Not what it makes itself, and nothing outside the folder, whatever a manifest names."""
    folder = tmp_path / "out"
    (folder / "lists").mkdir(parents=True)
    for name in ("old.csv", "kept.csv", "lists/old.csv", "../outside.csv"):
        (folder / name).write_text("old", encoding="utf-8")
    named = [
        "old.csv",
        "kept.csv",
        "lists/old.csv",
        "../outside.csv",
        str(tmp_path / "outside.csv"),
        "gone",
    ]
    with delivery(folder, replacing=named) as scratch:
        (scratch / "kept.csv").write_text("new", encoding="utf-8")
    assert contents(tmp_path) == {"out/kept.csv": "new", "outside.csv": "old"}
    assert not (folder / "lists").exists()


@pytest.mark.parametrize("kind", ["folder", "file"])
def test_a_name_that_is_taken_by_the_other_kind(kind: str, tmp_path: Path) -> None:
    with delivery(tmp_path) as scratch:
        (scratch / "first.csv").write_text("old", encoding="utf-8")
        if kind == "folder":
            (scratch / "lists").mkdir()
            (scratch / "lists" / "tap.csv").write_text("old", encoding="utf-8")
        else:
            (scratch / "lists").write_text("old", encoding="utf-8")
    before = contents(tmp_path)

    def deliver() -> None:
        with delivery(tmp_path) as scratch:
            (scratch / "first.csv").write_text("new", encoding="utf-8")
            if kind == "folder":
                (scratch / "lists").write_text("new", encoding="utf-8")
            else:
                (scratch / "lists").mkdir()

    with pytest.raises(WriteError, match=f"lists: there is a {kind} of that name"):
        deliver()
    assert contents(tmp_path) == before


def test_files_beside_each_other_are_written_together(tmp_path: Path) -> None:
    (tmp_path / f"a.csv{METADATA_SUFFIX}").mkdir()
    table = Table("list", {"word": ["city"]})
    files = {tmp_path / name: data for name, data in csv_files("a.csv", table).items()}
    with pytest.raises(WriteError, match="is a folder"):
        write_whole(files)
    assert not (tmp_path / "a.csv").exists()


def test_places_that_no_file_can_be_written_to(tmp_path: Path) -> None:
    with pytest.raises(WriteError, match="is a folder"):
        write_whole({Path("/"): b"text"})
    with pytest.raises(WriteError, match="there is no folder"):
        write_whole({tmp_path / "no" / "a.csv": b"text"})
    assert list(tmp_path.iterdir()) == []


@pytest.mark.skipif(not Path("/dev/full").exists(), reason="no /dev/full here")
def test_a_full_disk_names_the_file() -> None:
    with pytest.raises(OSError, match="No space left on device: '/dev/full'"):
        write_file(Path("/dev/full"), b"text")


@pytest.mark.skipif(os.name != "posix", reason="what a user may write to is told otherwise here")
def test_deliveries_leave_no_lock_beside_the_files(tmp_path: Path) -> None:
    write_whole({tmp_path / "a.csv": b"text"})
    assert [path.name for path in tmp_path.iterdir()] == ["a.csv"]
