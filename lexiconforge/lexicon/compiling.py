"""Works out the records of many words at once, as columns: pronunciations with their tokens, and facts of words.

Room: the sources and the phonology meet here, and nowhere else; what comes out is read by
:class:`lexiconforge.lexicon.Lexicon`. The two halves need nothing of each other and are made side by side where the
system can.
"""

from __future__ import annotations

import multiprocessing
import threading
from array import array
from collections.abc import Collection, Mapping, Sequence
from concurrent.futures import ProcessPoolExecutor
from typing import TYPE_CHECKING

from lexiconforge.lexicon.columns import Columns, Numbers
from lexiconforge.phonology import ipa
from lexiconforge.phonology.arpabet import Phones
from lexiconforge.phonology.boundaries import BoundaryFinder, parts_of_compounds
from lexiconforge.phonology.matcher import COMPOUND_BOUNDARY
from lexiconforge.phonology.spelling import align_many

if TYPE_CHECKING:
    from lexiconforge.sounds import Sound
    from lexiconforge.sources.american_words import AmericanWords
    from lexiconforge.sources.pronunciations import Pronunciations

NO_FREQUENCY = 65_535
"""Stands for the centibels of a word that the frequencies do not have."""
SPELLINGS = ("both", "American", "British")
SENSITIVE = ("", "offensive", "sexual", "violent", "drugs")
LEVEL_NAMES = ("", "A1", "A2", "B1", "B2", "C1", "C2")
_LETTER_BASE = 48
"""Letter positions are stored as characters from this code on."""

Made = dict[str, list[str] | Numbers]


def compile_lexicon(sound: Sound) -> Columns:
    """The columns of the whole dictionary, as the sources ship it."""
    from lexiconforge.sources.american_words import load_american_words
    from lexiconforge.sources.frequencies import load_frequencies
    from lexiconforge.sources.pronunciations import load_pronunciations

    pronunciations = load_pronunciations()
    frequencies = load_frequencies()
    american = load_american_words()
    words = list(pronunciations.lines())
    ranks = {word: frequencies.rank[word] for word in words if word in frequencies.rank}
    half = (sound, words, pronunciations, ranks, american)
    if "fork" in multiprocessing.get_all_start_methods() and threading.active_count() == 1:
        context = multiprocessing.get_context("fork")
        with ProcessPoolExecutor(1, mp_context=context) as pool:
            beside = pool.submit(compile_facts, *half)
            made = compile_readings(*half)
            made |= beside.result()
    else:
        made = compile_readings(*half) | compile_facts(*half)
    made["rank"] = array("i", [ranks.get(word, 0) for word in words])
    centibels = (frequencies.centibels(word) for word in words)
    made["centibels"] = array("H", [NO_FREQUENCY if c is None else c for c in centibels])
    return Columns(made)


def compile_readings(
    sound: Sound,
    words: Sequence[str],
    pronunciations: Pronunciations,
    ranks: Mapping[str, int],
    american: AmericanWords,
) -> Made:
    """Pronunciations and tokens of these words. ``ranks`` are those of the language at large, of all words."""
    parts = parts_of_compounds(pronunciations.lines(), ranks.items())
    finder = BoundaryFinder(
        sound.phone, sound.letters, sound.exceptions, pronunciations, parts, american.in_lower_case
    )
    listed = pronunciations.lines()
    heard = [allophone.ipa for allophone in (sound.allophones[rule.allophone] for rule in sound.rules)]
    matcher, wanted = sound.matcher, f" {sound.phone} "
    all_phones: list[str] = []
    firsts, mains = array("i", [0]), array("i")
    with_sound: list[tuple[int, str, Phones]] = []
    for word in words:
        main = -1
        for shown in listed[word].split("\n"):
            if wanted in f" {shown} ":
                if main < 0:
                    main = len(all_phones)
                with_sound.append((len(all_phones), word, tuple(shown.split())))
            all_phones.append(shown)
        mains.append(firsts[-1] if main < 0 else main)
        firsts.append(len(all_phones))
    count = len(all_phones)
    text = {
        name: [""] * count for name in ("ipa", "symbols", "indexes", "boundaries", "note", "letters")
    }
    token_counts = [0] * count
    numbers = {name: array("B") for name in ("phone_index", "rule", "start", "end")}
    spans_of = align_many([word for _, word, _ in with_sound], [phones for *_, phones in with_sound])
    for (n, word, phones), spans in zip(with_sound, spans_of, strict=True):
        special = finder.symbols(word, phones)
        if special is None:
            tokens, boundaries = matcher.tag(phones), []
        else:
            symbols, indexes, note = special
            tokens = [token._replace(at=indexes[token.at]) for token in matcher.tag(symbols)]
            boundaries = [indexes[i + 1] for i, one in enumerate(symbols) if one == COMPOUND_BOUNDARY]
            text["symbols"][n] = " ".join(symbols)
            text["indexes"][n] = " ".join(map(str, indexes))
            text["boundaries"][n] = " ".join(map(str, boundaries))
            text["note"][n] = note
        text["ipa"][n] = ipa.ipa(phones, {token.at: heard[token.rule] for token in tokens}, boundaries)
        text["letters"][n] = "".join(chr(_LETTER_BASE + at) for span in spans for at in span)
        token_counts[n] = len(tokens)
        for token in tokens:
            start, end = spans[token.at]
            numbers["phone_index"].append(token.at)
            numbers["rule"].append(token.rule)
            numbers["start"].append(start)
            numbers["end"].append(end)
    first_token = array("i", [0])
    for number in token_counts:
        first_token.append(first_token[-1] + number)
    return {
        "word": list(words), "first_reading": firsts, "main": mains, "phones": all_phones,
        "first_token": first_token, **text, **numbers,
    }  # fmt: skip


def letter_spans(stored: str) -> list[tuple[int, int]]:
    """The span of every phone, from the text that the column ``letters`` holds."""
    places = [ord(letter) - _LETTER_BASE for letter in stored]
    return list(zip(places[::2], places[1::2], strict=True))


def compile_facts(
    sound: Sound,
    words: Sequence[str],
    pronunciations: Pronunciations,
    ranks: Mapping[str, int],
    american: AmericanWords,
    own: Collection[str] = (),
) -> Made:
    """What these words are: screening, level and parts of speech, lemma and family. ``own`` words were added by
    the user, who knows them."""
    from lexiconforge.lexicon.families import Families
    from lexiconforge.lexicon.screening import EXCLUSIONS, Screen
    from lexiconforge.sources.levels import Levels

    families = Families(pronunciations, american.in_lower_case)
    levels = Levels()
    screen = Screen(words, families, american, ranks, lambda word: levels.of(word).level, own)
    level_of = [levels.of(word) for word in words]
    listed, wanted = pronunciations.lines(), f" {sound.phone} "
    main = []
    for word in words:
        readings = listed[word].split("\n")
        main.append(next((r for r in readings if wanted in f" {r} "), readings[0]).split())
    verdicts = screen.verdicts(words, main)
    bits = {name: 1 << n for n, name in enumerate(EXCLUSIONS)}
    parts: dict[str, int] = {}
    return {
        "reasons": array("B", [sum(bits[reason] for reason in v.reasons) for v in verdicts]),
        "spelling": array("B", [SPELLINGS.index(v.spelling) for v in verdicts]),
        "sensitive": array("B", [SENSITIVE.index(v.sensitive) for v in verdicts]),
        "level": array("B", [LEVEL_NAMES.index(level.level) for level in level_of]),
        "parts": array(
            "H", [parts.setdefault("; ".join(level.parts_of_speech), len(parts)) for level in level_of]
        ),
        "part_names": list(parts),
        "lemma": [families.lemma(word) for word in words],
        "family": [families.family(word) for word in words],
    }
