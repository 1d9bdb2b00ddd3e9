"""What the tests of pages do with a browser and a printer's file."""

from __future__ import annotations

import os
import re
import shutil
import subprocess
from pathlib import Path

import pytest
from axe_playwright_python.sync_playwright import Axe
from playwright.sync_api import Page

DESK, PHONE = {"width": 1280, "height": 900}, {"width": 360, "height": 740}
CHROMIUM = next(filter(None, map(shutil.which, ("chromium", "chromium-browser", "google-chrome"))), None)
FLAGS = [
    "--no-sandbox", "--disable-gpu", "--disable-quic", "--no-first-run", "--disable-sync",
    "--disable-background-networking", "--disable-component-update",
]  # fmt: skip


def skip_or_fail(missing: str) -> None:
    """CI installs everything, so there the absence of something is a failure."""
    (pytest.fail if os.environ.get("CI") else pytest.skip)(f"{missing} is not installed")


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


def overflows(page: Page) -> bool:
    """Must one scroll to the side?"""
    return bool(page.evaluate("document.documentElement.scrollWidth > innerWidth"))


def assert_accessible(page: Page) -> None:
    """axe-core's rules for WCAG 2.2 A and AA and its best practices; and nothing runs out at the side."""
    found = Axe().run(page)
    assert found.violations_count == 0, found.generate_report()
    assert not overflows(page)


def pdf_text(path: Path) -> str:
    """The text of a printed page, laid out as it is."""
    if shutil.which("pdftotext") is None:
        skip_or_fail("pdftotext")
    command = ["pdftotext", "-layout", str(path), "-"]
    return subprocess.run(command, capture_output=True, text=True, check=True).stdout
