"""Word pairs with their measures against NLTK's, and contrast sets."""

from __future__ import annotations

import math

import pandas as pd
import pronouncing
import pytest
from conftest import cases, few_of
from hypothesis import given, settings
from hypothesis import strategies as st

from lexiconforge.errors import OptionError
from lexiconforge.export.texts import csv_text
from lexiconforge.lexicon import Lexicon, load_lexicon
from lexiconforge.lists.association import associations
from lexiconforge.lists.contrasts import contrast_sets
from lexiconforge.lists.linking import LINK_COLUMNS, LinkFilter, links
from lexiconforge.lists.phrasing import TYPES, PairReadings, phrase_type
from lexiconforge.lists.spoken import contracted


@pytest.fixture(scope="module")
def table(lexicon: Lexicon, pairs: pd.DataFrame) -> pd.DataFrame:
    return links(lexicon, pairs)


@pytest.fixture(scope="module")
def d_table(d_lexicon: Lexicon, pairs: pd.DataFrame) -> pd.DataFrame:
    return links(d_lexicon, pairs)


@pytest.fixture(scope="module")
def sets(lexicon: Lexicon, pairs: pd.DataFrame) -> pd.DataFrame:
    return contrast_sets(lexicon, pairs, include=["names"], all_forms=True)


@pytest.fixture(scope="module")
def shown(lexicon: Lexicon, pairs: pd.DataFrame) -> pd.DataFrame:
    return contrast_sets(lexicon, pairs)


@pytest.fixture(scope="module")
def d_sets(d_lexicon: Lexicon, pairs: pd.DataFrame) -> pd.DataFrame:
    return contrast_sets(d_lexicon, pairs, include=["names"], all_forms=True)


def pairs_of(table: pd.DataFrame) -> set[tuple[str, str]]:
    return set(zip(table["first"], table["second"], strict=True))


def test_links_are_in_order_and_all_link(table: pd.DataFrame) -> None:
    assert tuple(table.columns) == LINK_COLUMNS
    assert table["spoken_estimate"].is_monotonic_decreasing
    assert set(table["allophone"]) == {"tap", "nasal tap"}
    assert table["coverage"].is_monotonic_increasing
    assert table["coverage"].between(0, 1).all()


LOSE_H = {"he", "him", "his", "her", "himself", "herself", "have", "has", "had"}
"""Common practice: pronouns and auxiliaries lose their h inside a phrase."""


@pytest.mark.parametrize("sound", ["t", "d"])
def test_a_link_ends_in_the_sound_and_goes_on_with_a_vowel(
    sound: str, request: pytest.FixtureRequest
) -> None:
    """Wikipedia, "Flapping": across words it stands before any vowel. The sounds are another reader's."""
    table = request.getfixturevalue("table" if sound == "t" else "d_table")
    assert len(table) > 1000
    for first, second in pairs_of(table.head(300)):
        ends = {said.split()[-1] for said in pronouncing.phones_for_word(first)}
        begins = {said.split()[0] for said in pronouncing.phones_for_word(second)}
        assert sound.upper() in ends, first
        assert any(phone[-1].isdigit() for phone in begins) or second in LOSE_H, second


def test_kahns_pair(table: pd.DataFrame) -> None:
    # Kahn 1976, from memory: the t of at all is tapped, that of a tall is not.
    assert ("at", "all") in pairs_of(table)
    assert ("a", "tall") not in pairs_of(table)


@pytest.mark.parametrize(
    "pair",
    # Common practice: what is said all the time in conversation.
    [
        "what i",
        "but i'm",
        "what i've",
        "don't even",
        "get her",
        "let him",
        "what he",
        "shut up",
        "forget it",
    ],
)
def test_what_people_say_is_there(pair: str, table: pd.DataFrame) -> None:
    assert tuple(pair.split()) in set(zip(table["first"], table["second"], strict=True))


@pytest.mark.parametrize(
    "pair", ["site is", "visit our", "payment instructions", "recent orders", "about objectionable"]
)
def test_what_only_web_pages_say_is_far_down(pair: str, table: pd.DataFrame) -> None:
    # A teacher's judgement, common practice.
    top = table.head(200)
    assert tuple(pair.split()) not in set(zip(top["first"], top["second"], strict=True))


@pytest.mark.parametrize("pair", ["might of", "estate agents", "don't it", "got it's"])
def test_what_is_no_pair_of_american_speech_is_out(pair: str, table: pd.DataFrame) -> None:
    # Common practice: a misspelling of might have, British for real estate agents; a verb agrees with its subject.
    assert tuple(pair.split()) not in set(zip(table["first"], table["second"], strict=True))


def test_what_was_not_counted_is_empty_and_not_zero(table: pd.DataFrame) -> None:
    uncounted = table[table["count"].isna()]
    assert len(uncounted) > 50
    parts = uncounted["first"].isin(contracted()) | uncounted["second"].isin(contracted())
    assert parts.all()
    for name in ("per_million", "pmi", "log_likelihood", "t_score"):
        assert uncounted[name].isna().all()
    assert (table["count"].dropna() > 0).all()
    assert (table["spoken_estimate"] > 0).all()


def test_own_counts_rule(lexicon: Lexicon) -> None:
    own = pd.DataFrame({"first": ["get", "but"], "second": ["it", "i"], "count": [9, 1]})
    found = links(lexicon, own)
    assert found["count"].tolist() == [9, 1]
    assert found["spoken_estimate"].tolist() == [900_000.0, 100_000.0]


@pytest.mark.parametrize(
    ("pair", "ipa"),
    [
        # Common practice, the weak forms of the Longman Pronunciation Dictionary (Wells 2008, from memory).
        ("out of", "aʊɾ‿əv"),
        ("get her", "ɡɛɾ‿ɚ"),
        ("let him", "lɛɾ‿ɪm"),
        ("not as", "nɑɾ‿əz"),
        ("at a", "əɾ‿ə"),
        ("it and", "ɪɾ‿ən"),
    ],
)
def test_weak_forms(pair: str, ipa: str, table: pd.DataFrame) -> None:
    first, second = pair.split()
    row = table[(table["first"] == first) & (table["second"] == second)]
    assert row["ipa"].tolist() == [ipa]


@pytest.mark.parametrize(("second", "place"), [("a", 2), ("it", 2), ("is", 1), ("of", 1)])
def test_a_verb_has_its_stress_last(second: str, place: int, lexicon: Lexicon) -> None:
    # Sherman 1975: noun and verb of the type of permit differ in stress.
    first, _ = PairReadings(lexicon).of("permit", second)
    assert first.stress.index("1") + 1 == place


@pytest.mark.parametrize(
    ("pair", "kind"),
    [
        # Common practice of grammars.
        ("get it", "verb + object pronoun"),
        ("let him", "verb + object pronoun"),
        ("put on", "verb + particle"),
        ("shut up", "verb + particle"),
        ("but i", "clause start"),
        ("isn't it", "clause start"),
        ("at an", "preposition phrase"),
        ("at all", "fixed phrase"),
    ],
)
def test_phrase_types(pair: str, kind: str, lexicon: Lexicon) -> None:
    assert phrase_type(lexicon, *pair.split()) == kind
    assert kind in TYPES


def margins_of(pairs: pd.DataFrame, first: str, second: str) -> tuple[int, int]:
    """How many pairs begin with one word and end with another."""
    return (
        int(pairs.loc[pairs["first"] == first, "count"].sum()),
        int(pairs.loc[pairs["second"] == second, "count"].sum()),
    )


def pmi_of(both: int, margins: tuple[int, int], total: int) -> float:
    """Church and Hanks 1990: log2 of how much oftener two words meet than chance has it."""
    return math.log2(both * total / (margins[0] * margins[1]))


def likelihood_of(both: int, margins: tuple[int, int], total: int) -> float:
    """Dunning 1993: twice the sum of observed times the logarithm of observed over expected."""
    first, second = margins
    observed = (both, first - both, second - both, total - first - second + both)
    sides = (
        (first, second),
        (first, total - second),
        (total - first, second),
        (total - first, total - second),
    )
    expected = [one * other / total for one, other in sides]
    return 2 * sum(o * math.log(o / e) for o, e in zip(observed, expected, strict=True) if o > 0)


def t_score_of(both: int, margins: tuple[int, int], total: int) -> float:
    """Church and others 1991: observed less expected, over the square root of observed."""
    return (both - margins[0] * margins[1] / total) / math.sqrt(both)


@pytest.mark.parametrize("sound", ["t", "d"])
def test_the_measures_of_pairs_are_the_published_ones(
    sound: str, pairs: pd.DataFrame, request: pytest.FixtureRequest
) -> None:
    table = request.getfixturevalue("table" if sound == "t" else "d_table").dropna(subset="count")
    total = int(pairs["count"].sum())
    for row in table.iloc[:: len(table) // 40].itertuples():
        together, margins = int(row.count), margins_of(pairs, row.first, row.second)
        assert row.per_million == pytest.approx(1e6 * together / total, abs=0.00006)
        assert row.pmi == pytest.approx(pmi_of(together, margins, total), abs=0.0051)
        ratio = likelihood_of(together, margins, total)
        assert row.log_likelihood == pytest.approx(ratio, rel=1e-6, abs=0.051)
        assert row.t_score == pytest.approx(t_score_of(together, margins, total), rel=1e-6, abs=0.0051)


cells = st.integers(0, 10**9)


@given(st.integers(1, 10**9), cells, cells, cells)
def test_the_measures_of_any_counts_are_the_published_ones(
    both: int, one: int, other: int, neither: int
) -> None:
    margins, total = (both + one, both + other), both + one + other + neither
    (found,) = associations([(both, *margins)], total)
    assert found.pmi == pytest.approx(pmi_of(both, margins, total), rel=1e-9, abs=0.0051)
    # The terms of the sum are of the size of the counts, and cancel.
    ratio = likelihood_of(both, margins, total)
    assert found.log_likelihood == pytest.approx(ratio, rel=1e-9, abs=0.051 + 1e-13 * total)
    assert found.t_score == pytest.approx(t_score_of(both, margins, total), rel=1e-9, abs=0.0051)


@given(st.integers(1, 10**6), st.integers(1, 1000), st.integers(1, 1000))
def test_words_that_meet_as_chance_has_it_measure_nothing(count: int, one: int, other: int) -> None:
    """By the definitions: independent rows and columns, in Church and Hanks 1990 and in Dunning 1993."""
    (found,) = associations([(count, count * one, count * other)], count * one * other)
    assert found == pytest.approx((0, 0, 0), abs=0.051 + 1e-13 * count * one * other)
    assert all(math.copysign(1, number) > 0 for number in found if number == 0)


FIRSTS, SECONDS = ("at", "get", "it", "not", "a", "go"), ("all", "it", "in", "tall", "up", "to")
counted_pairs = st.dictionaries(
    st.tuples(st.sampled_from(FIRSTS), st.sampled_from(SECONDS)),
    st.integers(1, 10**7),
    min_size=1,
)


@given(counted_pairs)
@settings(max_examples=25)
def test_the_measures_of_any_table_of_pairs(counts: dict[tuple[str, str], int]) -> None:
    pairs = pd.DataFrame(
        [(*pair, count) for pair, count in counts.items()], columns=["first", "second", "count"]
    )
    total = sum(counts.values())
    table = links(few_of(load_lexicon()), pairs)
    assert pairs_of(table) <= counts.keys()
    if ("at", "all") in counts:
        assert ("at", "all") in pairs_of(table)
    for row in table.itertuples():
        margins = (
            sum(count for (first, _), count in counts.items() if first == row.first),
            sum(count for (_, second), count in counts.items() if second == row.second),
        )
        assert row.count == counts[row.first, row.second]
        assert row.per_million == pytest.approx(1e6 * row.count / total, abs=0.00006)
        assert row.spoken_estimate == pytest.approx(1e6 * row.count / total, abs=0.0006)
        assert row.pmi == pytest.approx(pmi_of(row.count, margins, total), abs=0.0051)
        ratio = likelihood_of(row.count, margins, total)
        assert row.log_likelihood == pytest.approx(ratio, rel=1e-6, abs=0.051)


@pytest.mark.parametrize("sound", ["t", "d"])
def test_nothing_is_written_as_minus_nought(sound: str, request: pytest.FixtureRequest) -> None:
    table = request.getfixturevalue("table" if sound == "t" else "d_table")
    for column in ("pmi", "log_likelihood", "t_score", "spoken_estimate"):
        noughts = table.loc[table[column] == 0, column]
        assert all(math.copysign(1, nought) > 0 for nought in noughts), column
    assert "-0.0," not in csv_text(table)


def test_link_filters(
    lexicon: Lexicon, pairs: pd.DataFrame, few_pairs: pd.DataFrame, table: pd.DataFrame
) -> None:
    found = links(lexicon, pairs, LinkFilter(first="get", limit=5))
    assert set(found["first"]) == {"get"}
    assert len(found) == 5
    # What a pair measures does not depend on which pairs are asked for.
    measures = ["first", "second", "count", "per_million", "pmi", "log_likelihood", "t_score"]
    same = table[table["first"] == "get"].head(5).reset_index(drop=True)
    pd.testing.assert_frame_equal(found[measures], same[measures], check_dtype=False)
    easy = links(lexicon, few_pairs, LinkFilter(levels="A1-A2"))
    assert set(easy["level"]) == {"A1", "A2"}
    verbs = links(lexicon, few_pairs, LinkFilter(phrase_type="Verb + particle"))
    assert set(verbs["phrase_type"]) == {"verb + particle"}
    with pytest.raises(OptionError, match="1 or more"):
        LinkFilter(limit=0)
    with pytest.raises(OptionError, match="phrase type"):
        LinkFilter(phrase_type="rhyme")


def test_a_struck_out_word_is_in_no_link(lexicon: Lexicon, pairs: pd.DataFrame) -> None:
    found = links(lexicon.without(["Get"]), pairs)
    assert not {"get", "getting", "got"} & {*found["first"], *found["second"]}
    assert not any(" get " in f" {line.lower()} " for line in found["example"])


@pytest.mark.parametrize("case", cases("homophones"), ids=lambda case: case["t"])
def test_the_published_homophones(
    case: dict[str, str], sets: pd.DataFrame, d_sets: pd.DataFrame
) -> None:
    # Wikipedia, "Intervocalic alveolar flapping", an older snapshot: alike, so a pair of either sound.
    assert (case["t"], case["d"]) in pairs_of(sets[sets["kind"] == "homophones"])
    assert (case["d"], case["t"]) in pairs_of(d_sets[d_sets["kind"] == "homophones"])


@pytest.mark.parametrize(
    ("kind", "first", "second"),
    [
        # Common practice: the textbook pair of each kind.
        ("homophones", "writer", "rider"),
        ("linked-homophones", "set it", "said it"),
        ("linked-homophones", "hit it", "hid it"),
        ("nasal-taps", "winter", "winner"),
        ("nasal-taps", "banter", "banner"),
        ("ed-ation", "invited", "invitation"),
        ("stress-shift", "atom", "atomic"),
        ("stress-shift", "photograph", "photography"),
        ("stress-shift", "metal", "metallic"),
        ("teen-ty", "thirteen", "thirty"),
        ("tap-or-glottal", "bitter", "bitten"),
        ("across-words", "at all", "a tall"),
    ],
)
def test_textbook_pairs(kind: str, first: str, second: str, shown: pd.DataFrame) -> None:
    found = shown[shown["kind"] == kind]
    assert (first, second) in set(zip(found["first"], found["second"], strict=True))


@pytest.mark.parametrize("pair", ["attar adder", "feted faded", "smarties smarten"])
def test_rare_words_teach_nobody(pair: str, shown: pd.DataFrame) -> None:
    # A teacher's judgement, common practice.
    assert tuple(pair.split()) not in set(zip(shown["first"], shown["second"], strict=True))


def test_lines_differ_in_nothing_else(lexicon: Lexicon) -> None:
    written = lexicon.sound.contrast_lines
    assert len(written) > 60
    alike = 0
    for (first, second), (one, two) in written.items():
        assert f" {first} " in f" {one.lower().strip('.!?')} ".replace(",", "").replace("'s", " 's"), one
        assert f" {second} " in f" {two.lower().strip('.!?')} ".replace(",", "").replace("'s", " 's"), (
            two
        )
        alike += one.lower().replace(first, "") == two.lower().replace(second, "")
    assert alike >= 0.55 * len(written)


@pytest.mark.parametrize(
    ("first", "second"), [("edit", "edition"), ("audit", "audition"), ("melody", "melodic")]
)
def test_a_d_before_a_vowel_that_the_stress_moved_onto(
    first: str, second: str, d_sets: pd.DataFrame
) -> None:
    # Common practice: -ition has the stress on its i; that of -ic stands before the d, which stays a tap.
    found = pairs_of(d_sets[d_sets["kind"] == "stress-shift"])
    assert ((first, second) in found) == second.endswith("ition")


@pytest.mark.parametrize("sound", ["t", "d"])
def test_contrasts_are_ranked_by_the_rarer_member(sound: str, request: pytest.FixtureRequest) -> None:
    sets = request.getfixturevalue("sets" if sound == "t" else "d_sets")
    for kind, rows in sets.groupby("kind"):
        assert rows["rarer"].is_monotonic_increasing, kind
        assert rows["place"].tolist() == list(range(1, len(rows) + 1))
        assert (rows["rarer"] == rows[["first_rank", "second_rank"]].max(axis=1)).all()
    assert set(sets["kind"]) == {kind.kind for kind in load_lexicon(sound).sound.contrasts}


def test_of_two_lemmas_the_commonest_pair_stands_for_all(
    lexicon: Lexicon, pairs: pd.DataFrame, sets: pd.DataFrame
) -> None:
    few = contrast_sets(lexicon, pairs, "homophones", include="names")
    many = sets[sets["kind"] == "homophones"]
    lemmas = [tuple(map(lexicon.lemma, pair)) for pair in zip(few["first"], few["second"], strict=True)]
    assert len(set(lemmas)) == len(lemmas)
    assert {("metal", "medal"), ("metals", "medals")} <= pairs_of(many)
    assert ("metal", "medal") in pairs_of(few)
    assert ("metals", "medals") not in pairs_of(few)
    assert pairs_of(few) < pairs_of(many)


def test_unknown_contrast(lexicon: Lexicon, pairs: pd.DataFrame) -> None:
    with pytest.raises(OptionError, match="teen-ty"):
        contrast_sets(lexicon, pairs, ["rhymes"])


def test_counts_as_they_are_mined_make_links(few: Lexicon) -> None:
    """Rows of words alone have no second."""
    counted = pd.DataFrame(
        {"first": ["at", "it", "put"], "second": ["all", None, "it"], "count": [3, 9, 2]}
    )
    found = links(few, counted)
    assert found[["first", "second", "count"]].values.tolist() == [["at", "all", 3], ["put", "it", 2]]
    pd.testing.assert_frame_equal(found, links(few, counted.dropna(ignore_index=True)))
