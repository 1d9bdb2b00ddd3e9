"""The documentation site: Sphinx, the theme furo, Markdown by MyST.

Sphinx because the reference comes from docstrings whose references it understands, and it is maintained; furo because it is
a maintained theme that works without JavaScript and in dark. MkDocs' usual theme is in maintenance.
"""

from __future__ import annotations

import re
import sys
from pathlib import Path

HERE = Path(__file__).parent
sys.path.insert(0, str(HERE.parent))

import lexiconforge  # noqa: E402

project = "LexiconForge"
author = copyright = "the LexiconForge project"
version = release = lexiconforge.__version__
extensions = ["myst_parser", "sphinx.ext.autodoc"]
html_theme = "furo"
html_title = f"LexiconForge {version}"
myst_heading_anchors = 3
myst_enable_extensions: list[str] = []
exclude_patterns = ["_build"]
autodoc_typehints = "description"
autodoc_typehints_format = "short"
autodoc_member_order = "bysource"
autodoc_preserve_defaults = True
linkcheck_timeout = 20
linkcheck_retries = 2


def tidied(app: object, what: str, name: str, thing: object, options: object, lines: list[str]) -> None:
    """Docstrings as reStructuredText wants them: no blank at the edge of a literal (``; ``)."""
    text = re.sub(
        r"``(.+?)``", lambda literal: f"``{literal[1].strip()}``", "\n".join(lines), flags=re.DOTALL
    )
    lines[:] = text.split("\n")


def write_reference(app: object) -> None:
    """The public names by room, from the package itself, so that none is forgotten."""
    told = "All are imported from the package itself (``from lexiconforge import build``); headings tell where they live."
    out = ["API reference", "=============", "", told, ""]
    for room, names in lexiconforge._ROOMS.items():
        out += [f"lexiconforge.{room}", "-" * (13 + len(room)), ""]
        for name in names:
            thing = getattr(lexiconforge, name)
            module = f"lexiconforge.{room}"
            if isinstance(thing, type):
                out += [f".. autoclass:: {module}.{name}", "   :members:", "   :show-inheritance:", ""]
            elif callable(thing):
                out += [f".. autofunction:: {module}.{name}", ""]
            else:
                out += [f".. autodata:: {module}.{name}", "   :no-value:", ""]
    page = HERE / "reference.rst"
    text = "\n".join(out)
    if not page.exists() or page.read_text(encoding="utf-8") != text:
        page.write_text(text, encoding="utf-8")


def setup(app) -> None:  # type: ignore[no-untyped-def]
    app.connect("builder-inited", write_reference)
    app.connect("autodoc-process-docstring", tidied)
