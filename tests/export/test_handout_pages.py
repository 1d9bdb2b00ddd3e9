"""Pages to print: two sides and a key, the answers on the key alone, whatever the list holds; the same as a document."""

from __future__ import annotations

import io
import re
import subprocess
from collections.abc import Callable, Mapping, Sequence
from dataclasses import replace
from pathlib import Path

import docx
import pandas as pd
import pytest
from playwright.sync_api import Browser

from export.browsing import CHROMIUM, PHONE, assert_accessible, pdf_text, skip_or_fail
from lexiconforge.cli import main
from lexiconforge.errors import OptionError
from lexiconforge.export import printing
from lexiconforge.export.handout_docx import FALLBACKS, handout_bytes
from lexiconforge.export.handout_page import handout_text
from lexiconforge.export.texts import read_rows
from lexiconforge.lexicon import Lexicon
from lexiconforge.lists.wordlists import WordFilter, word_list
from lexiconforge.sources import SOURCES
from lexiconforge.teaching.handouts import Handout, HandoutOptions, handout, script_handout

pytestmark = pytest.mark.usefixtures("few_only")


@pytest.fixture(scope="module")
def lexicon(few: Lexicon) -> Lexicon:
    return few


def rows_of(table: pd.DataFrame) -> Sequence[Mapping[str, str]]:
    return table.astype(str).to_dict("records")


@pytest.fixture(scope="module")
def pairs(few_pairs: pd.DataFrame) -> pd.DataFrame:
    return few_pairs


@pytest.fixture(scope="module")
def unit(tmp_path_factory: pytest.TempPathFactory, course: Callable[[str], pd.DataFrame]) -> Path:
    """The first lessons of a beginners' unit, as files."""
    folder = tmp_path_factory.mktemp("unit")
    for number, rows in course("t").query("lesson <= 6").groupby("lesson"):
        rows.to_csv(folder / f"lesson-{number:02}.csv", index=False)
    return folder


@pytest.fixture(scope="module")
def sheets(unit: Path, lexicon: Lexicon, pairs: pd.DataFrame) -> list[Handout]:
    """The handouts of these lessons."""
    files = sorted(unit.glob("lesson-*.csv"))
    return [handout(lexicon, pairs, read_rows(file), HandoutOptions(seed=7)) for file in files]


def on_paper(sheet: Handout, paper: str) -> Handout:
    return replace(sheet, options=replace(sheet.options, paper=paper))


def test_what_is_on_a_sheet_does_not_depend_on_its_size(
    unit: Path, sheets: list[Handout], lexicon: Lexicon, pairs: pd.DataFrame
) -> None:
    rows, options = read_rows(unit / "lesson-01.csv"), HandoutOptions(seed=7, paper="letter")
    assert handout(lexicon, pairs, rows, options) == on_paper(sheets[0], "letter")


def pages_of(pdf: Path) -> list[str]:
    return pdf_text(pdf).rstrip("\f").split("\f")


@pytest.mark.parametrize(
    ("paper", "size"),
    [
        ("a4", (595, 842)),
        pytest.param("letter", (612, 792), marks=pytest.mark.campaign),
    ],
)
def test_a_lesson_is_two_sides_and_a_key(
    browser: Browser, sheets: list[Handout], tmp_path: Path, paper: str, size: tuple[int, int]
) -> None:
    """A4 is 210 by 297 mm (ISO 216), Letter 8.5 by 11 in (ANSI/ASME Y14.1); a point is 1/72 in."""
    with browser.new_context() as context:
        page = context.new_page()
        assert len(sheets) == 6
        for number, sheet in enumerate(sheets, start=1):
            out, pdf = tmp_path / "lesson.html", tmp_path / "lesson.pdf"
            out.write_text(handout_text(on_paper(sheet, paper), SOURCES), encoding="utf-8")
            page.goto(out.as_uri())
            page.pdf(path=pdf, prefer_css_page_size=True)
            pages = pages_of(pdf)
            assert len(pages) == 3, f"lesson {number}: {len(pages)} sides"
            assert "Name" in pages[0]
            assert "Set 7" in pages[0]
            assert pages[2].lstrip().startswith("Key: ")
            assert not any("✓" in text for text in pages[:2])
            assert all(len(text.split()) > 25 for text in pages), "nothing stands alone on a sheet"
            assert "Robyn Speer" in " ".join(pages[2].split())
    information = subprocess.run(["pdfinfo", pdf], capture_output=True, text=True, check=True).stdout
    width, height = map(float, re.findall(r"Page size:\s+([\d.]+) x ([\d.]+)", information)[0])
    assert (round(width), round(height)) == size


def test_a_page_is_accessible_on_a_desk_and_on_a_phone(
    browser: Browser, sheets: list[Handout], tmp_path: Path
) -> None:
    out = tmp_path / "handout.html"
    out.write_text(handout_text(sheets[0], SOURCES), encoding="utf-8")
    with browser.new_context() as context:
        page = context.new_page()
        page.goto(out.as_uri())
        assert_accessible(page)
        page.set_viewport_size(PHONE)  # type: ignore[arg-type]
        assert_accessible(page)


def test_the_marks_of_a_page_are_the_letters_of_the_key(
    browser: Browser, lexicon: Lexicon, pairs: pd.DataFrame, tap_list: Path, tmp_path: Path
) -> None:
    """The learner's words to sort tell no allophone; the key tells each, with its sign."""
    sheet = handout(lexicon, pairs, read_rows(tap_list), HandoutOptions(seed=7))
    out = tmp_path / "sheet.html"
    out.write_text(handout_text(sheet, SOURCES), encoding="utf-8")
    with browser.new_context() as context:
        page = context.new_page()
        page.goto(out.as_uri())
        asked = page.locator(".boxes mark")
        assert asked.count() == len(sheet.sorting)
        for attribute in ("data-sign", "data-allophone"):
            assert page.locator(f".boxes mark[{attribute}]").count() == 0
        looks = asked.evaluate_all(
            """all => [...new Set(all.map(one => {
                const style = getComputedStyle(one);
                return [style.borderBottomStyle, style.outlineStyle, style.textDecorationLine].join();
            }))]"""
        )
        assert len(looks) == 1, "the mark gives the answer away"
        key = page.locator(".key section[data-part=sorting] li")
        assert key.count() == len(sheet.sorting)
        for shown, item in zip(key.all(), sheet.sorting, strict=True):
            mark = shown.locator("mark")
            (allophone,) = item.allophones
            assert mark.inner_text() == item.text[item.marks[0].start : item.marks[0].end]
            assert mark.get_attribute("data-allophone") == allophone
            assert mark.get_attribute("data-sign") == lexicon.sound.allophones[allophone].sign


def test_a_handout_of_d_speaks_of_d(
    browser: Browser, d_lexicon: Lexicon, pairs: pd.DataFrame, tmp_path: Path
) -> None:
    table = word_list(d_lexicon, WordFilter(allophone="tap", one_per_family=True, limit=120)).rows
    sheet = handout(d_lexicon, pairs, rows_of(table))
    out = tmp_path / "d.html"
    out.write_text(handout_text(sheet, SOURCES), encoding="utf-8")
    with browser.new_context() as context:
        page = context.new_page()
        page.goto(out.as_uri())
        assert_accessible(page)
        told = page.locator("section > p").all_inner_texts()
        assert "Say each one. Tick those in which the marked d usually is a tap." in told
        assert not [text for text in told if re.search(r"\bt\b", text)]
        marked = page.locator("mark").all_inner_texts()
        assert marked
        assert [text for text in marked if "d" not in text] == []


def test_what_no_page_can_be_is_answered_with_what_it_can() -> None:
    with pytest.raises(OptionError, match="a4, letter"):
        HandoutOptions(paper="a5")
    with pytest.raises(
        OptionError, match="words, sorting, linking, contrasts, dialogue, dictation, text"
    ):
        HandoutOptions(parts=("songs",))
    with pytest.raises(OptionError, match="no part is named"):
        HandoutOptions(parts=())
    with pytest.raises(OptionError, match="last, separate, none"):
        HandoutOptions(key="elsewhere")


def test_only_the_parts_that_are_wanted_and_the_key_where_it_is_wanted(
    tap_list: Path, tmp_path: Path
) -> None:
    out = tmp_path / "dictation.html"
    command = ["handout", str(tap_list), "--parts", "dictation", "--out", str(out)]
    assert main([*command, "--key", "separate"]) == 0
    learner, key = (
        out.read_text(encoding="utf-8"),
        (tmp_path / "dictation-key.html").read_text(encoding="utf-8"),
    )
    parts = [re.findall(r'data-part="(\w+)"', text) for text in (learner, key)]
    assert parts == [["dictation"], ["dictation"]]
    assert "<h1>Key:" not in learner
    assert "<h1>Key:" in key
    assert '<article class="learner">' not in key
    assert main([*command, "--key", "none"]) == 0
    assert "<h1>Key:" not in out.read_text(encoding="utf-8")


def test_text_of_a_list_is_text_on_the_page(
    browser: Browser, lexicon: Lexicon, pairs: pd.DataFrame, tmp_path: Path
) -> None:
    """Whatever stands in a cell of a list that a user gives, nothing of it becomes an element or runs."""
    evil = "<img src=x onerror=alert(1)>water"
    at = evil.index("t", evil.index("water"))
    row = {
        "word": evil,
        "marked": f"{evil[: at + 1]}[ɾ]{evil[at + 1 :]}",
        "ipa": "<b>&amp;",
        "allophone": "tap",
    }
    sheet = handout(
        lexicon, pairs, [row], HandoutOptions(parts=("words",), title="<script>alert(1)</script>")
    )
    out = tmp_path / "evil.html"
    out.write_text(handout_text(sheet, SOURCES), encoding="utf-8")
    with browser.new_context() as context:
        page = context.new_page()
        page.on("dialog", lambda dialog: pytest.fail("a cell ran"))
        page.goto(out.as_uri())
        assert page.locator("h1").inner_text() == "<script>alert(1)</script>"
        assert page.locator("img, script, li b").count() == 0
        assert page.locator("li span").inner_text() == "<b>&amp;"
        assert page.locator("ol li mark").inner_text() == "t"


def words_of_page(text: str) -> list[str]:
    """What is to be read on a page, as words."""
    body = re.sub(r"<header.*?</header>|<style.*?</style>|<title>.*?</title>", "", text, flags=re.DOTALL)
    plain = re.sub(r"</?(?:mark|em)\b[^>]*>", "", body)
    plain = re.sub(r"<[^>]+>", " ", plain).replace("&#x27;", "'").replace("&amp;", "&")
    return re.findall(r"[\w'ɾʔ]+", plain)


def words_of_document(sheet: Handout) -> list[str]:
    book = docx.Document(io.BytesIO(handout_bytes(sheet, SOURCES)))
    paragraphs = [p.text for p in book.paragraphs]
    paragraphs += [p.text for table in book.tables for column in table.columns for cell in column.cells
                   for p in cell.paragraphs]  # fmt: skip
    return re.findall(r"[\w'ɾʔ]+", " ".join(re.sub(r"^\d+\.\t", "", text) for text in paragraphs))


def test_a_document_has_the_content_of_the_page_in_real_styles(
    sheets: list[Handout],
) -> None:
    sheet = on_paper(sheets[0], "letter")
    content = handout_bytes(sheet, SOURCES)
    assert content == handout_bytes(sheet, SOURCES), "the same bytes for the same handout"
    assert sorted(words_of_document(sheet)) == sorted(words_of_page(handout_text(sheet, SOURCES)))
    book = docx.Document(io.BytesIO(content))
    used = {paragraph.style.name for paragraph in book.paragraphs}
    assert {"Title", "Heading 1", "Rule", "Sign", "Told", "Entry", "Blank"} <= used
    runs = {run.style.name for p in book.paragraphs for run in p.runs}
    cells = [c for table in book.tables for row in table.rows for c in row.cells]
    runs |= {run.style.name for cell in cells for p in cell.paragraphs for run in p.runs}
    assert {"IPA", "Asked", "Mark tap", "Mark aspirated stop"} <= runs
    section = book.sections[0]
    assert (round(section.page_width.mm, 1), round(section.page_height.mm, 1)) == (215.9, 279.4)
    (fonts,) = (p for p in book.part.package.iter_parts() if str(p.partname).endswith("fontTable.xml"))
    assert FALLBACKS.encode() in fonts.blob


def test_a_script_with_marks_and_without(tmp_path: Path, lexicon: Lexicon) -> None:
    text = "Put it on the table.\nIs the water hot?\n"
    script, out = tmp_path / "script.txt", tmp_path / "script.html"
    script.write_text(text, encoding="utf-8")
    assert main(["handout", str(script), "--out", str(out)]) == 0
    assert out.read_text(encoding="utf-8") == handout_text(script_handout(lexicon, text), SOURCES)
    marked, plain, key = re.findall(r'<section data-part="text">.*?</section>', out.read_text("utf-8"))
    assert marked.count("<mark") == 3
    assert "<mark" not in plain
    assert key.count("<mark") == 5  # the t of table and of hot as well


def test_pdf_where_a_browser_is(
    unit: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    out = tmp_path / "monday.pdf"
    command = ["handout", str(unit / "lesson-01.csv"), "--out", str(out)]
    with monkeypatch.context() as patched:
        patched.setattr(printing, "BROWSERS", ("no-such-browser",))
        assert main(command) == 2
        assert "PDF needs a Chromium browser" in capsys.readouterr().err
        assert not out.exists()
    if CHROMIUM is None:
        skip_or_fail("Chromium")
    assert main(command) == 0
    assert len(pages_of(out)) == 3
