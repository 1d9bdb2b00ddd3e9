"""The notebooks give what is kept in them."""

from __future__ import annotations

import json
import runpy
from pathlib import Path

import pytest
from conftest import ROOT

FOLDER = ROOT / "notebooks"
NOTEBOOKS = sorted(FOLDER.glob("*.ipynb"))
RUN = runpy.run_path(str(FOLDER / "run.py"), run_name="run")


@pytest.mark.campaign
@pytest.mark.parametrize("path", NOTEBOOKS, ids=lambda path: path.stem)
def test_it_gives_what_is_kept(path: Path) -> None:
    pytest.importorskip("matplotlib")
    _, differences = RUN["run"](path)
    assert not differences, "\n".join(differences)


def test_a_difference_is_told(tmp_path: Path) -> None:
    book = json.loads(NOTEBOOKS[0].read_text(encoding="utf-8"))
    cell = {"cell_type": "code", "source": ["1 + 1"], "outputs": [], "execution_count": None}
    (tmp_path / "a.ipynb").write_text(json.dumps(book | {"cells": [cell]}), encoding="utf-8")
    made, differences = RUN["run"](tmp_path / "a.ipynb")
    assert len(differences) == 1
    assert made["cells"][0]["outputs"][0]["data"]["text/plain"] == ["2"]


@pytest.mark.parametrize("path", NOTEBOOKS, ids=lambda path: path.stem)
def test_it_asks_first_and_decides_in_words(path: Path) -> None:
    cells = json.loads(path.read_text(encoding="utf-8"))["cells"]
    prose = ["".join(cell["source"]) for cell in cells if cell["cell_type"] == "markdown"]
    assert prose[0].startswith("# ")
    assert "?" in prose[0]
    assert any("**Decision.**" in text for text in prose)
    for cell in cells:
        for output in cell.get("outputs", ()):
            if "image/svg+xml" in output.get("data", {}):
                assert output["metadata"]["image/svg+xml"]["alt"]
