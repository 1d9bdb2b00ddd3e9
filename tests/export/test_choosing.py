"""The page in a real browser: chosen, searched and sorted as a teacher does, told by the tables it was made of."""

from __future__ import annotations

import json
from pathlib import Path

import pandas as pd
import pytest
from playwright.sync_api import Browser, Page

from export.browsing import listed, number, options
from lexiconforge.building import PAGE_WORDS
from lexiconforge.export.page import page_text
from lexiconforge.lexicon import Lexicon
from lexiconforge.lists.wordlists import WordFilter, word_cards
from lexiconforge.sources import SOURCES
from lexiconforge.tables import Table


def test_every_choice_narrows_as_the_table_says(page: Page, cards: pd.DataFrame) -> None:
    # The two readings of a homograph are two of them and one word of the page.
    assert len(cards.drop_duplicates(["word", "ipa"])) == PAGE_WORDS
    assert number(page) == cards["word"].nunique() <= PAGE_WORDS
    taps = cards[cards["allophone"] == "tap"]
    page.select_option("#allophone", "tap")
    assert number(page) == taps["word"].nunique()
    after_r = taps[taps["environment"] == "after r"]
    page.select_option("#environment", "after r")
    assert number(page) == after_r["word"].nunique()
    assert listed(page)[:5] == after_r["word"].drop_duplicates().head(5).tolist()
    three = after_r[after_r["syllables"] == 3]
    page.select_option("#syllables", "3")
    assert number(page) == three["word"].nunique() > 0
    graded = three[three["level"].isin(["B1", "B2"])]
    page.select_option("#level", "B1")
    page.select_option("#top-level", "B2")
    assert number(page) == graded["word"].nunique() > 0
    page.select_option("#level", "")
    early = three[three["rank"] <= 3000]
    page.select_option("#common", "3000")
    assert number(page) == early["word"].nunique() > 0
    page.get_by_role("button", name="Start over").click()
    page.wait_for_function("document.getElementById('count').textContent.startsWith('4,')")
    page.select_option("#stress", "10")
    main_first = cards[cards["stress"].isin(["10", "12"])]
    assert number(page) == main_first["word"].nunique()


def test_the_commonest_are_counted_among_all_words(page: Page, cards: pd.DataFrame) -> None:
    """Every choice of *the commonest N of English*, none of which would let everything through."""
    offered = options(page, "common")
    assert offered.pop("") == "all words here"
    assert offered
    for value, text in offered.items():
        assert text == f"the commonest {int(value):,} of English"
        page.select_option("#common", value)
        among = cards.loc[cards["rank"] <= int(value), "word"].nunique()
        assert number(page) == among
        assert 0 < among < PAGE_WORDS


def test_one_word_a_family_and_search(page: Page, cards: pd.DataFrame) -> None:
    page.get_by_label("one word a family").check()
    assert number(page) == cards["family"].nunique()
    page.get_by_label("one word a family").uncheck()
    page.get_by_label("Search").fill("ˈwɔɾ")
    assert "water" in listed(page)
    page.get_by_label("Search").fill("watt")
    assert set(listed(page)) == {w for w in cards["word"] if "watt" in w}


def test_sorting(page: Page) -> None:
    page.select_option("#allophone", "glottal stop")
    page.locator("th[data-key=word] button").click()
    assert listed(page) == sorted(listed(page))
    assert page.locator("th[data-key=word]").get_attribute("aria-sort") == "ascending"
    page.locator("th[data-key=word] button").click()
    assert listed(page) == sorted(listed(page), reverse=True)
    page.locator("th[data-key=level] button").click()
    levels = page.locator("#rows tr > td:nth-child(7)").all_text_contents()
    assert levels == sorted(levels, key=lambda level: level or "Z")
    page.locator("th[data-key=level] button").click()
    again = page.locator("#rows tr > td:nth-child(7)").all_text_contents()
    assert again == sorted(filter(None, levels), reverse=True) + [""] * levels.count("")


def test_what_else_is_heard(page: Page) -> None:
    page.get_by_label("Search").fill("water")
    more = page.get_by_role("button", name="more on water", exact=True)
    more.click()
    assert more.get_attribute("aria-expanded") == "true"
    told = page.locator("tr.more").inner_text()
    assert "Also heard: aspirated stop" in told
    assert "Rule: tap between vowels (E&E08)" in told
    more.click()
    assert page.locator("tr.more").count() == 0


def test_a_filter_takes_less_than_a_tenth_of_a_second(page: Page) -> None:
    """With all 5,000 words, from the choice to the page laid out anew, the mean of nine: the time of the page's own
    thread, since others may use the machine."""
    session = page.context.new_cdp_session(page)
    session.send("Performance.enable", {"timeDomain": "threadTicks"})

    def spent() -> float:
        found = session.send("Performance.getMetrics")["metrics"]
        return next(metric["value"] for metric in found if metric["name"] == "ThreadTime")

    before = spent()
    chosen = page.evaluate("""() => {
        const select = document.getElementById("allophone");
        const values = ["tap", "", "aspirated stop", "", "glottal stop", "", "unreleased stop", "", "tap"];
        for (const value of values) {
            select.value = value;
            select.dispatchEvent(new Event("input", { bubbles: true }));
            document.body.getBoundingClientRect();
        }
        return values.length;
    }""")
    assert 0 < (spent() - before) / chosen < 0.1


def test_the_t_is_told_by_form_and_not_by_colour(
    page: Page, cards: pd.DataFrame, lexicon: Lexicon
) -> None:
    looks = {}
    for name in cards["allophone"].unique():
        page.select_option("#allophone", name)
        mark = page.locator("#rows mark").first
        assert mark.get_attribute("data-allophone") == name
        assert mark.get_attribute("data-sign") == lexicon.sound.allophones[name].sign
        looks[name] = mark.evaluate("""mark => {
            const style = getComputedStyle(mark);
            return ["borderBottomStyle", "borderBottomLeftRadius", "borderRightStyle", "outlineStyle", "borderTopStyle",
                    "textDecorationLine"].map(name => style[name]).concat(style.borderBottomWidth > "0px").join(" ");
        }""")
        colour = mark.evaluate("mark => getComputedStyle(mark).color")
        assert colour == page.evaluate("getComputedStyle(document.body).color")
    assert len(set(looks.values())) == len(looks), looks


def test_every_sign_of_a_sound_is_drawn_in_its_own_way(
    page: Page, lexicon: Lexicon, d_lexicon: Lexicon
) -> None:
    """Also those that stand in no word of this page: a sign that the style does not know would be plain bold."""
    sounds = (lexicon.sound, d_lexicon.sound)
    signs = sorted({allophone.sign for sound in sounds for allophone in sound.allophones.values()})
    looks = page.evaluate(
        """signs => signs.map(sign => {
            const mark = document.createElement("mark");
            mark.dataset.sign = sign;
            document.querySelector("h1").append(mark);
            const style = getComputedStyle(mark);
            const look = ["borderBottomStyle", "borderBottomLeftRadius", "borderRightStyle", "outlineStyle",
                          "borderTopStyle", "textDecorationLine"].map(name => style[name]).join(" ");
            mark.remove();
            return look;
        })""",
        ["no such sign", *signs],
    )
    assert len(set(looks)) == len(signs) + 1, dict(zip(["no such sign", *signs], looks, strict=True))


def test_the_words_on_the_page_come_from_the_sound(
    browser: Browser, d_lexicon: Lexicon, tmp_path: Path
) -> None:
    """The d page names no t, and its labels and places are those of the tables of d."""
    sound = d_lexicon.sound
    table = word_cards(d_lexicon, WordFilter(limit=300))
    path = tmp_path / "d.html"
    path.write_text(page_text(Table.of_frame("cards", table), sound, SOURCES), encoding="utf-8")
    with browser.new_context() as context:
        page = context.new_page()
        page.goto(path.as_uri())
        about = json.loads(page.locator("#sound").text_content() or "")
        assert about["letters"] == "d"
        assert page.title() == "Words with a d"
        assert page.locator("h1 mark").inner_text() == "d"
        there = set(table["allophone"])
        articles = ("", "a ", "an ")
        shown = options(page, "allophone")
        assert shown.pop("") == "any sound"
        assert shown.keys() == there
        for name, text in shown.items():
            assert text in [article + sound.allophones[name].label for article in articles]
        places = options(page, "environment")
        assert places.pop("") == "anywhere"
        assert places == {name: sound.environments[name] for name in set(table["environment"])}
        page.select_option("#environment", "between vowels")
        assert number(page) == table.loc[table["environment"] == "between vowels", "word"].nunique()
        first = page.locator("#rows tr").first
        assert first.locator("mark").get_attribute("data-allophone") == "tap"
        assert first.locator("td.what").inner_text() == sound.allophones["tap"].label


def test_the_sentence_of_choices_is_english(
    browser: Browser, d_lexicon: Lexicon, tmp_path: Path
) -> None:
    """*Words whose d is an affricate*, and *is a silent d*: every label is a noun."""
    table = word_cards(d_lexicon, WordFilter(limit=2000))
    path = tmp_path / "d.html"
    path.write_text(
        page_text(Table.of_frame("cards", table), d_lexicon.sound, SOURCES), encoding="utf-8"
    )
    with browser.new_context() as context:
        page = context.new_page()
        page.goto(path.as_uri())
        shown = options(page, "allophone")
    assert {name: shown[name] for name in ("tap", "affricate", "unreleased stop", "elided")} == {
        "tap": "a tap", "affricate": "an affricate", "unreleased stop": "an unreleased stop", "elided": "a silent d",
    }  # fmt: skip


def test_what_is_ticked_on_the_page_of_one_sound_is_not_on_that_of_another(
    browser: Browser, words_html: Path, d_lexicon: Lexicon, tmp_path: Path
) -> None:
    """Both lie in one folder, so the browser keeps what belongs to them in one place."""
    table = word_cards(d_lexicon, WordFilter(limit=300))
    path = tmp_path / "d.html"
    path.write_text(
        page_text(Table.of_frame("cards", table), d_lexicon.sound, SOURCES), encoding="utf-8"
    )
    with browser.new_context() as context:
        page = context.new_page()
        page.goto(words_html.as_uri())
        page.locator("#rows input").nth(1).check()
        kept = page.evaluate("Object.keys(localStorage)")
        page.goto(path.as_uri())
        page.locator("#rows input").first.check()
        assert "1 ticked" in page.locator("#count").inner_text()
        assert len({*kept, *page.evaluate("Object.keys(localStorage)")}) == 2


@pytest.mark.parametrize("letters", ["", "tt"])
def test_a_word_whose_sound_no_letter_spells(
    browser: Browser, cards: pd.DataFrame, lexicon: Lexicon, letters: str, tmp_path: Path
) -> None:
    table = cards.head(1).assign(word="aitch", letters=letters, letters_start=1 if letters else None)
    path = tmp_path / "silent.html"
    path.write_text(page_text(Table.of_frame("cards", table), lexicon.sound, SOURCES), encoding="utf-8")
    with browser.new_context() as context:
        page = context.new_page()
        page.goto(path.as_uri())
        assert page.locator("#rows th mark").count() == (1 if letters else 0)
        page.locator("#rows button").click()
        assert page.locator("tr.more mark").count() == (1 if letters else 0)
