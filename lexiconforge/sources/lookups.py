"""Files of ``spacy-lookups-data``: those that a built wheel carries, or those of the package itself.

The package holds tables of two dozen languages, 99 MB, of which the lists need three of English. So whoever builds a
wheel derives these (:func:`derive`, run by ``hatch_build.py``): the lemmas and their index as they are, of the
frequencies as much as is read. Its terms, the MIT licence and that of WordNet, allow this with their notices, which go
along. In a checkout nothing is derived, and the package is read.
"""

from __future__ import annotations

import gzip
import json
import re
from functools import cache
from pathlib import Path

from lexiconforge.errors import SourceError
from lexiconforge.sources import locate

PACKAGE = "spacy-lookups-data"
DERIVED = Path(__file__).parent / "derived"
LEMMAS, INDEX, CASED = "en_lemma_lookup.json.gz", "en_lemma_index.json.gz", "en_lexeme_prob.json.gz"
WORDNET = "en_license.txt"
VERSION = "version.txt"


FLOOR = -14.5
"""Natural log-probability at which reading stops, one form in two million.
For a word of which one form is common, taking the other for nothing below this changes its share little."""
_BLOCK = 1 << 18
_ENTRY = re.compile(r'"([A-Za-z\']+)":(-[0-9.]+)')


def lookup(name: str) -> Path:
    """One of these files. Raises SourceError if neither the wheel nor the package has it."""
    derived = DERIVED / name
    return (
        derived if derived.exists() else locate("spacy_lookups_data", "data", name, distribution=PACKAGE)
    )


def derived_version() -> str:
    """The version of the package that the derived files were made from, empty where there are none."""
    path = DERIVED / VERSION
    return path.read_text(encoding="utf-8").strip() if path.exists() else ""


def read_entries(path: Path) -> dict[str, str]:
    """Log-probability by form down to :data:`FLOOR`, as the table has it. Raises SourceError."""
    found: dict[str, str] = {}
    last = 0.0
    with gzip.open(path, "rt", encoding="utf-8") as table:
        while last > FLOOR and (block := table.read(_BLOCK)):
            entries = _ENTRY.findall(block + table.readline())
            if not entries or float(entries[0][1]) > last:
                raise SourceError(f"{path.name}: not in order of frequency")
            last = float(entries[-1][1])
            found.update(entries)
    return found


@cache
def wordnet_notice() -> str:
    """The licence of WordNet, from which the lemmas were made, as it asks to be passed on."""
    return lookup(WORDNET).read_text(encoding="utf-8")


def derive(folder: Path, version: str) -> list[Path]:
    """Write what is read of the package into a folder, with its notices; the same bytes each time."""
    package = locate("spacy_lookups_data", "data", LEMMAS, distribution=PACKAGE).parent
    folder.mkdir(parents=True, exist_ok=True)
    with gzip.open(package / INDEX, "rt", encoding="utf-8") as table:
        index = json.load(table)
    with gzip.open(package / LEMMAS, "rt", encoding="utf-8") as table:
        lemmas = json.load(table)
    cased = read_entries(package / CASED)
    contents = {
        LEMMAS: json.dumps(lemmas, ensure_ascii=False),
        INDEX: json.dumps(index, ensure_ascii=False),
        CASED: "{" + ",".join(f'"{form}":{log}' for form, log in cased.items()) + "}",
    }
    made = []
    for name, text in contents.items():
        made.append(folder / name)
        made[-1].write_bytes(gzip.compress(text.encode(), mtime=0))
    texts = {WORDNET: (package / WORDNET).read_text(encoding="utf-8"), VERSION: f"{version}\n"}
    for name, text in texts.items():
        made.append(folder / name)
        made[-1].write_text(text, encoding="utf-8")
    return made
