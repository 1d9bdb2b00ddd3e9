"""Lemmas: the lookup table that ``spacy-lookups-data`` ships (from WordNet's exceptions and rules)."""

from __future__ import annotations

import gzip
import json
from functools import cache

from lexiconforge.sources.lookups import INDEX, LEMMAS, lookup


def load_lemmas() -> dict[str, str]:
    """Lemma by inflected form, lower case; a word that is its own lemma is left out.

    >>> lemmas = load_lemmas()
    >>> lemmas["waited"], "waiter" in lemmas
    ('wait', False)
    """
    with gzip.open(lookup(LEMMAS), "rt", encoding="utf-8") as table:
        lemmas: dict[str, str] = json.load(table)
    return lemmas


@cache
def load_index() -> dict[str, frozenset[str]]:
    """All base forms by part of speech (``noun``, ``verb``, ``adj``, ``adv``), from the same package's index of lemmas."""
    with gzip.open(lookup(INDEX), "rt", encoding="utf-8") as table:
        return {part: frozenset(words) for part, words in json.load(table).items()}


def load_verbs() -> frozenset[str]:
    """All verbs in their base form.

    >>> "wait" in load_verbs(), "quart" in load_verbs()
    (True, False)
    """
    return load_index()["verb"]
