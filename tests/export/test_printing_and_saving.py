"""What leaves the page or stays on the device: words chosen and kept, sets, files as safe as the library's, paper."""

from __future__ import annotations

import csv
import re
from pathlib import Path

import pandas as pd
import pytest
from conftest import cases
from playwright.sync_api import Browser, Page, expect

from export.browsing import listed, number, opened, pdf_text, show_all
from export.conftest import WritePage
from lexiconforge.cli import main
from lexiconforge.export.texts import escape_formula, read_columns, read_rows
from lexiconforge.lexicon import Lexicon


def saved(page: Page, button: str, path: Path) -> Path:
    """The file that a button gives."""
    with page.expect_download() as download:
        page.get_by_role("button", name=button).click()
    download.value.save_as(path)
    return path


def choose(page: Page, *words: str) -> None:
    for word in words:
        page.get_by_label(f"choose {word}", exact=True).check()


def printed(page: Page, path: Path) -> str:
    """What a printer gets, its spaces made one."""
    page.pdf(path=path, format="A4")
    return " ".join(pdf_text(path).split())


def test_chosen_words_are_saved_and_kept(small: Page, tmp_path: Path) -> None:
    choose(small, "city", "water")
    small.select_option("#allophone", "affricate")
    kept = saved(small, "Save what I chose", tmp_path / "chosen.csv")
    rows = read_rows(kept)
    assert [row["word"] for row in rows] == ["city", "water"]
    assert [row["marked"] for row in rows] == ["cit[ɾ]y", "wat[ɾ]er"]
    assert kept.read_bytes().startswith(b"\xef\xbb\xbf")
    small.reload()
    show_all(small)
    small.get_by_label("only what I chose").check()
    assert listed(small) == ["city", "water"]
    small.get_by_role("button", name="Clear what I chose").click()
    assert number(small) == 0
    assert small.locator("#none").is_visible()
    small.get_by_role("button", name="Take it back").click()
    assert listed(small) == ["city", "water"]


def test_a_forgotten_tick_makes_no_print_of_one_word(small: Page, tmp_path: Path) -> None:
    """What is found and what is chosen are printed by buttons of their own."""
    choose(small, "water")
    small.reload()
    small.select_option("#allophone", "glottal stop")
    found = number(small)
    assert small.locator("#print").inner_text().startswith(f"Print these {found}")
    assert small.locator("#print-kept").inner_text() == "Print what I chose (1)"
    assert f"{found} words, a glottal stop" in printed(small, tmp_path / "found.pdf")
    small.evaluate("window.print = () => {}")
    small.locator("#print-kept").click()
    text = printed(small, tmp_path / "chosen.pdf")
    assert "1 word, chosen by hand" in text
    assert "water" in text
    assert "glottal stop" not in text


def test_all_that_is_found_is_added_at_once(page: Page) -> None:
    page.select_option("#environment", "after r")
    page.get_by_label("one word a family").uncheck()
    page.select_option("#common", "1000")
    words = set(listed(page))
    assert 1 < len(words) == number(page)
    page.locator("#add").click()
    assert page.locator("#kept-count").inner_text() == f"{len(words)} words chosen"
    page.get_by_role("button", name="Start over").click()
    show_all(page)
    page.get_by_label("only what I chose").check()
    assert set(listed(page)) == words


def test_what_is_saved_is_what_the_table_says(page: Page, tmp_path: Path, cards: pd.DataFrame) -> None:
    show_all(page)
    page.get_by_label("Search for letters").fill("tt")
    page.select_option("#allophone", "tap")
    file = saved(page, "Save these", tmp_path / "found.csv")
    wanted = cards[(cards["allophone"] == "tap") & cards["word"].str.contains("tt")]
    wanted = wanted.drop_duplicates(["word", "ipa"]).reset_index(drop=True)
    found = pd.read_csv(file, keep_default_na=False, dtype={"stress": "str"})
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
        "example",
    ):
        assert found[name].tolist() == wanted[name].tolist(), name


@pytest.mark.usefixtures("few_words")
def test_a_saved_list_goes_into_the_other_commands(page: Page, tmp_path: Path) -> None:
    page.select_option("#common", "1000")
    file = saved(page, "Save these", tmp_path / "found.csv")
    assert main(["handout", str(file), "--out", str(tmp_path / "handout.html")]) == 0
    # What words --starting-after reads.
    assert [word for (word,) in read_columns(file, ("word",))] == listed(page)[: number(page)]


def test_sets_are_kept_saved_and_opened(browser: Browser, small_html: Path, tmp_path: Path) -> None:
    with opened(browser, small_html) as page:
        choose(page, "city", "water")
        page.get_by_role("tab", name="My words").click()
        page.get_by_label("Name", exact=True).fill("Monday <b>")
        page.get_by_role("button", name="Keep what I chose under this name").click()
        page.get_by_role("tab", name="Links").click()
        choose(page, "get it")
        page.get_by_role("tab", name="My words").click()
        page.get_by_label("Name", exact=True).fill("Links")
        page.get_by_role("button", name="Keep what I chose under this name").click()
        assert page.locator("#sets strong").all_text_contents() == ["Monday <b>", "Links"]
        page.reload()
        page.get_by_role("tab", name="My words").click()
        assert page.locator("#sets strong").all_text_contents() == ["Monday <b>", "Links"]
        page.get_by_role("button", name="Take Monday <b> instead of what I chose").click()
        assert page.locator("#mine-list li > span").all_text_contents() == ["city", "water"]
        file = saved(page, "Save all sets as a file", tmp_path / "sets.csv")
    assert [(row["set"], row["word"]) for row in read_rows(file)] == [
        ("Monday <b>", "city"), ("Monday <b>", "water"), ("Links", "city"), ("Links", "water"), ("Links", "get it"),
    ]  # fmt: skip
    # In another browser nothing is known until the file is opened.
    with opened(browser, small_html) as page:
        page.get_by_role("tab", name="My words").click()
        assert page.locator("#sets li").count() == 0
        page.locator("#open").set_input_files(file)
        page.wait_for_selector("#sets li")
        page.get_by_role("button", name="Take Links instead of what I chose").click()
        assert page.locator("#mine-list li > span").all_text_contents() == ["city", "water", "get it"]


@pytest.mark.parametrize(
    ("name", "text", "words"),
    [
        ("list.csv", "place,word,marked\n1,water,wat[ɾ]er\n2,city,cit[ɾ]y\n", ["water", "city"]),
        ("lesson-01.csv", "lesson;role;item\n1;new;water\n1;link;get it\n", ["water", "get it"]),
        ("links.csv", "first,second,count\nget,it,5\n", ["get it"]),
        ("words.txt", "# mine\nwater\nZorbo\n", ["water", "Zorbo (not on this page)"]),
    ],
)
def test_lists_lessons_links_and_plain_words_are_opened(
    small: Page, tmp_path: Path, name: str, text: str, words: list[str]
) -> None:
    (tmp_path / name).write_text(text, encoding="utf-8")
    small.get_by_role("tab", name="My words").click()
    small.locator("#open").set_input_files(tmp_path / name)
    small.wait_for_selector("#sets li")
    small.get_by_role("button", name="Take", exact=False).first.click()
    assert small.locator("#mine-list li > span").all_text_contents() == words


def test_words_of_ones_own_are_looked_up(small: Page) -> None:
    small.get_by_role("tab", name="My words").click()
    small.locator("#own").fill("Water, city; <img src=x onerror=alert(1)> zorbo!")
    small.get_by_role("button", name="See which are known").click()
    assert small.locator("#known li").all_text_contents() == ["water", "city"]
    assert "zorbo" in small.locator("#known").inner_text()
    assert small.locator("#known img").count() == 0
    small.get_by_role("button", name="Add these 2 to what I chose").click()
    assert small.locator("#kept-count").inner_text() == "2 words chosen"


def test_a_view_has_an_address(browser: Browser, words_html: Path) -> None:
    """What was chosen is in the address, and whoever opens it sees the same; what it cannot mean is passed over."""
    with opened(browser, words_html) as page:
        page.select_option("#allophone", "glottal stop")
        page.select_option("#level", "B1")
        page.get_by_label("Search for letters").fill("tt")
        page.locator("th[data-key=word] button").click()
        expect(page).to_have_url(re.compile("sort=word"))
        address, words = page.evaluate("location.hash"), listed(page)
        assert words
    with opened(browser, words_html) as page:
        page.goto(f"{words_html.as_uri()}{address}")
        # The page hears of its new address a moment later.
        expect(page.get_by_label("Search for letters")).to_have_value("tt")
        assert listed(page) == words
        page.evaluate("location.hash = '#allophone=nonsense&level=Z9&part=nowhere'")
        expect(page.get_by_label("Search for letters")).to_have_value("")
        assert page.locator("#allophone").input_value() == "tap"
        assert page.locator("#words").is_visible()


def test_what_is_kept_belongs_to_one_sound_and_may_fail(
    browser: Browser, small_html: Path, d_html: Path
) -> None:
    """Pages of two sounds lie in one folder; and a browser may refuse to keep anything."""
    with opened(browser, small_html) as page:
        page.locator("#rows input").nth(1).check()
        kept = page.evaluate("Object.keys(localStorage)")
        page.goto(d_html.as_uri())
        page.locator("#rows input").first.check()
        assert page.locator("#kept-count").inner_text() == "1 word chosen"
        assert not set(kept) & (set(page.evaluate("Object.keys(localStorage)")) - set(kept))
        assert len(page.evaluate("Object.keys(localStorage)")) == len(kept) + 1
    refuse = "Object.defineProperty(window, 'localStorage', { get() { throw new Error('no') } })"
    with opened(browser, small_html, before=refuse) as page:
        choose(page, "water")
        page.get_by_role("tab", name="My words").click()
        page.get_by_label("Name", exact=True).fill("Monday")
        page.get_by_role("button", name="Keep what I chose under this name").click()
        assert page.locator("#sets strong").all_text_contents() == ["Monday"]


def test_print_holds_the_found_words_and_no_controls(small: Page, tmp_path: Path) -> None:
    small.select_option("#allophone", "glottal stop")
    words = number(small)
    text = printed(small, tmp_path / "print.pdf")
    assert f"{words} words, a glottal stop, one word a family" in text
    missing = [word for word in listed(small) if word not in text.replace("- ", "")]
    assert missing == []
    assert len(listed(small)) == words
    for control in ("Search", "Print these", "Save", "more", "Start over"):
        assert control not in text


def test_print_says_how_the_words_were_chosen(page: Page, tmp_path: Path) -> None:
    show_all(page)
    page.select_option("#common", "2000")
    page.select_option("#level", "A2")
    page.select_option("#top-level", "B1")
    words = number(page)
    assert words
    text = printed(page, tmp_path / "print.pdf")
    assert f"{words} words, levels A2 to B1, among the commonest 2,000 of English" in text


def test_the_other_parts_and_a_lesson_sheet_are_printed(
    small: Page, tmp_path: Path, lexicon: Lexicon
) -> None:
    small.evaluate("window.print = () => {}")
    small.get_by_role("tab", name="Links").click()
    small.locator("#links-search").fill("get it")
    assert "get it" in printed(small, tmp_path / "links.pdf")
    small.get_by_role("tab", name="Lessons").click()
    small.locator("#lessons summary").click()
    small.get_by_role("button", name="Print the sheet of lesson 1").click()
    text = printed(small, tmp_path / "sheet.pdf")
    assert "Name" in text
    assert "water" in text
    assert "get it" in text
    assert lexicon.sound.allophones["tap"].plain in text
    assert "For the teacher: the key" in text


def test_the_key_of_a_sheet_is_that_of_the_table(small: Page, cards: pd.DataFrame) -> None:
    """Every word of the exercise stands once in the key, under what the table says of its one t."""
    show_all(small)
    small.get_by_label("Search for letters").fill("tt")
    small.locator("#add").click()
    small.evaluate("window.print = () => {}")
    small.get_by_role("button", name="Print a lesson sheet").click()
    small.evaluate("dispatchEvent(new Event('beforeprint'))")
    key = small.locator("#paper .for-teacher li").all_text_contents()
    labels = {"silent t": "elided"}
    found = []
    for line in key:
        label, _, words = line.removeprefix("t ").partition(": ")
        name = labels.get(label, label)
        for word in filter(None, words.split(", ")):
            found.append(word)
            assert set(cards.loc[cards["word"] == word, "allophone"]) == {name}, word
    assert len(found) == len(set(found)) > 5
    asked = small.locator("#paper p").filter(has_text="Say each word").inner_text()
    assert all(word in asked for word in found)


def test_what_the_page_saves_is_as_safe_as_what_the_library_writes(
    browser: Browser, write_page: WritePage, cards: pd.DataFrame, lexicon: Lexicon, tmp_path: Path
) -> None:
    texts = [case["text"].encode().decode("unicode_escape") for case in cases("formulas")]
    texts = [text for text in texts if text.isprintable()]
    evil = pd.concat([cards.head(1)] * len(texts)).assign(word=texts, letters="", allophone="tap")
    evil["family"] = texts
    with opened(browser, write_page(evil, lexicon.sound, opening="")) as page:
        assert listed(page) == texts
        file = saved(page, "Save these", tmp_path / "evil.csv")
    assert [row["word"] for row in read_rows(file)] == texts
    rows = list(csv.DictReader(file.read_text(encoding="utf-8-sig").splitlines()))
    assert [row["word"] for row in rows] == [escape_formula(text) for text in texts]
