"""Pages that stand alone: one HTML file with its data, style and script inside, which asks no network.

Room: fills the templates in ``pages/``; what they show is chosen elsewhere.
"""

from __future__ import annotations

import json
from collections.abc import Sequence
from functools import partial
from html import escape
from importlib.resources import files
from string import Template
from typing import TYPE_CHECKING

from lexiconforge.export.manifest import SHARE_ALIKE, references
from lexiconforge.export.tables import present
from lexiconforge.sources import Source

if TYPE_CHECKING:
    import pandas as pd

    from lexiconforge.handouts import Handout, Item


def page_text(cards: pd.DataFrame, sources: Sequence[Source]) -> str:
    """A page on which a teacher chooses, ticks, prints and saves words.

    ``cards`` has the columns of :func:`lexiconforge.wordlists.word_cards`.
    """
    return filled(
        "words.html",
        style=f"{template('words.css')}\n{template('marks.css')}",
        script=template("words.js"),
        data=embedded(cards),
        credits=credits_html(sources),
    )


def handout_text(sheet: Handout, sources: Sequence[Source]) -> str:
    """A handout as pages to print, one HTML file."""
    page, ipa = partial(_page, sheet.options.seed), sheet.options.ipa
    article = "an" if sheet.target[0] in "aeiou" else "a"
    target = f"{article} {sheet.target}"
    pages = []
    if sheet.words:
        items = _items(sheet.words, ipa=ipa)
        pages.append(page(sheet.title, "", f'<ol class="words">{items}</ol>'))
    if sheet.sorting:
        items = "".join(f"<li><i></i>{_marked(item, shown=False)}</li>" for item in sheet.sorting)
        told = f"Say each word. Tick those in which the t is {target}."
        pages.append(page(f"Which of these have {target}?", told, f'<ol class="sort">{items}</ol>'))
    if sheet.linking:
        items = _items(sheet.linking, ipa=ipa)
        told = "Say the two words as one: the marked t belongs to both."
        pages.append(page("Link them", told, f'<ol class="links">{items}</ol>'))
    if sheet.dictation:
        lines = "<li></li>" * len(sheet.dictation)
        told = f"Listen and write. Then mark every t that you heard as {target}."
        pages.append(page("Dictation", told, f'<ol class="lines">{lines}</ol>'))
    if sheet.sorting:
        items = "".join(
            f"<li><b>{'✓' if sheet.target in item.allophones else '–'}</b>{_marked(item)}"
            f" <span>{escape(item.ipa)}, {escape('; '.join(item.allophones))}</span></li>"
            for item in sheet.sorting
        )
        told = f"✓ marks the words in which the t usually is {target}; in the others it is not heard so."
        if "aspirated" not in sheet.target:
            told += " A true t is always acceptable."
        pages.append(page(f"Key: which of these have {target}?", told, f'<ol class="key">{items}</ol>'))
    if sheet.dictation:
        items = _items(sheet.dictation, ipa=True)
        pages.append(
            page(
                "For the teacher: dictation",
                f"Read each twice. Marked is every t that usually is {target}.",
                f'<ol class="key">{items}</ol>',
            )
        )
    names = ", ".join(f"{source.package} ({source.licence})" for source in sources)
    return filled(
        "handout.html",
        title=escape(sheet.title),
        style=f"{template('handout.css')}\n{template('marks.css')}",
        paper={"a4": "A4", "letter": "letter"}[sheet.options.paper],
        number=str(sheet.options.seed),
        pages="\n".join(pages),
        credits=escape(f"{SHARE_ALIKE} Data: {names}."),
    )


def _page(number: int, title: str, told: str, content: str) -> str:
    told = f"<p>{escape(told)}</p>" if told else ""
    head = f'<span class="set">Set {number}</span><h1>{escape(title)}</h1>'
    return f"<section>{head}{told}{content}</section>"


def _items(items: Sequence[Item], *, ipa: bool) -> str:
    return "".join(
        f"<li>{_marked(item)}{f' <span>{escape(item.ipa)}</span>' if ipa else ''}</li>" for item in items
    )


def _marked(item: Item, *, shown: bool = True) -> str:
    """The word with its t marked; ``shown`` says whether the mark tells what the t is."""
    text = escape(item.marked or item.text).replace("]", "</mark>")
    if not shown:
        return text.replace("[", '<mark class="asked">')
    for kind in item.allophones:
        text = text.replace("[", f'<mark data-t="{escape(kind)}">', 1)
    return text


def embedded(table: pd.DataFrame) -> str:
    """A table as JSON that can stand in a script element: ``columns``, and ``rows`` as arrays.

    >>> import pandas as pd
    >>> embedded(pd.DataFrame({"word": ["</script>"]}))
    '{"columns":["word"],"rows":[["\\\\u003c/script>"]]}'
    """
    columns = [present(table.iloc[:, at]) for at in range(table.shape[1])]
    content = {"columns": list(table.columns), "rows": list(zip(*columns, strict=True))}
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
