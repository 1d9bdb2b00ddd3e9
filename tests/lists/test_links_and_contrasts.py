"""Word pairs and contrast sets."""

from __future__ import annotations

import pandas as pd
import pytest
from conftest import cases
from nltk.metrics.association import BigramAssocMeasures

from lexiconforge.errors import OptionError
from lexiconforge.lexicon import Lexicon
from lexiconforge.lists.association import Beside, associations
from lexiconforge.lists.contrasts import contrast_sets
from lexiconforge.lists.linking import LINK_COLUMNS, LinkFilter, links
from lexiconforge.lists.phrasing import TYPES, PairReadings, phrase_type
from lexiconforge.lists.spoken import contracted


@pytest.fixture(scope="module")
def table(lexicon: Lexicon, pairs: pd.DataFrame) -> pd.DataFrame:
    return links(lexicon, pairs)


@pytest.fixture(scope="module")
def sets(lexicon: Lexicon, pairs: pd.DataFrame) -> pd.DataFrame:
    return contrast_sets(lexicon, pairs, include=["names"], all_forms=True)


@pytest.fixture(scope="module")
def shown(lexicon: Lexicon, pairs: pd.DataFrame) -> pd.DataFrame:
    return contrast_sets(lexicon, pairs)


def test_links_are_in_order_and_all_link(table: pd.DataFrame) -> None:
    assert tuple(table.columns) == LINK_COLUMNS
    assert table["spoken_estimate"].is_monotonic_decreasing
    assert set(table["allophone"]) == {"tap", "nasal tap"}
    assert table["coverage"].is_monotonic_increasing
    assert table["coverage"].between(0, 1).all()


def test_kahns_pair(table: pd.DataFrame) -> None:
    # Kahn 1976, from memory: the t of at all is tapped, that of a tall is not.
    found = set(zip(table["first"], table["second"], strict=True))
    assert ("at", "all") in found
    assert ("a", "tall") not in found


@pytest.mark.parametrize(
    "pair",
    # Common practice: what is said all the time in conversation.
    [
        "what i",
        "but i'm",
        "what i've",
        "isn't it",
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


def test_association_is_nltks(table: pd.DataFrame, pairs: pd.DataFrame) -> None:
    total = int(pairs["count"].sum())
    counted = table.dropna(subset="count")
    for row in counted.iloc[:: len(counted) // 20].itertuples():
        margins = (
            int(pairs.loc[pairs["first"] == row.first, "count"].sum()),
            int(pairs.loc[pairs["second"] == row.second, "count"].sum()),
        )
        expected = BigramAssocMeasures.pmi(int(row.count), margins, total)
        assert row.pmi == pytest.approx(expected, abs=0.006)


def test_the_child_process_says_the_same() -> None:
    counts, total = [(8, 16, 16), (5, 9, 40)], 1000
    with Beside() as beside:
        assert beside.associations(counts, total) == associations(counts, total)


def test_link_filters(lexicon: Lexicon, pairs: pd.DataFrame) -> None:
    found = links(lexicon, pairs, LinkFilter(first="get", limit=5))
    assert set(found["first"]) == {"get"}
    assert len(found) == 5
    easy = links(lexicon, pairs, LinkFilter(levels="A1-A2"))
    assert set(easy["level"]) == {"A1", "A2"}
    assert set(links(lexicon, pairs, LinkFilter(phrase_type="Verb + particle"))["phrase_type"]) == {
        "verb + particle"
    }
    with pytest.raises(OptionError, match="1 or more"):
        LinkFilter(limit=0)
    with pytest.raises(OptionError, match="phrase type"):
        LinkFilter(phrase_type="rhyme")


def test_a_struck_out_word_is_in_no_link(lexicon: Lexicon, pairs: pd.DataFrame) -> None:
    found = links(lexicon.without(["Get"]), pairs)
    assert not {"get", "getting", "got"} & {*found["first"], *found["second"]}
    assert not any(" get " in f" {line.lower()} " for line in found["example"])


@pytest.mark.parametrize("case", cases("homophones"), ids=lambda case: case["t"])
def test_the_published_homophones(case: dict[str, str], sets: pd.DataFrame) -> None:
    # Wikipedia, "Intervocalic alveolar flapping", an older snapshot.
    found = sets[sets["kind"] == "homophones"]
    assert (case["t"], case["d"]) in set(zip(found["first"], found["second"], strict=True))


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


def test_contrasts_are_ranked_by_the_rarer_member(sets: pd.DataFrame, lexicon: Lexicon) -> None:
    for kind, rows in sets.groupby("kind"):
        assert rows["rarer"].is_monotonic_increasing, kind
        assert (rows["rarer"] == rows[["first_rank", "second_rank"]].max(axis=1)).all()
    assert set(sets["kind"]) == {kind.kind for kind in lexicon.sound.contrasts}


def test_unknown_contrast(lexicon: Lexicon, pairs: pd.DataFrame) -> None:
    with pytest.raises(OptionError, match="teen-ty"):
        contrast_sets(lexicon, pairs, ["rhymes"])
