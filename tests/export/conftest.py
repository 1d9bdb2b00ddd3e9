"""A browser, the page of the commonest words in it, and a list to make handouts of."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pandas as pd
import pytest
from playwright.sync_api import Browser, Page, sync_playwright

from export.browsing import CHROMIUM, DESK, FLAGS, skip_or_fail
from lexiconforge.building import PAGE_WORDS
from lexiconforge.export.page import page_text
from lexiconforge.lexicon import Lexicon
from lexiconforge.lists.wordlists import WordFilter, word_cards, word_list
from lexiconforge.sources import SOURCES
from lexiconforge.tables import Table


@pytest.fixture(scope="session")
def browser() -> Iterator[Browser]:
    if CHROMIUM is None:
        skip_or_fail("Chromium")
    with sync_playwright() as playwright:
        browser = playwright.chromium.launch(executable_path=CHROMIUM, args=FLAGS)
        yield browser
        browser.close()


@pytest.fixture(scope="session")
def cards(lexicon: Lexicon) -> pd.DataFrame:
    return word_cards(lexicon, WordFilter(limit=PAGE_WORDS))


@pytest.fixture(scope="session")
def words_html(tmp_path_factory: pytest.TempPathFactory, cards: pd.DataFrame, lexicon: Lexicon) -> Path:
    path = tmp_path_factory.mktemp("page") / "words.html"
    path.write_text(page_text(Table.of_frame("cards", cards), lexicon.sound, SOURCES), encoding="utf-8")
    return path


@pytest.fixture
def page(browser: Browser, words_html: Path) -> Iterator[Page]:
    """The page on a desk; at the end it must have asked no network and have met with no error."""
    with browser.new_context(viewport=DESK) as context:
        page = context.new_page()
        problems: list[str] = []
        page.on("console", lambda message: problems.append(message.text))
        page.on("pageerror", lambda error: problems.append(str(error)))
        page.on("request", lambda request: request.url.startswith(("file:", "data:", "blob:"))
                or problems.append(request.url))  # fmt: skip
        page.goto(words_html.as_uri())
        yield page
        assert problems == []


@pytest.fixture(scope="session")
def tap_list(tmp_path_factory: pytest.TempPathFactory, lexicon: Lexicon) -> Path:
    """The 120 commonest tapped words, one a family, as a user has them on disk."""
    path = tmp_path_factory.mktemp("lists") / "tap.csv"
    table = word_list(lexicon, WordFilter(allophone="tap", one_per_family=True, limit=120)).rows
    table.to_csv(path, index=False)
    return path
