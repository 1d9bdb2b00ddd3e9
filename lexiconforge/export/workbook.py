"""Tables as one workbook: a sheet a table, after a first sheet that says what is in it and on what terms."""

from __future__ import annotations

import datetime
import io
import re
from collections.abc import Iterator, Sequence
from typing import Any, NamedTuple

from lexiconforge.errors import WriteError
from lexiconforge.export.manifest import SHARE_ALIKE, references
from lexiconforge.export.texts import escape_formula
from lexiconforge.sources import Source
from lexiconforge.tables import Table, column

MOST_ROWS, MOST_CHARACTERS, LONGEST_NAME = 1_048_576, 32_767, 31
"""Rows of a sheet, characters of a cell and of a sheet's name (Office Open XML, ECMA-376; common practice)."""

IPA_FONT = "Arial"
"""Has the IPA and its combining marks on common systems; its free metric twin, Liberation Sans, has them too."""
IPA_COLUMNS = ("ipa", "first_ipa", "second_ipa", "marked")
WIDEST, NARROWEST = 44, 5
"""Characters: wider text is wrapped; no column is narrower."""
TEACHERS = (
    "lesson", "title", "role", "kind", "place", "word", "item", "first", "second", "line", "marked", "ipa", "first_ipa",
    "second_ipa", "syllables", "level", "part_of_speech", "phrase_type", "environment", "allophone", "practises",
    "speaker", "dialogue", "family_members", "example", "first_line", "second_line", "note",
)  # fmt: skip
"""Columns that a teacher reads: they come first, are printed, and the rest is folded away beside them."""
FOLDED = ("list", "links", "contrasts", "plan", "practice")
"""Kinds of tables in which it is; the others are read by those who want every column."""
POINTS, PAGE_WIDTH, MARGIN = 10, 259.0, 10.0
"""Size of letters; millimetres between the margins of the narrower of two papers on its side, Letter (279.4 mm)."""
PIXELS, PADDING, PER_MILLIMETRE = 7, 5, 96 / 25.4
"""Width of a character and of what stands beside a column, in pixels of 1/96 inch (ECMA-376, width of a column)."""


class Sheet(NamedTuple):
    """One table of a workbook: its sheet's name, what it is called, its rows."""

    name: str
    title: str
    table: Table


def workbook_bytes(sheets: Sequence[Sheet], sources: Sequence[Source]) -> bytes:
    """An Office Open XML workbook of these tables, the same bytes for the same tables.

    Text stays text: nothing in it is a formula or a link. Raises
    :class:`~lexiconforge.errors.WriteError` for a table that no sheet can hold.
    """
    import xlsxwriter

    buffer = io.BytesIO()
    options = {"in_memory": True, "strings_to_formulas": False, "strings_to_urls": False}
    book = xlsxwriter.Workbook(buffer, options)
    # Any fixed day will do: the day of writing would make every workbook another file.
    book.set_properties({"title": "Word lists", "created": datetime.datetime(2000, 1, 1)})
    book.set_size(2400, 1600)
    names: list[str] = ["About"]
    for sheet in sheets:
        names.append(_sheet_name(sheet.name, names))
    sheets = [sheet._replace(name=name) for sheet, name in zip(sheets, names[1:], strict=True)]
    _first_sheet(book, sheets, sources)
    for sheet in sheets:
        _add(book, sheet)
    book.close()
    return buffer.getvalue()


def _first_sheet(book: Any, sheets: Sequence[Sheet], sources: Sequence[Source]) -> None:
    page = book.add_worksheet("About")
    for at, width in enumerate((34, 26, 90)):
        page.set_column(at, at, width)
    page.hide_gridlines(2)
    looks = {
        "title": book.add_format({"bold": True, "font_size": 16}),
        "head": book.add_format({"bold": True, "bottom": 1}),
        "": book.add_format({"text_wrap": True, "valign": "top"}),
    }
    for at, (look, cells) in enumerate(_first_lines(sheets, sources)):
        for n, cell in enumerate(cells):
            if isinstance(cell, int):
                page.write_number(at, n, cell, looks[look])
            else:
                page.write_string(at, n, str(cell), looks[look])
    page.set_landscape()
    page.fit_to_pages(1, 0)


def _first_lines(
    sheets: Sequence[Sheet], sources: Sequence[Source]
) -> Iterator[tuple[str, Sequence[object]]]:
    """The lines of the first sheet, each with its look."""
    yield "title", ("Word lists for pronunciation",)
    yield "", ()
    yield "head", ("sheet", "rows", "what it is")
    for sheet in sheets:
        yield "", (sheet.name, len(sheet.table), sheet.title)
    yield "", ()
    yield "head", ("column", "on the sheets", "what it says")
    meanings: dict[tuple[str, str], list[str]] = {}
    for sheet in sheets:
        for name in sheet.table.columns:
            meanings.setdefault((name, column(sheet.table.kind, name).meaning), []).append(sheet.name)
    for (name, meaning), used in meanings.items():
        where = ", ".join(used) if len(used) < 4 else f"{len(used)} lists"
        yield "", (name.replace("_", " "), "all" if len(used) == len(sheets) else where, meaning)
    yield "", ()
    yield "head", ("data", "package and version", "licence, whom to cite")
    for source in sources:
        notice = f" {source.notice}" if source.notice else ""
        terms = f"{source.licence}. {source.citation}{notice}"
        yield "", (source.provides, f"{source.package} {source.version}", terms)
    yield "", ()
    yield "head", ("source of a rule", "", "where it is described")
    for key, citation in references().items():
        yield "", (key, "", citation)
    yield "", ()
    yield "", ("terms", "", SHARE_ALIKE)


def _add(book: Any, sheet: Sheet) -> None:
    table = sheet.table
    if len(table) + 1 > MOST_ROWS:
        raise WriteError(
            f"{sheet.name}: {len(table)} rows do not fit a sheet ({MOST_ROWS - 1}); write CSV"
        )
    page = book.add_worksheet(sheet.name)
    head = book.add_format(
        {"bold": True, "bottom": 1, "valign": "top", "font_size": POINTS, "text_wrap": True}
    )
    names, shown = _order(table)
    widths = _widths(table, names, shown)
    for at, name in enumerate(names):
        values = table.columns[name]
        look = {"valign": "top", "font_size": POINTS}
        look |= {"font_name": IPA_FONT} if name in IPA_COLUMNS else {}
        wraps = {"text_wrap": True} if _longest(values) > widths[at] else {}
        plain = book.add_format(look | wraps)
        quoted = book.add_format(look | wraps | {"quote_prefix": True})
        folded = {"level": 1, "hidden": True} if at >= shown else {}
        page.set_column(at, at, widths[at], None, folded)
        _write_text(page, 0, at, name.replace("_", " "), head, sheet.name)
        for row, value in enumerate(values, start=1):
            if value is None or value != value:
                continue
            if isinstance(value, bool):
                page.write_boolean(row, at, value, plain)
            elif isinstance(value, int | float):
                page.write_number(row, at, value, plain)
            else:
                # The mark keeps a program from reading the cell as a formula when somebody edits it.
                is_sign = escape_formula(str(value)) != str(value)
                _write_text(page, row, at, str(value), quoted if is_sign else plain, sheet.name)
    if shown < len(names):
        page.set_column(len(names), len(names), None, None, {"collapsed": True})
    _set_page(page, table, names, shown)


def _set_page(page: Any, table: Table, names: Sequence[str], shown: int) -> None:
    """How a sheet is moved through and printed: what is folded away is not on paper."""
    last_row, last_column = max(len(table), 1), max(len(names) - 1, 0)
    page.ignore_errors({"number_stored_as_text": f"A1:XFD{last_row + 1}"})
    page.freeze_panes(1, _key_columns(names))
    page.autofilter(0, 0, last_row, last_column)
    page.repeat_rows(0)
    page.print_area(0, 0, last_row, max(shown - 1, 0))
    page.set_landscape()
    inches = MARGIN / 25.4
    page.set_margins(left=inches, right=inches)
    page.fit_to_pages(1, 0)
    page.set_footer("&L&A&RPage &P of &N")


def _order(table: Table) -> tuple[list[str], int]:
    """The columns in the order of the sheet, and how many of them are in sight."""
    names = list(table.columns)
    if table.kind not in FOLDED:
        return names, len(names)
    first = [name for name in TEACHERS if name in names]
    return [*first, *(name for name in names if name not in first)], len(first)


def _longest(values: Sequence[object]) -> int:
    return max((len(str(value)) for value in values if value is not None), default=0)


def _widths(table: Table, names: Sequence[str], shown: int) -> list[int]:
    """Characters of each column: as wide as its text, but together no wider than the paper where some are folded away, so
    that print keeps its size; the widest give way."""
    widths = []
    for name in names:
        head = max(map(len, name.split("_"))) + 3 if table.kind in FOLDED else len(name) + 4
        widths.append(max(head, NARROWEST, min(_longest(table.columns[name]) + 2, WIDEST)))
    if table.kind in FOLDED:
        room = int((PAGE_WIDTH * PER_MILLIMETRE - PADDING * shown) / PIXELS)
        while sum(widths[:shown]) > room and max(widths[:shown]) > NARROWEST:
            widths[widths.index(max(widths[:shown]))] -= 1
    return widths


def _write_text(page: Any, row: int, at: int, text: str, look: object, name: str) -> None:
    if len(text) > MOST_CHARACTERS:
        raise WriteError(
            f"{name}, row {row}: a cell of {len(text)} characters does not fit a workbook "
            f"({MOST_CHARACTERS}); write CSV"
        )
    page.write_string(row, at, text, look)


def _key_columns(names: Sequence[str]) -> int:
    """How many columns at the left say which row it is, and stay in sight."""
    for key in ("word", "second"):
        if key in names[:3]:
            return names.index(key) + 1
    return 0


def _sheet_name(wanted: str, taken: Sequence[str]) -> str:
    """A name that a workbook allows: short, without signs that mean something in formulas, not yet used."""
    plain = re.sub(r"[\[\]:*?/\\\x00-\x1f]", " ", wanted).strip("' ")[:LONGEST_NAME] or "list"
    name, n = plain, 1
    while name.lower() in {other.lower() for other in taken} or name.lower() == "history":
        n += 1
        name = f"{plain[: LONGEST_NAME - len(str(n)) - 1]} {n}"
    return name
