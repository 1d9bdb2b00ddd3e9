"""The records of the lexicon: consistent over the whole dictionary, small to look at, the same in every process and
thread, and made only where they are needed."""

from __future__ import annotations

import contextlib
import gc
import io
import pickle
import random
import sys
import threading
from collections import Counter
from collections.abc import Callable, Iterator
from concurrent.futures import ThreadPoolExecutor
from itertools import pairwise
from pathlib import Path
from typing import TypeVar

import pandas as pd
import pytest

from lexiconforge import lexicon as room
from lexiconforge.cli import main
from lexiconforge.lexicon import FEW, Lexicon, cache, compiling, load_lexicon, supplemented
from lexiconforge.lexicon.catalog import token_table
from lexiconforge.lexicon.choosing import corrections, homographs
from lexiconforge.lexicon.columns import Columns
from lexiconforge.lexicon.records import Entry, Reading
from lexiconforge.lists.wordlists import WordFilter, select
from lexiconforge.phonology.arpabet import INVENTORY, is_vowel
from lexiconforge.phonology.ipa import SECONDARY
from lexiconforge.phonology.matcher import COMPOUND_BOUNDARY, MARKS
from lexiconforge.sounds import Sound, load_sound
from lexiconforge.sources.pronunciations import load_pronunciations
from lexiconforge.text.tagger import Tagger

CORPUS = sorted((Path(room.__file__).parent.parent / "data" / "corpus").glob("*.txt"))
THREADS = 8
T = TypeVar("T")


@pytest.fixture(params=["t", "d"])
def fresh(request: pytest.FixtureRequest) -> Lexicon:
    """A lexicon that has not been asked anything, so that nothing of what is made here stays."""
    return anew(load_lexicon(request.param))


def anew(lexicon: Lexicon) -> Lexicon:
    return Lexicon(lexicon.sound, cache.compiled(lexicon.sound))


# Consistent


def check_symbols(reading: Reading) -> None:
    """Symbols are the phones, in order, with marks and schwas put in; a restored *er* takes the r in."""
    phones, symbols, indexes = reading.phones, reading.symbols, reading.indexes
    pointed = [index for index in indexes if index >= 0]
    if symbols == phones:
        assert pointed == list(range(len(phones)))
        return
    assert all(first < second for first, second in pairwise(pointed))
    for symbol, index in zip(symbols, indexes, strict=True):
        if index < 0:
            assert symbol in MARKS or symbol in ("AH0", "ER0")
        else:
            assert symbol == phones[index] or (is_vowel(symbol) and is_vowel(phones[index]))
    for missing in set(range(len(phones))) - set(pointed):
        before = indexes.index(missing - 1)
        assert (symbols[before : before + 2], phones[missing]) == ((phones[missing - 1], "ER0"), "R")
    parted = [n for n, symbol in enumerate(symbols) if symbol == COMPOUND_BOUNDARY]
    if not reading.note:
        assert reading.boundaries == tuple(indexes[n + 1] for n in parted)


def check_reading(reading: Reading, sound: Sound) -> None:
    phones, tokens = reading.phones, reading.tokens
    assert INVENTORY.issuperset(phones)
    check_symbols(reading)
    places = [token.phone_index for token in tokens]
    assert places == [n for n, phone in enumerate(phones) if phone == sound.phone]
    if not tokens:
        return
    decided = sound.matcher.tag(reading.symbols)
    assert [t[:2] for t in tokens] == [(reading.indexes[at], sound.rules[rule]) for at, rule in decided]
    heard = {token.phone_index: sound.allophones[token.rule.allophone].ipa for token in tokens}
    # The other sound is written as it is heard too, so that only the signs of this one can be told from here.
    assert reading.stress.count("2") == reading.ipa.count(SECONDARY) or len(reading.stress) < 2
    done = 0
    for place in places:
        done = reading.ipa.index(heard[place], done) + len(heard[place])
    letters = reading.letters
    assert len(letters) == len(phones)
    edges = [edge for span in letters for edge in span]
    assert edges == sorted(edges)
    assert edges[0] >= 0
    assert edges[-1] <= len(reading.word)
    assert [token.span for token in tokens] == [letters[place] for place in places]


def has_t(word: str, span: tuple[int, int]) -> bool:
    """Is this t spelled with its letter or as the past tense, or are its letters not known? Common practice."""
    letters = word[slice(*span)]
    return "t" in letters or letters in ("", "ed")


@pytest.fixture
def uncollected() -> Iterator[None]:
    """Many small objects are made and let go: collecting in between costs a third of the time."""
    gc.disable()
    yield
    gc.enable()


@pytest.mark.usefixtures("uncollected")
def test_every_pronunciation_with_the_sound_is_consistent(fresh: Lexicon) -> None:
    wrong, count = [], 0
    for reading in fresh.sounding():
        count += 1
        try:
            check_reading(reading, fresh.sound)
        except (AssertionError, ValueError) as error:
            wrong.append(f"{reading.word} {reading.number}: {error!r}"[:150])
        # What is made is not kept, or the memory of the tests grows.
        fresh._readings.clear()
    assert wrong == []
    lines = fresh._columns.text("phones")
    assert count == sum(fresh.sound.phone in line.split() for line in lines)


@pytest.mark.usefixtures("uncollected")
def test_every_word_has_its_pronunciations(lexicon: Lexicon) -> None:
    few = anew(lexicon)
    judged = {*corrections(), *homographs()}
    for row, word in enumerate(load_pronunciations().lines()):
        entry = few.entry_at(row)
        assert (entry.word, entry.row) == (word, row)
        count = len(entry.readings)
        assert len({reading.phones for reading in entry.readings}) == count, word
        assert [reading.number for reading in entry.readings] == list(range(1, count + 1)), word
        sounding = [reading for reading in entry.readings if reading.tokens and word not in judged]
        spelled = [reading for reading in sounding if any(has_t(word, t.span) for t in reading.tokens)]
        assert entry.main is (spelled or sounding or entry.readings)[0], word
        assert (entry.rank is None) == (entry.zipf is None) == (entry.share == 0), word
        for reading in entry.readings:
            if not reading.tokens:
                check_reading(reading, few.sound)
        few._entries.clear()
        few._readings.clear()


def test_a_few_words_are_looked_up_as_all_are(fresh: Lexicon) -> None:
    """One by one in the file at first, in an index of all later: with the same answer."""
    words = load_pronunciations().lines()
    rows = {word: row for row, word in enumerate(words)}
    asked = [
        "a",
        "zywicki",
        next(iter(words)),
        list(words)[-1],
        *random.Random(3).sample(list(words), FEW - 4),
    ]
    assert "_rows" not in vars(fresh)
    assert [fresh.row(word) for word in asked] == [rows[word] for word in asked]
    assert "_rows" not in vars(fresh)
    list(fresh)
    assert "_rows" in vars(fresh)
    assert [fresh.row(word) for word in asked] == [rows[word] for word in asked]


STRANGE = [
    "", " ", "\n", "\0", "wate", "watr", "water ", "wa\nter", "'", "(2)", "water(2)", "ʔ", "\ud800",
    "\n".join(list(load_pronunciations().lines())[10:12]), "x" * 100_000,
]  # fmt: skip


@pytest.mark.parametrize("word", STRANGE, ids=range(len(STRANGE)))
def test_what_is_no_word_is_not_found(word: str, lexicon: Lexicon) -> None:
    """Neither one by one in the file nor in the index of all."""
    few = anew(lexicon)
    assert word not in few
    assert few.entry(word) is None
    list(few)
    assert word not in few
    assert few.entry(word) is None


# Small to look at


def test_what_is_shown_of_a_record_is_short(lexicon: Lexicon) -> None:
    added = Lexicon(lexicon.sound, lexicon._columns, own=frozenset(list(lexicon)[:1000]))
    passage = Tagger(lexicon).tag_text("Put it on the water. " * 1000)
    entry = lexicon.entry("internationalization") or lexicon.entry("water")
    assert entry is not None
    for thing in (
        lexicon, added, lexicon.sound, Tagger(lexicon),
        entry, entry.main, entry.verdict, passage, passage.table,
        token_table(lexicon, ["water"]), WordFilter(without=["water"] * 1000),
    ):  # fmt: skip
        assert len(repr(thing)) < 200, type(thing).__name__
        assert "\n" not in repr(thing)
    assert "126,052" in repr(lexicon)


# The same in every process and thread


def facts(entry: Entry | None) -> dict[str, object]:
    assert entry is not None
    found = {
        name: value for name, value in vars(entry).items() if name not in ("readings", "main", "others")
    }
    found["readings"] = [
        [getattr(reading, name.removeprefix("_")) for name in Reading.__slots__]
        for reading in entry.readings
    ]
    found["main"] = entry.main.number
    return found


WORDS = ("water", "veterinary", "o'clock", "to", "the", "thirty", "data", "setup")


def test_a_lexicon_that_was_used_can_be_sent(lexicon: Lexicon) -> None:
    before = [facts(lexicon.entry(word)) for word in WORDS]
    derived = lexicon.derived("textings")
    sent = pickle.loads(pickle.dumps(lexicon))
    assert [facts(sent.entry(word)) for word in WORDS] == before
    assert (sent.derived("textings") is None) == (derived is None)
    assert select(sent, WordFilter(allophone="tap", limit=20)).rows.columns == (
        select(lexicon, WordFilter(allophone="tap", limit=20)).rows.columns
    )


def test_what_was_worked_out_on_the_way_is_not_sent(lexicon: Lexicon) -> None:
    few = anew(lexicon)
    before = len(pickle.dumps(few))
    assert len(select(few, WordFilter(allophone="tap", limit=700)).rows) == 700
    assert len(pickle.dumps(few)) < 1.05 * before


def test_a_lexicon_with_own_words_can_be_sent(lexicon: Lexicon, tmp_path: Path) -> None:
    (tmp_path / "own.dict").write_text("zutter Z AH1 T ER0\ndata D AE1 T AH0\n", encoding="utf-8")
    (tmp_path / "own.csv").write_text("word,zipf\nzutter,5\n", encoding="utf-8")
    mine = supplemented(lexicon, pronunciations=tmp_path / "own.dict", frequencies=tmp_path / "own.csv")
    sent = pickle.loads(pickle.dumps(mine))
    for word in ("zutter", "data", "water"):
        assert facts(sent.entry(word)) == facts(mine.entry(word))
    assert sent.own == {"zutter"}


@pytest.mark.parametrize("name", ["t", "d"])
def test_a_sound_that_was_used_can_be_sent(name: str) -> None:
    sound = load_sound(name)
    text = ["AH0", "T", "AE1", "T", "AH0", "N", "=", "T", "+", "T", "D", "+", "D", "IY0", "D"]
    before = sound.matcher.tag(text)
    sent = pickle.loads(pickle.dumps(sound))
    assert sent.matcher.tag(text) == before
    assert sent.fingerprint == sound.fingerprint
    for field in ("name", "phone", "rules", "contexts", "allophones", "exceptions", "lists", "lessons"):
        assert getattr(sent, field) == getattr(sound, field), field


def test_records_can_be_sent(lexicon: Lexicon) -> None:
    for word in WORDS:
        entry = lexicon.entry(word)
        assert facts(pickle.loads(pickle.dumps(entry))) == facts(entry)


def test_a_tagger_that_was_used_can_be_sent(lexicon: Lexicon) -> None:
    text = CORPUS[0].read_text(encoding="utf-8")
    tagger = Tagger(lexicon, "careful")
    before = tagger.tag_text(text)
    sent = pickle.loads(pickle.dumps(tagger))
    after = sent.tag_text(text)
    assert (sent.style, after.marked) == ("careful", before.marked)
    assert before.marked != Tagger(lexicon).tag_text(text).marked
    assert after.table.columns == before.table.columns


@pytest.fixture
def eager() -> Iterator[None]:
    """Threads that take turns as often as they can."""
    before = sys.getswitchinterval()
    sys.setswitchinterval(1e-6)
    yield
    sys.setswitchinterval(before)


def from_threads(work: Callable[[int], T]) -> list[T]:
    """What eight threads find that begin at the same moment."""
    start = threading.Barrier(THREADS)

    def begin(number: int) -> T:
        start.wait(timeout=30)
        return work(number)

    with ThreadPoolExecutor(THREADS) as pool:
        return list(pool.map(begin, range(THREADS)))


@pytest.mark.usefixtures("eager")
def test_threads_that_load_at_once_get_one_lexicon(
    lexicon: Lexicon, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    made = []

    def compile_(sound: Sound) -> Columns:
        made.append(sound.name)
        return lexicon._columns

    monkeypatch.setenv("LEXICONFORGE_CACHE", str(tmp_path / "file" / "none"))
    (tmp_path / "file").write_text("", encoding="utf-8")
    monkeypatch.setattr(compiling, "compile_lexicon", compile_)
    monkeypatch.setattr(room, "_loaded", {})
    found = from_threads(lambda number: load_lexicon("t"))
    assert len({id(one) for one in found}) == 1
    assert made == ["t"]


@pytest.mark.usefixtures("eager")
def test_threads_that_share_a_lexicon_find_the_same(lexicon: Lexicon) -> None:
    shared = anew(lexicon)
    words = [lexicon.word_at(row) for row in lexicon.graded[:400]]
    wanted = [facts(lexicon.entry(word)) for word in words]

    def look_up(number: int) -> list[dict[str, object]]:
        order = list(range(len(words)))
        random.Random(number).shuffle(order)
        found = {n: facts(shared.entry(words[n])) for n in order}
        assert shared.rank("qqqqtt") is None
        return [found[n] for n in range(len(words))]

    for found in from_threads(look_up):
        assert found == wanted
    # One record for each, whoever made it.
    assert len({id(one) for one in from_threads(lambda number: shared.entry("water"))}) == 1


@pytest.mark.usefixtures("eager")
def test_threads_that_share_a_tagger_find_the_same(lexicon: Lexicon) -> None:
    texts = [path.read_text(encoding="utf-8")[:1500] for path in CORPUS]
    wanted = [Tagger(lexicon).tag_text(text).table.columns for text in texts]
    shared = Tagger(anew(lexicon))

    def tag(number: int) -> list[dict[str, list[object]]]:
        order = [*texts[number % len(texts) :], *texts[: number % len(texts)]]
        found = {text: shared.tag_text(text).table.columns for text in order}
        return [found[text] for text in texts]

    for found in from_threads(tag):
        assert found == wanted


# Made only where they are needed


@pytest.fixture
def counted(monkeypatch: pytest.MonkeyPatch) -> Counter[tuple[str, int]]:
    """How often each pronunciation is made into a record: the word and the number of the pronunciation."""
    made: Counter[tuple[str, int]] = Counter()
    make = Lexicon._made_reading

    def making(self: Lexicon, n: int, word: str, number: int) -> Reading:
        made[word, number] += 1
        return make(self, n, word, number)

    monkeypatch.setattr(Lexicon, "_made_reading", making)
    return made


def test_a_list_makes_the_records_it_needs_and_each_once(
    lexicon: Lexicon, monkeypatch: pytest.MonkeyPatch, counted: Counter[tuple[str, int]]
) -> None:
    found = select(lexicon, WordFilter(allophone="tap", limit=50))
    assert len(found.entries) == 50
    # Of a word in the list all pronunciations are looked at, of one that is left out the one that stands for it.
    needed = {(entry.word, reading.number) for entry in found.entries for reading in entry.readings}
    for word in found.left_out["word"]:
        main_reading = lexicon.main(word)
        assert main_reading is not None
        needed.add((word, main_reading.number))
    few = anew(lexicon)
    counted.clear()
    monkeypatch.setattr(room, "_loaded", {(few.sound.name, few.sound.fingerprint): few})
    with contextlib.redirect_stdout(io.StringIO()) as out:
        assert main(["words", "--allophone", "tap", "--limit", "50", "--examples", "0"]) == 0
    assert len(out.getvalue().splitlines()) == 51
    assert set(counted) <= needed
    assert {(entry.word, entry.main.number) for entry in found.entries} <= set(counted)
    assert set(counted.values()) == {1}
    # The words of the lines that stand beside them are made as they are met, and none again.
    with contextlib.redirect_stdout(io.StringIO()):
        assert main(["words", "--allophone", "tap", "--limit", "50"]) == 0
    assert len(counted) > len(needed)
    assert set(counted.values()) == {1}


def test_a_table_of_everything_makes_no_record(
    lexicon: Lexicon, tokens: pd.DataFrame, counted: Counter[tuple[str, int]]
) -> None:
    few = anew(lexicon)
    counted.clear()
    assert len(token_table(few)) == len(tokens)
    assert counted == Counter()
