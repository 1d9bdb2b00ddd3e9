"""Pages that stand alone: one HTML file with its data, style and script inside, which asks no network.

Room: fills the templates in ``pages/``; what they show is chosen elsewhere.
"""

from __future__ import annotations

import json
from collections.abc import Sequence
from html import escape
from importlib.resources import files
from string import Template
from typing import TYPE_CHECKING

from lexiconforge.export.manifest import SHARE_ALIKE, references
from lexiconforge.sources import Source

if TYPE_CHECKING:
    import pandas as pd


def page_text(cards: pd.DataFrame, sources: Sequence[Source]) -> str:
    """A page on which a teacher chooses, ticks, prints and saves words.

    ``cards`` has the columns of :func:`lexiconforge.wordlists.word_cards`.
    """
    return filled(
        "words.html",
        style=template("words.css"),
        script=template("words.js"),
        data=embedded(cards),
        credits=credits_html(sources),
    )


def embedded(table: pd.DataFrame) -> str:
    """A table as JSON that can stand in a script element: ``columns``, and ``rows`` as arrays.

    >>> import pandas as pd
    >>> embedded(pd.DataFrame({"word": ["</script>"]}))
    '{"columns":["word"],"rows":[["\\\\u003c/script>"]]}'
    """
    rows = [
        [None if value is None or value != value else value for value in row]
        for row in table.astype(object).where(table.notna(), None).itertuples(index=False, name=None)
    ]
    content = {"columns": list(table.columns), "rows": rows}
    text = json.dumps(content, ensure_ascii=False, separators=(",", ":"))
    # Nothing in a script element may look like the end of it.
    return text.replace("<", "\\u003c")


def credits_html(sources: Sequence[Source]) -> str:
    """Whose data it is and what the sources of the rules are, as lists."""
    items = "\n".join(
        f"<li>{escape(source.provides)}: {escape(source.package)} {escape(source.version)}. "
        f"{escape(source.licence)}. {escape(source.citation)} {escape(source.notice)}</li>"
        for source in sources
    )
    rules = "\n".join(
        f"<li>{escape(key)}: {escape(citation)}</li>" for key, citation in references().items()
    )
    return (
        f"<p>{escape(SHARE_ALIKE)}</p>\n<ul>\n{items}\n</ul>\n"
        f"<p>Where the rules are described:</p>\n<ul>\n{rules}\n</ul>"
    )


def filled(name: str, **parts: str) -> str:
    """A template with its parts put in; these are markup already."""
    return Template(template(name)).substitute(parts)


def template(name: str) -> str:
    """The text of a file in ``pages/``."""
    return files("lexiconforge.export").joinpath("pages", name).read_text(encoding="utf-8").strip("\n")
