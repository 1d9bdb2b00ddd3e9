"""A table as plain columns, and what each column of each kind of table holds.

Room: reads ``data/columns.csv``. Everything this program gives or writes is such a table; :meth:`Table.frame` makes
a data frame of it, so that what needs none does not import pandas.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from functools import cache
from typing import TYPE_CHECKING, Any, NamedTuple

from lexiconforge import data

if TYPE_CHECKING:
    import pandas as pd


class Column(NamedTuple):
    """``datatype`` as in CSV on the Web; ``separator`` parts the values of a cell, ``""`` where it holds one;
    ``may_lack`` tells whether a cell may be empty."""

    name: str
    datatype: str
    separator: str
    may_lack: bool
    meaning: str


TITLES = {
    "tokens": "Every occurrence of the sound in every pronunciation",
    "words": "Words with the sound and a frequency",
    "list": "Graded list of words",
    "cards": "Every occurrence of the sound in chosen words",
    "links": "Word pairs that link with a tap",
    "left_out": "Words kept out of the lists",
    "contrasts": "Sets that teach by difference",
    "plan": "A sequence of lessons",
    "passage": "Every occurrence of the sound in a text",
    "practice": "Lines to say aloud",
    "rules": "The rule table",
    "rhymes": "Words that rhyme",
    "changes": "What changed between two builds",
    "deck": "Cards to learn from",
}
"""The kinds of table that this program writes, with what they are called."""


@cache
def _known() -> dict[tuple[str, str], Column]:
    return {
        (row["table"], row["column"]): Column(
            row["column"], row["datatype"], row["separator"], row["may_lack"] == "yes", row["meaning"]
        )
        for row in data.rows("columns")
    }


def column(kind: str, name: str) -> Column:
    """What a column of this kind of table holds. Raises KeyError for one that is not described.

    >>> column("links", "per_million").meaning
    'occurrences per million word pairs of the source'
    """
    known = _known()
    return known[kind, name] if (kind, name) in known else known["", name]


SHOWN = 8
"""Columns of a table that its short form names."""


class Table:
    """Columns of equal length by name; ``kind`` is one of :data:`TITLES`. A missing cell is None.

    >>> Table.of_rows("left_out", ("word", "rank"), [("peter", 900)])
    <Table left_out: 1 row of word, rank>
    """

    def __init__(self, kind: str, columns: Mapping[str, Sequence[Any]]) -> None:
        self.kind = kind
        self.columns = {name: list(cells) for name, cells in columns.items()}

    @classmethod
    def of_rows(cls, kind: str, names: Sequence[str], rows: Iterable[Sequence[Any]]) -> Table:
        """A table from its rows, each with a cell for each name."""
        cells = list(zip(*rows, strict=True)) or [()] * len(names)
        return cls(kind, dict(zip(names, cells, strict=True)))

    @classmethod
    def of_frame(cls, kind: str, frame: pd.DataFrame) -> Table:
        """A table from a data frame."""
        return cls(
            kind,
            {
                str(name): [
                    None if lacks else cell
                    for cell, lacks in zip(values.tolist(), values.isna(), strict=True)
                ]
                for name, values in ((name, frame.iloc[:, at]) for at, name in enumerate(frame.columns))
            },
        )

    def __repr__(self) -> str:
        rows = f"{len(self):,} row{'' if len(self) == 1 else 's'}"
        names = list(self.columns)
        shown = [*names[:SHOWN], "…"] if len(names) > SHOWN else names
        return f"<Table {self.kind}: {rows} of {', '.join(shown)}>"

    def __len__(self) -> int:
        return len(next(iter(self.columns.values()), ()))

    def __getitem__(self, name: str) -> list[Any]:
        return self.columns[name]

    def rows(self) -> Iterator[tuple[Any, ...]]:
        """The rows, each a tuple in the order of the columns."""
        return zip(*self.columns.values(), strict=True)

    def records(self) -> Iterator[dict[str, Any]]:
        """The rows, each a mapping from the names of the columns."""
        names = list(self.columns)
        return (dict(zip(names, row, strict=True)) for row in self.rows())

    def only(self, names: Sequence[str]) -> Table:
        """The table with these columns alone, in this order."""
        return Table(self.kind, {name: self.columns[name] for name in names})

    def first(self, count: int) -> Table:
        """The table with this many of its rows, from the top."""
        return Table(self.kind, {name: cells[:count] for name, cells in self.columns.items()})

    def frame(self) -> pd.DataFrame:
        """The table as a data frame, each column of the type that its description says, also without rows."""
        import pandas as pd

        text = "str" if int(pd.__version__.split(".")[0]) >= 3 else "object"
        types = {"integer": "int64", "number": "float64", "boolean": "bool"}
        made = {}
        for name, cells in self.columns.items():
            described = column(self.kind, name)
            dtype = types.get(described.datatype, text)
            if dtype == "int64" and described.may_lack:
                dtype = "Int64"
            made[name] = pd.Series(cells, dtype=dtype)
        return pd.DataFrame(made)
