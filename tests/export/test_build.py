"""The build end to end: what is in it, that it is whole, that it is the same every time."""

from __future__ import annotations

import hashlib
import json
import signal
import subprocess
import sys
import time
from pathlib import Path

import pandas as pd
import pytest

import lexiconforge
from lexiconforge.building import BuildOptions, BuildResult, build
from lexiconforge.errors import OptionError, WriteError
from lexiconforge.lexicon import Lexicon
from lexiconforge.sounds import load_sound
from lexiconforge.sources import SOURCES

pytestmark = pytest.mark.usefixtures("few_only")

LISTS = load_sound("t").lists


def read(path: Path) -> pd.DataFrame:
    return pd.read_csv(path, keep_default_na=False, dtype={"stress": "str"})


def names_of(folder: Path) -> set[str]:
    return {path.relative_to(folder).as_posix() for path in folder.rglob("*") if path.is_file()}


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return tmp_path_factory.mktemp("built")


@pytest.fixture(scope="module", autouse=True)
def result(folder: Path, few: Lexicon, few_only: None) -> BuildResult:
    return build(folder, BuildOptions(size=60), few)


def test_the_files_of_a_build(folder: Path) -> None:
    tables = {"t_tokens.csv", "words.csv", "links.csv", "left_out.csv",
              *(f"lists/{target.name}.csv" for target in LISTS)}  # fmt: skip
    described = {f"{name}-metadata.json" for name in tables}
    package = Path(lexiconforge.__file__).parent / "sounds"
    sounds = {f"sounds/t/{path.name}" for path in (package / "t").glob("*.csv")}
    sounds |= {f"sounds/{path.name}" for path in package.glob("*.csv")}
    assert names_of(folder) == tables | described | sounds | {"manifest.json", "SOURCES.md"}


def test_the_rule_tables_of_a_build_are_a_sound(folder: Path) -> None:
    """Whoever has the folder has the rules: what a build wrote can be loaded, and is the sound it was made with."""
    package = Path(lexiconforge.__file__).parent / "sounds"
    for path in (folder / "sounds").rglob("*.csv"):
        assert path.read_bytes() == (package / path.relative_to(folder / "sounds")).read_bytes()
    assert load_sound("t", folder / "sounds").rules == load_sound("t").rules


def test_what_a_build_says_it_did(folder: Path, result: BuildResult) -> None:
    assert list(result.rows) == list(result.titles)
    for name, rows in result.rows.items():
        assert len(read(folder / name)) == rows
    reasons = dict(
        zip(*(read(folder / "left_out.csv")[name] for name in ("word", "reason")), strict=True)
    )
    assert result.left_out.keys() == {r for cell in reasons.values() for r in cell.split("; ")}
    for reason, count in result.left_out.items():
        assert count == sum(reason in cell.split("; ") for cell in reasons.values())


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


def test_two_builds_are_byte_identical(folder: Path, tmp_path: Path, few: Lexicon) -> None:
    build(tmp_path, BuildOptions(size=60), few)
    for path in folder.rglob("*"):
        if path.is_file():
            assert (tmp_path / path.relative_to(folder)).read_bytes() == path.read_bytes(), path.name


def test_all_forms_lists_the_family_in_full(tmp_path: Path, few: Lexicon) -> None:
    build(tmp_path, BuildOptions(size=400, all_forms=True), few)
    words = set(read(tmp_path / "lists" / "tap.csv")["word"])
    assert {"waiting", "writing", "writer"} <= words


def test_a_folder_that_is_a_file(tmp_path: Path) -> None:
    place = tmp_path / "taken"
    place.write_text("mine", encoding="utf-8")
    with pytest.raises(WriteError, match="is a file"):
        build(place)
    assert place.read_text(encoding="utf-8") == "mine"


def test_options_are_checked_first() -> None:
    with pytest.raises(OptionError, match="size 0"):
        BuildOptions(size=0)
    with pytest.raises(OptionError, match="give one of the two"):
        BuildOptions(counts="a.parquet", frequencies="b.csv")
    with pytest.raises(OptionError, match="blend goes with counts"):
        BuildOptions(blend=True)


def test_a_build_of_another_sound_is_replaced_only_by_force(
    tmp_path: Path, few: Lexicon, few_d: Lexicon
) -> None:
    """And then none of its files is left, while a file that no build wrote stays."""
    build(tmp_path, BuildOptions(size=5), few)
    mine = tmp_path / "lists" / "mine.csv"
    mine.write_text("mine", encoding="utf-8")
    before = {name: (tmp_path / name).read_bytes() for name in names_of(tmp_path)}
    with pytest.raises(WriteError, match=r"holds a build of the sound t; .* --force"):
        build(tmp_path, BuildOptions(size=5), few_d)
    assert {name: (tmp_path / name).read_bytes() for name in names_of(tmp_path)} == before
    build(tmp_path, BuildOptions(size=5, force=True), few_d)
    manifest = json.loads((tmp_path / "manifest.json").read_text(encoding="utf-8"))
    assert manifest["sound"] == "d"
    assert names_of(tmp_path) == {*manifest["files"], "manifest.json", "lists/mine.csv"}
    assert "d_tokens.csv" in manifest["files"]
    assert not {"t_tokens.csv", "sounds/t/rules.csv", "lists/nasal-tap.csv"} & names_of(tmp_path)


@pytest.mark.usefixtures("heeded_signals")
def test_a_build_that_is_interrupted_leaves_the_old_files(
    tmp_path: Path, few_beside: dict[str, str]
) -> None:
    before = tmp_path / "manifest.json"
    before.write_text("old", encoding="utf-8")
    command = [sys.executable, "-m", "lexiconforge", "build", "--out", str(tmp_path)]
    process = subprocess.Popen(
        command, stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True, env=few_beside
    )
    for _ in range(6000):
        time.sleep(0.01)
        if list(tmp_path.glob(".lexiconforge-unfinished-*/*")):
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
