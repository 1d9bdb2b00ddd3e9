"""Pages that stand alone: one HTML file with its data, style and script inside, which asks no network.

Room: fills the templates in ``pages/``; what they show is chosen elsewhere.
"""

from __future__ import annotations

import json
from collections.abc import Iterator, Sequence
from functools import partial
from html import escape
from importlib.resources import files
from string import Template
from typing import TYPE_CHECKING

from lexiconforge.export.manifest import SHARE_ALIKE, references
from lexiconforge.sources import Source
from lexiconforge.tables import Table

if TYPE_CHECKING:
    from lexiconforge.sounds import Sound
    from lexiconforge.teaching.handouts import Handout, Item


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


def handout_text(sheet: Handout, sources: Sequence[Source]) -> str:
    """A handout as pages to print, one HTML file."""
    names = ", ".join(f"{source.package} ({source.licence})" for source in sources)
    return render(
        "handout.html",
        title=escape(sheet.title),
        style=f"{template('handout.css')}\n{template('marks.css')}",
        paper={"a4": "A4", "letter": "letter"}[sheet.options.paper],
        number=str(sheet.options.seed),
        pages="\n".join([*_learners_pages(sheet), *_key_pages(sheet)]),
        credits=escape(f"{SHARE_ALIKE} Data: {names}."),
    )


def _learners_pages(sheet: Handout) -> Iterator[str]:
    page, ipa, letters = partial(_page, sheet.options.seed), sheet.options.ipa, sheet.sound.letters
    target = _target(sheet)
    if sheet.words:
        yield page(
            sheet.title, "", f'<ol class="words">{_items(sheet.sound, sheet.words, ipa=ipa)}</ol>'
        )
    if sheet.sorting:
        items = "".join(f"<li><i></i>{_marked(None, item)}</li>" for item in sheet.sorting)
        told = f"Say each word. Tick those in which the {letters} is {target}."
        yield page(f"Which of these have {target}?", told, f'<ol class="sort">{items}</ol>')
    if sheet.linking:
        items = _items(sheet.sound, sheet.linking, ipa=ipa)
        told = f"Say the two words as one: the marked {letters} belongs to both."
        yield page("Link them", told, f'<ol class="links">{items}</ol>')
    if sheet.dictation:
        lines = "<li></li>" * len(sheet.dictation)
        told = f"Listen and write. Then mark every {letters} that you heard as {target}."
        yield page("Dictation", told, f'<ol class="lines">{lines}</ol>')


def _key_pages(sheet: Handout) -> Iterator[str]:
    page, sound, target = partial(_page, sheet.options.seed), sheet.sound, _target(sheet)
    if sheet.sorting:
        items = "".join(
            f"<li><b>{'✓' if sheet.target in item.allophones else '–'}</b>{_marked(sound, item)}"
            f" <span>{escape(item.ipa)}, {escape(_labels(sound, item))}</span></li>"
            for item in sheet.sorting
        )
        told = (
            f"✓ marks the words in which the {sound.letters} usually is {target}; in the others it is not heard so. "
            f"A true {sound.letters} is always acceptable."
        )
        yield page(f"Key: which of these have {target}?", told, f'<ol class="key">{items}</ol>')
    if sheet.dictation:
        told = f"Read each twice. Marked is every {sound.letters} that usually is {target}."
        items = _items(sound, sheet.dictation, ipa=True)
        yield page("For the teacher: dictation", told, f'<ol class="key">{items}</ol>')


def _target(sheet: Handout) -> str:
    from lexiconforge.teaching.handouts import with_article

    return with_article(sheet.sound.allophones[sheet.target].label)


def _labels(sound: Sound, item: Item) -> str:
    return "; ".join(sound.allophones[name].label for name in item.allophones)


def _page(number: int, title: str, told: str, content: str) -> str:
    told = f"<p>{escape(told)}</p>" if told else ""
    head = f'<span class="set">Set {number}</span><h1>{escape(title)}</h1>'
    return f"<section>{head}{told}{content}</section>"


def _items(sound: Sound, items: Sequence[Item], *, ipa: bool) -> str:
    return "".join(
        f"<li>{_marked(sound, item)}{f' <span>{escape(item.ipa)}</span>' if ipa else ''}</li>"
        for item in items
    )


def _marked(sound: Sound | None, item: Item) -> str:
    """The word with the sound marked; with its sign, or without a sound only that it is asked about."""
    out, done = [], 0
    for start, end, allophone in item.marks:
        if end > start:
            shown = 'class="asked"' if sound is None else mark_attributes(sound, allophone)
            out.append(
                f"{escape(item.text[done:start])}<mark {shown}>{escape(item.text[start:end])}</mark>"
            )
            done = end
    return "".join([*out, escape(item.text[done:])])


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
