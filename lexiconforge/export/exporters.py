"""Tables as files for other programs: one small function for each format, found by the ending of the name.

Room: each exporter takes the file's name, a :class:`~lexiconforge.tables.Table` and a :class:`Layout` and gives the files
that belong together, contents by name; writing them is :mod:`lexiconforge.export.folder`'s.
"""

from __future__ import annotations

import json
from collections.abc import Callable
from pathlib import Path
from typing import NamedTuple

from lexiconforge.errors import OptionError, WriteError
from lexiconforge.export.manifest import SHARE_ALIKE
from lexiconforge.export.schema import csv_files
from lexiconforge.export.texts import csv_text, json_text
from lexiconforge.sources import SOURCES
from lexiconforge.tables import TITLES, Table, column

SEPARATORS = {",": ",", ";": ";", "tab": "\t", "\t": "\t"}
DECIMALS = (".", ",")


class Layout(NamedTuple):
    """How text tables are written: ``separator`` between cells, ``decimal`` in numbers, ``bom`` begins them with a byte
    order mark. The other formats have their own and ignore these."""

    separator: str = ","
    decimal: str = "."
    bom: bool = False


def layout(separator: str = ",", decimal: str = ".", *, bom: bool = False) -> Layout:
    """A layout, checked. Raises :class:`~lexiconforge.errors.OptionError`.

    >>> layout(";", ",").separator
    ';'
    """
    if separator not in SEPARATORS:
        raise OptionError(f"separator {separator!r}: there are , ; and tab")
    if decimal not in DECIMALS:
        raise OptionError(f"decimal {decimal!r}: there are . and ,")
    return Layout(SEPARATORS[separator], decimal, bom)


Exporter = Callable[[str, Table, Layout], dict[str, bytes]]


def _csv(name: str, table: Table, form: Layout) -> dict[str, bytes]:
    """Comma-separated values with CSV on the Web metadata beside."""
    return csv_files(name, table, bom=form.bom, separator=form.separator, decimal=form.decimal)


def _tsv(name: str, table: Table, form: Layout) -> dict[str, bytes]:
    """Tab-separated values."""
    text = csv_text(table, separator="\t", decimal=form.decimal)
    return {name: text.encode("utf-8-sig" if form.bom else "utf-8")}


def _json(name: str, table: Table, form: Layout) -> dict[str, bytes]:
    """One array with an object for each row."""
    return {name: json_text(table).encode()}


def _json_lines(name: str, table: Table, form: Layout) -> dict[str, bytes]:
    """An object a line."""
    lines = (json.dumps(row, ensure_ascii=False, separators=(",", ":")) for row in table.records())
    return {name: "".join(f"{line}\n" for line in lines).encode()}


def _parquet(name: str, table: Table, form: Layout) -> dict[str, bytes]:
    """Columns with their types, the terms of the data in the file's own metadata."""
    import tempfile

    try:
        import duckdb
    except ImportError:
        raise WriteError(
            "the package duckdb is not installed; install it with: pip install duckdb"
        ) from None
    types = {"integer": "BIGINT", "number": "DOUBLE", "boolean": "BOOLEAN"}
    cast = ", ".join(
        f'CAST("{column_name}" AS {types.get(column(table.kind, column_name).datatype, "VARCHAR")}) AS "{column_name}"'
        for column_name in table.columns
    )
    with tempfile.TemporaryDirectory() as folder, duckdb.connect() as connection:
        path = Path(folder) / "table.parquet"
        connection.register("given", table.frame())
        terms = {"title": TITLES[table.kind], "rights": SHARE_ALIKE, "made_by": "lexiconforge"}
        terms["source"] = "; ".join(source.citation for source in SOURCES)
        listed = ", ".join(
            f"{key}: '{text.replace(chr(39), chr(39) * 2)}'" for key, text in terms.items()
        )
        connection.execute(
            f"COPY (SELECT {cast} FROM given) TO '{path}' (FORMAT parquet, KV_METADATA {{{listed}}})"
        )
        return {name: path.read_bytes()}


def _workbook(name: str, table: Table, form: Layout) -> dict[str, bytes]:
    """A workbook with a first sheet that explains the columns."""
    from lexiconforge.export.workbook import Sheet, workbook_bytes

    sheet = Sheet(Path(name).stem, TITLES[table.kind], table)
    return {name: workbook_bytes([sheet], SOURCES)}


EXPORTERS: dict[str, Exporter] = {
    ".csv": _csv,
    ".tsv": _tsv,
    ".json": _json,
    ".jsonl": _json_lines,
    ".parquet": _parquet,
    ".xlsx": _workbook,
}
"""Exporters by the ending of a file's name."""


def endings() -> str:
    """All endings, for people."""
    *most, last = EXPORTERS
    return f"{', '.join(most)} or {last}"


def exporter(name: str | Path) -> Exporter:
    """The exporter for a file of this name. Raises :class:`~lexiconforge.errors.OptionError`."""
    found = EXPORTERS.get(Path(name).suffix.lower())
    if found is None:
        raise OptionError(f"{name}: the name must end in {endings()}")
    return found


def table_files(name: str, table: Table, form: Layout | None = None) -> dict[str, bytes]:
    """A table as the file of this name and what belongs beside it, contents by name.

    Raises :class:`~lexiconforge.errors.OptionError` for an ending that no exporter has.

    >>> table_files("a.jsonl", Table("list", {"word": ["city"], "rank": [217]}))
    {'a.jsonl': b'{"word":"city","rank":217}\\n'}
    """
    return exporter(name)(name, table, form or Layout())
