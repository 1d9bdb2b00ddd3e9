"""The W3C *CSV on the Web* metadata beside each CSV, which says what its columns mean.

Room: turns the descriptions of :mod:`lexiconforge.tables` and the terms of the sources into files.
"""

from __future__ import annotations

import json
import re
from collections.abc import Sequence
from pathlib import Path

from lexiconforge.errors import ReadError
from lexiconforge.export.manifest import SHARE_ALIKE
from lexiconforge.export.texts import csv_text
from lexiconforge.places import read_whole
from lexiconforge.sources import SOURCES, Source
from lexiconforge.tables import TITLES, Table, column

METADATA_SUFFIX = "-metadata.json"
"""What CSV on the Web appends to the name of a CSV file to find its metadata."""


def csv_files(name: str, table: Table, title: str = "", *, bom: bool = False) -> dict[str, bytes]:
    """A table as a CSV file of this name and the metadata file beside it, contents by file name.

    ``title`` says what this table is, where that is more than its kind says; ``bom`` puts a byte order mark first.

    >>> list(csv_files("a.csv", Table("list", {"word": ["city"]})))
    ['a.csv', 'a.csv-metadata.json']
    """
    metadata = metadata_text(name, table, title or TITLES[table.kind], SOURCES)
    return {
        name: csv_text(table).encode("utf-8-sig" if bom else "utf-8"),
        name + METADATA_SUFFIX: metadata.encode(),
    }


def metadata_text(file: str, table: Table, title: str, sources: Sequence[Source]) -> str:
    """CSV on the Web metadata for a CSV file of this table, as JSON text.

    Source of the format: W3C Recommendation *Metadata Vocabulary for Tabular Data*, 17 December 2015.
    """
    columns = []
    for described in (column(table.kind, name) for name in table.columns):
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


def is_ours(path: Path, kind: str) -> bool:
    """Did this program write this CSV file, as its metadata beside it say, and with the columns of this kind of table?"""
    try:
        content = json.loads(read_whole(path.with_name(path.name + METADATA_SUFFIX)))
        names = [one["name"] for one in content["tableSchema"]["columns"]]
        head = read_whole(path).decode("utf-8-sig").partition("\n")[0].rstrip("\r")
        described = all(column(kind, name).name == name for name in names)
        return described and content["url"] == path.name and re.split("[,;\t]", head) == names
    except (ReadError, RecursionError, ValueError, KeyError, TypeError, AttributeError):
        return False
