"""Handouts: the same for the same seed, with keys that are right, from every kind of list."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from pathlib import Path

import pandas as pd
import pytest

from lexiconforge.cli import main
from lexiconforge.errors import OptionError
from lexiconforge.export.texts import read_rows
from lexiconforge.lexicon import Lexicon, load_lexicon
from lexiconforge.lexicon.records import bracketed
from lexiconforge.lists.contrasts import contrast_sets
from lexiconforge.lists.wordlists import WordFilter, word_list
from lexiconforge.sounds import load_sound
from lexiconforge.sources.levels import LEVELS
from lexiconforge.teaching.handouts import (
    PARTS,
    Handout,
    HandoutOptions,
    Item,
    handout,
    own_handout,
    script_handout,
)
from lexiconforge.text.tagger import Tagger

pytestmark = pytest.mark.usefixtures("few_only")

Lessons = Callable[[str], list[list[dict[str, str]]]]


@pytest.fixture(scope="module")
def lexicon(few: Lexicon) -> Lexicon:
    return few


@pytest.fixture(scope="module")
def pairs(few_pairs: pd.DataFrame) -> pd.DataFrame:
    return few_pairs


def rows_of(lexicon: Lexicon, wanted: WordFilter) -> list[dict[str, str]]:
    return word_list(lexicon, wanted).rows.astype(str).to_dict("records")


@pytest.fixture(scope="module")
def lessons(course: Callable[[str], pd.DataFrame]) -> Lessons:
    """The first eight lessons of A1-A2 of a sound, as rows of text, as a file has them."""

    def of(sound: str) -> list[list[dict[str, str]]]:
        table = course(sound)
        text = table.astype("object").where(table.notna(), "").astype(str)
        return [rows.to_dict("records") for _, rows in text.groupby(table["lesson"])][:8]

    return of


def marked(items: Sequence[Item]) -> list[str]:
    symbol = load_sound().symbol
    return [
        bracketed(item.text, [((mark.start, mark.end), symbol(mark.allophone)) for mark in item.marks])
        for item in items
    ]


def heard_in(lexicon: Lexicon, word: str) -> tuple[set[str], set[str]]:
    """What the sound of a word usually is, and all that it can be, in every pronunciation."""
    entry = lexicon.entry(word.lower())
    assert entry is not None
    rules = [token.rule for reading in entry.readings for token in reading.tokens]
    return {r.allophone for r in rules}, {name for r in rules for name in (r.allophone, *r.also_heard)}


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
        usual, heard = heard_in(lexicon, item.text)
        if "tap" in item.allophones:
            assert "tap" in usual
        else:
            # A fair foil: the sound is no tap there, neither usually nor sometimes, and nobody leaves it out.
            assert not heard & {"tap", "nasal tap", "elided"}, item
    assert sum("tap" in item.allophones for item in one.sorting) == 8
    foils = [item.text for item in one.sorting if "tap" not in item.allophones]
    assert len({word[-2:] for word in foils}) == len(foils), "endings that give themselves away"
    # As common as the list's own words, or among the first three thousand.
    rarest = max(3000, *(int(row["rank"]) for row in rows))
    assert max(lexicon.rank(word) or 10**9 for word in foils) <= rarest


@pytest.mark.parametrize("sound", ["t", "d"])
def test_every_key_of_every_lesson_is_worked_out(
    sound: str, pairs: pd.DataFrame, lessons: Lessons
) -> None:
    """Every item of the keys, against the lexicon and the tagger asked again."""
    lexicon = load_lexicon(sound)
    tagger = Tagger(lexicon)
    for rows in lessons(sound):
        sheet = handout(lexicon, pairs, rows)
        kinds = lexicon.sound.tapped if sheet.target == lexicon.sound.tapped[0] else (sheet.target,)
        for part in sheet.key:
            for entry in part.entries:
                if part.name == "sorting" and " " not in entry.item.text:
                    usual, _ = heard_in(lexicon, entry.item.text)
                    (allophone,) = entry.item.allophones
                    assert allophone in usual
                    assert (entry.lead == "✓") == (allophone in kinds), entry
                elif (part.name == "dictation" and " " in entry.item.text) or part.name == "dialogue":
                    table = tagger.tag_text(entry.item.text).table
                    cells = zip(table["start"], table["end"], table["allophone"], strict=True)
                    expected = [cell for cell in cells if cell[2] in kinds and cell[1] > cell[0]]
                    assert [tuple(mark) for mark in entry.item.marks] == expected, entry
                elif part.name == "dictation":
                    usual, _ = heard_in(lexicon, entry.item.text)
                    assert set(entry.item.allophones) <= usual & set(kinds), entry
                elif part.name == "contrasts":
                    assert entry.other is not None
                    assert entry.item.ipa != entry.other.ipa, "nobody can hear which of these is said"
                    both = (entry.item, entry.other)
                    symbols = [f"[{lexicon.sound.symbol(name)}]" for i in both for name in i.allophones]
                    assert entry.lead in (entry.item.text, entry.other.text, *symbols)
        dictated = next(part for part in sheet.key if part.name == "dictation")
        tests = [bool(entry.item.marks) for entry in dictated.entries]
        assert any(tests)
        learners = {part.name for part in sheet.parts}
        assert {"words", "dialogue", "dictation"} <= learners


def test_foils_are_of_the_lesson_first_and_of_its_level(
    lexicon: Lexicon, pairs: pd.DataFrame, lessons: Lessons
) -> None:
    rows = lessons("t")[0]
    sheet = handout(lexicon, pairs, rows)
    foils = [item.text for item in sheet.sorting if item.allophones[0] not in lexicon.sound.tapped]
    own = [row["item"] for row in rows if row["role"] == "exception"]
    assert set(own) <= set(foils)
    assert {"hotel", "return"} <= set(foils)
    for word in foils:
        assert lexicon.level(word) in LEVELS[:2]
        main = lexicon.main(word)
        assert main is not None
        assert len(main.stress) == 2, "as long as the words of the lesson"
    assert sheet.rule == next(row["item"] for row in rows if row["role"] == "rule")
    assert [one.id for one in sheet.legend] == ["tap", "aspirated stop"]


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


def test_a_lesson_and_links_make_handouts(
    tmp_path: Path, lexicon: Lexicon, pairs: pd.DataFrame, lessons: Lessons
) -> None:
    rows = lessons("t")[1]
    sheet = handout(lexicon, pairs, rows)
    assert {i.text for i in sheet.words} == {
        r["item"] for r in rows if r["role"] in ("new", "review", "exception")
    }
    with pytest.raises(OptionError, match="whole plan"):
        handout(lexicon, pairs, [*rows, *lessons("t")[0]])
    only = handout(lexicon, pairs, rows, HandoutOptions(parts=PARTS[:1]))
    assert {part.name for part in only.parts} == {"words"}
    assert not only.key
    links = tmp_path / "links.csv"
    assert main(["links", "--first", "get", "--limit", "9", "--out", str(links)]) == 0
    rows = read_rows(links)
    sheet = handout(lexicon, pairs, rows)
    assert [item.text for item in sheet.linking] == [f"get {row['second']}" for row in rows]
    assert set(marked(sheet.linking)) == {f"get[ɾ] {row['second']}" for row in rows}
    assert sheet.title == "Linking with a tap"
    assert not sheet.sorting
    assert not sheet.words


def test_contrasts_and_lines_make_handouts(
    tmp_path: Path, lexicon: Lexicon, pairs: pd.DataFrame
) -> None:
    table = contrast_sets(lexicon, pairs, ["homophones", "teen-ty"], limit=6).astype(str)
    sheet = handout(lexicon, pairs, table.to_dict("records"))
    hear, alike = (part for part in sheet.parts if part.name == "contrasts")
    assert {entry.item.text for entry in hear.entries} == set(
        table.loc[table["kind"] == "teen-ty", "first"]
    )
    assert {entry.item.text for entry in alike.entries} == set(
        table.loc[table["kind"] == "homophones", "first"]
    )
    (key,) = (part for part in sheet.key if part.name == "contrasts")
    read = [entry.lead == entry.item.text for entry in key.entries]
    assert any(read)
    assert not all(read)
    words, lines = tmp_path / "words.txt", tmp_path / "lines.csv"
    words.write_text("water\nbutton\n", encoding="utf-8")
    assert main(["practice", "--words", str(words), "--dialogues", "--out", str(lines)]) == 0
    rows = read_rows(lines)
    sheet = handout(lexicon, pairs, rows)
    assert [item.text for item in sheet.items("dialogue")] == [row["line"] for row in rows]
    assert {part.shown for part in sheet.parts} == {"plain"}


def test_a_teachers_own_words(lexicon: Lexicon, pairs: pd.DataFrame) -> None:
    sheet, unknown = own_handout(
        lexicon, pairs, [("water",), ("zorbo",), ("get", "it"), ("sun",), ("city",)]
    )
    assert unknown == ["zorbo", "sun"]
    assert marked(sheet.words) == ["wat[ɾ]er", "cit[ɾ]y"]
    assert marked(sheet.linking) == ["get[ɾ] it"]
    with pytest.raises(OptionError, match="none of these words is in the dictionary and has a t: zorbo"):
        own_handout(lexicon, pairs, [("zorbo",)])


def test_a_script_with_its_marks_without_and_the_key(lexicon: Lexicon) -> None:
    text = "Put it on the table.\n\nIs the water hot?\n"
    sheet = script_handout(lexicon, text)
    first, second = sheet.parts
    assert marked([entry.item for entry in first.entries]) == [
        "Put[ɾ] it[ɾ] on the table.",
        "Is the wat[ɾ]er hot?",
    ]
    assert second.shown == "plain"
    (key,) = sheet.key
    assert marked([entry.item for entry in key.entries]) == Tagger(lexicon).tag_text(
        "Put it on the table.\nIs the water hot?"
    ).marked.split("\n")
    with pytest.raises(OptionError, match="no t in this text"):
        script_handout(lexicon, "Our dog ran away.")


@pytest.mark.parametrize(
    ("rows", "said"),
    [
        ([], "empty"),
        ([{"name": "x"}], "no list of words"),
        ([{"word": "water", "marked": "wat[ɾ]er", "ipa": "", "allophone": "tpa"}], "glottal stop"),
        ([{"first": "get", "second": "it over", "ipa": "", "allophone": "tap"}], "two words"),
        ([{"role": "contrast", "item": "a", "marked": "", "ipa": "", "allophone": ""}], "two sides"),
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
    # One place is asked about, so that a tick has one meaning.
    assert all(len(item.marks) == 1 for item in sheet.sorting)


def test_the_key_of_a_dictation_marks_every_t_of_the_kind(lexicon: Lexicon, pairs: pd.DataFrame) -> None:
    rows = [{"first": "want", "second": "it", "ipa": "", "allophone": "nasal tap"},
            {"first": "get", "second": "it", "ipa": "", "allophone": "tap"},
            {"first": "put", "second": "at", "ipa": "", "allophone": "tap"}]  # fmt: skip
    sheet: Handout = handout(lexicon, pairs, rows)
    assert set(marked(sheet.dictation)) == {"want[ɾ̃] it", "get[ɾ] it", "put[ɾ] at"}
    assert marked(sheet.linking) == ["want[ɾ̃] it", "get[ɾ] it", "put[ɾ] at"]
