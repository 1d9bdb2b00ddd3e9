"""Works out the records of many words at once, as columns: pronunciations with their tokens, and facts of words.

Room: the sources and the phonology meet here, and nowhere else; what comes out is read by
:class:`lexiconforge.lexicon.Lexicon`. The two halves need nothing of each other and are made side by side where the
system can.
"""

from __future__ import annotations

import re
from array import array
from collections.abc import Collection, Iterator, Mapping, Sequence
from contextlib import contextmanager
from typing import TYPE_CHECKING

from lexiconforge.lexicon.choosing import Chosen, Evidence, choose, in_one_system
from lexiconforge.lexicon.codes import (
    LEVEL_NAMES,
    NO_FREQUENCY,
    SENSITIVE,
    SPELLINGS,
)
from lexiconforge.lexicon.columns import Columns, Numbers
from lexiconforge.phonology import ipa
from lexiconforge.phonology.arpabet import Phones
from lexiconforge.phonology.boundaries import BoundaryFinder, parts_of_compounds
from lexiconforge.phonology.spelling import LETTER_BASE, align_coded
from lexiconforge.sounds import Sound, load_sound

if TYPE_CHECKING:
    from concurrent.futures import ProcessPoolExecutor

    from lexiconforge.sources.american_words import AmericanWords
    from lexiconforge.sources.pronunciations import Pronunciations

Made = dict[str, list[str] | Numbers]


def compile_lexicon(sound: Sound) -> Columns:
    """The columns of the whole dictionary, as the sources ship it."""
    from lexiconforge.sources.american_words import load_american_words
    from lexiconforge.sources.frequencies import load_frequencies
    from lexiconforge.sources.pronunciations import load_pronunciations

    shipped = load_pronunciations()
    frequencies = load_frequencies()
    american = load_american_words()
    words = list(shipped.lines())
    ranks = {word: frequencies.rank[word] for word in words if word in frequencies.rank}
    chosen = chosen_readings(words, shipped, ranks, american)
    half = (sound, words, chosen, ranks, american)
    with _beside() as pool:
        if pool is None:
            made = compile_readings(*half) | compile_families(
                words, chosen.pronunciations, american, ranks
            )
            made |= compile_facts(*half)
        else:
            beside = pool.submit(compile_facts, *half)
            made = compile_readings(*half) | compile_families(
                words, chosen.pronunciations, american, ranks
            )
            made |= beside.result()
    made["rank"] = array("i", [ranks.get(word, 0) for word in words])
    centibels = (frequencies.centibels(word) for word in words)
    made["centibels"] = array("H", [NO_FREQUENCY if c is None else c for c in centibels])
    return Columns(made)


def chosen_readings(
    words: Sequence[str],
    shipped: Pronunciations,
    ranks: Mapping[str, int],
    american: AmericanWords,
) -> Chosen:
    """The dictionary in one system of stress and vowels, the reading that stands for each word first."""
    listed = shipped.lines()
    parts = parts_of_compounds(listed, ranks.items())
    evidence = Evidence(listed, parts, american.in_lower_case)
    half = len(words) // 2
    with _beside() as pool:
        if pool is None:
            made = in_one_system(words, listed, evidence)
        else:
            later = pool.submit(in_one_system, words[half:], listed, evidence)
            made = in_one_system(words[:half], listed, evidence) + later.result()
    return choose(dict(zip(words, made, strict=True)), listed, evidence)


@contextmanager
def _beside() -> Iterator[ProcessPoolExecutor | None]:
    """A second process that shares what is loaded, None where the system has none such."""
    import multiprocessing
    import threading
    from concurrent.futures import ProcessPoolExecutor

    if "fork" in multiprocessing.get_all_start_methods() and threading.active_count() == 1:
        with ProcessPoolExecutor(1, mp_context=multiprocessing.get_context("fork")) as pool:
            yield pool
    else:
        yield None


def compile_readings(
    sound: Sound,
    words: Sequence[str],
    chosen: Chosen,
    ranks: Mapping[str, int],
    american: AmericanWords,
) -> Made:
    """Pronunciations and tokens of these words. ``ranks`` are those of the language at large, of all words."""
    pronunciations = chosen.pronunciations
    parts = parts_of_compounds(pronunciations.lines(), ranks.items())
    finder, beside = (
        BoundaryFinder(
            one.phone, one.letters, one.exceptions, pronunciations, parts, american.in_lower_case
        )
        for one in (sound, load_sound(sound.partner))
    )
    listed = pronunciations.lines()
    heard = [allophone.ipa for allophone in (sound.allophones[rule.allophone] for rule in sound.rules)]
    partner = load_sound(sound.partner)
    matcher, wanted = sound.matcher, f" {sound.phone} "
    all_phones: list[str] = []
    firsts, mains = array("i", [0]), array("i")
    with_sound: list[tuple[int, str, Phones]] = []
    before_endings: list[tuple[int, str, Phones]] = []
    for word in words:
        main = -1
        for shown in listed[word].split("\n"):
            if wanted in f" {shown} ":
                if main < 0:
                    main = len(all_phones)
                with_sound.append((len(all_phones), word, tuple(shown.split())))
            elif _SYLLABIC_BEFORE_VOWEL.search(shown):
                before_endings.append((len(all_phones), word, tuple(shown.split())))
            all_phones.append(shown)
        mains.append(firsts[-1] if main < 0 or word in chosen.settled else main)
        firsts.append(len(all_phones))
    count = len(all_phones)
    text = {
        name: [""] * count for name in ("ipa", "symbols", "indexes", "boundaries", "note", "letters")
    }
    token_counts = [0] * count
    numbers = {name: array("B") for name in ("phone_index", "rule", "start", "end")}
    letters = align_coded([word for _, word, _ in with_sound], [phones for *_, phones in with_sound])
    for (n, word, phones), coded in zip(with_sound, letters, strict=True):
        special = finder.symbols(word, phones)
        ending = None
        if special is None:
            tokens, boundaries = matcher.tag(phones), []
        else:
            symbols, indexes, note = special
            tokens = [token._replace(at=indexes[token.at]) for token in matcher.tag(symbols)]
            boundaries = special.boundaries
            ending = special.ending
            text["symbols"][n] = " ".join(symbols)
            text["indexes"][n] = " ".join(map(str, indexes))
            text["boundaries"][n] = " ".join(map(str, boundaries))
            text["note"][n] = note
        said = {token.at: heard[token.rule] for token in tokens}
        if partner.phone in phones:
            also, more, other_ending = _said(partner, beside, word, phones)
            said |= also
            boundaries, ending = sorted({*boundaries, *more}), ending or other_ending
        text["ipa"][n] = ipa.ipa(phones, said, boundaries, ending)
        text["letters"][n] = coded
        token_counts[n] = len(tokens)
        for token in tokens:
            numbers["phone_index"].append(token.at)
            numbers["rule"].append(token.rule)
            numbers["start"].append(ord(coded[2 * token.at]) - LETTER_BASE)
            numbers["end"].append(ord(coded[2 * token.at + 1]) - LETTER_BASE)
    for n, word, phones in before_endings:
        text["ipa"][n] = ipa.ipa(phones, *_said(partner, beside, word, phones))
    first_token = array("i", [0])
    for number in token_counts:
        first_token.append(first_token[-1] + number)
    return {
        "word": list(words), "first_reading": firsts, "main": mains, "phones": all_phones,
        "first_token": first_token, **text, **numbers,
        "reading_note": [chosen.notes.get(word, "") for word in words],
        "reading_parts": ["; ".join(chosen.parts.get(word, ())) for word in words],
    }  # fmt: skip


_SYLLABIC_BEFORE_VOWEL = re.compile(rf"\b(?:{'|'.join(ipa.CARRY_SYLLABIC)}) [AI]H0 [LN] [A-Z]{{2}}0")
"""Where an ending may follow a syllabic consonant, which only the spelling of the word can tell."""


def _said(
    sound: Sound, finder: BoundaryFinder, word: str, phones: Phones
) -> tuple[dict[int, str], list[int], int | None]:
    """The symbol of each allophone of a sound by its phone, boundaries, and where an ending begins."""
    special = finder.symbols(word, phones)
    tokens = sound.matcher.tag(special.symbols if special else phones)
    places = special.indexes if special else range(len(phones))
    heard = {
        places[token.at]: sound.allophones[sound.rules[token.rule].allophone].ipa for token in tokens
    }
    return heard, special.boundaries if special else [], special.ending if special else None


def compile_facts(
    sound: Sound,
    words: Sequence[str],
    chosen: Chosen,
    ranks: Mapping[str, int],
    american: AmericanWords,
    own: Collection[str] = (),
) -> Made:
    """What these words are: screening, level and parts of speech. ``own`` words were added by the user, who knows
    them."""
    from lexiconforge.lexicon.families import Families
    from lexiconforge.lexicon.grading import Grading
    from lexiconforge.lexicon.screening import Screen
    from lexiconforge.sources.levels import Levels

    pronunciations = chosen.pronunciations
    families = Families(pronunciations, american.in_lower_case, ranks)
    grading = Grading(families, american, ranks)
    listed_level = Levels()
    screen = Screen(words, families, american, ranks, lambda word: listed_level.of(word).level, own)
    level_of = [grading.of(word) for word in words]
    listed, wanted = pronunciations.lines(), f" {sound.phone} "
    main = []
    for word in words:
        readings = listed[word].split("\n")
        first = readings[0]
        if word not in chosen.settled:
            first = next((r for r in readings if wanted in f" {r} "), first)
        main.append(first.split())
    verdicts = screen.verdicts(words, main)
    parts: dict[str, int] = {}
    return {
        "reasons": array("B", [v.bits for v in verdicts]),
        "spelling": array("B", [SPELLINGS.index(v.spelling) for v in verdicts]),
        "sensitive": array("B", [SENSITIVE.index(v.sensitive) for v in verdicts]),
        "level": array("B", [LEVEL_NAMES.index(level.level) for level in level_of]),
        "parts": array(
            "H", [parts.setdefault("; ".join(level.parts_of_speech), len(parts)) for level in level_of]
        ),
        "part_names": list(parts),
    }


def compile_families(
    words: Sequence[str],
    pronunciations: Pronunciations,
    american: AmericanWords,
    ranks: Mapping[str, int],
) -> Made:
    """Lemma, row of a list and family of these words."""
    from lexiconforge.lexicon.families import Families

    families = Families(pronunciations, american.in_lower_case, ranks)
    return {
        "lemma": [families.lemma(word) for word in words],
        "row": [families.row(word) for word in words],
        "family": [families.family(word) for word in words],
    }
