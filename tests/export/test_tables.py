"""Tables on their way out: whatever they hold comes back equal, and nothing in it runs."""

from __future__ import annotations

import csv
import io
import json
import re
from collections.abc import Callable
from contextlib import AbstractContextManager
from html.parser import HTMLParser
from pathlib import Path

import openpyxl
import pandas as pd
import pytest
from conftest import cases
from csvw import CSVW
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from openpyxl.utils import get_column_letter
from python_calamine import CalamineWorkbook

from lexiconforge import building, data
from lexiconforge.building import BuildOptions, build
from lexiconforge.cli import main
from lexiconforge.errors import WriteError
from lexiconforge.export.page import packed, page_text, script_json
from lexiconforge.export.schema import METADATA_SUFFIX
from lexiconforge.export.texts import csv_text, escape_formula, json_text, read_rows, unescape_formula
from lexiconforge.export.workbook import IPA_FONT, MOST_CHARACTERS, Sheet, workbook_bytes
from lexiconforge.lexicon import Lexicon
from lexiconforge.lexicon.catalog import RULE_COLUMNS, TOKEN_COLUMNS, WORD_COLUMNS
from lexiconforge.lists.changing import CHANGE_COLUMNS
from lexiconforge.lists.contrasts import CONTRAST_COLUMNS, contrast_table
from lexiconforge.lists.linking import LINK_COLUMNS, LinkFilter, link_table
from lexiconforge.lists.rhyming import RHYME_COLUMNS
from lexiconforge.lists.wordlists import (
    CARD_COLUMNS,
    LEFT_OUT_COLUMNS,
    LIST_COLUMNS,
    WordFilter,
    cards,
    select,
)
from lexiconforge.sources import SOURCES
from lexiconforge.tables import TITLES, Table, column
from lexiconforge.teaching.cards import DECK_COLUMNS
from lexiconforge.teaching.planning import PLAN_COLUMNS, PlanOptions, plan_table
from lexiconforge.teaching.practising import PRACTICE_COLUMNS
from lexiconforge.text.tagger import PASSAGE_COLUMNS

SIGNS = tuple("=+-@＝＋－＠")
# UTF-8 has no place for a lone surrogate, XML 1.0 none for these two.
TEXT = st.text(
    st.characters(exclude_categories=["Cs"], exclude_characters="\ufffe\uffff"), max_size=40
) | st.sampled_from([case["text"].encode().decode("unicode_escape") for case in cases("formulas")])
ROWS = st.lists(st.tuples(TEXT, st.integers(-(10**9), 10**9), TEXT | st.none()), max_size=6)


def table_of(rows: list[tuple[str, int, str | None]]) -> Table:
    return Table.of_rows("practice", ("line", "rank", "marked"), rows)


@given(ROWS)
@settings(suppress_health_check=[HealthCheck.function_scoped_fixture])
def test_any_table_comes_back_from_csv(tmp_path: Path, rows: list[tuple[str, int, str | None]]) -> None:
    path = tmp_path / "any.csv"
    for encoding in ("utf-8", "utf-8-sig"):
        path.write_bytes(csv_text(table_of(rows)).encode(encoding))
        found = [(row["line"], int(row["rank"]), row["marked"]) for row in read_rows(path)]
        assert found == [(line, rank, marked or "") for line, rank, marked in rows]


@given(ROWS)
def test_no_cell_of_csv_runs_however_the_cells_are_parted(
    rows: list[tuple[str, int, str | None]],
) -> None:
    text = csv_text(table_of(rows))
    for delimiter in ",;\t":
        for row in csv.reader(io.StringIO(text, newline=""), delimiter=delimiter):
            for cell in row:
                number = delimiter == "," and re.fullmatch(r"-?\d+", cell, re.ASCII)
                assert number or not cell.lstrip(" ").startswith(SIGNS), (delimiter, cell)


@given(TEXT)
def test_the_guard_can_be_taken_off(text: str) -> None:
    assert unescape_formula(escape_formula(text)) == text


@given(ROWS)
def test_any_table_comes_back_from_a_workbook(rows: list[tuple[str, int, str | None]]) -> None:
    """Values as calamine reads them, kinds of cell as openpyxl does; neither shares code with the writer."""
    data = workbook_bytes([Sheet("any", "any", table_of(rows))], [])
    found = CalamineWorkbook.from_filelike(io.BytesIO(data)).get_sheet_by_name("any").to_python()
    records = [dict(zip(found[0], row, strict=True)) for row in found[1:]]
    assert [(row["line"], row["rank"], row["marked"]) for row in records] == [
        (line, rank, marked or "") for line, rank, marked in rows
    ]
    for row in openpyxl.load_workbook(io.BytesIO(data))["any"].iter_rows(min_row=2):
        assert not any(cell.data_type == "f" or cell.hyperlink for cell in row)


@given(ROWS)
def test_any_table_comes_back_from_a_page(rows: list[tuple[str, int, str | None]]) -> None:
    class Scripts(HTMLParser):
        def __init__(self) -> None:
            super().__init__()
            self.tags: list[str] = []
            self.content: list[str] = []

        def handle_starttag(self, tag: str, attributes: list[tuple[str, str | None]]) -> None:
            self.tags.append(tag)

        def handle_data(self, data: str) -> None:
            if self.tags[-1:] == ["script"]:
                self.content.append(data)

    table = table_of(rows)
    parsed = Scripts()
    parsed.feed(f'<script type="application/json">{script_json(packed(table))}</script><p>end</p>')
    assert parsed.tags == ["script", "p"]
    found = json.loads("".join(parsed.content))
    assert list(found["columns"]) == ["line", "rank", "marked"]
    cells = [
        column if isinstance(column, list) else [column["values"][n] for n in column["index"]]
        for column in found["columns"].values()
    ]
    assert list(zip(*cells, strict=True)) == rows


@given(ROWS)
def test_any_table_comes_back_from_json(rows: list[tuple[str, int, str | None]]) -> None:
    found = json.loads(json_text(table_of(rows)))
    assert [(row["line"], row["rank"], row["marked"]) for row in found] == rows


@pytest.fixture(scope="module")
def folder(
    tmp_path_factory: pytest.TempPathFactory,
    few: Lexicon,
    fewer: Callable[[], AbstractContextManager[None]],
) -> Path:
    out = tmp_path_factory.mktemp("exported")
    with fewer():
        build(out, BuildOptions(size=60, xlsx=True, html=True, bom=True), few)
    return out


def test_every_csv_of_a_build_fits_its_metadata(folder: Path, tmp_path: Path) -> None:
    """The first rows of each, the last and some between, by csvw, an independent reader of CSV on the Web (W3C 2015)."""
    # The rule tables are the sound's own files, as they are.
    tables = [path for path in folder.rglob("*.csv") if "sounds" not in path.parts[len(folder.parts) :]]
    assert len(tables) > 10
    for n, path in enumerate(tables):
        metadata = json.loads(path.with_name(path.name + METADATA_SUFFIX).read_text(encoding="utf-8"))
        head = path.open(encoding="utf-8-sig").readline().rstrip("\n").split(",")
        assert [column["name"] for column in metadata["tableSchema"]["columns"]] == head
        assert path.read_bytes().startswith(b"\xef\xbb\xbf")
        few = tmp_path / str(n)
        few.mkdir()
        with path.open(encoding="utf-8", newline="") as file:
            rows = list(csv.reader(file))
        some = [*rows[:100], *rows[100:-100:97], *rows[100:][-100:]]
        with (few / path.name).open("w", encoding="utf-8", newline="") as file:
            csv.writer(file).writerows(some)
        description = few / (path.name + METADATA_SUFFIX)
        description.write_text(json.dumps(metadata), encoding="utf-8")
        found = CSVW(str(description), validate=True)
        assert found.is_valid, [str(warning.message) for warning in found.warnings][:3]


def test_the_validator_finds_a_wrong_cell(folder: Path, tmp_path: Path) -> None:
    source = folder / "lists" / "tap.csv"
    for name in (source.name, source.name + METADATA_SUFFIX):
        (tmp_path / name).write_bytes((source.parent / name).read_bytes())
    path = tmp_path / source.name
    path.write_text(path.read_text(encoding="utf-8-sig").replace("\n1,", "\none,", 1), encoding="utf-8")
    assert not CSVW(str(path.with_name(path.name + METADATA_SUFFIX)), validate=True).is_valid


KINDS = {
    "tokens": TOKEN_COLUMNS,
    "words": WORD_COLUMNS,
    "list": LIST_COLUMNS,
    "cards": CARD_COLUMNS,
    "links": LINK_COLUMNS,
    "left_out": ("list", *LEFT_OUT_COLUMNS),
    "contrasts": CONTRAST_COLUMNS,
    "plan": PLAN_COLUMNS,
    "passage": PASSAGE_COLUMNS,
    "practice": PRACTICE_COLUMNS,
    "rules": RULE_COLUMNS,
    "rhymes": RHYME_COLUMNS,
    "changes": CHANGE_COLUMNS,
    "deck": DECK_COLUMNS,
}


def test_every_column_of_every_kind_of_table_is_described() -> None:
    assert KINDS.keys() == TITLES.keys()
    for kind, names in KINDS.items():
        for name in names:
            assert column(kind, name).meaning
        assert len(set(names)) == len(names)
    with pytest.raises(KeyError):
        column("list", "no such column")


def test_every_description_is_of_a_column_that_there_is() -> None:
    used = {(kind, name) for kind, names in KINDS.items() for name in names}
    for row in data.rows("columns"):
        named = row["table"], row["column"]
        assert named in used or (not row["table"] and row["column"] in {name for _, name in used}), named


def test_the_workbook_is_the_lists(folder: Path) -> None:
    """Read back with openpyxl, which has no code in common with the writer."""
    book = openpyxl.load_workbook(folder / "lists.xlsx")
    assert book.sheetnames[0] == "About"
    about = "\n".join(str(cell.value) for row in book["About"].iter_rows() for cell in row if cell.value)
    for wanted in ("Robyn Speer", "CC BY-SA 4.0", "Carnegie Mellon", "Zipf scale", "Tapped words"):
        assert wanted in about
    for path in (folder / "lists").glob("*.csv"):
        sheet = book[path.stem]
        rows = read_rows(path)
        assert sheet.max_row == len(rows) + 1
        assert sheet.freeze_panes == "C2"
        assert sheet.auto_filter.ref == f"A1:{get_column_letter(len(LIST_COLUMNS))}{len(rows) + 1}"
        head = [cell.value.replace(" ", "_") for cell in sheet[1]]
        for cells, row in zip(sheet.iter_rows(min_row=2), rows, strict=True):
            for name, cell in zip(head, cells, strict=True):
                text = "" if cell.value is None else str(cell.value)
                if column("list", name).datatype == "number":
                    assert float(text) == float(row[name])
                else:
                    assert text == row[name]
                assert cell.data_type != "f"
        assert sheet.cell(2, head.index("ipa") + 1).font.name == IPA_FONT
    assert book.sheetnames[-1] == "links"
    assert "left_out" not in book.sheetnames, "rude words do not stand beside the lists"


@pytest.mark.parametrize("kind", ["list", "links", "contrasts", "plan"])
def test_a_workbook_is_printed_at_its_size_on_one_page_wide(
    kind: str, lexicon: Lexicon, pairs: pd.DataFrame
) -> None:
    """A column is 7 pixels a character and 5 beside them (ECMA-376, 18.3.1.13, at 96 dots an inch); Letter is 11 inches
    wide on its side (ANSI/ASME Y14.1), so that it prints without being made smaller."""
    tables = {
        "list": lambda: select(lexicon, WordFilter(allophone="tap", limit=300)).rows,
        "links": lambda: link_table(lexicon, pairs.head(20_000), LinkFilter()),
        "contrasts": lambda: contrast_table(lexicon, pairs.head(0), lexicon.sound.contrasts, limit=30),
        "plan": lambda: plan_table(lexicon, pairs.head(0), PlanOptions(lessons=2)),
    }
    table = tables[kind]()
    sheet = openpyxl.load_workbook(io.BytesIO(workbook_bytes([Sheet("a", "a", table)], [])))["a"]
    assert sheet.max_column == len(table.columns), "nothing is lost"
    seen = [letter for letter, shape in sheet.column_dimensions.items() if not shape.hidden]
    heads = [cell.value for cell in sheet[1] if not sheet.column_dimensions[cell.column_letter].hidden]
    width = sum(7 * sheet.column_dimensions[letter].width + 5 for letter in seen[: len(heads)]) / 96
    margins = sheet.page_margins.left + sheet.page_margins.right
    assert width <= 11 - margins, f"{kind}: {width} inches"
    assert sheet.cell(2, 1).font.size == 10
    assert sheet.page_setup.orientation == "landscape"
    assert "example" in heads or kind == "contrasts"
    folded = {shape.outlineLevel for shape in sheet.column_dimensions.values() if shape.hidden}
    assert folded <= {1}
    assert "rank" not in heads


def test_a_workbook_is_the_same_every_time(lexicon: Lexicon) -> None:
    table = select(lexicon, WordFilter(allophone="tap", limit=20)).rows
    sheets = [Sheet("tap", "Tapped words", table)]
    assert workbook_bytes(sheets, SOURCES) == workbook_bytes(sheets, SOURCES)


def test_a_workbook_of_another_sound_does_not_speak_of_t(tmp_path: Path) -> None:
    out = tmp_path / "d.xlsx"
    assert main(["words", "--sound", "d", "--limit", "3", "--out", str(out)]) == 0
    about = openpyxl.load_workbook(out)["About"]
    told = [str(cell.value) for row in about.iter_rows() for cell in row if cell.value]
    assert len(told) > 20
    assert [text for text in told if re.search(r"\bletter t\b|\bt's\b", text)] == []


def test_names_of_sheets_are_allowed_and_apart() -> None:
    table = Table("list", {"word": ["a"]})
    names = ["a/b:c", "A B C", "x" * 60, "x" * 60 + "y", "", "History"]
    data = workbook_bytes([Sheet(name, name, table) for name in names], [])
    found = openpyxl.load_workbook(io.BytesIO(data)).sheetnames[1:]
    assert len({name.lower() for name in found}) == len(names)
    assert all(len(name) <= 31 and not set(name) & set("[]:*?/\\") for name in found)


def test_what_no_workbook_holds_is_said() -> None:
    long = Table("practice", {"line": ["x" * (MOST_CHARACTERS + 1)]})
    with pytest.raises(WriteError, match="row 1: a cell of 32768 characters"):
        workbook_bytes([Sheet("long", "long", long)], [])


@pytest.mark.usefixtures("few_words")
def test_xlsx_wherever_csv_goes(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    script = tmp_path / "script.txt"
    script.write_text("Put it on.\n", encoding="utf-8")
    commands = {
        "words": ["words", "--allophone", "tap", "--limit", "3"],
        "links": ["links", "--limit", "3"],
        "contrasts": ["contrasts", "--kind", "teen-ty"],
        "tag": ["tag", "water"],
        "text": ["tag-text", str(script)],
        "rules": ["rules"],
        "plan": ["plan", "--lessons", "2", "--words", "3"],
    }
    for name, command in commands.items():
        out = tmp_path / f"{name}.xlsx"
        assert main([*command, "--out", str(out)]) == 0, capsys.readouterr().err
        book = openpyxl.load_workbook(out)
        assert book.worksheets[1].max_row > 1
    assert book.sheetnames == ["About", "plan", "lesson-01", "lesson-02"]


@pytest.mark.usefixtures("few_words")
def test_json_for_another_program(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["words", "--allophone", "tap", "--limit", "2", "--json"]) == 0
    assert [row["place"] for row in json.loads(capsys.readouterr().out)] == [1, 2]
    script = tmp_path / "script.txt"
    script.write_text("Put it on, Zorbo.\n", encoding="utf-8")
    assert main(["tag-text", str(script), "--json"]) == 0
    found = json.loads(capsys.readouterr().out)
    assert found["marked"] == "Put[ɾ] it[ɾ] on, Zorbo.\n"
    assert found["unknown"] == {"zorbo": 1}
    assert [row["allophone"] for row in found["tokens"]] == ["tap", "tap"]
    assert main(["plan", "--lessons", "1", "--words", "3", "--json"]) == 0
    new = [row for row in json.loads(capsys.readouterr().out) if row["role"] == "new"]
    assert [row["syllables"] for row in new] == [2, 2, 2]


def test_a_list_that_a_spreadsheet_saved_is_read(tmp_path: Path) -> None:
    path = tmp_path / "saved.csv"
    path.write_bytes("\ufeffword;marked\r\nwater;wa[t]er\r\n\r\n".encode())
    assert read_rows(path) == [{"word": "water", "marked": "wa[t]er"}]


def test_the_page_has_no_link_out(lexicon: Lexicon) -> None:
    """Nothing on it loads anything: common practice says which attributes and functions do."""
    text = page_text(cards(lexicon, WordFilter(max_rank=300)), lexicon.sound, SOURCES)
    content = text.partition("<footer>")[0] + text.partition("</footer>")[2]
    assert not re.search(
        r"(?:src|href)\s*=\s*[\"']?(?:https?:|//)|url\(|@import|fetch\(|XMLHttp", content
    )
    assert building.PAGE_WORDS == 5000


def test_the_page_of_a_build_is_small_enough_to_send(folder: Path) -> None:
    text = (folder / "words.html").read_text(encoding="utf-8")
    assert len(text.encode()) < 1_500_000
    parts = json.loads(text.partition('id="data">')[2].partition("</script>")[0])
    assert parts.keys() == {"cards", "links", "contrasts", "lines", "lessons"}
