"""What is to be practised: words and pairs from any file that has some.

Room: reads lists, links and lessons that this program wrote, other CSV with such columns, and plain text with a word or a
pair a line.
"""

from __future__ import annotations

import csv
import re
from pathlib import Path

from lexiconforge.errors import ReadError
from lexiconforge.places import read_whole
from lexiconforge.text.corpus import spoken_words

Target = tuple[str, ...]
"""What is practised: one word, or the two words of a link."""
NOT_TAUGHT = ("rule", "contrast", "line")
"""Rows of a lesson that are no words to learn: what they hold that is one stands in a row of its own."""
COLUMNS = (("word",), ("first", "second"), ("item",))
"""Columns that hold words, the first of these that a CSV has: of a list, of links, of lessons."""
_BETWEEN = re.compile(r"\s*(?:[,;/|–—]|\bvs\b)\s*")
"""What stands between the sides of a contrast in the lessons, or between words on a line."""


def read_targets(path: Path) -> list[Target]:
    """The words and pairs of a file, each once, in its order.

    Raises :class:`~lexiconforge.errors.ReadError` for a file that cannot be read or has none.
    """
    if path.suffix.lower() == ".xlsx":
        raise ReadError(f"{path}: a workbook; save the sheet as CSV and give that")
    try:
        text = read_whole(path).decode("utf-8-sig")
    except ReadError as problem:
        raise ReadError(f"cannot read {path}: {problem}") from None
    except UnicodeDecodeError:
        raise ReadError(f"cannot read {path}: not UTF-8 text") from None
    lines = text.splitlines()
    cells = _columns(lines) or [line for line in lines if not line.lstrip().startswith("#")]
    found: dict[Target, None] = {}
    for cell in cells:
        for part in _BETWEEN.split(cell):
            words = spoken_words(part)
            if 1 <= len(words) <= 2:
                found[words] = None
    if not found:
        raise ReadError(
            f"{path}: no words; give a CSV with a column word, first and second, or item, or a word a line"
        )
    return list(found)


def _columns(lines: list[str]) -> list[str]:
    """The cells that hold words, pairs joined; empty for what is no CSV with such a column."""
    delimiter = max(",;\t", key=lines[0].count) if lines else ","
    rows = csv.DictReader(lines, delimiter=delimiter)
    names = {name.strip().lower(): name for name in rows.fieldnames or () if name}
    for wanted in COLUMNS:
        if set(wanted) <= names.keys():
            role = names.get("role", "") if wanted == ("item",) else ""
            return [
                " ".join(row[names[name]] or "" for name in wanted).lstrip("'")
                for row in rows
                if row.get(role) not in NOT_TAUGHT
            ]
    return []


def read_script(path: Path) -> str:
    """The text of a file of plain text, subtitles or a document. Raises ReadError naming the file."""
    from lexiconforge.text.readers import read_text

    try:
        return "".join(read_text(path, note=lambda text: None))
    except ReadError as problem:
        raise ReadError(f"{path}: {problem}") from None


def is_script(text: str) -> bool:
    """Is this running text, or a list with a word or pair a line?

    >>> is_script("water\\nget it"), is_script("Put it on the table.\\nThanks!")
    (False, True)
    """
    lines = [line for line in text.splitlines() if line.strip() and not line.lstrip().startswith("#")]
    parts = [part for line in lines for part in _BETWEEN.split(line)]
    return any(len(spoken_words(part)) > 2 for part in parts)
