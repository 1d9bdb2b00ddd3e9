"""What is known of d, word by word: it taps where t does, and before a syllabic n it does not become a glottal stop."""

from __future__ import annotations

import pytest
from spoken import tokens_in

from lexiconforge.lexicon import Lexicon
from lexiconforge.lists.wordlists import WordFilter, word_list

FLAPPING = "Wikipedia, Flapping"
COMMON = "common practice"

# The text, which d of it counted from 1, what it is, and who says so.
CASES = [
    # Between vowels, the second without stress, as a t there.
    ("ready", 1, "tap", FLAPPING),
    ("body", 1, "tap", FLAPPING),
    ("order", 1, "tap", FLAPPING),
    ("middle", 1, "tap", FLAPPING),
    ("already", 1, "tap", FLAPPING),
    ("lady", 1, "tap", COMMON),
    ("hurdle", 1, "tap", COMMON),
    # Before a stressed vowel, at the beginning.
    ("adopt", 1, "stop", FLAPPING),
    ("today", 1, "stop", COMMON),
    ("day", 1, "stop", COMMON),
    # Before a syllabic n.
    ("sudden", 1, "nasal release", COMMON),
    ("garden", 1, "nasal release", COMMON),
    ("hidden", 1, "nasal release", COMMON),
    # After n and after l.
    ("candy", 1, "stop", COMMON),
    ("window", 1, "stop", COMMON),
    ("older", 1, "stop", COMMON),
    # Between words: after a vowel and before one it taps.
    ("did it", 2, "tap", FLAPPING),
    ("need a", 1, "tap", FLAPPING),
    ("had it", 1, "tap", FLAPPING),
    ("heard it", 1, "tap", FLAPPING),
    ("wanted it", 1, "tap", COMMON),
    ("find it", 1, "stop", COMMON),
    ("told us", 1, "stop", COMMON),
    # It melts with the y of the next word.
    ("did you", 2, "affricate", COMMON),
    ("would you", 1, "affricate", COMMON),
    # Before r.
    ("dream", 1, "affricate", COMMON),
    # The ending -ed after d: the one before the ending taps.
    ("added", 1, "tap", COMMON),
    ("needed", 1, "tap", COMMON),
]  # fmt: skip


@pytest.mark.parametrize(
    ("text", "number", "allophone", "source"), CASES, ids=[f"{case[0]} {case[1]}" for case in CASES]
)
def test_what_a_d_is(text: str, number: int, allophone: str, source: str, d_lexicon: Lexicon) -> None:
    assert tokens_in(d_lexicon, text)[number - 1].rule.allophone == allophone, source


@pytest.mark.parametrize("text", ["waited", "added", "needed", "find it", "sudden"])
def test_the_last_d_of_these_is_no_tap(text: str, d_lexicon: Lexicon) -> None:
    """Of *waited* only the t taps, of *added* only the first d (common practice): before a pause nothing taps."""
    assert tokens_in(d_lexicon, text)[-1].rule.allophone != "tap"


def test_the_t_before_ed_taps(lexicon: Lexicon) -> None:
    # Wikipedia, Flapping: between a stressed vowel and one without stress.
    for word in ("waited", "noted", "created", "visited"):
        assert tokens_in(lexicon, word)[-1].rule.allophone == "tap", word
    # After n with it, after other consonants not at all.
    assert tokens_in(lexicon, "wanted")[-1].rule.allophone == "nasal tap"
    assert tokens_in(lexicon, "lifted")[-1].rule.allophone == "unaspirated stop"


def test_no_d_is_a_glottal_stop(d_lexicon: Lexicon) -> None:
    """Common practice: a glottal stop stands for t, not for d, and is not even another way to say one."""
    for rule in d_lexicon.sound.rules:
        assert "glottal stop" not in (rule.allophone, *rule.also_heard), rule.name
    listed = word_list(d_lexicon, WordFilter(environment="before syllabic n", limit=100)).rows
    assert {"garden", "hidden", "sudden"} <= set(listed["word"])
    assert not listed["also_heard"].str.contains("glottal").any()


def test_t_and_d_tap_in_the_same_words_that_differ_by_nothing_else(
    lexicon: Lexicon, d_lexicon: Lexicon
) -> None:
    """Wikipedia, Flapping: where both tap, the two are alike (the pairs are in data/homophones.csv too)."""
    for with_t, with_d in [
        ("latter", "ladder"),
        ("metal", "medal"),
        ("writer", "rider"),
        ("coating", "coding"),
    ]:
        tapped = [tokens_in(lexicon, with_t)[-1], tokens_in(d_lexicon, with_d)[-1]]
        assert [token.rule.allophone for token in tapped] == ["tap", "tap"]


def test_the_two_sounds_share_their_taps(lexicon: Lexicon, d_lexicon: Lexicon) -> None:
    assert lexicon.sound.tapped == d_lexicon.sound.tapped
    for name in lexicon.sound.tapped:
        assert lexicon.sound.allophones[name].ipa == d_lexicon.sound.allophones[name].ipa
