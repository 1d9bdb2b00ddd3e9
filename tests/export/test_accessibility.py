"""The page without a mouse, by axe-core's rules, in every way that it is looked at: screens, zoom, colours, motion."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pandas as pd
import pytest
from playwright.sync_api import Browser, Page

from export.browsing import (
    DESK,
    PHONE,
    SMALL_PHONE,
    TABLET,
    assert_accessible,
    broken_words,
    contrasts,
    listed,
    opened,
    overflows,
    overlapping,
    show_all,
    too_small,
)
from export.conftest import WritePage
from lexiconforge.lexicon import Lexicon

LONGEST = "counterintuitivenesses"
# A window of half the size with twice the pixels is what zooming to 200 % makes of it (WCAG 2.2, 1.4.4 and 1.4.10).
LOOKS: dict[str, dict[str, Any]] = {
    "320 px": {"viewport": SMALL_PHONE},
    "375 px": {"viewport": PHONE},
    "768 px": {"viewport": TABLET},
    "1280 px": {"viewport": DESK},
    "200 %": {"viewport": {"width": 640, "height": 450}, "device_scale_factor": 2},
    "dark": {"color_scheme": "dark"},
    "forced colours": {"forced_colors": "active", "color_scheme": "light"},
    "forced colours, dark": {"forced_colors": "active", "color_scheme": "dark"},
    "reduced motion": {"reduced_motion": "reduce", "viewport": PHONE},
}
# The narrowest, the usual and the dark one are looked at in every run.
ALL_LOOKS = [
    name if name in ("320 px", "1280 px", "dark") else pytest.param(name, marks=pytest.mark.campaign)
    for name in LOOKS
]


@pytest.mark.parametrize("look", ALL_LOOKS)
def test_seen_by_everybody(browser: Browser, small_html: Path, look: str) -> None:
    """axe-core's rules for WCAG 2.2 A and AA and its best practices, targets of 24 px, no word broken or covered and no
    scrolling to the side, with rows open and chosen and in every part of the page."""
    with opened(browser, small_html, **LOOKS[look]) as page:
        show_all(page)
        page.select_option("#level", "A1")
        page.get_by_label("Search for letters").fill("tt")
        assert 3 < len(listed(page)) < 40
        page.locator("#rows button").first.click()
        page.locator("#rows input").nth(1).check()
        for summary in page.locator("summary").all()[:2]:
            summary.click()
        assert_accessible(page)
        assert too_small(page) == []
        assert broken_words(page) == []
        assert overlapping(page) == []
        page.get_by_label("Search for letters").fill("zzzz")
        for name in ("Links", "Contrasts", "Lines", "Lessons", "My words", "Sort it"):
            page.get_by_role("tab", name=name).click()
            assert not overflows(page), name
            assert too_small(page) == [], name


@pytest.mark.parametrize("look", ["dark", "forced colours", "forced colours, dark"])
def test_every_t_is_seen(browser: Browser, small_html: Path, look: str) -> None:
    """What is drawn stands out by 4.5 to 1 and more (WCAG 2.2, 1.4.3), in the head, in the key and on the buttons."""
    with opened(browser, small_html, **LOOKS[look]) as page:
        page.locator("#key summary").click()
        assert min(contrasts(page, "#key mark, h1 mark, #rows tr:nth-child(-n+3) mark")) >= 4.5
        page.get_by_role("tab", name="Sort it").click()
        page.get_by_role("button", name="Start with the words found").click()
        assert min(contrasts(page, "#asked, .choices mark")) >= 4.5


def test_accessible_in_the_other_parts(browser: Browser, small_html: Path) -> None:
    with opened(browser, small_html, **LOOKS["dark"]) as page:
        page.get_by_label("Search for letters").fill("wattr")
        assert page.locator("#none").is_visible()
        assert_accessible(page)
        page.get_by_role("tab", name="Links").click()
        assert_accessible(page)
        page.get_by_role("tab", name="Sort it").click()
        page.get_by_role("button", name="Start with the words found").click()
        assert_accessible(page)


def test_keyboard_alone(small: Page) -> None:
    """Every control is reached with Tab in reading order and works with Space, Enter and the arrows."""
    page, seen = small, []
    for _ in range(23):
        page.keyboard.press("Tab")
        seen.append(page.evaluate(
            "document.activeElement.id || document.activeElement.textContent || document.activeElement.type"
        ))  # fmt: skip
    assert seen[:7] == [
        "tab-words",
        "allophone",
        "environment",
        "syllables",
        "stress",
        "level",
        "common",
    ]
    assert seen[7:14] == ["search", "ɾ", "ʔ", "ə", "one", "only", "Start over"]
    assert seen[14:19] == [
        "print",
        "save",
        "add",
        "How to search",
        "How the t and the stress are drawn",
    ]
    assert seen[19:] == ["word", "where", "the t is", "stress"]
    page.locator("#allophone").focus()
    before = page.locator("#allophone").input_value()
    page.keyboard.press("ArrowDown")
    assert page.locator("#allophone").input_value() != before
    tick = page.locator("#rows input").first
    tick.focus()
    page.keyboard.press("Space")
    assert "1 word chosen" in page.locator("#kept-count").inner_text()
    page.locator("#rows button").first.focus()
    page.keyboard.press("Enter")
    assert page.locator("tr.more").count() == 1
    page.locator("#tab-words").focus()
    page.keyboard.press("ArrowRight")
    assert page.evaluate("document.activeElement.id") == "tab-links"
    assert page.locator("#links").is_visible()
    page.keyboard.press("End")
    assert page.evaluate("document.activeElement.id") == "tab-round"
    page.keyboard.press("Home")
    assert page.locator("#words").is_visible()


@pytest.mark.parametrize("look", ["375 px", "1280 px"])
def test_the_heads_stay_in_sight(browser: Browser, words_html: Path, look: str) -> None:
    with opened(browser, words_html, **LOOKS[look]) as page:
        page.locator("#rows tr").nth(40).scroll_into_view_if_needed()
        box = page.locator("#heads").bounding_box()
        assert box is not None
        assert page.evaluate("scrollY") > 300
        assert -1 <= box["y"] <= 1


def test_nothing_moves_by_itself(browser: Browser, small_html: Path) -> None:
    with opened(browser, small_html, **LOOKS["reduced motion"]) as page:
        page.locator("#rows button").first.click()
        page.locator("#rows input").first.check()
        assert page.evaluate("document.getAnimations().length") == 0
        assert page.evaluate("getComputedStyle(document.documentElement).scrollBehavior") == "auto"


def test_longest_words_fit_a_phone(
    browser: Browser, write_page: WritePage, cards: pd.DataFrame, lexicon: Lexicon
) -> None:
    long = cards.head(1).assign(
        word=LONGEST, ipa="ˌkaʊntɚɪnˈtuɪtɪvnəsəz" * 2, letters_start=4, letters="t", family=LONGEST,
        environment="after r and before syllabic l", also_heard="aspirated stop; glottal stop; elided",
    )  # fmt: skip
    with opened(browser, write_page(long, lexicon.sound), viewport=SMALL_PHONE) as page:
        page.locator("#rows button").click()
        assert listed(page) == [LONGEST]
        assert broken_words(page) == []
        assert not overflows(page)


@pytest.mark.parametrize("look", ["375 px", "768 px", "1280 px"])
def test_the_longest_words_of_the_page_are_whole(browser: Browser, words_html: Path, look: str) -> None:
    with opened(browser, words_html, **LOOKS[look]) as page:
        show_all(page)
        page.select_option("#syllables", "5")
        assert len(listed(page)) > 20
        assert broken_words(page) == []
        assert overlapping(page) == []
