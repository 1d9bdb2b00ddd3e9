"""Lemmas: the lookup table that ``spacy-lookups-data`` ships (from WordNet's exceptions and rules)."""

from __future__ import annotations

import gzip
import json

from lexiconforge.sources import locate


def load_lemmas() -> dict[str, str]:
    """Lemma by inflected form, lower case; a word that is its own lemma is left out.

    >>> lemmas = load_lemmas()
    >>> lemmas["waited"], "waiter" in lemmas
    ('wait', False)
    """
    path = locate(
        "spacy_lookups_data", "data", "en_lemma_lookup.json.gz", distribution="spacy-lookups-data"
    )
    with gzip.open(path, "rt", encoding="utf-8") as table:
        lemmas: dict[str, str] = json.load(table)
    return lemmas


def load_index() -> dict[str, frozenset[str]]:
    """All base forms by part of speech (``noun``, ``verb``, ``adj``, ``adv``), from the same package's index of lemmas."""
    path = locate(
        "spacy_lookups_data", "data", "en_lemma_index.json.gz", distribution="spacy-lookups-data"
    )
    with gzip.open(path, "rt", encoding="utf-8") as table:
        return {part: frozenset(words) for part, words in json.load(table).items()}


def load_verbs() -> frozenset[str]:
    """All verbs in their base form.

    >>> "wait" in load_verbs(), "quart" in load_verbs()
    (True, False)
    """
    return load_index()["verb"]
