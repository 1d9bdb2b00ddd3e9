"""Running text: what links, what is reduced, what pauses, and the counts over it."""

from __future__ import annotations

import pickle
from pathlib import Path

import pytest

from lexiconforge.lexicon import Lexicon
from lexiconforge.lexicon.catalog import TOKEN_COLUMNS
from lexiconforge.text.tagger import PASSAGE_COLUMNS, Tagger, summarise

CORPUS = Path(__file__).parents[2] / "lexiconforge" / "data" / "corpus"


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


@pytest.mark.parametrize(
    ("text", "marked"),
    [
        # Wikipedia, "Flapping": a d between vowels is the same tap as a t, also across words.
        ("The ladder was muddy.", "The la[dd|ɾ]er was mu[dd|ɾ]y."),
        ("Add it up.", "A[dd|ɾ] it up."),
        # Common practice: no tap at the start of a word or of a stressed syllable; d + y; a pause.
        ("I adore the day.", "I a[d|d]ore the [d|d]ay."),
        ("Did you?", "[D|d]i[d|dʒ] you?"),
        ("Add. It.", "A[dd|d]. It."),
        # Common practice: had, said after another word, loses its h, as the pronouns do.
        ("I said he had it.", "I sai[d|ɾ] he ha[d|ɾ] it."),
    ],
)
def test_casual_speech_with_d(text: str, marked: str, d_lexicon: Lexicon) -> None:
    assert Tagger(d_lexicon).tag_text(text).marked == marked


def test_the_table_has_the_columns_of_the_tokens(tagger: Tagger) -> None:
    passage = tagger.tag_text("Put it on.\nNot at all.")
    assert tuple(passage.tokens.columns) == PASSAGE_COLUMNS
    assert set(TOKEN_COLUMNS) <= set(PASSAGE_COLUMNS)
    assert passage.tokens["line"].tolist() == [1, 1, 2, 2]
    assert passage.tokens["next_word"].tolist() == ["it", "on", "at", "all"]


def test_unknown_words_are_listed_and_pause(tagger: Tagger) -> None:
    passage = tagger.tag_text("at Tottlebury at all")
    assert dict(passage.unknown) == {"tottlebury": 1}
    assert passage.marked == "a[t|t̚] Tottlebury a[t|ɾ] all"


def test_lines_are_tagged_each_by_itself(tagger: Tagger) -> None:
    marked = [passage.marked for passage in tagger.tag_lines(["at", "all at all"])]
    assert marked == ["a[t|t̚]", "all a[t|ɾ] all"]


def test_the_summary(tagger: Tagger, lexicon: Lexicon) -> None:
    passage = tagger.tag_text("Put it on.\nYes.\nGorgeous water!\n\n...")
    summary = summarise(passage, lexicon, level="A2")
    assert summary.words == 6
    assert summary.allophones["tap"] == 3
    assert sum(summary.allophones.values()) == len(passage.tokens)
    assert summary.taps_per_ten_words == 5.0
    assert summary.without_target == [2]
    assert "gorgeous" in summary.above
    assert "water" not in summary.above
    rank = lexicon.rank("gorgeous")
    assert rank is not None
    assert summarise(passage, lexicon, max_rank=rank).above == []
    assert summarise(passage, lexicon, max_rank=rank - 1).above == ["gorgeous"]


def test_a_summary_names_lines_without_another_target(tagger: Tagger, lexicon: Lexicon) -> None:
    passage = tagger.tag_text("A button.\nA city.\nNo.")
    assert summarise(passage, lexicon, target="glottal stop").without_target == [2, 3]
    assert summarise(passage, lexicon).without_target == [1, 3]


def test_a_tagger_can_be_sent_to_another_process(lexicon: Lexicon) -> None:
    careful = Tagger(lexicon, "careful")
    again = pickle.loads(pickle.dumps(careful))
    assert again.tag_text("at all").marked == careful.tag_text("at all").marked == "a[t|t̚] all"


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
