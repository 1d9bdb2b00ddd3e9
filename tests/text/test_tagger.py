"""Running text and practice lines."""

from __future__ import annotations

import itertools
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from lexiconforge.passages import PASSAGE_COLUMNS, Tagger, summarise, unmark
from lexiconforge.practice import (
    PracticeOptions,
    greedy_cover,
    practice,
    smallest_cover,
    split_sentences,
)
from lexiconforge.wordlists import ChoiceError

from lexiconforge.lexicon import TOKEN_COLUMNS, Lexicon, load_lexicon
from lexiconforge.mining import MiningError

CORPUS = Path(__file__).parent.parent / "lexiconforge" / "data" / "corpus"


@pytest.fixture(scope="module")
def tagger(lexicon: Lexicon) -> Tagger:
    return Tagger(lexicon)


@pytest.mark.parametrize(
    ("text", "marked"),
    [
        # Kahn 1976, from memory: a final t before any vowel, whatever its stress; never an initial one.
        ("at all", "a[t|ɾ] all"),
        ("a tall", "a [t|tʰ]all"),
        # Common practice, the facts of linking: nt, weak to, lost h, t + y, t + consonant, a pause.
        ("I want it.", "I wan[t|ɾ̃] i[t|t̚]."),
        ("Go to the city.", "Go [t|ɾ]o the ci[t|ɾ]y."),
        ("See you tomorrow.", "See you [t|ɾ]omorrow."),
        ("I sent him a note.", "I sen[t|ɾ̃] him a no[t|t̚]e."),
        ("Let him in.", "Le[t|ɾ] him in."),
        ("Let. Him?", "Le[t|t̚]. Him?"),
        ("Meet you there.", "Mee[t|tʃ] you there."),
        ("that man", "tha[t|t̚] man"),
        ("last minute", "las[t|∅] minu[t|t̚]e"),
        ("It’s late, and hot.", "I[t|t]’s la[t|t̚]e, and ho[t|t̚]."),
        ("Hot—or not?", "Ho[t|t̚]—or no[t|t̚]?"),
        # -teen and -ty differ by this sound.
        ("13 or 30", "13{thir[t|tʰ]een} or 30{thir[t|ɾ]y}"),
        ("a check-in at 8:15", "a check-in a[t|ɾ] 8:15{eigh[t|t̚] fif[t|tʰ]een}"),
        ("Mr. Tate", "Mr. [T|tʰ]a[t|t̚]e"),
        ("He retexted it.", "He retexted i[t|t̚]."),
        ("She texted it.", "She [t|tʰ]ex[t|t]ed i[t|t̚]."),
    ],
)
def test_casual_speech(text: str, marked: str, tagger: Tagger) -> None:
    assert tagger.tag_text(text).marked == marked


@pytest.mark.parametrize(
    ("text", "marked"),
    [
        ("Go to the city at eight.", "Go [t|tʰ]o the ci[t|ɾ]y a[t|t̚] eigh[t|t̚]."),
        ("Meet him.", "Mee[t|t̚] him."),
    ],
)
def test_careful_speech_links_nothing(text: str, marked: str, lexicon: Lexicon) -> None:
    assert Tagger(lexicon, "careful").tag_text(text).marked == marked


def test_the_table_has_the_columns_of_t_tokens(tagger: Tagger) -> None:
    passage = tagger.tag_text("Put it on.\nNot at all.")
    assert tuple(passage.tokens.columns) == PASSAGE_COLUMNS
    assert set(TOKEN_COLUMNS) <= set(PASSAGE_COLUMNS)
    assert passage.tokens["line"].tolist() == [1, 1, 2, 2]
    assert passage.tokens["next_word"].tolist() == ["it", "on", "at", "all"]


def test_unknown_words_are_listed_and_pause(tagger: Tagger) -> None:
    passage = tagger.tag_text("at Tottlebury at all")
    assert dict(passage.unknown) == {"tottlebury": 1}
    assert passage.marked == "a[t|t̚] Tottlebury a[t|ɾ] all"


def test_the_summary(tagger: Tagger, lexicon: Lexicon) -> None:
    passage = tagger.tag_text("Put it on.\nYes.\nGorgeous water!")
    summary = summarise(passage, lexicon, level="A2")
    assert summary.words == 6
    assert summary.allophones["tap"] == 3
    assert summary.taps_per_ten_words == 5.0
    assert summary.without_target == [2]
    assert "gorgeous" in summary.above
    assert "water" not in summary.above


def test_an_unknown_style(lexicon: Lexicon) -> None:
    with pytest.raises(ChoiceError, match="casual, careful"):
        Tagger(lexicon, "formal")


@settings(max_examples=150, deadline=None)
@given(st.text() | st.text(st.sampled_from("tT ae'’-[]{}|$13,.:8%\nş")))
def test_any_text_comes_back_and_every_t_counts_once(text: str) -> None:
    tagger = Tagger(load_lexicon())
    passage = tagger.tag_text(text)
    assert unmark(passage.marked) == text
    keys = passage.tokens.groupby(["line", "text", "phone_index"]).size()
    assert len(passage.tokens) == keys.sum()
    for phones, place in zip(passage.tokens["phones"], passage.tokens["phone_index"], strict=True):
        assert phones.split()[place] == "T"
    spoken = sum(p.count("T") for p in _phones(tagger, text))
    assert len(passage.tokens) == spoken


def _phones(tagger: Tagger, text: str) -> list[tuple[str, ...]]:
    return [
        said.word.phones
        for line in tagger.tag_lines(text.split("\n"))
        for said, _, _ in line
        if said.word is not None
    ]


sets = st.lists(
    st.sets(st.sampled_from("abcdefgh").map(lambda x: (x,)), min_size=1), min_size=1, max_size=9
)


@settings(deadline=None, max_examples=60)
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


def test_practice_lines(lexicon: Lexicon) -> None:
    words = [("water",), ("city",), ("better",), ("waiting",), ("qwerty",)]
    made = practice(lexicon, words, [str(CORPUS)])
    lines = made.lines
    assert made.uncovered == ["qwerty"]
    assert made.exact
    assert (lines["words"] <= 14).all()
    assert (lines["syllables"] <= 22).all()
    new = [word for cell in lines["new"] for word in cell.split(", ") if word]
    assert sorted(new) == ["better", "city", "waiting", "water"]
    for row in lines.itertuples():
        written = Path(row.file).read_text(encoding="utf-8").split("\n")[row.file_line - 1]
        assert row.line in written
        assert unmark(row.marked) == row.line


def test_practice_for_links_and_a_level(lexicon: Lexicon) -> None:
    made = practice(lexicon, [("at", "all"), ("got", "it")], [str(CORPUS)], PracticeOptions(level="B1"))
    assert not made.uncovered
    assert len(made.lines) <= 2
    with pytest.raises(ChoiceError, match="A1, A2"):
        PracticeOptions(level="Z")
    with pytest.raises(MiningError, match="no such file"):
        practice(lexicon, [("at",)], ["nowhere.txt"])


def test_sentences_of_a_line() -> None:
    assert split_sentences('Etta: "Put it on," she said. Is it hot? Yes!') == [
        '"Put it on," she said.', "Is it hot?", "Yes!",
    ]  # fmt: skip


def test_the_corpus_is_what_it_says(tagger: Tagger) -> None:
    lines = [
        line
        for path in CORPUS.glob("*.txt")
        for line in path.read_text(encoding="utf-8").splitlines()
        if line.strip()
    ]
    assert len(lines) >= 300
    assert len(set(lines)) == len(lines)
    passage = tagger.tag_text("\n".join(lines))
    taps = passage.tokens["allophone"].isin(["tap", "nasal tap"]).sum()
    assert taps / passage.words > 0.15
