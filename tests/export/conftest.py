"""A browser, the page of the commonest words in it, and a list to make handouts of."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import pandas as pd
import pytest
from conftest import Once
from playwright.sync_api import Browser, Page, sync_playwright

from export.browsing import CHROMIUM, FLAGS, opened, skip_or_fail
from lexiconforge.building import PAGE_WORDS
from lexiconforge.export.page import Mark, Material, page_text
from lexiconforge.lexicon import Lexicon
from lexiconforge.lists.linking import LinkFilter, link_table
from lexiconforge.lists.wordlists import WordFilter, word_cards, word_list
from lexiconforge.sounds import Sound
from lexiconforge.sources import SOURCES
from lexiconforge.sources.word_pairs import load_word_pairs
from lexiconforge.tables import Table
from lexiconforge.text.corpus import own_lines
from lexiconforge.text.tagger import Tagger

WritePage = Callable[..., Path]


@pytest.fixture(scope="session")
def browser() -> Iterator[Browser]:
    if CHROMIUM is None:
        skip_or_fail("Chromium")
    with sync_playwright() as playwright:
        browser = playwright.chromium.launch(executable_path=CHROMIUM, args=FLAGS)
        yield browser
        browser.close()


@pytest.fixture(scope="session")
def cards(lexicon: Lexicon, once: Once) -> Any:
    return once("cards", lambda: word_cards(lexicon, WordFilter(limit=PAGE_WORDS)))


@pytest.fixture(scope="session")
def write_page(tmp_path_factory: pytest.TempPathFactory) -> WritePage:
    """A page of these cards, on disk."""

    def write(cards: pd.DataFrame, sound: Sound, **more: Any) -> Path:
        path = tmp_path_factory.mktemp("page") / "words.html"
        text = page_text(Table.of_frame("cards", cards), sound, SOURCES, **more)
        path.write_text(text, encoding="utf-8")
        return path

    return write


@pytest.fixture(scope="session")
def words_html(write_page: WritePage, cards: pd.DataFrame, lexicon: Lexicon) -> Path:
    """All words of the page of a build."""
    return write_page(cards, lexicon.sound)


@pytest.fixture(scope="session")
def material(lexicon: Lexicon) -> Material:
    """A little of each part: links of the commonest pairs, two contrasts and a lesson as the tables have them, lines."""
    pairs = load_word_pairs()
    pairs = pairs[pairs["first"].isin({"get", "put", "at", "what", "let"})]
    contrasts = {
        "kind": ["homophones", "teen-ty"],
        "first": ["metal", "sixteen"],
        "second": ["medal", "sixty"],
        "first_ipa": ["ˈmɛɾl̩", "sɪkˈstin"],
        "second_ipa": ["ˈmɛɾl̩", "ˈsɪksti"],
        "note": ["alike when tapped", "sixteen in -teen, sixty in -ty"],
    }
    lessons = {
        "lesson": [1] * 5,
        "title": ["Between vowels"] * 5,
        "role": ["rule", "new", "new", "link", "line"],
        "item": ["Between vowels it is a tap.", "water", "city", "get it", "Get it out of the water."],
    }
    tagger = Tagger(lexicon)

    def marks(text: str) -> list[Mark]:
        table = tagger.tag_text(text).table
        return list(zip(table["start"], table["end"], table["allophone"], strict=True))

    return Material(
        links=link_table(lexicon, pairs, LinkFilter(limit=150)),
        contrasts=Table("contrasts", contrasts),
        lessons=Table("plan", lessons),
        lines=[line.text for line in own_lines()[:120]],
        marks=marks,
    )


@pytest.fixture(scope="session")
def small_html(
    write_page: WritePage, cards: pd.DataFrame, lexicon: Lexicon, request: pytest.FixtureRequest,
    once: Once, tmp_path_factory: pytest.TempPathFactory,
) -> Path:  # fmt: skip
    """A page with every part and sign, and few enough words to be looked at quickly in many ways."""

    def text() -> str:
        taps = cards[cards["allophone"] == "tap"].head(150)
        rest = cards.groupby("allophone").head(12)
        few = cards[cards["word"].isin({*taps["word"], *rest["word"]})]
        material = request.getfixturevalue("material")
        return write_page(few, lexicon.sound, material=material).read_text(encoding="utf-8")

    path = tmp_path_factory.mktemp("page") / "small.html"
    path.write_text(once("small", text), encoding="utf-8")
    return path


@pytest.fixture(scope="session")
def d_cards(d_lexicon: Lexicon, once: Once) -> Any:
    return once("d-cards", lambda: word_cards(d_lexicon, WordFilter(limit=1500, examples=0)))


@pytest.fixture(scope="session")
def d_html(write_page: WritePage, d_cards: pd.DataFrame, d_lexicon: Lexicon) -> Path:
    return write_page(d_cards, d_lexicon.sound)


@pytest.fixture
def page(browser: Browser, words_html: Path) -> Iterator[Page]:
    """All words, on a desk."""
    with opened(browser, words_html) as page:
        yield page


@pytest.fixture
def small(browser: Browser, small_html: Path) -> Iterator[Page]:
    """Every part of the page, on a desk."""
    with opened(browser, small_html) as page:
        yield page


@pytest.fixture(scope="session")
def tap_list(tmp_path_factory: pytest.TempPathFactory, few: Lexicon) -> Path:
    """The 120 commonest tapped words, one a family, as a user has them on disk."""
    path = tmp_path_factory.mktemp("lists") / "tap.csv"
    table = word_list(few, WordFilter(allophone="tap", one_per_family=True, limit=120)).rows
    table.to_csv(path, index=False)
    return path
