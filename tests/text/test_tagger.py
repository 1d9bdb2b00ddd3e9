"""Running text: marks, spans, styles, the summary; which variant a phrase has is in test_connected_speech."""

from __future__ import annotations

import pickle
from functools import cache

import pytest
from conftest import ROOT
from hypothesis import given, settings
from hypothesis import strategies as st

from lexiconforge.errors import OptionError
from lexiconforge.lexicon import Lexicon, load_lexicon
from lexiconforge.lexicon.catalog import TOKEN_COLUMNS
from lexiconforge.text.phrases import READ_OUT
from lexiconforge.text.tagger import LONG, PASSAGE_COLUMNS, Tagger, summarise

CORPUS = ROOT / "lexiconforge" / "data" / "corpus"
VARIANTS = {"stop", "elided", "glottal stop", "tap", "nasal tap", "affricate"}


@pytest.fixture(scope="module")
def tagger(lexicon: Lexicon) -> Tagger:
    return Tagger(lexicon)


@pytest.mark.parametrize(
    ("text", "marked"),
    [
        # Kahn 1976, from memory: a final t before any vowel, whatever its stress; never an initial one.
        ("at all", "at[ɾ] all"),
        ("a tall", "a t[tʰ]all"),
        # Common practice: the facts of linking; the sound stands after all the letters that spell it.
        ("better butter", "bett[ɾ]er butt[ɾ]er"),
        ("Let him in.", "Let[ɾ] him in."),
        ("Let. Him?", "Let[t̚]. Him?"),
        # Seyfarth and Garellek 2020: before m n l r w y mostly glottalised.
        ("that man", "that[ʔ] man"),
        # -teen and -ty differ by this sound.
        ("13 or 30", "13 {thirt[tʰ]een} or 30 {thirt[ɾ]y}"),
        ("at 8:15", "at[ɾ] 8:15 {eight[ʔ] fift[tʰ]een}"),
        ("Mr. Tate", "Mr. T[tʰ]at[t̚]e"),
        ("She texted it.", "She t[tʰ]ext[t]ed it[t̚]."),
    ],
)
def test_the_sound_stands_in_brackets_after_its_letters(text: str, marked: str, tagger: Tagger) -> None:
    assert tagger.tag_text(text).marked == marked


def test_all_shares_are_shown_where_somebody_counted(tagger: Tagger) -> None:
    # Patterson and Connine 2001: 96.4 % taps, 2.12 % glottal stops, 1.48 % stops; nobody counted the t of train.
    shown = tagger.tag_text("water train").shown("all")
    assert shown.startswith("wat[ɾ 96, ")
    assert shown.endswith("er t[tʃ]rain")
    with pytest.raises(OptionError, match="likely, all"):
        tagger.tag_text("water").shown("every")


@pytest.mark.parametrize(
    ("text", "marked"),
    [
        # Common practice: a careful speaker says every word in full, releases or taps a t before a vowel, and says
        # the true t of winter and button.
        ("Go to the city at eight.", "Go t[tʰ]o the cit[ɾ]y at[ɾ] eight[t̚]."),
        ("Meet him.", "Meet[t̚] him."),
        ("I want to sleep.", "I want[t̚] t[tʰ]o sleep."),
        ("a winter button", "a wint[tʰ]er butt[t]on"),
        ("last minute", "last[t̚] minut[t̚]e"),
    ],
)
def test_careful_speech(text: str, marked: str, lexicon: Lexicon) -> None:
    assert Tagger(lexicon, "careful").tag_text(text).marked == marked


def test_no_style_leaves_a_final_t_unreleased_before_a_vowel(lexicon: Lexicon) -> None:
    # Common practice: without a pause between.
    firsts = ("get", "part", "want", "didn't", "last", "left", "kept", "felt", "different")
    for style in lexicon.sound.styles:
        for first in firsts:
            (said, *_) = Tagger(lexicon, style).tag_text(f"{first} away").said
            assert said.tagged is not None
            assert said.tagged.tokens[-1].allophone != "unreleased stop", (style, first)


def test_careful_speech_says_that_the_shares_are_of_conversation(lexicon: Lexicon) -> None:
    careful = Tagger(lexicon, "careful").tag_text("water").table
    assert careful["heard"] == Tagger(lexicon).tag_text("water").table["heard"]
    assert "conversation" in careful["heard_source"][0]


def test_the_table_has_the_columns_of_t_tokens(tagger: Tagger) -> None:
    passage = tagger.tag_text("Put it on.\nNot at all.")
    assert tuple(passage.tokens.columns) == PASSAGE_COLUMNS
    assert set(TOKEN_COLUMNS) <= set(PASSAGE_COLUMNS)
    assert passage.tokens["line"].tolist() == [1, 1, 2, 2]
    assert passage.tokens["next_word"].tolist() == ["it", "on", "at", "all"]


def test_what_is_not_known_is_listed_and_pauses(tagger: Tagger) -> None:
    passage = tagger.tag_text("at Tottlebury at all, at www.tillery.example at all")
    assert dict(passage.unknown) == {"tottlebury": 1}
    assert dict(passage.unread) == {"www.tillery.example": 1}
    assert passage.marked.startswith("at[t̚] Tottlebury at[ɾ] all, at[t̚] www")


def test_the_likeliest_variant_is_the_label_in_casual_style(tagger: Tagger, lexicon: Lexicon) -> None:
    text = "\n".join(path.read_text(encoding="utf-8") for path in sorted(CORPUS.glob("*.txt")))
    passage = tagger.tag_text(text)
    counted = 0
    for label, heard in zip(passage.table["allophone"], passage.heard, strict=True):
        if heard:
            counted += 1
            assert sum(heard.values()) == 100
            assert set(heard) <= VARIANTS
            assert lexicon.sound.variant_of[label] == heard.likeliest
    assert counted > 200


def test_the_expected_counts_add_up_to_the_tokens(tagger: Tagger) -> None:
    passage = tagger.tag_text("I didn't want to. Put it on the last train.")
    assert sum(passage.expected.values()) == pytest.approx(len(passage.table))


def test_the_summary(tagger: Tagger, lexicon: Lexicon) -> None:
    passage = tagger.tag_text("Put it on.\nYes.\nGorgeous water!\n\n...")
    summary = summarise(passage, lexicon, level="A2")
    assert summary.words == 6
    assert summary.allophones["tap"] == 3
    assert sum(summary.allophones.values()) == len(passage.tokens)
    assert summary.taps_per_ten_words == 5.0
    assert summary.without_target == [2]
    assert "gorgeous" in summary.above
    assert sum(summary.expected.values()) == pytest.approx(3, abs=0.3)


def test_an_unknown_style(lexicon: Lexicon) -> None:
    with pytest.raises(OptionError, match="casual, careful"):
        Tagger(lexicon, "formal")


def test_d_is_tagged_by_its_own_counts(d_lexicon: Lexicon) -> None:
    # Counted from Pitt et al. 2007: nd before a consonant has no d in most tokens; did you: common practice.
    passage = Tagger(d_lexicon).tag_text("hand me that; did you; I used to swim")
    assert passage.marked == "hand[∅] me that; d[d]id[dʒ] you; I used[∅] to swim"


@cache
def casual() -> Tagger:
    return Tagger(load_lexicon())


@settings(max_examples=60, deadline=None)
@given(st.text() | st.text(st.sampled_from("tT ae'’-[]{}|$13,.:8%\nş<>@")))
def test_any_text_comes_back_and_every_span_is_its_letters(text: str) -> None:
    passage = casual().tag_text(text)
    letters = iter(passage.marked)
    assert all(letter in letters for letter in text), "marks are only put in"
    table = passage.table
    written = (said for said in passage.said for _ in (said.tagged.tokens if said.tagged else ()))
    for said, start, end, token in zip(
        written, table["start"], table["end"], table["letters"], strict=True
    ):
        if said.item.kind != READ_OUT:
            assert text[start:end].lower() == token


def test_lines_are_tagged_each_by_itself(tagger: Tagger) -> None:
    marked = [passage.marked for passage in tagger.tag_lines(["at", "all at all"])]
    assert marked == ["at[t̚]", "all at[ɾ] all"]


def test_a_summary_names_lines_without_another_target(tagger: Tagger, lexicon: Lexicon) -> None:
    passage = tagger.tag_text("A button.\nA city.\nNo.")
    assert summarise(passage, lexicon, target="glottal stop").without_target == [2, 3]
    assert summarise(passage, lexicon).without_target == [1, 3]


def test_a_tagger_can_be_sent_to_another_process(lexicon: Lexicon) -> None:
    careful = Tagger(lexicon, "careful")
    again = pickle.loads(pickle.dumps(careful))
    assert again.tag_text("at all").marked == careful.tag_text("at all").marked == "at[ɾ] all"


@pytest.mark.parametrize(
    ("text", "marked"),
    [
        # Wikipedia, "Flapping": a d between vowels is the same tap as a t, also across words.
        ("The ladder was muddy.", "The ladd[ɾ]er was mudd[ɾ]y."),
        ("Add it up.", "Add[ɾ] it up."),
        # Common practice: no tap at the start of a word or of a stressed syllable; a pause.
        ("I adore the day.", "I ad[d]ore the d[d]ay."),
        ("Add. It.", "Add[d]. It."),
        # Common practice: the pronoun loses its h between words, the main verb had keeps it.
        ("I said he had it.", "I said[ɾ] he had[ɾ] it."),
    ],
)
def test_casual_speech_with_d(text: str, marked: str, d_lexicon: Lexicon) -> None:
    assert Tagger(d_lexicon).tag_text(text).marked == marked


def test_the_halves_of_a_long_text_are_the_text(tagger: Tagger) -> None:
    lines = ["Put it on the water, Zottle.", "", "He got 24/7 it\tat night", "  “Writer’s” daughter ate"]
    text = "\n".join(lines[n % 4] for n in range(2 * LONG // 20))
    assert len(text) > LONG
    found = tagger.tag_table(text)
    whole = tagger.tag_text(text)
    assert found.table.columns == whole.table.columns
    assert (found.unknown, found.unread) == (whole.unknown, whole.unread)
    assert found.unknown
    assert found.unread
