"""The page without a mouse, by axe-core's rules, and on a phone."""

from __future__ import annotations

from pathlib import Path

import pandas as pd
import pytest
from playwright.sync_api import Browser, Page

from export.browsing import DESK, PHONE, assert_accessible, listed, overflows
from lexiconforge.export.page import page_text
from lexiconforge.lexicon import Lexicon
from lexiconforge.sources import SOURCES
from lexiconforge.tables import Table

LONGEST = "counterintuitivenesses"


def test_keyboard_alone(page: Page) -> None:
    """Every control is reached with Tab in reading order and works with Space, Enter and the arrows."""
    seen = []
    for _ in range(16):
        page.keyboard.press("Tab")
        seen.append(page.evaluate(
            "document.activeElement.id || document.activeElement.textContent || document.activeElement.type"
        ))  # fmt: skip
    assert seen[:6] == ["allophone", "environment", "syllables", "stress", "level", "common"]
    assert seen[6:12] == ["search", "one", "only", "Start over", "print", "save"]
    assert seen[12:] == ["How the t is drawn", "word", "where", "the t is"]
    page.locator("#allophone").focus()
    page.keyboard.press("ArrowDown")
    assert page.locator("#allophone").input_value() != ""
    tick = page.locator("#rows input").first
    tick.focus()
    page.keyboard.press("Space")
    assert "1 ticked" in page.locator("#count").inner_text()
    page.locator("#rows button").first.focus()
    page.keyboard.press("Enter")
    assert page.locator("tr.more").count() == 1


@pytest.mark.parametrize("size", [DESK, PHONE], ids=["desk", "phone"])
def test_accessible_by_axe(page: Page, size: dict[str, int]) -> None:
    """axe-core's rules for WCAG 2.2 A and AA and its best practices: no violation, in three states of the page."""
    page.set_viewport_size(size)  # type: ignore[arg-type]
    assert_accessible(page)
    page.select_option("#allophone", "tap")
    page.select_option("#level", "A1")
    page.select_option("#common", "3000")
    page.locator("#rows button").first.click()
    page.locator("#rows input").nth(1).check()
    page.get_by_text("How the t is drawn").click()
    page.get_by_text("Where this comes from").click()
    assert_accessible(page)
    page.get_by_label("Search").fill("zzz")
    assert page.locator("#none").is_visible()
    assert_accessible(page)


def test_longest_words_fit_a_phone(
    browser: Browser, tmp_path: Path, cards: pd.DataFrame, lexicon: Lexicon
) -> None:
    long = cards.head(1).assign(
        word=LONGEST, ipa="ˌkaʊntɚɪnˈtuɪtɪvnəsəz" * 2, letters_start=4, letters="t", family=LONGEST,
        environment="after r and before syllabic l", also_heard="aspirated stop; glottal stop; elided",
    )  # fmt: skip
    path = tmp_path / "long.html"
    path.write_text(page_text(Table.of_frame("cards", long), lexicon.sound, SOURCES), encoding="utf-8")
    with browser.new_context(viewport=PHONE) as context:
        page = context.new_page()
        page.goto(path.as_uri())
        page.locator("#rows button").click()
        assert listed(page) == [LONGEST]
        assert not overflows(page)


@pytest.mark.parametrize("size", [DESK, PHONE], ids=["desk", "phone"])
def test_no_text_is_covered_by_another(page: Page, size: dict[str, int]) -> None:
    """The boxes of the texts of a row, and of the heads, do not overlap."""
    page.set_viewport_size(size)  # type: ignore[arg-type]
    overlaps = page.evaluate("""() => [...document.querySelectorAll("#heads, #rows tr:nth-child(-n+30)")].flatMap(line => {
        const boxes = [...line.children].filter(cell => cell.textContent.trim()).flatMap(cell => {
            const range = document.createRange();
            range.selectNodeContents(cell);
            const box = range.getBoundingClientRect();
            return box.width > 1 ? [[cell.textContent, box]] : [];
        });
        return boxes.flatMap(([one, a], n) => boxes.slice(n + 1).filter(([, b]) =>
            a.left < b.right - 1 && b.left < a.right - 1 && a.top < b.bottom - 1 && b.top < a.bottom - 1,
        ).map(([other]) => `${one} / ${other}`));
    })""")
    assert overlaps == []
