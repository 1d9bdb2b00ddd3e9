"""What the tests of pages do with a browser and a printer's file."""

from __future__ import annotations

import io
import os
import re
import shutil
import subprocess
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any

import pytest
from axe_playwright_python.sync_playwright import Axe
from PIL import Image
from playwright.sync_api import Browser, Page

DESK, TABLET = {"width": 1280, "height": 900}, {"width": 768, "height": 1024}
PHONE, SMALL_PHONE = {"width": 375, "height": 740}, {"width": 320, "height": 640}
CHROMIUM = next(filter(None, map(shutil.which, ("chromium", "chromium-browser", "google-chrome"))), None)
FLAGS = [
    "--no-sandbox", "--disable-gpu", "--disable-quic", "--no-first-run", "--disable-sync",
    "--disable-background-networking", "--disable-component-update",
]  # fmt: skip


def skip_or_fail(missing: str) -> None:
    """CI installs everything, so there the absence of something is a failure."""
    (pytest.fail if os.environ.get("CI") else pytest.skip)(f"{missing} is not installed")


@contextmanager
def opened(browser: Browser, path: Path, before: str = "", **settings: Any) -> Iterator[Page]:
    """A page in a browser of these settings, after a script that runs ``before`` its own; at the end it must have asked no
    network and have met with no error."""
    problems: list[str] = []
    listeners: dict[str, Callable[[Any], object]] = {
        "console": lambda message: problems.append(message.text),
        "pageerror": lambda error: problems.append(str(error)),
        "request": lambda request: (
            request.url.startswith(("file:", "data:", "blob:")) or problems.append(request.url)
        ),
        "dialog": lambda dialog: (problems.append(dialog.message), dialog.dismiss()),
    }
    with _page(browser, before, {"viewport": DESK} | settings) as page:
        for event, listener in listeners.items():
            page.on(event, listener)  # type: ignore[call-overload]
        page.goto(path.as_uri())
        yield page
        for event, listener in listeners.items():
            page.remove_listener(event, listener)
        assert problems == []


_kept: list[Page] = []
"""A tab that was let go of, what tests stored in it cleared: to start one takes as long as to open a page in it."""
_CHANGED = {"color_scheme": "light", "forced_colors": "none", "reduced_motion": "no-preference"}
"""What can be changed in a tab that is there, as it is without asking."""


@contextmanager
def _page(browser: Browser, before: str, settings: dict[str, Any]) -> Iterator[Page]:
    if before or settings.keys() - {"viewport", *_CHANGED}:
        with browser.new_context(**settings) as context:
            context.add_init_script(before)
            page = context.new_page()
            page.set_default_timeout(8000)
            yield page
        return
    page = _kept.pop() if _kept else browser.new_context().new_page()
    page.set_default_timeout(8000)
    page.set_viewport_size(settings["viewport"])
    page.mouse.move(0, 0)
    page.emulate_media(**{name: settings.get(name, usual) for name, usual in _CHANGED.items()})  # type: ignore[arg-type]
    try:
        yield page
    except BaseException:
        page.context.close()
        raise
    page.evaluate("localStorage.clear(); sessionStorage.clear()")
    page.goto("about:blank")
    _kept.append(page)


def listed(page: Page) -> list[str]:
    """The words in the table, in order."""
    return page.locator("#rows th").all_text_contents()


def number(page: Page) -> int:
    """How many words the page says it has found."""
    found = re.match(r"[\d,]+", page.locator("#count").inner_text())
    assert found
    return int(found.group().replace(",", ""))


def options(page: Page, name: str) -> dict[str, str]:
    """What can be chosen, by value."""
    found = page.locator(f"#{name} option").evaluate_all("all => all.map(one => [one.value, one.text])")
    return dict(found)


def uncounted(text: str) -> str:
    """A choice without the count and the example beside it."""
    return text.rpartition(" (")[0]


def show_all(page: Page) -> None:
    """Every word that the page has, each form by itself."""
    page.select_option("#allophone", "")
    page.get_by_label("one word a family").uncheck()


def overflows(page: Page) -> bool:
    """Must one scroll to the side?"""
    return bool(page.evaluate("document.documentElement.scrollWidth > innerWidth"))


def assert_accessible(page: Page) -> None:
    """axe-core's rules for WCAG 2.2 A and AA and its best practices; and nothing runs out at the side."""
    found = Axe().run(page, options={"resultTypes": ["violations"]})
    assert found.violations_count == 0, found.generate_report()
    assert not overflows(page)


def too_small(page: Page) -> list[str]:
    """What is pressed and is smaller than 24 by 24 CSS pixels (WCAG 2.2, 2.5.8), with its label where it has one around it;
    links inside text, which the criterion lets be, are none."""
    return page.evaluate("""() => [...document.querySelectorAll("button, select, input, summary, textarea")].flatMap(one => {
        const box = (one.closest("label") || one).getBoundingClientRect();
        const seen = box.width > 0 && one.checkVisibility();
        return seen && (box.width < 24 || box.height < 24) ? [`${one.id || one.type} ${box.width} ${box.height}`] : [];
    })""")  # type: ignore[no-any-return]


def broken_words(page: Page) -> list[str]:
    """Words of the rows that stand on more than one line."""
    return page.evaluate("""() => [...document.querySelectorAll("#rows th")].flatMap(cell => {
        const range = document.createRange();
        range.selectNodeContents(cell);
        const height = parseFloat(getComputedStyle(cell).fontSize);
        return range.getBoundingClientRect().height > 2.4 * height ? [cell.textContent] : [];
    })""")  # type: ignore[no-any-return]


def overlapping(page: Page) -> list[str]:
    """Cells of a row, or heads, whose texts cover one another."""
    return page.evaluate("""() => [...document.querySelectorAll("#heads, #rows tr:nth-child(-n+30)")].flatMap(line => {
        const boxes = [...line.children].filter(cell => cell.textContent.trim()
            && !cell.querySelector(".unseen")).flatMap(cell => {
            const range = document.createRange();
            range.selectNodeContents(cell);
            const box = range.getBoundingClientRect();
            return box.width > 1 ? [[cell.textContent, box]] : [];
        });
        return boxes.flatMap(([one, a], n) => boxes.slice(n + 1).filter(([, b]) =>
            a.left < b.right - 1 && b.left < a.right - 1 && a.top < b.bottom - 1 && b.top < a.bottom - 1,
        ).map(([other]) => `${one} / ${other}`));
    })""")  # type: ignore[no-any-return]


def contrasts(page: Page, selector: str) -> list[float]:
    """The contrast (WCAG, 1 to 21) between the lightest and the darkest pixel of each of these elements, as drawn."""
    # What was pressed before has moved the rest by then.
    page.evaluate("() => new Promise(done => requestAnimationFrame(() => requestAnimationFrame(done)))")
    boxes = page.locator(selector).evaluate_all("""all => all.map(one => {
        const box = one.getBoundingClientRect();
        return [box.left + scrollX, box.top + scrollY, box.right + scrollX, box.bottom + scrollY];
    })""")
    whole = Image.open(io.BytesIO(page.screenshot(full_page=True))).convert("RGB")
    found = []
    for box in boxes:
        part = whole.crop(tuple(map(round, box)))
        lights = [_luminance(pixel) for _, pixel in part.getcolors(1 << 20) or ()]
        found.append((max(lights) + 0.05) / (min(lights) + 0.05))
    return found


def _luminance(pixel: Any) -> float:
    """Relative luminance, by the formula of WCAG 2.2."""
    linear = [
        c / 255 / 12.92 if c / 255 <= 0.04045 else ((c / 255 + 0.055) / 1.055) ** 2.4 for c in pixel
    ]
    return 0.2126 * linear[0] + 0.7152 * linear[1] + 0.0722 * linear[2]


def pdf_text(path: Path) -> str:
    """The text of a printed page, laid out as it is."""
    if shutil.which("pdftotext") is None:
        skip_or_fail("pdftotext")
    command = ["pdftotext", "-layout", str(path), "-"]
    return subprocess.run(command, capture_output=True, text=True, check=True).stdout
