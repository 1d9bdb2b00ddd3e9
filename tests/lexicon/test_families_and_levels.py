"""Families, rows, levels and parts of speech: cases written down as a teacher would have them, and properties."""

from __future__ import annotations

import pytest

from lexiconforge.lexicon import Lexicon
from lexiconforge.lexicon.screening import names_in_lists
from lexiconforge.sources.american_words import load_american_words


@pytest.mark.parametrize(
    ("word", "row"),
    [
        ("putting", "put"), ("rented", "rent"), ("resented", "resent"), ("relented", "relent"),
        ("twentieth", "twentieth"), ("thirtieth", "thirtieth"), ("chattering", "chatter"),
        ("activities", "activity"), ("citizens", "citizen"), ("writers", "writer"), ("elevators", "elevator"),
        ("politically", "political"), ("automatically", "automatically"), ("literally", "literally"),
        ("annotators", "annotate"), ("buildings", "building"), ("waited", "wait"),
    ],
)  # fmt: skip
def test_rows(word: str, row: str, lexicon: Lexicon) -> None:
    # The principle of docs/house-style.md: a row is a word as a dictionary lists it.
    number = lexicon.row(word)
    assert number is not None
    assert lexicon.row_at(number) == row


def test_no_number_or_unknown_word_stands_for_a_family(lexicon: Lexicon) -> None:
    known = load_american_words().in_lower_case
    for row in lexicon.graded:
        word = lexicon.word_at(row)
        for base in (lexicon.lemma_at(row), lexicon.family_at(row), lexicon.row_at(row)):
            assert base == word.removesuffix("'s") or base.replace("'", "").isalpha(), (word, base)
            if base != word and lexicon.rank_at(row) < 20_000 and "'" not in word:
                assert known(base) or base in names_in_lists(), (word, base)


@pytest.mark.parametrize("word", ["notification", "beta", "coating", "momentum", "insanity"])
def test_no_level_that_only_follows_the_stem(word: str, lexicon: Lexicon) -> None:
    assert lexicon.level(word) not in ("A1", "A2")


def test_rare_words_are_not_easy(lexicon: Lexicon) -> None:
    easy = [
        lexicon.word_at(row)
        for row in lexicon.graded
        if lexicon.level_at(row) in ("A1", "A2") and lexicon.rank_at(row) > 25_000
        and lexicon.lemma_at(row) == lexicon.word_at(row)
    ]  # fmt: skip
    # Numbers, ordinals and what the classroom needs are on a short list.
    assert len(easy) < 60


@pytest.mark.parametrize(
    ("word", "impossible"),
    [
        ("vitamin", "preposition"),
        ("naughty", "number"),
        ("city", "adjective"),
        ("interval", "preposition"),
    ],
)
def test_impossible_parts_of_speech(word: str, impossible: str, lexicon: Lexicon) -> None:
    entry = lexicon.entry(word)
    assert entry is not None
    assert entry.parts_of_speech
    assert impossible not in entry.parts_of_speech


@pytest.mark.parametrize(
    ("word", "family"),
    [
        ("founder", "found"),
        ("tower", "tower"),
        ("stove", "stove"),
        ("italians", "italian"),
        ("writer", "write"),
    ],
)
def test_families_by_common_practice(word: str, family: str, lexicon: Lexicon) -> None:
    assert lexicon.family(word) == family


def test_a_verb_form_has_the_level_of_the_verb(lexicon: Lexicon) -> None:
    # Common practice: the noun vote is met long before the verb present.
    assert lexicon.level("presented") > "A2"


@pytest.mark.parametrize("place", ["jakarta", "ecuador", "utah", "canada"])
def test_places_have_no_level(place: str, lexicon: Lexicon) -> None:
    assert lexicon.level(place) == ""
