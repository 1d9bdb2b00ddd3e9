"""Pages to print: each part on a sheet of its own, the answers on the keys alone, whatever the list holds."""

from __future__ import annotations

import re
import subprocess
from collections.abc import Mapping, Sequence
from pathlib import Path

import pandas as pd
import pytest
from playwright.sync_api import Browser

from export.browsing import PHONE, assert_accessible, pdf_text
from lexiconforge.cli import main
from lexiconforge.errors import OptionError
from lexiconforge.export.page import handout_text
from lexiconforge.export.texts import read_rows
from lexiconforge.lexicon import Lexicon
from lexiconforge.lists.wordlists import WordFilter, word_list
from lexiconforge.sources import SOURCES
from lexiconforge.teaching.handouts import HandoutOptions, handout


def rows_of(table: pd.DataFrame) -> Sequence[Mapping[str, str]]:
    return table.astype(str).to_dict("records")


@pytest.mark.parametrize(("paper", "size"), [("a4", (595, 842)), ("letter", (612, 792))])
def test_a_handout_on_paper(
    browser: Browser, tap_list: Path, tmp_path: Path, paper: str, size: tuple[int, int]
) -> None:
    """A4 is 210 by 297 mm (ISO 216), Letter 8.5 by 11 in (ANSI/ASME Y14.1); a point is 1/72 in."""
    out = tmp_path / "handout.html"
    assert main(["handout", str(tap_list), "--paper", paper, "--seed", "7", "--out", str(out)]) == 0
    with browser.new_context() as context:
        page = context.new_page()
        page.goto(out.as_uri())
        assert_accessible(page)
        page.set_viewport_size(PHONE)  # type: ignore[arg-type]
        assert_accessible(page)
        pdf = tmp_path / "handout.pdf"
        page.pdf(path=pdf, prefer_css_page_size=True)
    pages = pdf_text(pdf).rstrip("\f").split("\f")
    heads = [re.split(r"\s{3,}", text.strip().splitlines()[0])[0] for text in pages]
    assert heads == [
        "Words with a tap", "Which of these have a tap?", "Link them", "Dictation",
        "Key: which of these have a tap?", "For the teacher: dictation",
    ]  # fmt: skip
    assert all("Set 7" in text for text in pages)
    assert "✓" not in pages[1]
    assert pages[4].count("✓") == 9  # eight words, and the line that explains the mark
    assert "Robyn Speer" in " ".join(pages[5].split())
    information = subprocess.run(["pdfinfo", pdf], capture_output=True, text=True, check=True).stdout
    width, height = map(float, re.findall(r"Page size:\s+([\d.]+) x ([\d.]+)", information)[0])
    assert (round(width), round(height)) == size


def test_the_marks_of_a_page_are_the_letters_of_the_key(
    browser: Browser, lexicon: Lexicon, pairs: pd.DataFrame, tap_list: Path, tmp_path: Path
) -> None:
    """The learner's sheet to sort tells no allophone; the key tells each, with its sign."""
    sheet = handout(lexicon, pairs, read_rows(tap_list), HandoutOptions(seed=7))
    out = tmp_path / "sheet.html"
    out.write_text(handout_text(sheet, SOURCES), encoding="utf-8")
    with browser.new_context() as context:
        page = context.new_page()
        page.goto(out.as_uri())
        asked = page.locator(".sort mark")
        assert asked.count() == len(sheet.sorting)
        for attribute in ("data-sign", "data-allophone"):
            assert page.locator(f".sort mark[{attribute}]").count() == 0
        looks = asked.evaluate_all(
            """all => [...new Set(all.map(one => {
                const style = getComputedStyle(one);
                return [style.borderBottomStyle, style.outlineStyle, style.textDecorationLine].join();
            }))]"""
        )
        assert len(looks) == 1, "the mark gives the answer away"
        key = page.locator("section", has_text="Key:").locator("li")
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
        assert "Say each word. Tick those in which the d is a tap." in told
        assert not [text for text in told if re.search(r"\bt\b", text)]
        marked = page.locator("mark").all_inner_texts()
        assert marked
        assert [text for text in marked if "d" not in text] == []


def test_what_no_page_can_be_is_answered_with_what_it_can() -> None:
    with pytest.raises(OptionError, match="a4, letter"):
        HandoutOptions(paper="a5")
    with pytest.raises(OptionError, match="words, sorting, linking, dictation"):
        HandoutOptions(parts=("songs",))
    with pytest.raises(OptionError, match="no part is named"):
        HandoutOptions(parts=())


def test_only_the_parts_that_are_wanted_and_their_keys(
    browser: Browser, lexicon: Lexicon, pairs: pd.DataFrame, tap_list: Path, tmp_path: Path
) -> None:
    sheet = handout(lexicon, pairs, read_rows(tap_list), HandoutOptions(parts=("dictation",), ipa=False))
    out = tmp_path / "dictation.html"
    out.write_text(handout_text(sheet, SOURCES), encoding="utf-8")
    with browser.new_context() as context:
        page = context.new_page()
        page.goto(out.as_uri())
        assert page.locator("h1").all_inner_texts() == ["Dictation", "For the teacher: dictation"]
        assert page.locator(".lines li").count() == len(sheet.dictation) == 12
        texts = [item.text for item in sheet.dictation]
        shown = page.locator(".key li").all_inner_texts()
        assert [text.split("\n")[0].strip() for text in shown] == texts


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
        assert page.locator("li mark").inner_text() == "t"
