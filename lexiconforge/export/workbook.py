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
WIDEST = 44
"""Characters: wider text is wrapped."""


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
    head = book.add_format({"bold": True, "bottom": 1, "valign": "top"})
    for at, (name, values) in enumerate(table.columns.items()):
        look = {"valign": "top"} | ({"font_name": IPA_FONT} if name in IPA_COLUMNS else {})
        longest = max((len(str(value)) for value in values if value is not None), default=0)
        width = max(len(str(name)) + 4, min(longest + 2, WIDEST))
        wraps = {"text_wrap": True} if longest > WIDEST else {}
        plain = book.add_format(look | wraps)
        quoted = book.add_format(look | wraps | {"quote_prefix": True})
        page.set_column(at, at, width)
        _write_text(page, 0, at, str(name).replace("_", " "), head, sheet.name)
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
    last_row, last_column = max(len(table), 1), max(len(table.columns) - 1, 0)
    page.ignore_errors({"number_stored_as_text": f"A1:XFD{last_row + 1}"})
    page.freeze_panes(1, _key_columns(list(table.columns)))
    page.autofilter(0, 0, last_row, last_column)
    page.repeat_rows(0)
    if "level" in table.columns:
        # On paper the columns up to the level: all of them would be too small to read.
        page.print_area(0, 0, last_row, list(table.columns).index("level"))
    page.set_landscape()
    page.fit_to_pages(1, 0)
    page.set_footer("&L&A&RPage &P of &N")


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
