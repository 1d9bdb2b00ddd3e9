"""What every column means, and the W3C *CSV on the Web* metadata that says so beside each CSV.

Room: reads ``data/columns.csv`` and the terms of the sources. A table is known by the name of its kind; a column that
means the same in all tables has one row there, without a table.
"""

from __future__ import annotations

import json
from collections.abc import Sequence
from functools import cache
from typing import TYPE_CHECKING, NamedTuple

from lexiconforge import data
from lexiconforge.export.manifest import SHARE_ALIKE
from lexiconforge.export.tables import csv_text
from lexiconforge.sources import SOURCES, Source

if TYPE_CHECKING:
    import pandas as pd


class Column(NamedTuple):
    """``datatype`` as in CSV on the Web; ``separator`` parts the values of a cell, ``""`` where it holds one."""

    name: str
    datatype: str
    separator: str
    meaning: str


TABLES = {
    "t_tokens": "Every t of every pronunciation",
    "words": "Words with a t and a frequency",
    "list": "Graded list of words",
    "links": "Word pairs that link with a tap",
    "left_out": "Words kept out of the lists",
    "contrasts": "Sets that teach by difference",
    "plan": "A sequence of lessons",
    "passage": "Every t of a text",
    "practice": "Lines to say aloud",
    "rules": "The rule table",
}
"""The kinds of table that this program writes, with what they are called."""

METADATA_SUFFIX = "-metadata.json"
"""What CSV on the Web appends to the name of a CSV file to find its metadata."""


@cache
def _known() -> dict[tuple[str, str], Column]:
    return {
        (row["table"], row["column"]): Column(
            row["column"], row["datatype"], row["separator"], row["meaning"]
        )
        for row in data.rows("columns")
    }


def column(kind: str, name: str) -> Column:
    """What a column of this kind of table holds. Raises KeyError for one that is not described.

    >>> column("links", "per_million").meaning
    'occurrences per million word pairs'
    """
    known = _known()
    return known[kind, name] if (kind, name) in known else known["", name]


def csv_files(
    name: str, table: pd.DataFrame, kind: str, title: str = "", *, bom: bool = False
) -> dict[str, bytes]:
    """A table as a CSV file of this name and the metadata file beside it, contents by file name.

    ``title`` says what this table is, where that is more than its kind says; ``bom`` puts a byte order mark first.

    >>> import pandas as pd
    >>> list(csv_files("a.csv", pd.DataFrame({"word": ["city"]}), "list"))
    ['a.csv', 'a.csv-metadata.json']
    """
    metadata = metadata_text(name, kind, list(table.columns), title or TABLES[kind], SOURCES)
    return {
        name: csv_text(table).encode("utf-8-sig" if bom else "utf-8"),
        name + METADATA_SUFFIX: metadata.encode(),
    }


def metadata_text(
    file: str, kind: str, names: Sequence[str], title: str, sources: Sequence[Source]
) -> str:
    """CSV on the Web metadata for a CSV file with these columns, as JSON text.

    Source of the format: W3C Recommendation *Metadata Vocabulary for Tabular Data*, 17 December 2015.
    """
    columns = []
    for described in (column(kind, name) for name in names):
        datatype: object = described.datatype
        if datatype == "boolean":
            datatype = {"base": "boolean", "format": "True|False"}
        columns.append(
            {
                "name": described.name,
                "titles": described.name,
                "datatype": datatype,
                **({"separator": described.separator} if described.separator else {}),
                "dc:description": described.meaning,
            }
        )
    content = {
        "@context": ["http://www.w3.org/ns/csvw", {"@language": "en"}],
        "url": file,
        "dc:title": title,
        "dc:description": "Text that begins with a sign of a formula has an apostrophe before it.",
        "dc:rights": SHARE_ALIKE,
        "dc:source": [source.citation for source in sources],
        "tableSchema": {"columns": columns},
    }
    return json.dumps(content, indent=1, ensure_ascii=False) + "\n"
