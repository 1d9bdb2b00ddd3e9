"""The build end to end: what is in it, that it is whole, that it is the same every time."""

from __future__ import annotations

import hashlib
import json
import os
import signal
import subprocess
import sys
import time
from pathlib import Path

import pandas as pd
import pytest
from lexiconforge.wordlists import LISTS, ChoiceError

from lexiconforge.building import BuildOptions, build
from lexiconforge.export.folder import WriteError, beside, delivery, write_whole
from lexiconforge.sources import SOURCES


def read(path: Path) -> pd.DataFrame:
    return pd.read_csv(path, keep_default_na=False, dtype={"stress": "str"})


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    out = tmp_path_factory.mktemp("built")
    build(out, BuildOptions(size=60))
    return out


def test_the_files_of_a_build(folder: Path) -> None:
    names = {path.relative_to(folder).as_posix() for path in folder.rglob("*") if path.is_file()}
    tables = {"t_tokens.csv", "words.csv", "links.csv", "left_out.csv",
              *(f"lists/{target.name}.csv" for target in LISTS)}  # fmt: skip
    described = {f"{name}-metadata.json" for name in tables}
    assert names == tables | described | {"manifest.json", "SOURCES.md"}


def test_the_manifest_tells_the_truth(folder: Path) -> None:
    manifest = json.loads((folder / "manifest.json").read_text(encoding="utf-8"))
    assert manifest["options"]["size"] == 60
    assert {source["package"] for source in manifest["sources"]} == {s.package for s in SOURCES}
    for name, entry in manifest["files"].items():
        data = (folder / name).read_bytes()
        assert entry["sha256"] == hashlib.sha256(data).hexdigest()
        if "rows" in entry:
            assert entry["rows"] == len(read(folder / name))


def test_credits_and_share_alike(folder: Path) -> None:
    text = (folder / "SOURCES.md").read_text(encoding="utf-8")
    for wanted in ("Robyn Speer", "SUBTLEX", "Attribution-ShareAlike", "Carnegie Mellon", "AS IS"):
        assert wanted in text


def test_csv_files_are_plain(folder: Path) -> None:
    for path in folder.rglob("*.csv"):
        data = path.read_bytes()
        assert data.endswith(b"\n")
        assert b"\r" not in data
        data.decode("utf-8")


def test_what_is_left_out_is_named(folder: Path) -> None:
    left_out = read(folder / "left_out.csv")
    for target in LISTS:
        rows = read(folder / "lists" / f"{target.name}.csv")
        assert len(rows) <= 60
        assert not set(rows["word"]) & set(left_out.loc[left_out["list"] == target.name, "word"])


def test_two_builds_are_byte_identical(folder: Path, tmp_path: Path) -> None:
    build(tmp_path, BuildOptions(size=60))
    for path in folder.rglob("*"):
        if path.is_file():
            assert (tmp_path / path.relative_to(folder)).read_bytes() == path.read_bytes(), path.name


def test_all_forms_lists_the_family_in_full(tmp_path: Path) -> None:
    build(tmp_path, BuildOptions(size=400, all_forms=True))
    words = set(read(tmp_path / "lists" / "tap.csv")["word"])
    assert {"waiting", "writing", "writer"} <= words


def test_a_folder_that_is_a_file(tmp_path: Path) -> None:
    place = tmp_path / "taken"
    place.write_text("mine", encoding="utf-8")
    with pytest.raises(WriteError, match="is a file"):
        build(place)
    assert place.read_text(encoding="utf-8") == "mine"
    with pytest.raises(WriteError, match="is a file"), delivery(place / "below"):
        pass


def test_options_are_checked_first() -> None:
    with pytest.raises(ChoiceError, match="size 0"):
        BuildOptions(size=0)


def test_nothing_stays_of_a_delivery_that_fails(tmp_path: Path) -> None:
    (tmp_path / "old.csv").write_text("old", encoding="utf-8")

    def fails_half_way() -> None:
        with delivery(tmp_path) as scratch:
            (scratch / "old.csv").write_text("new", encoding="utf-8")
            raise ValueError("half way")

    with pytest.raises(ValueError, match="half way"):
        fails_half_way()
    assert [path.name for path in tmp_path.iterdir()] == ["old.csv"]
    assert (tmp_path / "old.csv").read_text(encoding="utf-8") == "old"


def test_scratch_of_a_killed_process_is_cleared(tmp_path: Path) -> None:
    (tmp_path / ".unfinished-abc").mkdir()
    with delivery(tmp_path) as scratch:
        (scratch / "a").write_text("1", encoding="utf-8")
    assert [path.name for path in tmp_path.iterdir()] == ["a"]


def test_a_full_disk_is_one_line() -> None:
    with pytest.raises(WriteError, match="is a folder"):
        write_whole({Path("/"): b"text"})


@pytest.mark.skipif(not hasattr(os, "fork"), reason="no fork here")
def test_a_job_beside(tmp_path: Path) -> None:
    with beside(lambda: {"rows": 42}) as finish:
        assert finish() == {"rows": 42}
    done = []

    def fails_in_the_copy() -> dict[str, int]:
        if os.getpid() != parent:
            raise RuntimeError
        done.append(1)
        return {"rows": 7}

    parent = os.getpid()
    with beside(fails_in_the_copy) as finish:
        assert finish() == {"rows": 7}
    assert done == [1]


def test_a_build_that_is_interrupted_leaves_the_old_files(folder: Path, tmp_path: Path) -> None:
    before = tmp_path / "manifest.json"
    before.write_text("old", encoding="utf-8")
    command = [sys.executable, "-m", "lexiconforge", "build", "--out", str(tmp_path)]
    process = subprocess.Popen(command, stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True)
    for _ in range(200):
        time.sleep(0.05)
        if list(tmp_path.glob(".unfinished-*/*")):
            break
    process.send_signal(signal.SIGINT)
    _, err = process.communicate(timeout=30)
    assert process.returncode == 130
    assert "interrupted" in err
    assert "Traceback" not in err
    assert [path.name for path in tmp_path.iterdir()] == ["manifest.json"]
    assert before.read_text(encoding="utf-8") == "old"


def test_importing_the_package_is_cheap() -> None:
    code = (
        "import sys, lexiconforge; print([m for m in ('pandas', 'numpy', 'nltk') if m in sys.modules])"
    )
    result = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert result.stdout.strip() == "[]"


def test_the_results_go_to_standard_output_alone() -> None:
    command = [sys.executable, "-m", "lexiconforge", "words", "--allophone", "tap", "--out", "-"]
    process = subprocess.Popen(command, stdout=subprocess.PIPE, stderr=subprocess.PIPE)
    assert process.stdout is not None
    assert process.stdout.readline().startswith(b"place,word,marked")
    process.stdout.close()
    _, err = process.communicate(timeout=60)
    assert b"Traceback" not in err
