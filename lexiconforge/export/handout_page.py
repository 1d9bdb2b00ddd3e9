"""A handout as one HTML file to print: two sides for the learner, one for the key, on A4 or Letter.

Room: draws what :mod:`lexiconforge.teaching.handouts` has chosen; decides nothing.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from html import escape

from lexiconforge.export.manifest import SHARE_ALIKE
from lexiconforge.export.page import mark_attributes, render, template
from lexiconforge.sounds import Allophone, Sound
from lexiconforge.sources import Source
from lexiconforge.teaching.handouts import Entry, Handout, Item, Part

SIDES = ("both", "learner", "key")
"""What of a handout a file holds."""


def handout_text(sheet: Handout, sources: Sequence[Source], sides: str = "both") -> str:
    """A handout as pages to print, one HTML file; ``sides`` is one of :data:`SIDES`. Without ``both``, the key is left out
    or stands alone."""
    with_key = sheet.key and sides != "learner" and (sides == "key" or sheet.options.key != "none")
    pages = [] if sides == "key" else [_learner(sheet)]
    if with_key:
        pages.append(_key(sheet))
    return render(
        "handout.html",
        title=escape(sheet.title),
        style=f"{template('handout.css')}\n{template('marks.css')}",
        paper={"a4": "A4", "letter": "letter"}[sheet.options.paper],
        number=str(sheet.options.seed),
        pages="\n".join(pages),
        credits=escape(credit_line(sources)),
    )


def credit_line(sources: Sequence[Source]) -> str:
    """Whose data it is, in one line."""
    names = ", ".join(f"{source.package} ({source.licence})" for source in sources)
    return f"{SHARE_ALIKE} Data: {names}."


def legend_text(allophone: Allophone) -> str:
    """What the sign of an allophone says, in words.

    >>> from lexiconforge.sounds import load_sound
    >>> legend_text(load_sound().allophones["tap"])
    'tap [ɾ]: a quick touch of the tongue; to many ears a fast d'
    """
    return f"{allophone.label} [{allophone.symbol}]: {allophone.plain}"


def _learner(sheet: Handout) -> str:
    name = f'<p class="who"><span>Name</span><span>Date</span><b class="set">Set {sheet.options.seed}</b></p>'
    rule = f'<p class="rule">{escape(sheet.rule)}</p>' if sheet.rule else ""
    signs = "".join(
        f"<li><mark {mark_attributes(sheet.sound, one.id)}>{escape(sheet.sound.letters)}</mark> "
        f"{escape(legend_text(one))}</li>"
        for one in sheet.legend
    )
    legend = f'<ul class="legend" aria-label="Signs">{signs}</ul>'
    parts = "\n".join(_part(sheet.sound, part) for part in sheet.parts)
    return (
        f'<article class="learner">{name}<h1>{escape(sheet.title)}</h1>{rule}{legend}\n{parts}</article>'
    )


def _key(sheet: Handout) -> str:
    head = f'<b class="set">Set {sheet.options.seed}</b><h1>Key: {escape(sheet.title)}</h1>'
    parts = "\n".join(_part(sheet.sound, part) for part in sheet.key)
    return f'<article class="key">{head}\n{parts}</article>'


def _part(sound: Sound, part: Part) -> str:
    told = f"<p>{escape(part.told)}</p>" if part.told else ""
    tag = "div" if part.layout == "prose" else "ol"
    entries = "".join(_entries(sound, part))
    spoken = " spoken" if any(entry.lead for entry in part.entries) else ""
    kind = f"{part.layout}{spoken}"
    return (
        f'<section data-part="{part.name}"><h2>{escape(part.title)}</h2>{told}'
        f'<{tag} class="{kind}">{entries}</{tag}></section>'
    )


def _entries(sound: Sound, part: Part) -> Iterator[str]:
    for entry in part.entries:
        content = _content(sound, part, entry)
        yield f"<p>{content}</p>" if part.layout == "prose" else f"<li>{content}</li>"


def _content(sound: Sound, part: Part, entry: Entry) -> str:
    """One entry: what leads it, its item or items, IPA and note."""
    box = "<i></i>" if part.layout == "boxes" else ""
    lead = f"<b>{escape(entry.lead)}</b> " if entry.lead else ""
    sides = [entry.item] if entry.other is None else [entry.item, entry.other]
    shown = ' <span class="or">/</span> '.join(
        f"<em>{_marked(sound, side, part.shown)}</em>"
        if entry.other
        else _marked(sound, side, part.shown)
        for side in sides
    )
    ipa = " / ".join(side.ipa for side in sides if side.ipa) if part.ipa else ""
    beside = ", ".join(filter(None, (ipa, entry.note)))
    return f"{box}{lead}{shown}{f' <span>{escape(beside)}</span>' if beside else ''}"


def _marked(sound: Sound, item: Item, shown: str) -> str:
    """The text with the sound marked; with its sign, only that it is asked about, or not at all."""
    out, done = [], 0
    for start, end, allophone in item.marks if shown != "plain" else ():
        if end > start:
            look = 'class="asked"' if shown == "asked" else mark_attributes(sound, allophone)
            out.append(
                f"{escape(item.text[done:start])}<mark {look}>{escape(item.text[start:end])}</mark>"
            )
            done = end
    return "".join([*out, escape(item.text[done:])])
