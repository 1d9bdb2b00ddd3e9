"""The matcher: any symbols get a token, what is far away does not matter, and how far it looks follows from the table."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from lexiconforge.phonology.arpabet import CONSONANTS, INVENTORY
from lexiconforge.phonology.matcher import (
    CLITIC,
    COMPOUND_BOUNDARY,
    SIDES,
    SYMBOLS,
    WORD_BOUNDARY,
    Context,
    Matcher,
    Rule,
    fitting,
)
from lexiconforge.sounds import load_sound

MATCHERS = {name: load_sound(name).matcher for name in ("t", "d")}
names = st.sampled_from(sorted(MATCHERS))
symbols = st.lists(
    st.sampled_from(
        [*sorted(INVENTORY), *["T", "D"] * 2, WORD_BOUNDARY, CLITIC, COMPOUND_BOUNDARY],
    )
)


@given(names, symbols)
def test_any_symbols_get_exactly_one_token_for_each_occurrence(name: str, text: list[str]) -> None:
    matcher = MATCHERS[name]
    places = [token.at for token in matcher.tag(text)]
    assert places == [n for n, symbol in enumerate(text) if symbol == matcher.phone]


@given(names, symbols, st.sampled_from(sorted(CONSONANTS - {"T", "D"})))
def test_what_is_far_away_does_not_matter(name: str, text: list[str], consonant: str) -> None:
    matcher = MATCHERS[name]
    far = [consonant, "AH0"] * 3
    alone = [token.rule for token in matcher.tag(text)]
    assert [token.rule for token in matcher.tag([*far, "#", *text, "#", *far])] == alone


@given(names, symbols, st.data())
def test_the_first_rule_that_fits_decides(name: str, text: list[str], draw: st.DataObject) -> None:
    """The same answer as a plain reading of the tables, without the memory and without limits of reach."""
    sound = load_sound(name)
    text.insert(draw.draw(st.integers(0, len(text))), sound.phone)
    padded = ["#", *text, "#"]
    found = iter(sound.matcher.tag(text))
    for at, symbol in enumerate(padded):
        if symbol != sound.phone:
            continue
        around = {"before": padded[:at], "after": padded[at + 1 :]}
        named = {}
        for context in sound.contexts:
            size = len(context.pattern)
            near = around[context.side]
            near = near[-size:] if context.side == "before" else near[:size]
            fits = [one in fitting(wanted) for one, wanted in zip(near, context.pattern, strict=False)]
            if len(near) == size and all(fits):
                named.setdefault(context.side, context.name)
        first = next(
            number
            for number, rule in enumerate(sound.rules)
            if all(not getattr(rule, s) or named[s] in getattr(rule, s) for s in SIDES)
        )
        assert next(found) == (at - 1, first)


@pytest.mark.parametrize(
    ("wanted", "fits"),
    [
        # The notation of sounds/README.md.
        ("#", {"#"}),
        ("AH0", {"AH0"}),
        ("AH", {"AH0", "AH1", "AH2"}),
        ("IY02", {"IY0", "IY2"}),
        ("+/=/-", {"+", "=", "-"}),
        ("C", set(CONSONANTS)),
        ("V", set(INVENTORY - CONSONANTS)),
        ("V12", {phone for phone in INVENTORY if phone[-1] in "12"}),
        ("N/V0", {"N", *(phone for phone in INVENTORY if phone[-1] == "0")}),
    ],
)
def test_what_a_symbol_of_a_pattern_stands_for(wanted: str, fits: set[str]) -> None:
    assert fitting(wanted) == fits


@pytest.mark.parametrize("wanted", ["", "EN", "T1", "C1", "AH3", "V3", "a", "AH0 ", "N/", "++"])
def test_what_is_no_symbol_of_a_pattern(wanted: str) -> None:
    assert wanted not in SYMBOLS
    with pytest.raises(ValueError, match="no symbol of a pattern"):
        fitting(wanted)


@pytest.mark.parametrize("size", [1, 2, 3, 4, 5, 7])
def test_it_looks_as_far_as_the_longest_pattern(size: int) -> None:
    chain = ["AH0", "N"] * 4
    contexts = [
        Context("far", "before", tuple(chain[-size:]), ""),
        Context("far", "after", tuple(chain[:size]), ""),
        *(Context("other", side, ("C/V/#/+/=/-",), "") for side in SIDES),
    ]
    rules = [
        Rule("both", ("far",), ("far",), "tap", (), "far", "made up", ""),
        Rule("rest", (), (), "stop", (), "other", "made up", ""),
    ]
    matcher = Matcher("T", contexts, rules)
    assert (matcher.reach_before, matcher.reach_after) == (size, size)
    before, after = chain[-size:], chain[:size]
    decided = {
        text: [matcher.rules[rule].name for _, rule in matcher.tag([*left, "T", *right])]
        for text, left, right in (
            ("whole", before, after),
            ("longer", ["S", *before], [*after, "S"]),
            ("other first", ["S", *before[1:]], after),
            ("other last", before, [*after[:-1], "S"]),
        )
    }
    assert decided == {
        "whole": ["both"], "longer": ["both"], "other first": ["rest"], "other last": ["rest"],
    }  # fmt: skip
