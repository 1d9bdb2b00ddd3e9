"""Pages that stand alone: one HTML file with its data, style and script inside, which asks no network.

Room: fills the templates in ``pages/``; what they show is chosen elsewhere.
"""

from __future__ import annotations

import json
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from html import escape
from importlib.resources import files
from string import Template
from typing import TYPE_CHECKING

from lexiconforge import data
from lexiconforge.export.manifest import SHARE_ALIKE, references
from lexiconforge.lists.wordlists import MUCH_RARER
from lexiconforge.sources import Source
from lexiconforge.tables import Table

if TYPE_CHECKING:
    from lexiconforge.sounds import Sound


SCRIPTS = ("data", "marks", "search", "choose", "mine", "others", "paper", "round", "start")
"""The parts of the page's script, in their order: each uses what those before it define."""
FEW = 3
"""A column whose values each stand in this many cells or more is packed as numbers of a list of its values."""


def page_text(
    cards: Table,
    sound: Sound,
    sources: Sequence[Source],
    *,
    opening: str | None = None,
    material: Material | None = None,
) -> str:
    """A page on which a teacher chooses words, keeps them in sets, prints and saves them, and a learner sorts them.

    ``cards`` has the columns of :func:`lexiconforge.lists.wordlists.word_cards`; the page opens on the words whose sound
    is the allophone ``opening``, every word for ``""``; if None is given, on those with the first tapped one, one a
    family. ``material`` is what has a part of its own on it.
    """
    names = ", ".join(f"{source.package} ({source.licence})" for source in sources)
    about = {
        "letters": sound.letters,
        "allophones": {
            a.id: {
                "label": a.label,
                "sign": a.sign,
                "symbol": a.symbol,
                "plain": a.plain,
                "aliases": a.aliases,
            }
            for a in sound.allophones.values()
        },
        "environments": sound.environments,
        "opening": sound.target_id() if opening is None else opening,
        "one": opening is None,
        "much_rarer": MUCH_RARER,
        "credits": f"{SHARE_ALIKE} Data: {names}.",
        **_search_signs(),
    }
    given = {"cards": packed(cards)} | (material or Material()).packed()
    script = "\n".join(template(f"words.{name}.js") for name in SCRIPTS)
    return render(
        "words.html",
        letters=escape(sound.letters),
        sign=escape(next(iter(sound.allophones.values())).sign),
        style=f"{template('words.css')}\n{template('marks.css')}",
        script=f'"use strict";\n(() => {{\n{script}\n}})();',
        sound=script_json(about),
        data=script_json(given),
        credits=credits_html(sources),
    )


Mark = tuple[int, int, str]
"""Start and end of the letters of a sound in a text, and its allophone."""


@dataclass(frozen=True, kw_only=True)
class Material:
    """What a page shows besides words. ``links`` and ``contrasts`` have the columns of
    :func:`lexiconforge.lists.linking.links` and :func:`lexiconforge.lists.contrasts.contrast_sets`, ``lessons`` those of
    :func:`lexiconforge.teaching.planning.plan`; ``lines`` are lines to say; ``marks`` gives the sounds in any of their
    texts, in their order."""

    links: Table | None = None
    contrasts: Table | None = None
    lessons: Table | None = None
    lines: Sequence[str] = ()
    marks: Callable[[str], Sequence[Mark]] = lambda text: ()

    def packed(self) -> dict[str, object]:
        """The parts that are there, ready for the page."""
        made = {
            "links": self._links(),
            "contrasts": self._contrasts(),
            "lines": self._lines(),
            "lessons": None if self.lessons is None else self.lessons.only(LESSON_COLUMNS),
        }
        return {name: packed(table) for name, table in made.items() if table is not None and len(table)}

    def _links(self) -> Table | None:
        if self.links is None:
            return None
        texts = [" ".join(pair) for pair in zip(self.links["first"], self.links["second"], strict=True)]
        marks = []
        for text, first, allophone in zip(
            texts, self.links["first"], self.links["allophone"], strict=True
        ):
            here = self.marks(text)
            # What links is labelled by the rule, as in the table; the rest of the two words as in a text.
            last = max((n for n, mark in enumerate(here) if mark[1] <= len(first)), default=None)
            marks.append(
                [(*mark[:2], allophone if n == last else mark[2]) for n, mark in enumerate(here)]
            )
        shown = self.links.only(("ipa", "environment", "level", "example")).columns
        return Table("links", {"text": texts, "marks": marks, **shown})

    def _contrasts(self) -> Table | None:
        if self.contrasts is None:
            return None
        first, second = self.contrasts["first"], self.contrasts["second"]
        columns = self.contrasts.columns
        return Table(
            "contrasts",
            {
                "kind": columns["kind"],
                "text": first,
                "marks": [list(self.marks(text)) for text in first],
                "ipa": columns["first_ipa"],
                "second": second,
                "second_marks": [list(self.marks(text)) for text in second],
                "second_ipa": columns["second_ipa"],
                "note": columns["note"],
            },
        )

    def _lines(self) -> Table:
        marks = [list(self.marks(line)) for line in self.lines]
        return Table("lines", {"text": list(self.lines), "marks": marks})


LESSON_COLUMNS = ("lesson", "title", "role", "item")


def _search_signs() -> dict[str, object]:
    """How IPA may be typed, of ``data/search_signs.csv``."""
    rows = data.rows("search_signs")
    return {
        "typed": {row["written"]: row["sign"] for row in rows if row["kind"] == "typed"},
        "same": [
            {"written": row["written"], "sign": row["sign"]} for row in rows if row["kind"] == "same"
        ],
        "extra": [row["written"] for row in rows if row["kind"] == "extra"],
    }


def mark_attributes(sound: Sound, allophone: str) -> str:
    """How a mark says what it marks."""
    sign = sound.allophones[allophone].sign
    return f'data-sign="{escape(sign)}" data-allophone="{escape(allophone)}"'


def packed(table: Table) -> dict[str, object]:
    """A table as JSON takes it, column by column: the cells, or of text that repeats ``values`` and ``index``, for each row
    which of them it has.

    >>> packed(Table("list", {"word": ["a", "a", "b", "a", "b", "b"], "rank": [1, 2, 3, 4, 5, 6]}))["columns"]
    {'word': {'values': ['a', 'b'], 'index': [0, 0, 1, 0, 1, 1]}, 'rank': [1, 2, 3, 4, 5, 6]}
    """
    columns: dict[str, object] = {}
    for name, cells in table.columns.items():
        values = (
            list(dict.fromkeys(cells)) if all(isinstance(cell, str) for cell in cells) else list(cells)
        )
        if len(values) * FEW <= len(cells):
            places = {value: n for n, value in enumerate(values)}
            columns[name] = {"values": values, "index": [places[cell] for cell in cells]}
        else:
            columns[name] = cells
    return {"columns": columns}


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
