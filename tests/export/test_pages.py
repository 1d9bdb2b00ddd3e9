"""The pages in a real browser: chosen, sorted, ticked, saved and printed as a teacher does."""

from __future__ import annotations

import csv
import os
import re
import shutil
import subprocess
from collections.abc import Iterator
from pathlib import Path

import pandas as pd
import pytest
from axe_playwright_python.sync_playwright import Axe
from conftest import cases
from lexiconforge.export.tables import guarded, read_rows
from lexiconforge.handouts import PARTS, HandoutOptions, handout
from lexiconforge.plots import coverage_figure, environments_figure, figure_bytes, text_figure
from lexiconforge.wordlists import Choice, ChoiceError, word_cards, word_list
from playwright.sync_api import Browser, Page, sync_playwright

from lexiconforge.building import PAGE_WORDS
from lexiconforge.cli import main
from lexiconforge.export.page import page_text
from lexiconforge.lexicon import Lexicon
from lexiconforge.sources import SOURCES

CHROMIUM = next(filter(None, map(shutil.which, ("chromium", "chromium-browser", "google-chrome"))), None)
FLAGS = [
    "--no-sandbox", "--disable-gpu", "--disable-quic", "--no-first-run", "--disable-sync",
    "--disable-background-networking", "--disable-component-update",
]  # fmt: skip
DESK, PHONE = {"width": 1280, "height": 900}, {"width": 360, "height": 740}
LONGEST = "counterintuitivenesses"


@pytest.fixture(scope="module")
def browser() -> Iterator[Browser]:
    if CHROMIUM is None:
        # CI installs one, so there its absence is a failure.
        (pytest.fail if os.environ.get("CI") else pytest.skip)("no Chromium is installed")
    with sync_playwright() as playwright:
        browser = playwright.chromium.launch(executable_path=CHROMIUM, args=FLAGS)
        yield browser
        browser.close()


@pytest.fixture(scope="module")
def cards(lexicon: Lexicon) -> pd.DataFrame:
    return word_cards(lexicon, Choice(limit=PAGE_WORDS))


@pytest.fixture(scope="module")
def words_html(tmp_path_factory: pytest.TempPathFactory, cards: pd.DataFrame) -> Path:
    path = tmp_path_factory.mktemp("page") / "words.html"
    path.write_text(page_text(cards, SOURCES), encoding="utf-8")
    return path


@pytest.fixture
def page(browser: Browser, words_html: Path) -> Iterator[Page]:
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


def listed(page: Page) -> list[str]:
    return page.locator("#rows th").all_text_contents()


def number(page: Page) -> int:
    found = re.match(r"[\d,]+", page.locator("#count").inner_text())
    assert found
    return int(found.group().replace(",", ""))


def test_every_choice_narrows_as_the_table_says(page: Page, cards: pd.DataFrame) -> None:
    assert number(page) == cards["word"].nunique() == PAGE_WORDS
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
    early = three[three["band"] <= 3]
    page.select_option("#top-band", "3")
    assert number(page) == early["word"].nunique() > 0
    page.get_by_role("button", name="Start over").click()
    page.wait_for_function("document.getElementById('count').textContent.startsWith('5,000')")
    page.select_option("#stress", "10")
    main_first = cards[cards["stress"].isin(["10", "12"])]
    assert number(page) == main_first["word"].nunique()


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
    assert [row["marked"] for row in rows] == ["ci[t]y", "wa[t]er"]
    assert saved.read_bytes().startswith(b"\xef\xbb\xbf")
    page.reload()
    page.get_by_label("only ticked").check()
    assert listed(page) == ["city", "water"]
    page.get_by_role("button", name="Untick all").click()
    assert number(page) == 0
    assert page.locator("#none").is_visible()


def test_a_saved_list_goes_into_the_other_commands(page: Page, tmp_path: Path) -> None:
    page.select_option("#allophone", "tap")
    page.select_option("#top-band", "1")
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


def test_keyboard_alone(page: Page) -> None:
    """Every control is reached with Tab in reading order and works with Space, Enter and the arrows."""
    seen = []
    for _ in range(16):
        page.keyboard.press("Tab")
        seen.append(page.evaluate(
            "document.activeElement.id || document.activeElement.textContent || document.activeElement.type"
        ))  # fmt: skip
    assert seen[:7] == [
        "allophone", "environment", "syllables", "stress", "level", "band", "top-band",
    ]  # fmt: skip
    assert seen[7:13] == ["search", "one", "only", "Start over", "print", "save"]
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
    """axe-core's rules for WCAG 2.2 A and AA and its best practices: no violation, in four states of the page."""
    page.set_viewport_size(size)  # type: ignore[arg-type]

    def check() -> None:
        found = Axe().run(page)
        assert found.violations_count == 0, found.generate_report()
        assert not page.evaluate("document.documentElement.scrollWidth > innerWidth")

    check()
    page.select_option("#allophone", "tap")
    page.select_option("#level", "A1")
    page.locator("#rows button").first.click()
    page.locator("#rows input").nth(1).check()
    page.get_by_text("How the t is drawn").click()
    page.get_by_text("Where this comes from").click()
    check()
    page.get_by_label("Search").fill("zzz")
    assert page.locator("#none").is_visible()
    check()


def test_longest_words_fit_a_phone(browser: Browser, tmp_path: Path, cards: pd.DataFrame) -> None:
    long = cards.head(1).assign(
        word=LONGEST, ipa="ˌkaʊntɚɪnˈtuɪtɪvnəsəz" * 2, letters_start=4, letters="t", family=LONGEST,
        environment="after r and before syllabic l", also_heard="aspirated stop; glottal stop; elided",
    )  # fmt: skip
    path = tmp_path / "long.html"
    path.write_text(page_text(long, SOURCES), encoding="utf-8")
    with browser.new_context(viewport=PHONE) as context:
        page = context.new_page()
        page.goto(path.as_uri())
        page.locator("#rows button").click()
        assert listed(page) == [LONGEST]
        assert not page.evaluate("document.documentElement.scrollWidth > innerWidth")


def test_a_filter_takes_less_than_a_tenth_of_a_second(page: Page) -> None:
    """With all 5,000 words, from the choice to the page laid out anew, the middle of nine."""
    times = page.evaluate("""() => {
        const times = [];
        const select = document.getElementById("allophone");
        for (const value of ["tap", "", "aspirated stop", "", "glottal stop", "", "unreleased stop", "", "tap"]) {
            const start = performance.now();
            select.value = value;
            select.dispatchEvent(new Event("input", { bubbles: true }));
            document.body.getBoundingClientRect();
            times.push(performance.now() - start);
        }
        return times.sort((a, b) => a - b);
    }""")
    assert times[4] < 100


def test_the_t_is_told_by_form_and_not_by_colour(page: Page, cards: pd.DataFrame) -> None:
    looks = {}
    for name in cards["allophone"].unique():
        page.select_option("#allophone", name)
        look = page.locator("#rows mark").first.evaluate("""mark => {
            const style = getComputedStyle(mark);
            return ["borderBottomStyle", "borderBottomLeftRadius", "borderRightStyle", "outlineStyle",
                    "textDecorationLine"].map(name => style[name]).concat(style.borderBottomWidth > "0px").join(" ");
        }""")
        colour = page.locator("#rows mark").first.evaluate("mark => getComputedStyle(mark).color")
        looks[name] = look
        assert colour == page.evaluate("getComputedStyle(document.body).color")
    assert len(set(looks.values())) == len(looks), looks


def pdf_text(path: Path) -> str:
    if shutil.which("pdftotext") is None:
        (pytest.fail if os.environ.get("CI") else pytest.skip)("pdftotext is not installed")
    command = ["pdftotext", "-layout", str(path), "-"]
    return subprocess.run(command, capture_output=True, text=True, check=True).stdout


@pytest.fixture(scope="module")
def tap_list(tmp_path_factory: pytest.TempPathFactory, lexicon: Lexicon) -> Path:
    path = tmp_path_factory.mktemp("lists") / "tap.csv"
    table = word_list(lexicon, Choice(allophone="tap", one_per_family=True, limit=120)).rows
    table.to_csv(path, index=False)
    return path


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
        found = Axe().run(page)
        assert found.violations_count == 0, found.generate_report()
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


def test_handouts_are_seeded_and_their_keys_right(
    lexicon: Lexicon, pairs: pd.DataFrame, tap_list: Path
) -> None:
    rows = read_rows(tap_list)
    one, again, other = (handout(lexicon, pairs, rows, HandoutOptions(seed=seed)) for seed in (3, 3, 4))
    assert one == again
    assert one.sorting != other.sorting
    assert len(one.sorting) == 16
    for item in one.sorting:
        phones = lexicon.main_phones(item.text)
        rules = [token.rule for token in lexicon.tag_phones(item.text, phones).tokens]
        if "tap" in item.allophones:
            assert "tap" in {rule.allophone for rule in rules}
        else:
            # A fair foil: the t is no tap there, neither usually nor sometimes.
            heard = {name for rule in rules for name in (rule.allophone, *rule.also_heard.split("; "))}
            assert not heard & {"tap", "nasal tap"}, item
    assert sum("tap" in item.allophones for item in one.sorting) == 8
    foils = [item.text for item in one.sorting if "tap" not in item.allophones]
    assert max(lexicon.frequencies.rank[word] for word in foils) <= 3000


def test_a_lesson_and_links_make_handouts(tmp_path: Path, lexicon: Lexicon, pairs: pd.DataFrame) -> None:
    assert main(["plan", "--lessons", "2", "--words", "6", "--out", str(tmp_path)]) == 0
    rows = read_rows(tmp_path / "lesson-02.csv")
    sheet = handout(lexicon, pairs, rows)
    assert {item.text for item in sheet.words} == {r["item"] for r in rows if r["role"] == "new"}
    links = tmp_path / "links.csv"
    assert main(["links", "--first", "get", "--limit", "9", "--out", str(links)]) == 0
    sheet = handout(lexicon, pairs, read_rows(links))
    assert [item.text for item in sheet.linking][:1] == ["get a"]
    assert not sheet.sorting
    assert not sheet.words
    with pytest.raises(ChoiceError, match="empty"):
        handout(lexicon, pairs, [])
    with pytest.raises(ChoiceError, match="no list of words"):
        handout(lexicon, pairs, [{"name": "x"}])
    with pytest.raises(ChoiceError, match="a4, letter"):
        HandoutOptions(paper="a5")
    with pytest.raises(ChoiceError, match="words, sorting"):
        HandoutOptions(parts=("songs",))
    only = handout(lexicon, pairs, rows, HandoutOptions(parts=PARTS[:1]))
    assert only.words
    assert not only.dictation


def test_a_word_with_two_kinds_of_t_is_told_as_it_is(lexicon: Lexicon, pairs: pd.DataFrame) -> None:
    table = word_list(lexicon, Choice(max_rank=8000)).rows
    rows = table[table["allophone"].str.contains("; ")].head(40).astype(str).to_dict("records")
    taps = word_list(lexicon, Choice(allophone="tap", limit=60)).rows.astype(str).to_dict("records")
    sheet = handout(lexicon, pairs, [*rows, *taps], HandoutOptions(words=100))
    assert sheet.title == "Words with a t"
    for item in sheet.words:
        tokens = lexicon.tag_phones(item.text, lexicon.main_phones(item.text)).tokens
        kinds = [token.rule.allophone for token in tokens]
        assert len(item.allophones) == item.marked.count("[")
        assert set(item.allophones) <= set(kinds)
        if len(item.allophones) == len(kinds):
            assert list(item.allophones) == kinds
    assert all(len(set(item.allophones)) == 1 for item in sheet.sorting)


def test_the_key_of_a_dictation_marks_every_t_of_the_kind(lexicon: Lexicon, pairs: pd.DataFrame) -> None:
    rows = [{"first": "important", "second": "as", "ipa": "", "allophone": "nasal tap"},
            {"first": "get", "second": "it", "ipa": "", "allophone": "tap"},
            {"first": "put", "second": "at", "ipa": "", "allophone": "tap"}]  # fmt: skip
    sheet = handout(lexicon, pairs, rows)
    assert {item.marked for item in sheet.dictation} == {"importan[t] as", "ge[t] it", "pu[t] at"}
    assert [item.marked for item in sheet.linking] == ["importan[t] as", "ge[t] it", "pu[t] at"]


def test_pictures(lexicon: Lexicon, cards: pd.DataFrame, tap_list: Path, tmp_path: Path) -> None:
    table = word_list(lexicon, Choice(allophone="tap", limit=50)).rows
    figure = coverage_figure({"tap": table, "again": table.head(9)})
    assert figure.axes[0].lines[0].get_ydata()[-1] == 100 * table["coverage"].iloc[-1]
    assert len({line.get_linestyle() for line in figure.axes[0].lines}) == 2
    counted = environments_figure(cards)
    shown = sum(int(text.get_text()) for text in counted.axes[0].texts)
    assert shown == len(cards[cards["band"] <= 10].drop_duplicates(["word", "environment"]))
    tokens = pd.DataFrame({"line": [1, 1, 3], "allophone": ["tap", "tap", "glottal stop"]})
    marks = text_figure(tokens, 3).axes[0].collections
    assert sorted(len(mark.get_segments()) for mark in marks) == [1, 2]
    assert figure_bytes(counted, "svg") == figure_bytes(environments_figure(cards), "svg")
    for name in ("a.svg", "a.png"):
        assert main(["plot", "coverage", str(tap_list), "--out", str(tmp_path / name)]) == 0
        data = (tmp_path / name).read_bytes()
        assert data.startswith(b"\x89PNG" if name.endswith("png") else b"<?xml")
    grey = set(re.findall(rb"#([0-9a-f]{6})", (tmp_path / "a.svg").read_bytes()))
    assert all(spread(colour) < 24 for colour in grey), "a hue that grey would lose"


def spread(colour: bytes) -> int:
    parts = [int(colour[at : at + 2], 16) for at in (0, 2, 4)]
    return max(parts) - min(parts)


def test_pictures_of_a_text_and_of_environments(tmp_path: Path) -> None:
    script = tmp_path / "script.txt"
    script.write_text("Put it on.\nNot now.\n", encoding="utf-8")
    assert main(["plot", "text", str(script), "--out", str(tmp_path / "text.svg")]) == 0
    assert b"tap" in (tmp_path / "text.svg").read_bytes()
    assert main(["plot", "environments", "--out", str(tmp_path / "all.svg")]) == 0
    assert b"between vowels" in (tmp_path / "all.svg").read_bytes()


def test_completion_is_a_script_the_shell_takes(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["completion", "bash"]) == 0
    script = capsys.readouterr().out
    assert "tag-text" in script
    assert subprocess.run(["bash", "-n"], input=script, text=True, check=False).returncode == 0


def test_a_terminal_has_bold_and_a_file_has_not(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.delenv("NO_COLOR", raising=False)
    monkeypatch.setenv("TERM", "xterm")
    assert main(["tag", "water"]) == 0
    assert "\x1b" not in capsys.readouterr().out
    monkeypatch.setattr("sys.stdout.isatty", lambda: True)
    assert main(["tag", "water"]) == 0
    assert "\x1b[1m[t]\x1b[22m" in capsys.readouterr().out
    monkeypatch.setenv("NO_COLOR", "1")
    assert main(["tag", "water"]) == 0
    assert "\x1b" not in capsys.readouterr().out


def test_what_the_page_saves_is_as_safe_as_what_the_library_writes(
    browser: Browser, tmp_path: Path, cards: pd.DataFrame
) -> None:
    texts = [case["text"].encode().decode("unicode_escape") for case in cases("formulas")]
    texts = [text for text in texts if text.isprintable()]
    evil = pd.concat([cards.head(1)] * len(texts)).assign(word=texts, letters="", allophone="tap")
    path = tmp_path / "evil.html"
    path.write_text(page_text(evil, SOURCES), encoding="utf-8")
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
    assert [row["word"] for row in rows] == [guarded(text) for text in texts]
