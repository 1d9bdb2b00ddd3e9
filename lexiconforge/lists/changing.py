"""Which rows of two builds came, went, moved and say something else: for whoever planned with last year's lists.

Room: compares rows that were read; reads and writes nothing.
"""

from __future__ import annotations

from bisect import bisect_left
from collections.abc import Iterable, Iterator, Mapping, Sequence

from lexiconforge.errors import TableError
from lexiconforge.tables import Table

CHANGE_COLUMNS = ("file", "change", "item", "old_place", "new_place", "difference")
CAME, WENT, MOVED, CHANGED = KINDS = ("came", "went", "moved", "changed")
KEYS = (("word", "pronunciation_no", "phone_index"), ("first", "second"), ("word",))
"""What says which row it is: the first of these whose columns a table has."""
FOLLOWING = frozenset(
    [
        *(
            "place",
            "coverage",
            "coverage_with_family",
            "rank",
            "zipf",
            "per_million",
            "count",
            "pmi",
            "log_likelihood",
        ),
        *("family_members", "heard"),
    ]
)
"""Columns that follow from other rows or from counts: they change in every row when one word comes, and tell a planner
nothing of this one."""

Rows = Sequence[Mapping[str, str]]


def change_table(old: Mapping[str, Rows], new: Mapping[str, Rows]) -> Table:
    """The changes from one build to another, each given as the rows of its tables by file name.

    Columns (:data:`CHANGE_COLUMNS`): ``file``; ``change``, one of :data:`KINDS`; ``item``, the word or pair; ``old_place``
    and ``new_place``, rows from 1, missing where there is none; ``difference``, for *changed* each column with its old and
    new cell. *moved* are the fewest rows of which one can say so: the others kept their order among each other (the
    longest common increasing subsequence; Schensted 1961). A row that only slid because others came or went has not
    moved. Files that one build lacks are told row by row as well.

    >>> old = {"lists/tap.csv": [{"word": "city"}, {"word": "water"}]}
    >>> new = {"lists/tap.csv": [{"word": "better"}, {"word": "city"}, {"word": "water"}]}
    >>> [row[:3] for row in change_table(old, new).rows()]
    [('lists/tap.csv', 'came', 'better')]
    """
    files = dict.fromkeys([*new, *old])
    rows = [row for file in files for row in _of_file(file, old.get(file, ()), new.get(file, ()))]
    return Table.of_rows("changes", CHANGE_COLUMNS, rows)


def _of_file(file: str, old: Rows, new: Rows) -> Iterator[tuple[object, ...]]:
    before, after = _by_key(file, old), _by_key(file, new)
    kept = [key for key in after if key in before]
    still = set(_in_order([before[key] for key in kept]))
    for key, place in after.items():
        item = " ".join(key[:2] if len(key) < 3 else key[:1])
        if key not in before:
            yield file, CAME, item, None, place, ""
            continue
        if before[key] not in still:
            yield file, MOVED, item, before[key], place, ""
        difference = _difference(old[before[key] - 1], new[place - 1])
        if difference:
            yield file, CHANGED, item, before[key], place, difference
    for key, place in before.items():
        if key not in after:
            yield file, WENT, " ".join(key[:2] if len(key) < 3 else key[:1]), place, None, ""


def _by_key(file: str, rows: Rows) -> dict[tuple[str, ...], int]:
    """The place of each row, from 1, by what says which it is."""
    if not rows:
        return {}
    key = next((key for key in KEYS if rows[0].keys() >= set(key)), None)
    if key is None:
        raise TableError(f"{file} has no column that says which row it is (word, or first and second)")
    return {tuple(row[name] for name in key): place for place, row in enumerate(rows, start=1)}


def _difference(old: Mapping[str, str], new: Mapping[str, str]) -> str:
    return "; ".join(
        f"{name}: {old[name] or 'nothing'} → {cell or 'nothing'}"
        for name, cell in new.items()
        if name in old and name not in FOLLOWING and old[name] != cell
    )


def _in_order(places: Iterable[int]) -> list[int]:
    """A longest run of these places that rises, by patience sorting."""
    ends: list[int] = []
    at: list[int] = []
    back: list[int] = []
    given = list(places)
    for n, place in enumerate(given):
        pile = bisect_left(ends, place)
        back.append(at[pile - 1] if pile else -1)
        if pile == len(ends):
            ends.append(place)
            at.append(n)
        else:
            ends[pile], at[pile] = place, n
    found = []
    n = at[-1] if at else -1
    while n >= 0:
        found.append(given[n])
        n = back[n]
    return found[::-1]
