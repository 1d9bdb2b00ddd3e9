"""What a teacher sees first: heads, homographs, names, what is also heard, and what is left out."""

from __future__ import annotations

import pytest

from lexiconforge.lexicon import Lexicon
from lexiconforge.lists.why import standings
from lexiconforge.lists.wordlists import RAREST, default_filter, select


def rows_of(lexicon: Lexicon, name: str) -> list[dict[str, object]]:
    target = next(target for target in lexicon.sound.lists if target.name == name)
    table = select(lexicon, default_filter(target)).rows
    return [dict(zip(table.columns, row, strict=True)) for row in table.rows()]


def test_the_base_stands_at_the_head(lexicon: Lexicon) -> None:
    by_head = {row["word"]: row for row in rows_of(lexicon, "tap")}
    for base, form in (("activity", "activities"), ("item", "items"), ("city", "cities")):
        assert form in str(by_head[base]["family_members"]).split(", ")
        assert form not in by_head
    for own in ("writer", "computer", "editor"):
        assert own in by_head


def test_homographs_are_two_rows(lexicon: Lexicon) -> None:
    # content, noun and adjective: Merriam-Webster, from memory.
    stressed = [r for r in rows_of(lexicon, "no-tap-stressed-vowel-after") if r["word"] == "content"]
    full = [r for r in rows_of(lexicon, "no-tap-full-vowel-after") if r["word"] == "content"]
    assert [r["ipa"] for r in stressed] == ["kənˈtʰɛnt̚"]
    assert [r["ipa"] for r in full] == ["ˈkɑnˌtʰɛnt̚"]
    assert full[0]["part_of_speech"] == "noun"


def test_days_and_nationalities_have_their_capital(lexicon: Lexicon) -> None:
    heads = {str(row["word"]) for row in rows_of(lexicon, "tap")}
    assert {"Saturday", "British", "Italy", "Scottish"} <= heads
    assert not {"saturday", "Clinton", "Twitter"} & heads


@pytest.mark.parametrize("name", ["nasal-tap", "no-tap-full-vowel-after"])
def test_no_oral_tap_after_n_from_a_variant(name: str, lexicon: Lexicon) -> None:
    rows = rows_of(lexicon, name)
    assert rows
    for row in rows:
        if str(row["environment"]).endswith("after n"):
            assert "tap (variant)" not in str(row["also_heard"]).replace("nasal tap (variant)", ""), row


def test_lists_end_where_learners_do(lexicon: Lexicon) -> None:
    for target in lexicon.sound.lists:
        for row in rows_of(lexicon, target.name):
            assert int(str(row["rank"])) <= RAREST


def test_possessives_are_no_news(lexicon: Lexicon) -> None:
    left_out = select(lexicon, default_filter(lexicon.sound.lists[0])).left_out
    assert "possessives" not in left_out.columns["reason"]


def test_why(lexicon: Lexicon) -> None:
    for word, place_known in (("cities", True), ("clinton", False)):
        entry = lexicon.entry(word)
        assert entry is not None
        first = standings(lexicon, entry, size=500)[0]
        assert bool(first.place) == place_known
        assert first.under == ("city" if word == "cities" else "")


@pytest.mark.parametrize(
    "word", ["mountain", "sentence", "consultant", "contact", "syntax", "valentine"]
)
def test_an_oral_tap_is_heard_neither_after_n_nor_after_a_stressed_l(
    word: str, lexicon: Lexicon
) -> None:
    # Common practice: what is heard after n is a nasal tap; "tap" alone is the oral one.
    main = lexicon.main(word)
    assert main is not None
    heard = {name for token in main.tokens for name in token.rule.also_heard}
    assert heard
    assert "tap" not in heard


@pytest.mark.parametrize("word", ["index", "conduct", "granddad"])
def test_no_tap_of_a_d_after_n(word: str, d_lexicon: Lexicon) -> None:
    main = d_lexicon.main(word)
    assert main is not None
    assert all("tap" not in token.rule.also_heard for token in main.tokens)


def test_forms_and_lines_of_a_homograph_stand_with_their_reading(lexicon: Lexicon) -> None:
    rows = [row for row in rows_of(lexicon, "nasal-tap") if row["word"] == "intimate"]
    adjective, verb = sorted(rows, key=lambda row: str(row["part_of_speech"]))
    assert "intimately" in str(adjective["family_members"])
    assert "intimated" in str(verb["family_members"])
    assert "intimated" not in str(adjective["family_members"])
    assert [row["example"] for row in rows].count("") >= 1


def test_a_name_at_the_head_of_a_family_has_its_capital(lexicon: Lexicon) -> None:
    rows = {str(row["word"]): row for row in rows_of(lexicon, "tap")}
    assert rows["British"]["family"] == "British"


@pytest.mark.parametrize("word", ["setup", "software", "outdoors", "countdown"])
def test_a_word_looks_alike_whichever_sound_is_looked_at(
    word: str, lexicon: Lexicon, d_lexicon: Lexicon
) -> None:
    first, second = lexicon.main(word), d_lexicon.main(word)
    assert first is not None
    assert second is not None
    assert first.ipa == second.ipa
