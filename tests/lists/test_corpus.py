"""The project's own lines: what every one of them keeps to, and which words have one."""

from __future__ import annotations

import csv
import re
from collections import Counter
from collections.abc import Iterator
from functools import cache

import pytest

from lexiconforge.lexicon import Lexicon
from lexiconforge.lexicon.codes import exclusion_bits
from lexiconforge.lists.examples import Examples
from lexiconforge.lists.linking import LinkFilter, link_table
from lexiconforge.lists.wordlists import WordFilter, select
from lexiconforge.text.corpus import OWN, Line, dialogues, own_lines

MOST_WITHOUT = 0.05
"""Words of a list that may go without a line, but for the list of taps of t."""
PLAIN = re.compile(r"[A-Z][A-Za-z ,.!?'-]*[.!?]")


def table(name: str) -> list[dict[str, str]]:
    with (OWN / f"{name}.csv").open(encoding="utf-8", newline="") as file:
        return list(csv.DictReader(file))


@cache
def counted() -> Counter[str]:
    return Counter(word for line in own_lines() for word in set(line.words))


def test_there_are_enough_and_scenes_are_in_balance() -> None:
    scenes = Counter(line.file for line in own_lines())
    assert sum(scenes.values()) >= 3000
    assert len(scenes) >= 10
    assert max(scenes.values()) <= 2 * min(scenes.values())
    spoken = sum(bool(line.dialogue) for line in own_lines())
    assert 0.25 <= spoken / sum(scenes.values()) <= 0.5


def test_every_line_keeps_to_the_form() -> None:
    wrong = [
        line
        for line in own_lines()
        if not 4 <= len(line.words) <= 12
        or not PLAIN.fullmatch(line.text)
        or re.search(r"[.!?].*[.!?].*[.!?]", line.text)
    ]
    # Three sentences in one line are the most: Yes. It is. Come in.
    assert [
        line
        for line in wrong
        if len(re.findall(r"[.!?]", line.text)) > 3 or not PLAIN.fullmatch(line.text)
    ] == []
    assert [line for line in wrong if not 4 <= len(line.words) <= 12] == []


def test_dialogues_are_two_to_six_lines_between_two_or_more() -> None:
    for block in dialogues(own_lines()).values():
        assert 2 <= len(block) <= 6, block
        assert len({line.speaker for line in block}) > 1, block


def test_no_line_twice_and_none_made_from_a_template() -> None:
    lines = [line.words for line in own_lines()]
    assert len(set(lines)) == len(lines)
    openings = Counter(words[:4] for words in lines)
    assert [words for words, count in openings.items() if count > 8] == []
    but_one: dict[tuple[object, ...], set[tuple[str, ...]]] = {}
    for words in lines:
        for n in range(len(words)):
            but_one.setdefault((len(words), n, words[:n] + words[n + 1 :]), set()).add(words)
    assert [found for found in but_one.values() if len(found) > 1] == []


def test_no_name_from_outside_the_cast(lexicon: Lexicon) -> None:
    known = {part for row in table("cast") for part in row["name"].split()}
    known |= {f"{name}s" for name in known} | {"I"}
    people = {row["name"] for row in table("cast") if row["kind"] == "person"}
    for line in own_lines():
        assert line.speaker in people | {""}, line
        for match in re.finditer(r"[A-Za-z]+", line.text):
            opens = match.start() == 0 or line.text[match.start() - 2] in ".!?"
            after_mark = match.start() > 0 and line.text[match.start() - 1] in "'-"
            if match[0][0].isupper() and not opens and not after_mark:
                assert match[0] in known, line


def test_nothing_that_screening_would_throw_out(lexicon: Lexicon) -> None:
    keeping_out = exclusion_bits(("sensitive", "british"))
    found = [
        (word, line.text)
        for line in own_lines()
        for word in line.words
        if (row := lexicon.row(word)) is not None and lexicon.reasons_at(row) & keeping_out
    ]
    assert found == []


def test_the_words_around_are_easy(lexicon: Lexicon) -> None:
    """A line may have the hard word it is for, and another that it needs: not a third."""
    examples = Examples(lexicon)
    hard = {word for word in counted() if examples.cost_of(word) >= 2}
    crowded = [line for line in own_lines() if len(hard & set(line.words)) > 3]
    assert len(crowded) <= len(own_lines()) / 200, crowded


def default_lists(lexicon: Lexicon) -> Iterator[tuple[str, dict[str, list[str]]]]:
    for target in lexicon.sound.lists:
        wanted = WordFilter(
            allophone=target.allophone, environment=target.environment, one_per_family=True, limit=500
        )
        yield target.name, select(lexicon, wanted).rows.columns


def all_words_have_a_line(lexicon: Lexicon, none_without: str = "") -> None:
    without = {row["word"] for row in table("without")}
    for name, rows in default_lists(lexicon):
        words = rows["word"]
        lack = [word for word in words if not counted()[word.lower()]]
        assert [word for word in lack if word not in without] == [], name
        assert len(lack) <= (name != none_without) * MOST_WITHOUT * len(words), (name, lack)
        # A line is read one way: the other reading of a homograph may be in the list and have none.
        served = zip(words, rows["example"], strict=True)
        not_served = [word for word, line in served if not line and word not in lack]
        assert [word for word in not_served if not read_in_two_ways(lexicon, word)] == [], name


def read_in_two_ways(lexicon: Lexicon, word: str) -> bool:
    row = lexicon.row(word)
    return row is not None and len(lexicon.homograph_at(row)) > 1


def test_every_word_of_the_lists_of_t_has_a_line(lexicon: Lexicon) -> None:
    all_words_have_a_line(lexicon, none_without="tap")


def test_every_word_of_the_lists_of_d_has_a_line(d_lexicon: Lexicon) -> None:
    all_words_have_a_line(d_lexicon)


def test_who_goes_without_has_a_reason_and_no_line() -> None:
    """The table names nobody for nothing: a reason for each, and no word that has its line after all."""
    rows = table("without")
    assert len({row["word"] for row in rows}) == len(rows)
    assert [row["word"] for row in rows if not row["reason"].strip()] == []
    assert [row["word"] for row in rows if counted()[row["word"].lower()]] == []


def test_tapped_words_have_two_lines(lexicon: Lexicon) -> None:
    wanted = WordFilter(allophone=lexicon.sound.tapped[0], one_per_family=True, limit=500)
    words = select(lexicon, wanted).rows["word"]
    assert [word for word in words if counted()[word.lower()] < 2] == []


def test_examples_stand_in_the_lists(lexicon: Lexicon) -> None:
    rows = select(
        lexicon, WordFilter(allophone=lexicon.sound.tapped[0], one_per_family=True, limit=200)
    ).rows
    for word, example in zip(rows["word"], rows["example"], strict=True):
        if example:
            line = Line(example)
            assert re.search(rf"\b{re.escape(word.lower())}\b", line.text.lower()), (word, example)
    assert sum(map(bool, rows["example"])) >= 0.95 * len(rows)


def links_lacking(lexicon: Lexicon, pairs: object) -> list[tuple[str, str]]:
    rows = link_table(lexicon, pairs, LinkFilter(limit=300))  # type: ignore[arg-type]
    found = zip(rows["first"], rows["second"], rows["example"], strict=True)
    return [(first, second) for first, second, line in found if not line]


def test_links_of_t_have_lines(lexicon: Lexicon, pairs: object) -> None:
    assert links_lacking(lexicon, pairs) == []


def test_links_of_d_have_lines(d_lexicon: Lexicon, pairs: object) -> None:
    """But for those that nothing kind is said with: dead, wounded, convicted."""
    assert len(links_lacking(d_lexicon, pairs)) <= MOST_WITHOUT * 300


@pytest.mark.parametrize("count", [1, 3])
def test_more_examples_are_asked_for(lexicon: Lexicon, count: int) -> None:
    found = Examples(lexicon).of_word("water", count=count).split(" / ")
    assert len(found) == count == len(set(found))


def test_every_word_of_the_lines_has_a_reading(lexicon: Lexicon) -> None:
    """A word that the dictionary does not have and no rule derives parts phrases, and its t is not marked."""
    words = dict.fromkeys(word for line in own_lines() for word in line.words)
    known = (word for word in words if lexicon.main(word) or lexicon.main(word.strip("'")))
    rest = words.keys() - set(known)
    assert {word for word in rest if lexicon.derived(word) is None} == set()
