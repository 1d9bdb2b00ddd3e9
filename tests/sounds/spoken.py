"""What several tests of sounds need: the occurrences of a sound in a word or in a few words said in one breath."""

from __future__ import annotations

from functools import cache

from lexiconforge.lexicon import Lexicon
from lexiconforge.lexicon.records import SoundToken
from lexiconforge.text.tagger import Tagger


@cache
def tagger(lexicon: Lexicon) -> Tagger:
    return Tagger(lexicon)


def tokens_in(lexicon: Lexicon, text: str) -> list[SoundToken]:
    """Every occurrence, in order."""
    said = tagger(lexicon).tag_text(text).said
    return [token for word in said if word.tagged for token in word.tagged.tokens]
