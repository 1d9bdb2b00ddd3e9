"""Graded word lists for teaching what happens to the letter t in General American English.

Everything public is here by name and loaded when first used, so that importing the package is cheap:

>>> import lexiconforge
>>> lexicon = lexiconforge.load_lexicon()
>>> choice = lexiconforge.Choice(allophone="tap", syllables=(2, 2), limit=50)
>>> lexiconforge.word_list(lexicon, choice).rows["syllables"].unique().tolist()
[2]
"""

from __future__ import annotations

from importlib import import_module
from typing import Any

__version__ = "0.1.0"

_HOMES = {
    "Account": "building",
    "BuildOptions": "building",
    "Choice": "wordlists",
    "ChoiceError": "wordlists",
    "LISTS": "wordlists",
    "Lexicon": "lexicon",
    "LinkChoice": "linking",
    "SourceError": "sources",
    "WordList": "wordlists",
    "WriteError": "export.folder",
    "Handout": "handouts",
    "HandoutOptions": "handouts",
    "PlanOptions": "planning",
    "PlotError": "plots",
    "PracticeOptions": "practice",
    "SOURCES": "sources",
    "TableError": "export.tables",
    "contrasts": "contrasts",
    "handout_text": "export.page",
    "plan": "planning",
    "practice": "practice",
    "supplemented": "lexicon",
    "build": "building",
    "coverage_figure": "plots",
    "environments_figure": "plots",
    "handout": "handouts",
    "csv_text": "export.tables",
    "links": "linking",
    "load_lexicon": "lexicon",
    "Passage": "passages",
    "Summary": "passages",
    "Tagger": "passages",
    "load_own_counts": "sources.own_counts",
    "load_word_pairs": "sources.word_pairs",
    "read_rows": "export.tables",
    "rules": "allophones",
    "t_tokens": "lexicon",
    "tag": "allophones",
    "text_figure": "plots",
    "word_cards": "wordlists",
    "word_list": "wordlists",
    "words": "lexicon",
}

__all__ = sorted(_HOMES)


def __getattr__(name: str) -> Any:
    if name not in _HOMES:
        raise AttributeError(f"module 'lexiconforge' has no attribute {name!r}")
    return getattr(import_module(f"lexiconforge.{_HOMES[name]}"), name)


def __dir__() -> list[str]:
    return [*globals(), *_HOMES]
