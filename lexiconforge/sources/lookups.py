"""Files of ``spacy-lookups-data``: those that a built wheel carries, or those of the package itself.

The package holds tables of two dozen languages, 99 MB, of which the lists need three of English. So whoever builds a
wheel derives these (:func:`derive`, run by ``hatch_build.py``): the lemmas and their index as they are, of the
frequencies as much as is read. Its terms, the MIT licence and that of WordNet, allow this with their notices, which go
along. In a checkout nothing is derived, and the package is read.
"""

from __future__ import annotations

import gzip
import json
from functools import cache
from pathlib import Path

from lexiconforge.sources import locate

PACKAGE = "spacy-lookups-data"
DERIVED = Path(__file__).parent / "derived"
LEMMAS, INDEX, CASED = "en_lemma_lookup.json.gz", "en_lemma_index.json.gz", "en_lexeme_prob.json.gz"
WORDNET = "en_license.txt"
VERSION = "version.txt"


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


@cache
def wordnet_notice() -> str:
    """The licence of WordNet, from which the lemmas were made, as it asks to be passed on."""
    return lookup(WORDNET).read_text(encoding="utf-8")


def derive(folder: Path, version: str) -> list[Path]:
    """Write what is read of the package into a folder, with its notices; the same bytes each time."""
    from lexiconforge.sources.letter_case import read_entries

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
