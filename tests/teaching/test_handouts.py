"""Handouts: the same for the same seed, with keys that are right."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

import pandas as pd
import pytest

from lexiconforge.cli import main
from lexiconforge.errors import OptionError
from lexiconforge.export.texts import read_rows
from lexiconforge.lexicon import Lexicon, load_lexicon
from lexiconforge.lexicon.records import bracketed
from lexiconforge.lists.wordlists import WordFilter, word_list
from lexiconforge.sounds import load_sound
from lexiconforge.teaching.handouts import PARTS, HandoutOptions, Item, handout


def rows_of(lexicon: Lexicon, wanted: WordFilter) -> list[dict[str, str]]:
    return word_list(lexicon, wanted).rows.astype(str).to_dict("records")


def marked(items: Sequence[Item]) -> list[str]:
    symbol = load_sound().symbol
    return [
        bracketed(item.text, [((mark.start, mark.end), symbol(mark.allophone)) for mark in item.marks])
        for item in items
    ]


@pytest.mark.parametrize("sound", ["t", "d"])
def test_handouts_are_seeded_and_their_keys_right(sound: str, pairs: pd.DataFrame) -> None:
    lexicon = load_lexicon(sound)
    rows = rows_of(lexicon, WordFilter(allophone="tap", one_per_family=True, limit=120))
    one, again, other = (handout(lexicon, pairs, rows, HandoutOptions(seed=seed)) for seed in (3, 3, 4))
    assert one == again
    assert one.sorting != other.sorting
    assert one.title == "Words with a tap"
    assert len(one.sorting) == 16
    for item in one.sorting:
        main = lexicon.main(item.text)
        assert main is not None
        rules = [token.rule for token in main.tokens]
        if "tap" in item.allophones:
            assert "tap" in {rule.allophone for rule in rules}
        else:
            # A fair foil: the sound is no tap there, neither usually nor sometimes.
            heard = {name for rule in rules for name in (rule.allophone, *rule.also_heard)}
            assert not heard & {"tap", "nasal tap"}, item
    assert sum("tap" in item.allophones for item in one.sorting) == 8
    foils = [item.text for item in one.sorting if "tap" not in item.allophones]
    # As common as the list's own words, or among the first three thousand.
    rarest = max(3000, *(int(row["rank"]) for row in rows))
    assert max(lexicon.rank(word) or 10**9 for word in foils) <= rarest


@pytest.mark.parametrize("sound", ["t", "d"])
def test_every_mark_is_the_letters_of_the_sound(sound: str, pairs: pd.DataFrame) -> None:
    lexicon = load_lexicon(sound)
    sheet = handout(lexicon, pairs, rows_of(lexicon, WordFilter(allophone="tap", limit=80)))
    assert sheet.words
    assert sheet.linking
    assert sheet.dictation
    for item in (*sheet.words, *sheet.sorting, *sheet.linking, *sheet.dictation):
        for mark in item.marks:
            assert sound in item.text[mark.start : mark.end], item
            assert mark.allophone in lexicon.sound.allophones


def test_a_lesson_and_links_make_handouts(tmp_path: Path, lexicon: Lexicon, pairs: pd.DataFrame) -> None:
    assert main(["plan", "--lessons", "2", "--words", "6", "--out", str(tmp_path)]) == 0
    rows = read_rows(tmp_path / "lesson-02.csv")
    sheet = handout(lexicon, pairs, rows)
    assert {item.text for item in sheet.words} == {r["item"] for r in rows if r["role"] == "new"}
    with pytest.raises(OptionError, match="whole plan"):
        handout(lexicon, pairs, read_rows(tmp_path / "plan.csv"))
    only = handout(lexicon, pairs, rows, HandoutOptions(parts=PARTS[:1]))
    assert only.words
    assert not only.dictation
    links = tmp_path / "links.csv"
    assert main(["links", "--first", "get", "--limit", "9", "--out", str(links)]) == 0
    rows = read_rows(links)
    sheet = handout(lexicon, pairs, rows)
    assert [item.text for item in sheet.linking] == [f"get {row['second']}" for row in rows]
    assert set(marked(sheet.linking)) == {f"get[ɾ] {row['second']}" for row in rows}
    assert sheet.title == "Linking with a tap"
    assert not sheet.sorting
    assert not sheet.words


@pytest.mark.parametrize(
    ("rows", "said"),
    [
        ([], "empty"),
        ([{"name": "x"}], "no list of words"),
        ([{"word": "water", "marked": "wat[ɾ]er", "ipa": "", "allophone": "tpa"}], "glottal stop"),
        ([{"first": "get", "second": "it over", "ipa": "", "allophone": "tap"}], "two words"),
    ],
)
def test_rows_that_make_no_handout(
    rows: list[dict[str, str]], said: str, lexicon: Lexicon, pairs: pd.DataFrame
) -> None:
    with pytest.raises(OptionError, match=said):
        handout(lexicon, pairs, rows)


def test_a_word_with_two_kinds_of_t_is_told_as_it_is(lexicon: Lexicon, pairs: pd.DataFrame) -> None:
    table = word_list(lexicon, WordFilter(max_rank=8000)).rows
    rows = table[table["allophone"].str.contains("; ")].head(40).astype(str).to_dict("records")
    assert len(rows) == 40
    taps = rows_of(lexicon, WordFilter(allophone="tap", limit=60))
    sheet = handout(lexicon, pairs, [*rows, *taps], HandoutOptions(words=100))
    assert sheet.title == "Words with a t"
    assert {row["marked"] for row in (*rows, *taps)} == set(marked(sheet.words))
    for item in sheet.words:
        reading = lexicon.main(item.text)
        assert reading is not None
        kinds = {token.span: token.rule.allophone for token in reading.tokens}
        assert [kinds[mark.start, mark.end] for mark in item.marks] == list(item.allophones)
    assert all(len(set(item.allophones)) == 1 for item in sheet.sorting)


def test_the_key_of_a_dictation_marks_every_t_of_the_kind(lexicon: Lexicon, pairs: pd.DataFrame) -> None:
    rows = [{"first": "want", "second": "it", "ipa": "", "allophone": "nasal tap"},
            {"first": "get", "second": "it", "ipa": "", "allophone": "tap"},
            {"first": "put", "second": "at", "ipa": "", "allophone": "tap"}]  # fmt: skip
    sheet = handout(lexicon, pairs, rows)
    assert set(marked(sheet.dictation)) == {"want[ɾ̃] it", "get[ɾ] it", "put[ɾ] at"}
    assert marked(sheet.linking) == ["want[ɾ̃] it", "get[ɾ] it", "put[ɾ] at"]
