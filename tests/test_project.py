"""The repository keeps its own promises."""

from __future__ import annotations

import csv
import json
import re
import subprocess
import sys
from importlib import import_module
from pathlib import Path

import pytest
from conftest import ROOT

import lexiconforge
from lexiconforge.cli import COMMANDS

DATA = ROOT / "lexiconforge" / "data"


def test_the_newest_changelog_heading_is_the_version() -> None:
    text = (ROOT / "CHANGELOG.md").read_text(encoding="utf-8")
    heading = re.search(r"^## (\S+)", text, re.MULTILINE)
    assert heading is not None
    assert heading.group(1) == lexiconforge.__version__


@pytest.mark.parametrize("name", sorted(lexiconforge.__all__))
def test_public_names_exist_and_are_explained(name: str) -> None:
    thing = getattr(lexiconforge, name)
    assert isinstance(thing, tuple) or thing.__doc__


def test_every_command_is_in_the_readme() -> None:
    text = (ROOT / "README.md").read_text(encoding="utf-8")
    for command in COMMANDS:
        assert f"lexiconforge {command}" in text, command
        assert import_module(f"lexiconforge.cli.{command.replace('-', '_')}").__doc__


@pytest.mark.parametrize("path", sorted(DATA.glob("*.csv")), ids=lambda path: path.name)
def test_data_files_are_whole(path: Path) -> None:
    with path.open(encoding="utf-8", newline="") as file:
        rows = list(csv.reader(file))
    assert all(len(row) == len(rows[0]) for row in rows)
    assert len({tuple(row) for row in rows}) == len(rows)


@pytest.mark.parametrize(
    "path", sorted((ROOT / "notebooks").glob("*.ipynb")), ids=lambda path: path.name
)
def test_notebooks_run_and_keep_no_output(path: Path) -> None:
    cells = json.loads(path.read_text(encoding="utf-8"))["cells"]
    code = [cell for cell in cells if cell["cell_type"] == "code"]
    assert code
    assert not any(cell["outputs"] or cell["execution_count"] for cell in code)
    names: dict[str, object] = {}
    for cell in code:
        exec(compile("".join(cell["source"]), path.name, "exec"), names)


def test_lint_format_and_types() -> None:
    for command in (["ruff", "check", "."], ["ruff", "format", "--check", "."], ["mypy"]):
        result = subprocess.run(
            [sys.executable, "-m", *command], cwd=ROOT, capture_output=True, text=True
        )
        assert result.returncode == 0, result.stdout + result.stderr
