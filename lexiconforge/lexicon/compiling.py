"""Works out the records of many words at once, as columns: pronunciations with their tokens, and facts of words.

Room: the sources and the phonology meet here, and nowhere else; what comes out is read by
:class:`lexiconforge.lexicon.Lexicon`. The two halves need nothing of each other and are made side by side where the
system can.
"""

from __future__ import annotations

import re
from array import array
from collections.abc import Callable, Collection, Mapping, Sequence
from functools import partial
from itertools import accumulate, pairwise
from typing import TYPE_CHECKING, NamedTuple

from lexiconforge.beside import beside
from lexiconforge.lexicon.choosing import Chosen, Evidence, choose, in_one_system
from lexiconforge.lexicon.codes import (
    LEVEL_NAMES,
    NO_FREQUENCY,
    SENSITIVE,
    SPELLINGS,
)
from lexiconforge.lexicon.columns import Columns, Numbers
from lexiconforge.lexicon.families import Families, Kin
from lexiconforge.lexicon.records import is_spelling
from lexiconforge.phonology import ipa
from lexiconforge.phonology.arpabet import Phones
from lexiconforge.phonology.boundaries import BoundaryFinder, Symbols, parts_of_compounds, prefixes
from lexiconforge.phonology.spelling import LETTER_BASE, align_coded
from lexiconforge.sounds import Sound, load_sound

if TYPE_CHECKING:
    from lexiconforge.sources.american_words import AmericanWords
    from lexiconforge.sources.pronunciations import Pronunciations

Made = dict[str, list[str] | Numbers]
MANY = 10_000
"""Words from which on a second process is worth its start."""


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
    families = Families(chosen.pronunciations, american.in_lower_case, ranks)
    made = compile_families(words, families)
    with beside(partial(compile_facts, sound, words, chosen, families, ranks, american)) as facts:
        made |= compile_readings(sound, words, chosen, ranks, american)
        made |= facts()
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
    with beside(partial(in_one_system, words[half:], listed, evidence)) as later:
        made = in_one_system(words[:half], listed, evidence) + later()
    return choose(dict(zip(words, made, strict=True)), listed, evidence)


class _Listed(NamedTuple):
    """Every reading of some words, one behind the other, and where those of each word begin. ``with_sound`` and, without it,
    ``by_spelling``, where only the spelling can tell where a syllable or a part of a compound begins, are places among them,
    with the word; ``variants`` are readings without the sound of words that have it in another."""

    phones: list[str]
    firsts: Numbers
    with_sound: list[tuple[int, str, Phones]]
    by_spelling: list[tuple[int, str, Phones]]
    variants: list[tuple[int, str, Phones]]


class _Tagged(NamedTuple):
    """A reading as the rules of one sound see it: phone and rule of each token, None for plain phones."""

    tokens: list[tuple[int, int]]
    special: Symbols | None


class _Tagger:
    """Finds one sound in readings."""

    def __init__(
        self,
        sound: Sound,
        pronunciations: Pronunciations,
        parts: Collection[str],
        is_word: Callable[[str], bool],
    ) -> None:
        self.sound = sound
        self._finder = BoundaryFinder(
            sound.phone, sound.letters, sound.exceptions, pronunciations, parts, is_word
        )
        self.prefix_end = self._finder.prefix_end
        self._heard = [sound.allophones[rule.allophone].ipa for rule in sound.rules]

    def tag(self, word: str, phones: Phones) -> _Tagged:
        """Where the sound stands in a reading, and which rule decides it there."""
        special = self._finder.symbols(word, phones)
        tokens = self.sound.matcher.tag(special.symbols if special else phones)
        places = special.indexes if special else range(len(phones))
        return _Tagged([(places[token.at], token.rule) for token in tokens], special)

    def heard(self, tagged: _Tagged) -> dict[int, str]:
        """The symbol of each allophone by its phone."""
        return {at: self._heard[rule] for at, rule in tagged.tokens}


def compile_readings(
    sound: Sound,
    words: Sequence[str],
    chosen: Chosen,
    ranks: Mapping[str, int],
    american: AmericanWords,
) -> Made:
    """Pronunciations and tokens of these words. ``ranks`` are those of the language at large, of all words."""
    pronunciations = chosen.pronunciations
    listed = _listed(words, pronunciations.lines(), sound.phone, load_sound(sound.partner).phone)
    parts = parts_of_compounds(pronunciations.lines(), ranks.items())
    tagger, partner = (
        _Tagger(one, pronunciations, parts, american.in_lower_case)
        for one in (sound, load_sound(sound.partner))
    )
    text, numbers = _tagged(listed, tagger, partner)
    return {
        "word": list(words), "first_reading": listed.firsts, "phones": listed.phones,
        "main": _mains(words, listed, numbers, chosen.settled), **text, **numbers,
        "reading_note": [chosen.notes.get(word, "") for word in words],
        "reading_parts": ["; ".join(chosen.parts.get(word, ())) for word in words],
    }  # fmt: skip


_SYLLABIC_BEFORE_VOWEL = re.compile(rf"\b(?:{'|'.join(ipa.CARRY_SYLLABIC)}) [AI]H0 [LN] [A-Z]{{2}}0")
"""Where an ending may follow a syllabic consonant, which only the spelling of the word can tell."""


def _listed(words: Sequence[str], lines: Mapping[str, str], phone: str, partner: str) -> _Listed:
    wanted, inside, beginnings = f" {phone} ", f" {partner} ", tuple(prefixes())
    found = _Listed([], array("i", [0]), [], [], [])
    for word in words:
        readings = lines[word].split("\n")
        having = [wanted in f" {shown} " for shown in readings]
        for shown, has in zip(readings, having, strict=True):
            place = (len(found.phones), word, tuple(shown.split()))
            found.phones.append(shown)
            if has:
                found.with_sound.append(place)
                continue
            if inside in shown or word.startswith(beginnings) or _SYLLABIC_BEFORE_VOWEL.search(shown):
                found.by_spelling.append(place)
            if any(having):
                found.variants.append(place)
        found.firsts.append(len(found.phones))
    return found


def _tagged(
    listed: _Listed, tagger: _Tagger, partner: _Tagger
) -> tuple[dict[str, list[str]], dict[str, Numbers]]:
    """The columns of readings and tokens. The partner of the sound is written as it is heard too."""
    count = len(listed.phones)
    text = {
        name: [""] * count for name in ("ipa", "symbols", "indexes", "boundaries", "note", "letters")
    }
    token_counts = [0] * count
    numbers = {name: array("B") for name in ("phone_index", "rule", "start", "end", "spelled")}
    aligned = [*listed.with_sound, *listed.variants]
    letters = align_coded([word for _, word, _ in aligned], [phones for *_, phones in aligned])
    for (n, *_), coded in zip(aligned, letters, strict=True):
        text["letters"][n] = coded
    for n, word, phones in listed.with_sound:
        coded = text["letters"][n]
        tokens, special = tagged = tagger.tag(word, phones)
        if special is not None:
            text["symbols"][n] = " ".join(special.symbols)
            text["indexes"][n] = " ".join(map(str, special.indexes))
            text["boundaries"][n] = " ".join(map(str, special.boundaries))
            text["note"][n] = special.note
        heard = [(tagger, tagged)]
        if partner.sound.phone in phones:
            heard.append((partner, partner.tag(word, phones)))
        text["ipa"][n] = _written(word, phones, heard)
        token_counts[n] = len(tokens)
        for at, rule in tokens:
            start, end = (ord(code) - LETTER_BASE for code in coded[2 * at : 2 * at + 2])
            spelled = start == end or is_spelling(tagger.sound, word[start:end])
            for name, number in zip(numbers, (at, rule, start, end, spelled), strict=True):
                numbers[name].append(number)
    for n, word, phones in listed.by_spelling:
        text["ipa"][n] = _written(word, phones, [(partner, partner.tag(word, phones))])
    first_token = array("i", accumulate(token_counts, initial=0))
    return text, {"first_token": first_token, **numbers}


def _written(word: str, phones: Phones, heard: Sequence[tuple[_Tagger, _Tagged]]) -> str:
    """A reading in IPA, with these sounds as they are heard."""
    said: dict[int, str] = {}
    boundaries: set[int] = set()
    ending = None
    for tagger, tagged in heard:
        said |= tagger.heard(tagged)
        if tagged.special is not None:
            boundaries |= set(tagged.special.boundaries)
            ending = ending or tagged.special.ending
        prefix_end = tagger.prefix_end(word, phones)
        if prefix_end is not None:
            boundaries.add(prefix_end)
    return ipa.ipa(phones, said, sorted(boundaries), ending)


def _mains(
    words: Sequence[str], listed: _Listed, numbers: Mapping[str, Numbers], settled: Collection[str]
) -> Numbers:
    """The reading that stands for each word: the first with the sound in letters of its own, else the first with the sound,
    else the first."""
    starts, spelled = numbers["first_token"], numbers["spelled"].tobytes()
    mains = array("i")
    for word, (first, last) in zip(words, pairwise(listed.firsts), strict=True):
        best = first
        if last - first > 1 and word not in settled:
            best = max(
                range(first, last),
                key=lambda n: (1 in spelled[starts[n] : starts[n + 1]], starts[n] < starts[n + 1]),
            )
        mains.append(best)
    return mains


def compile_facts(
    sound: Sound,
    words: Sequence[str],
    chosen: Chosen,
    families: Families,
    ranks: Mapping[str, int],
    american: AmericanWords,
    own: Collection[str] = (),
) -> Made:
    """What these words are: screening, level and parts of speech. ``own`` words were added by the user, who knows
    them."""
    from lexiconforge.lexicon.grading import Grading
    from lexiconforge.lexicon.screening import Screen

    pronunciations = chosen.pronunciations
    grading = Grading(families, american, ranks)
    screen = Screen(words, families, american, ranks, lambda word: grading.levels.of(word).level, own)
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


def compile_families(words: Sequence[str], families: Families) -> Made:
    """Lemma, row of a list and family of these words; ``families`` keep what they were asked."""

    def asked(some: Sequence[str]) -> list[Kin]:
        return [families.kin(word) for word in some]

    half = len(words) // 2
    if len(words) < MANY:
        found = asked(words)
    else:
        with beside(partial(asked, words[half:])) as later:
            found = asked(words[:half]) + later()
    families.keep(words, found)
    return {
        "lemma": [kin.lemma for kin in found],
        "row": [kin.row for kin in found],
        "family": [kin.family for kin in found],
    }
