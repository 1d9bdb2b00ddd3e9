"""What leaves the page: words ticked and kept, saved as CSV that is as safe as the library's, printed without controls."""

from __future__ import annotations

import csv
from pathlib import Path

import pandas as pd
import pytest
from conftest import cases
from playwright.sync_api import Browser, Page

from export.browsing import listed, number, pdf_text
from lexiconforge.cli import main
from lexiconforge.export.page import page_text
from lexiconforge.export.texts import escape_formula, read_rows
from lexiconforge.lexicon import Lexicon
from lexiconforge.sources import SOURCES
from lexiconforge.tables import Table


def test_ticked_words_are_saved_and_kept(page: Page, tmp_path: Path) -> None:
    page.select_option("#allophone", "tap")
    for word in ("tick city", "tick water"):
        page.get_by_label(word, exact=True).check()
    page.select_option("#allophone", "affricate")
    with page.expect_download() as download:
        page.get_by_role("button", name="Save as CSV: 2 ticked").click()
    saved = tmp_path / "ticked.csv"
    download.value.save_as(saved)
    rows = read_rows(saved)
    assert [row["word"] for row in rows] == ["city", "water"]
    assert [row["marked"] for row in rows] == ["cit[ɾ]y", "wat[ɾ]er"]
    assert saved.read_bytes().startswith(b"\xef\xbb\xbf")
    page.reload()
    page.get_by_label("only ticked").check()
    assert listed(page) == ["city", "water"]
    page.get_by_role("button", name="Untick all").click()
    assert number(page) == 0
    assert page.locator("#none").is_visible()


def test_what_is_saved_is_what_the_table_says(page: Page, tmp_path: Path, cards: pd.DataFrame) -> None:
    page.get_by_label("Search").fill("tt")
    page.select_option("#allophone", "tap")
    with page.expect_download() as download:
        page.get_by_role("button", name="Save as CSV: all").click()
    saved = tmp_path / "chosen.csv"
    download.value.save_as(saved)
    wanted = cards[(cards["allophone"] == "tap") & cards["word"].str.contains("tt")]
    wanted = wanted.drop_duplicates("word").reset_index(drop=True)
    found = pd.read_csv(saved, keep_default_na=False, dtype={"stress": "str"})
    assert len(found) == number(page) > 50
    assert found["place"].tolist() == list(range(1, len(found) + 1))
    for name in (
        "word",
        "ipa",
        "syllables",
        "stress",
        "rank",
        "zipf",
        "level",
        "part_of_speech",
        "family",
    ):
        assert found[name].tolist() == wanted[name].tolist(), name


def test_a_saved_list_goes_into_the_other_commands(page: Page, tmp_path: Path) -> None:
    page.select_option("#allophone", "tap")
    page.select_option("#common", "1000")
    with page.expect_download() as download:
        page.get_by_role("button", name="Save as CSV: all").click()
    saved = tmp_path / "chosen.csv"
    download.value.save_as(saved)
    assert main(["handout", str(saved), "--out", str(tmp_path / "handout.html")]) == 0
    assert main(["words", "--starting-after", str(saved), "--limit", "3", "--out", "-"]) == 0


def test_print_holds_the_chosen_words_and_no_controls(page: Page, tmp_path: Path) -> None:
    page.select_option("#allophone", "glottal stop")
    words = number(page)
    pdf = tmp_path / "print.pdf"
    page.pdf(path=pdf, format="A4")
    text = pdf_text(pdf)
    assert f"{words} words, a glottal stop" in text
    assert "button" in text
    assert text.count("glottal stop") > words
    for control in ("Search", "Print", "Save", "more", "Start over"):
        assert control not in text


def test_print_says_how_the_words_were_chosen(page: Page, tmp_path: Path) -> None:
    page.select_option("#common", "2000")
    page.select_option("#level", "A2")
    page.select_option("#top-level", "B1")
    words = number(page)
    assert words
    page.pdf(path=tmp_path / "print.pdf", format="A4")
    text = " ".join(pdf_text(tmp_path / "print.pdf").split())
    assert f"{words} words, levels A2 to B1, among the commonest 2,000 of English" in text


def test_what_the_page_saves_is_as_safe_as_what_the_library_writes(
    browser: Browser, tmp_path: Path, cards: pd.DataFrame, lexicon: Lexicon
) -> None:
    texts = [case["text"].encode().decode("unicode_escape") for case in cases("formulas")]
    texts = [text for text in texts if text.isprintable()]
    evil = pd.concat([cards.head(1)] * len(texts)).assign(word=texts, letters="", allophone="tap")
    path = tmp_path / "evil.html"
    path.write_text(page_text(Table.of_frame("cards", evil), lexicon.sound, SOURCES), encoding="utf-8")
    with browser.new_context() as context:
        page = context.new_page()
        page.on("dialog", lambda dialog: pytest.fail("a cell ran"))
        page.goto(path.as_uri())
        assert listed(page) == texts
        with page.expect_download() as download:
            page.get_by_role("button", name="Save as CSV: all").click()
        saved = tmp_path / "evil.csv"
        download.value.save_as(saved)
    assert [row["word"] for row in read_rows(saved)] == texts
    rows = list(csv.DictReader(saved.read_text(encoding="utf-8-sig").splitlines()))
    assert [row["word"] for row in rows] == [escape_formula(text) for text in texts]
