"""A deck of cards as text: UTF-8, tabs between the fields, a card a line, as flash-card programs in general read it."""

from __future__ import annotations

from lexiconforge.export.texts import escape_formula
from lexiconforge.tables import Table


def deck_text(table: Table, *, header: bool = False) -> str:
    """The cards of a table, columns ``front``, ``back``, ``ipa`` and ``example``; ``header`` names them in a first line.

    No field is quoted, as some programs take quotation marks for part of the card: tabs and line ends inside one become
    spaces. What a spreadsheet would run gets an apostrophe, as in every file of this program.

    >>> deck_text(Table("deck", {"front": ["get it"], "back": ["get[ɾ] it"]}), header=True)
    'front\\tback\\nget it\\tget[ɾ] it\\n'
    """
    rows = [tuple(table.columns)] if header else []
    rows += table.rows()
    return "".join(
        "\t".join(escape_formula(" ".join(str(cell).split())) for cell in row) + "\n" for row in rows
    )
