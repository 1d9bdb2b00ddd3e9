"""Why a word is where it is: its lists and places, or what keeps it out; how it is read, and why so.

Room: asks the lexicon and the word lists as a build makes them; writes nothing.
"""

from __future__ import annotations

from dataclasses import replace
from typing import NamedTuple

from lexiconforge.lexicon import Lexicon
from lexiconforge.lexicon.codes import reasons
from lexiconforge.lexicon.records import Entry, bracketed, is_spelling
from lexiconforge.lists.wordlists import RAREST, default_filter, select
from lexiconforge.sounds import Target

NO_SUCH = "has no such sound"


class Standing(NamedTuple):
    """One list of a build and how the word stands to it: ``place`` in the whole list (0 if it is not in it), ``under``
    which head, and in plain words ``why``."""

    name: str
    place: int
    under: str
    why: str


def standings(lexicon: Lexicon, entry: Entry, *, size: int) -> list[Standing]:
    """How a word stands to each list of a build of this ``size``: place, head, or what keeps it out.

    >>> from lexiconforge.lexicon import load_lexicon
    >>> lexicon = load_lexicon()
    >>> name, place, head, *_ = standings(lexicon, lexicon.entry("cities"), size=500)[0]
    >>> name, head
    ('tap', 'city')
    """
    return [_standing(lexicon, entry, target, size) for target in lexicon.sound.lists]


def _standing(lexicon: Lexicon, entry: Entry, target: Target, size: int) -> Standing:
    meant = [
        token
        for reading in [entry.main, *entry.readings[1 : len(entry.homograph)]]
        for token in reading.tokens
        if target.allophone in ("", token.rule.allophone)
        and target.environment in ("", token.rule.environment)
        and (
            token.span[0] == token.span[1] or is_spelling(lexicon.sound, entry.word[slice(*token.span)])
        )
    ]
    if not meant:
        return Standing(target.name, 0, "", NO_SUCH)
    kept_out = reasons(lexicon.reasons_at(entry.row))
    if kept_out:
        return Standing(target.name, 0, "", f"left out: {', '.join(kept_out)}")
    if entry.rank is None:
        return Standing(target.name, 0, "", "the frequencies do not have it")
    if entry.rank > RAREST:
        return Standing(target.name, 0, "", f"rarer than rank {RAREST:,}, where lists end")
    rows = select(lexicon, replace(default_filter(target), examples=0)).rows
    for place, head, members in zip(
        *(rows.columns[name] for name in ("place", "word", "family_members")), strict=True
    ):
        if entry.written == head or entry.written in str(members).split(", "):
            under = "" if entry.written == head else str(head)
            beyond = f"beyond the {size} rows of a build" if int(str(place)) > size else ""
            return Standing(target.name, int(str(place)), under, beyond)
    return Standing(target.name, 0, "", "is in no row")


def readings_shown(lexicon: Lexicon, entry: Entry) -> list[str]:
    """The readings of a word in lines for the eye: IPA, what the sound is in it, and for which part of speech."""
    lines = []
    ordered = [entry.main, *(reading for reading in entry.readings if reading is not entry.main)]
    for reading in ordered:
        place = entry.readings.index(reading)
        part = f" ({entry.homograph[place]})" if place < len(entry.homograph) else ""
        sounds = "; ".join(
            f"{bracketed(entry.written, [(token.span, lexicon.sound.symbol(token.rule.allophone))])} "
            f"{token.rule.allophone}, "
            f"{lexicon.sound.environments[token.rule.environment]}"
            for token in reading.tokens
        )
        lines.append(f"{reading.ipa}{part}  {sounds or f'no {lexicon.sound.letters} is heard'}")
    return lines
