"""The package as a client's type checker sees it: good use passes, and each mistake is found where it is made."""

from __future__ import annotations

import json
import re
import subprocess
import sys
from collections.abc import Mapping
from pathlib import Path

import pytest
from conftest import HERE, ROOT, mypy_alone

PROGRAMS = sorted((HERE / "data" / "client").glob("*.py.txt"))
WRONG = "  # wrong"

Found = Mapping[str, Mapping[int, str]]
"""Messages by file and line."""


@pytest.fixture(scope="module")
def project(tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("client")
    for path in PROGRAMS:
        (folder / path.stem).write_bytes(path.read_bytes())
    (folder / "pyrightconfig.json").write_text('{"typeCheckingMode": "strict"}', encoding="utf-8")
    return folder


@pytest.fixture(scope="module")
def by_mypy(project: Path) -> Found:
    # Shared with the check of the package: what both import is read once.
    cache = ROOT / ".mypy_cache"
    command = [
        sys.executable,
        "-m",
        "mypy",
        "--strict",
        "--no-error-summary",
        "--cache-dir",
        str(cache),
        ".",
    ]
    with mypy_alone():
        result = subprocess.run(command, cwd=project, capture_output=True, text=True, check=False)
    assert result.returncode in (0, 1), result.stdout + result.stderr
    found: dict[str, dict[int, str]] = {}
    for line in result.stdout.splitlines():
        message = re.fullmatch(r"(\w+\.py):(\d+): (error|note): (.*)", line)
        assert message, line
        if message[3] == "error":
            found.setdefault(message[1], {})[int(message[2])] = message[4]
    return found


@pytest.fixture(scope="module")
def by_pyright(project: Path) -> Found:
    pyright = [sys.executable, "-m", "pyright"]
    if subprocess.run([*pyright, "--version"], capture_output=True, check=False).returncode:
        pytest.skip("pyright cannot start here: it needs Node.js, and the network once")
    command = [*pyright, "--pythonpath", sys.executable, "--outputjson"]
    result = subprocess.run(command, cwd=project, capture_output=True, text=True, check=False)
    assert result.returncode in (0, 1), result.stdout + result.stderr
    report = json.loads(result.stdout)
    assert report["summary"]["filesAnalyzed"] == len(PROGRAMS)
    found: dict[str, dict[int, str]] = {}
    for message in report["generalDiagnostics"]:
        line = message["range"]["start"]["line"] + 1
        found.setdefault(Path(message["file"]).name, {})[line] = message["message"]
    return found


@pytest.fixture(params=["mypy", pytest.param("pyright", marks=pytest.mark.campaign)])
def found(request: pytest.FixtureRequest) -> Found:
    messages: Found = request.getfixturevalue(f"by_{request.param}")
    return messages


def test_good_use_passes(found: Found) -> None:
    assert found.get("good.py", {}) == {}


@pytest.mark.parametrize("name", ["misspelt", "arguments", "attributes"])
def test_every_mistake_is_found_and_nothing_else(name: str, found: Found) -> None:
    """A misspelt name of the package, an argument of a wrong type, a wrong attribute of a record."""
    lines = (HERE / "data" / "client" / f"{name}.py.txt").read_text(encoding="utf-8").splitlines()
    wrong = {number for number, line in enumerate(lines, start=1) if line.endswith(WRONG)}
    assert len(wrong) >= 4
    assert found[f"{name}.py"].keys() == wrong


def test_every_program_is_checked() -> None:
    assert [path.name.partition(".")[0] for path in PROGRAMS] == [
        "arguments",
        "attributes",
        "good",
        "misspelt",
    ]
