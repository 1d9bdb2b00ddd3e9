"""A page as PDF, by a browser that is installed.

Room: runs a browser of the Chromium family without a window; knows pages as text, nothing of what is on them.
"""

from __future__ import annotations

import os
import shutil
import subprocess
import tempfile
from pathlib import Path

from lexiconforge.errors import WriteError

BROWSERS = (
    "chromium", "chromium-browser", "google-chrome", "google-chrome-stable", "chrome", "microsoft-edge", "msedge",
    "brave-browser",
)  # fmt: skip
"""Names under which browsers that print without a window are found."""
LONGEST = 120
"""Seconds for one document, many times what the slowest took."""


def browser() -> str:
    """The browser that prints. Raises WriteError where there is none."""
    found = next(filter(None, map(shutil.which, BROWSERS)), None)
    if found is None:
        raise WriteError(
            "PDF needs a Chromium browser (chromium, chrome or edge) and none is on the PATH; write .html and print "
            "it from any browser, or .docx"
        )
    return found


def pdf_bytes(page: str) -> bytes:
    """A page as PDF, on the paper that its style names. Raises WriteError where no browser is, or where it fails."""
    program = browser()
    with tempfile.TemporaryDirectory() as folder:
        source, made = Path(folder) / "page.html", Path(folder) / "page.pdf"
        source.write_text(page, encoding="utf-8")
        command = [
            program, "--headless", "--disable-gpu", "--no-first-run", "--no-pdf-header-footer",
            f"--user-data-dir={folder}/profile", f"--print-to-pdf={made}", source.as_uri(),
        ]  # fmt: skip
        if hasattr(os, "geteuid") and os.geteuid() == 0:
            # The sandbox of the browser cannot be set up for the system's administrator.
            command.insert(1, "--no-sandbox")
        try:
            subprocess.run(command, capture_output=True, timeout=LONGEST, check=True)
            return made.read_bytes()
        except (OSError, subprocess.SubprocessError) as problem:
            raise WriteError(
                f"{Path(program).name} could not print the page ({type(problem).__name__}); write .html and print it"
            ) from None
