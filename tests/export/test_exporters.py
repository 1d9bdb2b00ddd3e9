"""Every format gives the table back to a program that is not ours."""

from __future__ import annotations

import csv
import io
import json
from pathlib import Path
from typing import Any

import pandas as pd
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from lexiconforge.cli import main
from lexiconforge.errors import OptionError
from lexiconforge.export.exporters import EXPORTERS, Layout, layout, table_files
from lexiconforge.export.texts import read_rows, unescape_formula
from lexiconforge.lexicon import Lexicon
from lexiconforge.lists.wordlists import WordFilter, select
from lexiconforge.tables import Table


@pytest.fixture(scope="module")
def table(lexicon: Lexicon) -> Table:
    return select(lexicon, WordFilter(max_rank=4000)).rows


def plain(cell: Any) -> Any:
    return None if cell is None or cell != cell or cell == "" else cell


def _csv_rows(path: Path, separator: str = ",", decimal: str = ".") -> list[list[Any]]:
    frame = pd.read_csv(
        path,
        sep=separator,
        decimal=decimal,
        keep_default_na=False,
        dtype={"stress": str},
        encoding="utf-8",
    )
    return [frame.columns.tolist(), *frame.astype(object).to_numpy().tolist()]


def _xlsx_rows(path: Path) -> list[list[Any]]:
    openpyxl = pytest.importorskip("openpyxl")
    rows = [list(row) for row in openpyxl.load_workbook(path).worksheets[1].iter_rows(values_only=True)]
    return [[name.replace(" ", "_") for name in rows[0]], *rows[1:]]


def _parquet_rows(path: Path) -> list[list[Any]]:
    polars = pytest.importorskip("polars")
    frame = polars.read_parquet(path)
    return [frame.columns, *map(list, frame.iter_rows())]


def _json_rows(path: Path) -> list[list[Any]]:
    text = path.read_text(encoding="utf-8")
    records = (
        json.loads(text) if path.suffix == ".json" else [json.loads(line) for line in text.splitlines()]
    )
    return [list(records[0]), *(list(record.values()) for record in records)]


READERS = {
    ".csv": _csv_rows,
    ".tsv": lambda path: _csv_rows(path, "\t"),
    ".json": _json_rows,
    ".jsonl": _json_rows,
    ".parquet": _parquet_rows,
    ".xlsx": _xlsx_rows,
}


@pytest.mark.parametrize("ending", EXPORTERS)
def test_another_reader_gets_the_table_back(table: Table, tmp_path: Path, ending: str) -> None:
    for name, content in table_files(f"words{ending}", table).items():
        (tmp_path / name).write_bytes(content)
    head, *rows = READERS[ending](tmp_path / f"words{ending}")
    # A workbook has a teacher's columns first.
    assert sorted(head) == sorted(table.columns) if ending == ".xlsx" else head == list(table.columns)
    assert [list(map(plain, row)) for row in rows] == [
        list(map(plain, row)) for row in table.only(tuple(head)).rows()
    ]


@pytest.mark.parametrize("ending", EXPORTERS)
def test_a_table_without_rows_keeps_its_columns(table: Table, tmp_path: Path, ending: str) -> None:
    empty = Table(table.kind, {name: [] for name in table.columns})
    files = table_files(f"words{ending}", empty)
    if not ending.startswith(".json"):
        (tmp_path / f"words{ending}").write_bytes(files[f"words{ending}"])
        assert sorted(READERS[ending](tmp_path / f"words{ending}")[0]) == sorted(table.columns)


def test_an_office_with_commas_in_its_numbers_gets_them(table: Table, tmp_path: Path) -> None:
    files = table_files("words.csv", table, layout(";", ",", bom=True))
    (tmp_path / "words.csv").write_bytes(files["words.csv"])
    _, *rows = _csv_rows(tmp_path / "words.csv", ";", ",")
    assert [list(map(plain, row)) for row in rows] == [list(map(plain, row)) for row in table.rows()]
    ours = read_rows(tmp_path / "words.csv")
    assert ours[0]["word"] == table["word"][0]
    assert ours[0]["zipf"] == str(table["zipf"][0]).replace(".", ",")
    described = json.loads(files["words.csv-metadata.json"])
    assert described["dialect"] == {"delimiter": ";"}
    zipf = next(c for c in described["tableSchema"]["columns"] if c["name"] == "zipf")
    assert zipf["datatype"]["format"]["decimalChar"] == ","


def test_the_metadata_of_that_is_read_by_the_standards_reader(table: Table, tmp_path: Path) -> None:
    csvw = pytest.importorskip("csvw")
    for name, content in table_files("words.csv", table, layout(";", ",")).items():
        (tmp_path / name).write_bytes(content)
    read = csvw.CSVW(str(tmp_path / "words.csv-metadata.json"))
    rows = list(read.tables[0])
    assert [row["word"] for row in rows] == table["word"]
    assert [float(row["zipf"]) for row in rows] == table["zipf"]


@settings(max_examples=30)
@given(
    st.lists(st.tuples(st.text(), st.text(), st.integers(-99, 99), st.floats(-9, 9)), min_size=1),
    st.sampled_from([",", ";", "\t"]),
    st.sampled_from([".", ","]),
)
def test_any_cell_survives_any_layout(
    rows: list[tuple[str, str, int, float]], separator: str, decimal: str
) -> None:
    made = Table.of_rows("list", ("word", "marked", "rank", "zipf"), rows)
    text = table_files("a.csv", made, Layout(separator, decimal))["a.csv"].decode(
        "utf-8", "surrogatepass"
    )
    _, *read = csv.reader(io.StringIO(text, newline=""), delimiter=separator)
    assert [
        (unescape_formula(a), unescape_formula(b), int(n), float(x.replace(decimal, ".")))
        for a, b, n, x in read
    ] == rows


def test_parquet_carries_the_terms(table: Table, tmp_path: Path) -> None:
    import duckdb

    (tmp_path / "w.parquet").write_bytes(table_files("w.parquet", table)["w.parquet"])
    found = duckdb.sql(
        f"SELECT decode(key), decode(value) FROM parquet_kv_metadata('{tmp_path}/w.parquet')"
    ).fetchall()
    assert "CC BY-SA 4.0" in dict(found)["rights"]
    types = dict(
        duckdb.sql(f"DESCRIBE SELECT * FROM '{tmp_path}/w.parquet'")
        .df()[["column_name", "column_type"]]
        .to_numpy()
    )
    assert types["rank"] == "BIGINT"
    assert types["zipf"] == "DOUBLE"
    assert types["word"] == "VARCHAR"


@pytest.mark.parametrize("ending", [".csv", ".tsv", ".json", ".jsonl", ".parquet", ".xlsx"])
def test_a_command_writes_it(tmp_path: Path, ending: str) -> None:
    out = tmp_path / f"list{ending}"
    assert main(["words", "--allophone", "tap", "--limit", "5", "--out", str(out)]) == 0
    assert len(READERS[ending](out)) == 6


def test_wrong_names_and_signs_are_one_line(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["words", "--out", "list.odt"]) == 2
    assert ".csv, .tsv, .json, .jsonl, .parquet or .xlsx" in capsys.readouterr().err
    with pytest.raises(OptionError, match="separator 'x'"):
        layout("x")
    with pytest.raises(OptionError, match="decimal ';'"):
        layout(",", ";")
