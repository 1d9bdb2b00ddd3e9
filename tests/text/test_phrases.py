"""How a line is read: words, pauses, numbers, abbreviations, who speaks."""

from __future__ import annotations

import csv
import re

import pytest
from conftest import ROOT, cases
from hypothesis import given
from hypothesis import strategies as st

from lexiconforge.text.phrases import READ_OUT, UNREAD, WORD, Item, items, phrases, split_sentences


def said(line: str) -> str:
    """The words of a line, ``|`` for a pause or several, ``?`` before what cannot be read."""
    words = [
        "|" if item is None else f"{'?' if item.kind == UNREAD else ''}{item.text}"
        for item in items(line)
    ]
    return re.sub(r"\|(?: \|)+", "|", " ".join(words))


@pytest.mark.parametrize("case", cases("read_aloud"), ids=lambda case: case["written"])
def test_what_is_written_is_read_aloud(case: dict[str, str]) -> None:
    assert said(case["written"]) == case["spoken"]


def test_every_form_of_number_reads_its_example() -> None:
    with (ROOT / "lexiconforge/data/number_forms.csv").open(encoding="utf-8", newline="") as file:
        for row in csv.DictReader(file):
            expected = row["spoken"].replace(",", " |").replace("-", " ") or f"?{row['example']}"
            assert said(row["example"]) == expected, row["form"]


def test_a_number_or_address_leaves_the_rest_of_the_line_alone() -> None:
    assert said("a $2,000 rebate or mail me@tillery.example at 5") == (
        "a two thousand dollar rebate or mail ?me@tillery.example at five"
    )


@pytest.mark.parametrize(
    ("line", "sentences"),
    [
        ("Etta: Put it on. Is it hot? Yes!", ["Put it on.", "Is it hot?", "Yes!"]),
        ("We met Dr. Ito. He sat.", ["We met Dr. Ito.", "He sat."]),
        ("J. Tate sat in St. Paul. It rained.", ["J. Tate sat in St. Paul.", "It rained."]),
        ('"Sit," he said. "Eat it."', ['"Sit," he said.', '"Eat it."']),
    ],
)
def test_sentences(line: str, sentences: list[str]) -> None:
    # Common practice: an abbreviation before a name ends no sentence.
    assert split_sentences(line) == sentences


def test_phrases_are_what_stands_between_pauses() -> None:
    found = [[item.text for item in phrase] for phrase in phrases("Rita: not, uh, always. Sit!")]
    assert found == [["not"], ["always"], ["Sit"]]


@given(st.text() | st.text(st.sampled_from("tT ae'’-[]<>{}$13,.:8%/½ş@#\t_")))
def test_any_line_is_read_from_left_to_right(line: str) -> None:
    done = 0
    for item in items(line):
        if item is not None:
            assert 0 <= item.start < item.end <= len(line)
            assert item.start >= done or (item.kind == READ_OUT and item.end == done)
            done = item.end
            if item.kind != READ_OUT:
                assert line[item.start : item.end] == item.text


def test_an_item_is_a_word_unless_said_otherwise() -> None:
    assert Item("it", 0, 2).kind == WORD
