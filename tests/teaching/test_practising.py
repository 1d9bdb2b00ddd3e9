"""Lines to say aloud: the smallest set that holds the words, from real text."""

from __future__ import annotations

import itertools
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from lexiconforge.errors import OptionError, ReadError
from lexiconforge.lexicon import Lexicon
from lexiconforge.sources.levels import LEVELS
from lexiconforge.teaching.practising import (
    PRACTICE_COLUMNS,
    PracticeOptions,
    greedy_cover,
    practice_lines,
    smallest_cover,
)
from lexiconforge.text.normalising import sentences
from lexiconforge.text.phrases import split_sentences
from lexiconforge.text.tagger import Tagger

CORPUS = Path(__file__).parents[2] / "lexiconforge" / "data" / "corpus"

sets = st.lists(
    st.sets(st.sampled_from("abcdefgh").map(lambda x: (x,)), min_size=1), min_size=1, max_size=9
)


@settings(max_examples=60)
@given(sets)
def test_the_cover_is_the_smallest(sets: list[set[tuple[str, ...]]]) -> None:
    whole = set().union(*sets)
    greedy = greedy_cover(sets)
    chosen, exact = smallest_cover(sets)
    assert set().union(*(sets[n] for n in greedy)) == whole
    assert set().union(*(sets[n] for n in chosen)) == whole
    best = next(
        size
        for size in range(1, len(sets) + 1)
        if any(set().union(*some) == whole for some in itertools.combinations(sets, size))
    )
    assert exact
    assert len(chosen) == best
    # Chvátal 1979: greedy needs at most H(n) times the fewest, n the size of the largest set.
    largest = max(map(len, sets))
    assert len(greedy) <= sum(1 / n for n in range(1, largest + 1)) * best + 1e-9


def test_the_lines_of_some_words(lexicon: Lexicon) -> None:
    words = [("water",), "city", "better", "waiting", "qwerty"]
    made = practice_lines(lexicon, words, [str(CORPUS / "*.txt")])
    lines = made.lines
    assert tuple(lines.columns) == PRACTICE_COLUMNS
    assert made.uncovered == ["qwerty"]
    assert made.exact
    assert not made.skipped
    assert (lines["words"] <= 14).all()
    assert (lines["syllables"] <= 22).all()
    new = [word for cell in lines["new"] for word in cell.split(", ") if word]
    assert sorted(new) == ["better", "city", "waiting", "water"]
    tagger = Tagger(lexicon)
    for row in lines.itertuples():
        written = Path(row.file).read_text(encoding="utf-8").split("\n")[row.file_line - 1]
        assert row.line in written
        assert row.marked == tagger.tag_text(row.line).marked
        spoken = [word for sentence in sentences(row.line) for word in sentence]
        assert len(spoken) == row.words
        targets = {"water", "city", "better", "waiting"}
        assert sorted(targets & set(spoken)) == row.practises.split(", ")
        count = sum(word in targets for word in spoken)
        assert row.targets_per_word == pytest.approx(count / row.words, abs=0.0005)


def test_the_lines_of_links_and_of_a_level(lexicon: Lexicon) -> None:
    made = practice_lines(
        lexicon,
        [("at", "all"), "got it"],
        [str(CORPUS / "*.txt")],
        PracticeOptions(level="B1", style="careful"),
    )
    assert not made.uncovered
    assert 1 <= len(made.lines) <= 2
    careful = Tagger(lexicon, "careful")
    for row in made.lines.itertuples():
        assert row.marked == careful.tag_text(row.line).marked
        for word in {word for sentence in sentences(row.line) for word in sentence} - {
            "at",
            "all",
            "got",
            "it",
        }:
            level = lexicon.level(lexicon.lemma(word)) or lexicon.level(word)
            # No list of levels has contractions; they are let in.
            assert level in LEVELS[:3] or "'" in word, word
    with pytest.raises(OptionError, match="A1, A2"):
        PracticeOptions(level="Z")
    with pytest.raises(ReadError, match="no such file"):
        practice_lines(lexicon, [("at",)], ["nowhere.txt"])


def test_lines_come_from_what_can_be_read(lexicon: Lexicon, tmp_path: Path) -> None:
    (tmp_path / "bad.txt").write_bytes(b"Water.\0")
    (tmp_path / "good.txt").write_text(
        "Etta: I like cold water.\n"
        # No whole sentence, a number, a pause inside the link: none of these will do.
        "get it over with\nGet it at 9.\nWhat you get, it seems.\n",
        encoding="utf-8",
    )
    made = practice_lines(lexicon, ["water", "get it"], tmp_path)
    assert made.lines["line"].tolist() == ["I like cold water."]
    assert made.uncovered == ["get it"]
    assert list(made.skipped) == [str(tmp_path / "bad.txt")]


def test_lines_with_the_other_sound(d_lexicon: Lexicon, tmp_path: Path) -> None:
    text = tmp_path / "text.txt"
    text.write_text("Are you ready for the ladder?\nCan you add it up?\n", encoding="utf-8")
    made = practice_lines(d_lexicon, ["ladder", "ready", "add it"], text)
    # Wikipedia, "Flapping": each of these has a tap.
    assert made.lines["marked"].tolist() == [
        "Are you read[ɾ]y for the ladd[ɾ]er?",
        "Can you add[ɾ] it up?",
    ]


def test_sentences_of_a_line() -> None:
    assert split_sentences('Etta: "Put it on," she said. Is it hot? Yes!') == [
        '"Put it on," she said.', "Is it hot?", "Yes!",
    ]  # fmt: skip
