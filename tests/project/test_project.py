"""The repository keeps its own promises."""

from __future__ import annotations

import csv
import re
import subprocess
import sys
import tomllib
from importlib import import_module
from pathlib import Path

import pytest
from conftest import ROOT, mypy_alone

import lexiconforge
from lexiconforge import building
from lexiconforge.cli import COMMANDS, main

pytestmark = pytest.mark.usefixtures("few_only")

PACKAGE = ROOT / "lexiconforge"
DATA = PACKAGE / "data"


def test_the_newest_changelog_heading_is_the_version() -> None:
    text = (ROOT / "CHANGELOG.md").read_text(encoding="utf-8")
    heading = re.search(r"^## (\S+)", text, re.MULTILINE)
    assert heading is not None
    assert heading.group(1) == lexiconforge.__version__


def test_every_command_is_in_the_readme() -> None:
    text = (ROOT / "README.md").read_text(encoding="utf-8")
    for command in COMMANDS:
        assert f"lexiconforge {command}" in text, command
        assert import_module(f"lexiconforge.cli.{command.replace('-', '_')}").__doc__


TABLES = sorted([*PACKAGE.rglob("*.csv"), *(ROOT / "tests" / "data").glob("*.csv")])


@pytest.mark.parametrize("path", TABLES, ids=lambda path: path.relative_to(ROOT).as_posix())
def test_data_files_are_whole(path: Path) -> None:
    """As many cells in each row as names in the head, no row twice, nothing but UTF-8 and line feeds, no spaces at the
    ends of cells but what parts the values of one."""
    text = path.read_bytes().decode("utf-8")
    assert text.endswith("\n")
    assert "\r" not in text
    assert not text.startswith("\ufeff")
    rows = list(csv.reader(text.splitlines(keepends=True), strict=True))
    assert all(len(row) == len(rows[0]) for row in rows)
    assert len(set(rows[0])) == len(rows[0])
    assert len({tuple(row) for row in rows}) == len(rows)
    cells = [
        cell for row in rows for name, cell in zip(rows[0], row, strict=True) if name != "separator"
    ]
    assert [cell for cell in cells if cell != cell.strip()] == []


def test_every_dependency_is_explained_with_its_lowest_version() -> None:
    project = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))["project"]
    extras = project["optional-dependencies"].values()
    wanted = [*project["dependencies"], *(name for names in extras for name in names)]
    stated = {
        f"{cells[1]}>={cells[2]}"
        for line in (ROOT / "docs" / "dependencies.md").read_text(encoding="utf-8").splitlines()
        if len(cells := [cell.strip() for cell in line.split("|")]) > 6 and cells[2][:1].isdigit()
    }
    assert stated == {n.partition(";")[0] for n in wanted if not n.startswith("lexiconforge")}


@pytest.mark.campaign
def test_a_command_of_the_readme_is_one_that_runs(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    """All of them, in a folder where the lists and texts lie that they name; but not those of minutes."""
    (tmp_path / "course").mkdir()
    for path in (DATA / "corpus").glob("*.txt"):
        (tmp_path / "course" / path.name).write_bytes(path.read_bytes())
    (tmp_path / "interviews").mkdir()
    cue = "1\n00:00:01.000 --> 00:00:02.000\nPut it on.\n"
    (tmp_path / "interviews" / "one.vtt").write_text(f"WEBVTT\n\n{cue}", encoding="utf-8")
    (tmp_path / "script.txt").write_text("Put it on.\n", encoding="utf-8")
    (tmp_path / "own.dict").write_text("grotto G R AA1 T OW0\n", encoding="utf-8")
    (tmp_path / "own.csv").write_text("word,zipf\ngrotto,3\n", encoding="utf-8")
    monkeypatch.chdir(tmp_path)
    monkeypatch.setattr(building, "PAGE_WORDS", 300)
    assert main(["build", "--size", "5", "--out", "last-year"]) == 0
    assert main(["words", "--allophone", "tap", "--limit", "30", "--out", "tap.csv"]) == 0
    (tmp_path / "last-term.csv").write_bytes((tmp_path / "tap.csv").read_bytes())
    text = (ROOT / "README.md").read_text(encoding="utf-8")
    lines = re.findall(r"^lexiconforge ([^#\n]+?)\s*(?:#.*)?$", text, re.MULTILINE)
    assert {line.split()[0] for line in lines} == set(COMMANDS)
    for line in lines:
        assert main(line.split()) == 0, f"{line}\n{capsys.readouterr().err}"


def test_lint_format_and_types() -> None:
    for command in (["ruff", "check", "."], ["ruff", "format", "--check", "."], ["mypy"]):
        with mypy_alone():
            result = subprocess.run(
                [sys.executable, "-m", *command], cwd=ROOT, capture_output=True, text=True
            )
        assert result.returncode == 0, result.stdout + result.stderr
