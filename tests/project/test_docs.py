"""The pages of the site: their commands are ones there are, their examples run, their links lead somewhere."""

from __future__ import annotations

import doctest
import re
import shlex
from pathlib import Path

import pytest
from conftest import ROOT

from lexiconforge.cli import parser

PAGES = sorted((ROOT / "docs").glob("*.md"))


def test_there_are_the_pages_that_people_are_sent_to() -> None:
    assert {"index", "start", "afternoon", "import", "how-it-decides", "data-and-terms"} <= {
        path.stem for path in PAGES
    }


@pytest.mark.parametrize("page", PAGES, ids=lambda path: path.stem)
def test_examples_run(page: Path) -> None:
    failed, _ = doctest.testfile(
        str(page),
        module_relative=False,
        encoding="utf-8",
        optionflags=doctest.NORMALIZE_WHITESPACE | doctest.ELLIPSIS,
    )
    assert not failed


@pytest.mark.parametrize("page", PAGES, ids=lambda path: path.stem)
def test_commands_are_understood(page: Path) -> None:
    text = page.read_text(encoding="utf-8")
    for block in re.findall(r"^```bash\n(.*?)^```", text, re.MULTILINE | re.DOTALL):
        for line in block.splitlines():
            words = shlex.split(line, comments=True)
            if words and words[0].endswith("lexiconforge"):
                parser(words[1]).parse_args(words[1:])


@pytest.mark.parametrize("page", PAGES, ids=lambda path: path.stem)
def test_links_lead_somewhere(page: Path) -> None:
    text = re.sub(r"^```.*?^```", "", page.read_text(encoding="utf-8"), flags=re.MULTILINE | re.DOTALL)
    for target in re.findall(r"\]\(([^)#\s]+)(?:#[^)]*)?\)", text):
        if not target.startswith(("http:", "https:", "mailto:")) and target != "reference.rst":
            assert (page.parent / target).exists(), target
