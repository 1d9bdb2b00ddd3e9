"""What a wheel carries of a large package says what the package says."""

from __future__ import annotations

from pathlib import Path

import pytest

from lexiconforge.export.manifest import credits_text
from lexiconforge.sources import SOURCES, lookups
from lexiconforge.sources.lemmas import load_lemmas, load_verbs
from lexiconforge.sources.letter_case import share_capitalised

WORDS = ["peter", "water", "turkey", "may", "zzz", "button"]


def test_derived_tables_give_what_the_package_gives(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    pytest.importorskip("spacy_lookups_data")
    monkeypatch.setattr(lookups, "DERIVED", tmp_path / "none")
    package = load_lemmas(), load_verbs(), share_capitalised(WORDS)
    made = lookups.derive(tmp_path / "derived", "1.0.5")
    assert sum(path.stat().st_size for path in made) < 2_000_000
    again = lookups.derive(tmp_path / "again", "1.0.5")
    assert [path.read_bytes() for path in made] == [path.read_bytes() for path in again]
    monkeypatch.setattr(lookups, "DERIVED", tmp_path / "derived")
    assert lookups.lookup(lookups.LEMMAS).parent == tmp_path / "derived"
    assert (load_lemmas(), load_verbs(), share_capitalised(WORDS)) == package
    assert lookups.derived_version() == "1.0.5"


def test_the_notices_that_terms_ask_for_are_in_the_credits() -> None:
    """WordNet's on all copies and modifications; SUBTLEX (wordfreq's notice) that it is freely available data."""
    text = " ".join(credits_text(SOURCES).split())
    assert "WordNet 3.0 Copyright 2006 by Princeton University. All rights reserved." in text
    assert "LICENSEE agrees to preserve same" in text
    assert "SUBTLEX is freely available data" in text
    assert "Carnegie Mellon University" in text
