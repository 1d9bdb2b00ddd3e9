"""A handout as a word processor's document (Office Open XML), to be edited: the content of the page, in real styles.

Room: draws what :mod:`lexiconforge.teaching.handouts` has chosen, as :mod:`lexiconforge.export.handout_page` does.
"""

from __future__ import annotations

import datetime
import io
import zipfile
from collections.abc import Sequence
from typing import Any

from lexiconforge.errors import WriteError
from lexiconforge.export.handout_page import credit_line, legend_text
from lexiconforge.sources import Source
from lexiconforge.teaching.handouts import Entry, Handout, Item, Part

FONT, FALLBACKS = "Charis SIL", "Gentium Plus, Doulos SIL, Cambria, Noto Serif, DejaVu Serif"
"""The font of the text and the IPA, free and made for phonetics, and those that stand in for it where it is missing: each
has the letters of the IPA and its combining marks."""
PAPER = {"a4": (210.0, 297.0), "letter": (215.9, 279.4)}
"""Width and height in millimetres (ISO 216; ANSI/ASME Y14.1)."""
UNDERLINES = {
    "bowl": "thick", "barred bowl": "wavyDouble", "dots": "dotted", "stop bar": "dash", "line": "single",
    "double line": "double",
}  # fmt: skip
"""How a word processor draws a sign, by its kind of underline (ECMA-376, ST_Underline); a box is a border, a strike one."""
MADE = datetime.datetime(2000, 1, 1)
"""Any fixed day will do: the day of writing would make every document another file."""
COLUMNS = {"columns": 3, "boxes": 4, "choice": 2}


def handout_bytes(sheet: Handout, sources: Sequence[Source], sides: str = "both") -> bytes:
    """The handout as a .docx file, the same bytes for the same handout; ``sides`` as in
    :func:`lexiconforge.export.handout_page.handout_text`. Raises :class:`~lexiconforge.errors.WriteError` where
    python-docx is not installed."""
    try:
        import docx
    except ImportError:
        raise WriteError(
            "a .docx needs the package python-docx: pip install 'lexiconforge[documents]'; or write .html"
        ) from None
    book = docx.Document()
    _Writer(book, sheet).write(credit_line(sources), sides)
    buffer = io.BytesIO()
    book.save(buffer)
    return _undated(buffer.getvalue())


def _undated(content: bytes) -> bytes:
    """The same archive without the time at which its files were packed."""
    made = io.BytesIO()
    with zipfile.ZipFile(io.BytesIO(content)) as before, zipfile.ZipFile(made, "w") as after:
        for entry in before.infolist():
            fixed = zipfile.ZipInfo(entry.filename, (2000, 1, 1, 0, 0, 0))
            fixed.compress_type = zipfile.ZIP_DEFLATED
            after.writestr(fixed, before.read(entry.filename))
    return made.getvalue()


class _Writer:
    """Writes one document."""

    def __init__(self, book: Any, sheet: Handout) -> None:
        self._book, self._sheet, self._sound = book, sheet, sheet.sound
        self._styles()
        self._paper()

    def write(self, credit: str, sides: str) -> None:
        """The learner's side, the key, the credit, as far as they are wanted."""
        sheet, book = self._sheet, self._book
        if sides != "key":
            self._learner()
        if sheet.key and sides != "learner" and (sides == "key" or sheet.options.key != "none"):
            head = book.add_paragraph(f"Key: {sheet.title}", style="Title")
            head.paragraph_format.page_break_before = sides != "key"
            book.add_paragraph(f"Set {sheet.options.seed}", style="Told")
            for part in sheet.key:
                self._part(part)
        book.add_paragraph(credit, style="Credit")

    def _learner(self) -> None:
        sheet, book = self._sheet, self._book
        book.add_paragraph(f"Name\t\tDate\t\tSet {sheet.options.seed}", style="Name and date")
        book.add_paragraph(sheet.title, style="Title")
        if sheet.rule:
            book.add_paragraph(sheet.rule, style="Rule")
        for one in sheet.legend:
            paragraph = book.add_paragraph(style="Sign")
            paragraph.add_run(self._sound.letters, style=_mark_style(one.label))
            paragraph.add_run(f"  {legend_text(one)}")
        for part in sheet.parts:
            self._part(part)

    def _part(self, part: Part) -> None:
        book = self._book
        book.add_paragraph(part.title, style="Heading 1")
        if part.told:
            told = book.add_paragraph(part.told, style="Told")
            told.paragraph_format.keep_with_next = True
        width = COLUMNS.get(part.layout, 1)
        if width == 1:
            for n, entry in enumerate(part.entries, start=1):
                style = {"prose": "Prose", "blanks": "Blank"}.get(part.layout, "Entry")
                paragraph = book.add_paragraph(style=style)
                if part.layout != "prose":
                    paragraph.add_run(f"{n}.\t")
                self._entry(paragraph, part, entry)
            return
        down = -(-len(part.entries) // width)
        table = book.add_table(rows=down, cols=width)
        for n, entry in enumerate(part.entries):
            paragraph = table.cell(n % down, n // down).paragraphs[0]
            paragraph.style = book.styles["Entry"]
            paragraph.add_run(f"{n + 1}.\t")
            self._entry(paragraph, part, entry)

    def _entry(self, paragraph: Any, part: Part, entry: Entry) -> None:
        if part.layout == "boxes":
            paragraph.add_run("☐ ")
        if entry.lead:
            paragraph.add_run(f"{entry.lead}:" if part.layout != "columns" else entry.lead, style="Lead")
            paragraph.add_run(" ")
        sides = [entry.item] if entry.other is None else [entry.item, entry.other]
        for n, side in enumerate(sides):
            if n:
                paragraph.add_run(" / ")
            self._item(paragraph, side, part.shown)
        said = " / ".join(side.ipa for side in sides if side.ipa) if part.ipa else ""
        if said:
            paragraph.add_run("  ")
            paragraph.add_run(said, style="IPA")
        if entry.note:
            paragraph.add_run(f"{', ' if said else '  '}{entry.note}", style="Note")

    def _item(self, paragraph: Any, item: Item, shown: str) -> None:
        done = 0
        for start, end, allophone in item.marks if shown != "plain" else ():
            if end > start:
                paragraph.add_run(item.text[done:start])
                label = self._sound.allophones[allophone].label
                style = "Asked" if shown == "asked" else _mark_style(label)
                paragraph.add_run(item.text[start:end], style=style)
                done = end
        paragraph.add_run(item.text[done:])

    def _styles(self) -> None:
        """The styles of the document, all of them a word processor's own that a teacher can change at once."""
        from docx.enum.style import WD_STYLE_TYPE
        from docx.shared import Mm, Pt, RGBColor

        styles, grey = self._book.styles, RGBColor(0x5A, 0x53, 0x4B)
        _font(styles["Normal"])
        styles["Normal"].font.size = Pt(11)
        styles["Normal"].paragraph_format.space_after = Pt(2)
        for name, size in (("Title", 18), ("Heading 1", 13)):
            _font(styles[name])
            styles[name].font.size = Pt(size)
            styles[name].font.color.rgb = RGBColor(0x1E, 0x1B, 0x18)
            styles[name].paragraph_format.space_before = Pt(8 if name == "Heading 1" else 0)
            styles[name].paragraph_format.space_after = Pt(2)
        paragraphs: dict[str, float] = {
            "Name and date": 11, "Rule": 13, "Sign": 10.5, "Told": 11, "Entry": 12, "Blank": 12, "Prose": 13, "Credit": 6.5,
        }  # fmt: skip
        for name, points in paragraphs.items():
            style = styles.add_style(name, WD_STYLE_TYPE.PARAGRAPH)
            style.base_style = styles["Normal"]
            style.font.size = Pt(points)
        for name in ("Entry", "Blank"):
            form = styles[name].paragraph_format
            form.left_indent, form.first_line_indent = Mm(9), Mm(-9)
            form.tab_stops.add_tab_stop(Mm(9))
        styles["Blank"].paragraph_format.space_before = Mm(4)
        _line_below(styles["Blank"])
        _line_below(styles["Name and date"])
        stops = styles["Name and date"].paragraph_format.tab_stops
        for at in (15, 95, 110, 150):
            stops.add_tab_stop(Mm(at))
        runs: dict[str, float] = {"IPA": 10, "Note": 9.5, "Lead": 11, "Asked": 12}
        for name, points in runs.items():
            style = styles.add_style(name, WD_STYLE_TYPE.CHARACTER)
            _font(style)
            style.font.size = Pt(points)
            style.font.color.rgb = grey if name != "Asked" else None
        styles["Asked"].font.underline = True
        for allophone in self._sound.allophones.values():
            style = styles.add_style(_mark_style(allophone.label), WD_STYLE_TYPE.CHARACTER)
            _draw(style, allophone.sign)
        _fallbacks(self._book)

    def _paper(self) -> None:
        from docx.shared import Mm

        width, height = PAPER[self._sheet.options.paper]
        for section in self._book.sections:
            section.page_width, section.page_height = Mm(width), Mm(height)
            section.left_margin = section.right_margin = Mm(16)
            section.top_margin, section.bottom_margin = Mm(14), Mm(16)
        about = self._book.core_properties
        about.title, about.author, about.comments = self._sheet.title, "", ""
        about.created = about.modified = MADE


def _mark_style(label: str) -> str:
    return f"Mark {label}"


def _font(style: Any) -> None:
    """The font of a style for every kind of letter: the IPA counts as several."""
    from docx.oxml.ns import qn

    style.font.name = FONT
    fonts = style.element.get_or_add_rPr().get_or_add_rFonts()
    for theme in ("w:asciiTheme", "w:hAnsiTheme", "w:eastAsiaTheme", "w:cstheme"):
        fonts.attrib.pop(qn(theme), None)
    for kind in ("w:ascii", "w:hAnsi", "w:eastAsia", "w:cs"):
        fonts.set(qn(kind), FONT)


def _draw(style: Any, sign: str) -> None:
    """A sign as a style of letters: told by its shape, in grey print as well."""
    from docx.oxml import OxmlElement
    from docx.oxml.ns import qn

    style.font.bold = sign != "strike"
    if sign == "strike":
        style.font.strike = True
        return
    name, kind = ("w:bdr", "single") if sign == "box" else ("w:u", UNDERLINES[sign])
    element = OxmlElement(name)
    element.set(qn("w:val"), kind)
    if sign == "box":
        element.set(qn("w:sz"), "6")
        element.set(qn("w:space"), "0")
    style.element.get_or_add_rPr().append(element)


def _line_below(style: Any) -> None:
    from docx.oxml import OxmlElement
    from docx.oxml.ns import qn

    borders, below = OxmlElement("w:pBdr"), OxmlElement("w:bottom")
    for name, value in (("val", "single"), ("sz", "4"), ("space", "1"), ("color", "5A534B")):
        below.set(qn(f"w:{name}"), value)
    borders.append(below)
    style.element.get_or_add_pPr().insert_element_before(
        borders, "w:shd", "w:tabs", "w:spacing", "w:ind", "w:jc", "w:outlineLvl"
    )


def _fallbacks(book: Any) -> None:
    """Which fonts stand in where ours is missing (ECMA-376, font table: altName)."""
    for part in book.part.package.iter_parts():
        if str(part.partname).endswith("fontTable.xml"):
            font = f'<w:font w:name="{FONT}"><w:altName w:val="{FALLBACKS}"/><w:family w:val="roman"/></w:font>'
            part._blob = part.blob.replace(b"</w:fonts>", font.encode() + b"</w:fonts>")
