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
from lexiconforge.tables import Table

if TYPE_CHECKING:
    from lexiconforge.sounds import Sound


def page_text(cards: Table, sound: Sound, sources: Sequence[Source]) -> str:
    """A page on which a teacher chooses, ticks, prints and saves words.

    ``cards`` has the columns of :func:`lexiconforge.lists.wordlists.word_cards`.
    """
    about = {
        "letters": sound.letters,
        "allophones": {
            a.id: {"label": a.label, "sign": a.sign, "symbol": a.symbol}
            for a in sound.allophones.values()
        },
        "environments": sound.environments,
    }
    return render(
        "words.html",
        letters=escape(sound.letters),
        sign=escape(next(iter(sound.allophones.values())).sign),
        style=f"{template('words.css')}\n{template('marks.css')}",
        script=template("words.js"),
        sound=script_json(about),
        data=embedded(cards),
        credits=credits_html(sources),
    )


def mark_attributes(sound: Sound, allophone: str) -> str:
    """How a mark says what it marks."""
    sign = sound.allophones[allophone].sign
    return f'data-sign="{escape(sign)}" data-allophone="{escape(allophone)}"'


def embedded(table: Table) -> str:
    """A table as JSON that can stand in a script element: ``columns``, and ``rows`` as arrays.

    >>> embedded(Table("list", {"word": ["</script>"]}))
    '{"columns":["word"],"rows":[["\\\\u003c/script>"]]}'
    """
    content = {"columns": list(table.columns), "rows": list(table.rows())}
    return script_json(content)


def script_json(content: object) -> str:
    """JSON that can stand in a script element: nothing in it looks like the end of one."""
    text = json.dumps(content, ensure_ascii=False, separators=(",", ":"))
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


def render(name: str, **parts: str) -> str:
    """A template with its parts put in; these are markup already."""
    return Template(template(name)).substitute(parts)


def template(name: str) -> str:
    """The text of a file in ``pages/``."""
    return files("lexiconforge.export").joinpath("pages", name).read_text(encoding="utf-8").strip("\n")
