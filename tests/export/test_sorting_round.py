"""The round of sorting, for a learner with a phone, and the voice of the device."""

from __future__ import annotations

from pathlib import Path

import pandas as pd
import pytest
from playwright.sync_api import Browser, Page

from export.browsing import PHONE, listed, opened
from lexiconforge.cli import main
from lexiconforge.lexicon import Lexicon

# A browser as it is on a device with three voices, of which one is its own and American; what is said is written down.
VOICES = """
    window.heard = [];
    class Said { constructor(text) { this.text = text; } }
    window.SpeechSynthesisUtterance = Said;
    const voices = [["far", "en-US", false], ["british", "en-GB", true], ["near", "en-US", true]];
    Object.defineProperty(window, "speechSynthesis", { value: {
        getVoices: () => voices.slice(%s).map(([name, lang, localService]) => ({ name, lang, localService })),
        cancel() {}, speak: (said) => heard.push([said.text, said.voice.name]),
    } });
"""


def start(page: Page) -> None:
    page.get_by_role("tab", name="Sort it").click()
    page.get_by_role("button", name="Start with the words found").click()


def test_a_round_asks_about_the_table_and_keeps_the_results_here(
    browser: Browser, small_html: Path, cards: pd.DataFrame, lexicon: Lexicon
) -> None:
    """Twelve words with one t each, some not tapped; the answer is what the table says of the word, with the rule's place;
    what was answered so is counted; no answer is called wrong."""
    labels = {lexicon.sound.allophones[name].label: name for name in cards["allophone"].unique()}
    with opened(browser, small_html, viewport=PHONE) as page:
        start(page)
        asked, usual, kinds = [], 0, set()
        for n in range(1, 13):
            assert f"Word {n} of 12" in page.locator("#round").inner_text()
            word = page.locator("#asked").inner_text()
            assert page.locator("#asked mark[data-sign]").count() == 0
            rows = cards[cards["word"] == word]
            assert len(rows) == 1
            choices = page.locator(".choices button")
            assert 2 <= choices.count() <= 4
            for box in [choice.bounding_box() for choice in choices.all()]:
                assert box is not None
                assert min(box["width"], box["height"]) >= 48
            # Every third answer is another than the usual one.
            texts = [text.strip() for text in choices.locator("span").all_text_contents()]
            told = [labels[text] for text in texts]
            right = told.index(rows["allophone"].iloc[0])
            pressed = (right + 1) % len(told) if n % 3 == 0 else right
            choices.nth(pressed).click()
            answer = page.locator("#answer").inner_text()
            assert lexicon.sound.environments[rows["environment"].iloc[0]] in answer
            assert answer.partition("\n")[2].strip().startswith("Yes") == (pressed == right)
            assert "wrong" not in answer.lower()
            assert "true t is always acceptable" in answer
            sign = page.locator("#answer mark").get_attribute("data-allophone")
            assert sign == rows["allophone"].iloc[0]
            asked.append(word)
            usual += pressed == right
            kinds.add(rows["allophone"].iloc[0])
            page.keyboard.press("Enter")
        assert len(set(asked)) == 12
        assert len(kinds) > 1
        assert f"{usual} of 12" in page.locator("#round h2").inner_text()
        page.reload()
        page.get_by_role("tab", name="Sort it").click()
        assert "On this device so far" in page.locator("#round").inner_text()
        page.get_by_role("button", name="Forget these results").click()
        assert "On this device so far" not in page.locator("#round").inner_text()


def test_a_round_of_ones_own_words(small: Page) -> None:
    small.get_by_role("tab", name="My words").click()
    small.locator("#own").fill("water city party better little")
    small.get_by_role("button", name="See which are known").click()
    small.locator("#known button").click()
    small.get_by_role("tab", name="Sort it").click()
    small.get_by_role("button", name="Start with what I chose (5)").click()
    assert small.locator("#asked").is_visible()


@pytest.mark.parametrize(("voices", "heard"), [("0", True), ("0, 2", False)])
def test_only_a_voice_of_the_device_says_it(
    browser: Browser, small_html: Path, voices: str, heard: bool
) -> None:
    """A voice that would send the word away is not used, nor one of another accent; where there is none no button is."""
    with opened(browser, small_html, before=VOICES % voices) as page:
        word = listed(page)[0]
        page.locator("#rows button").first.click()
        said = page.get_by_role("button", name=f"say {word}", exact=True)
        assert said.count() == heard
        assert ("the teacher is the model" in page.locator("tr.more").inner_text()) == heard
        if heard:
            said.click()
            assert page.evaluate("heard") == [[word, "near"]]


def test_a_list_is_written_as_a_page(browser: Browser, tmp_path: Path) -> None:
    """It opens on all words that were asked for."""
    out, table = tmp_path / "list.html", tmp_path / "list.csv"
    asked = ["words", "--allophone", "glottal-stop", "--level", "A1-B1", "--limit", "30"]
    assert main([*asked, "--out", str(out)]) == 0
    assert main([*asked, "--out", str(table)]) == 0
    with opened(browser, out) as page:
        assert listed(page) == pd.read_csv(table, keep_default_na=False)["word"].tolist()
        assert page.locator("#allophone").input_value() == "glottal stop"
        # What it has no rows for has no part.
        assert page.get_by_role("tab").all_text_contents() == ["Words", "My words", "Sort it"]
