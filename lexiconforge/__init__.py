"""Graded word lists for teaching what happens to the letter t, and to d, in General American English.

Everything public is here by name and loaded when first used, so that importing the package is cheap:

>>> import lexiconforge
>>> lexicon = lexiconforge.load_lexicon()
>>> wanted = lexiconforge.WordFilter(allophone="tap", syllables=2, limit=50)
>>> lexiconforge.word_list(lexicon, wanted).rows["syllables"].unique().tolist()
[2]
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from lexiconforge.version import __version__ as __version__

if TYPE_CHECKING:
    from lexiconforge.building import BuildOptions, BuildResult, build
    from lexiconforge.errors import (
        LexiconForgeError,
        MiningError,
        OptionError,
        PlotError,
        ReadError,
        SoundError,
        SourceError,
        TableError,
        WriteError,
    )
    from lexiconforge.export.builds import changes
    from lexiconforge.export.handout_page import handout_text
    from lexiconforge.export.plots import (
        coverage_figure,
        environments_figure,
        heard_figure,
        text_figure,
    )
    from lexiconforge.export.texts import csv_text, read_rows
    from lexiconforge.lexicon import Lexicon, load_lexicon, supplemented
    from lexiconforge.lexicon.catalog import rule_table, rules, sound_tokens, words
    from lexiconforge.lexicon.records import Entry, Reading, SoundToken
    from lexiconforge.lists.contrasts import contrast_sets
    from lexiconforge.lists.linking import LinkFilter, links
    from lexiconforge.lists.rhyming import RhymeFilter, rhymes
    from lexiconforge.lists.wordlists import WordFilter, WordList, word_cards, word_list
    from lexiconforge.mining.counting import mine
    from lexiconforge.mining.memory import count_sentences, count_texts
    from lexiconforge.sounds import Sound, load_sound
    from lexiconforge.sources import SOURCES
    from lexiconforge.sources.own_counts import OwnCounts, load_own_counts
    from lexiconforge.sources.word_pairs import load_word_pairs
    from lexiconforge.teaching.handouts import Handout, HandoutOptions, handout
    from lexiconforge.teaching.planning import PlanOptions, plan
    from lexiconforge.teaching.practising import PracticeLines, PracticeOptions, practice_lines
    from lexiconforge.text.tagger import Passage, Summary, Tagger, summarise

_ROOMS = {
    "building": ("BuildOptions", "BuildResult", "build"),
    "errors": (
        *("LexiconForgeError", "MiningError", "OptionError", "PlotError", "ReadError", "SoundError"),
        *("SourceError", "TableError", "WriteError"),
    ),
    "export.builds": ("changes",),
    "export.texts": ("csv_text", "read_rows"),
    "export.handout_page": ("handout_text",),
    "export.plots": ("coverage_figure", "environments_figure", "heard_figure", "text_figure"),
    "lexicon": ("Lexicon", "load_lexicon", "supplemented"),
    "lexicon.catalog": ("rule_table", "rules", "sound_tokens", "words"),
    "lexicon.records": ("Entry", "Reading", "SoundToken"),
    "lists.contrasts": ("contrast_sets",),
    "lists.linking": ("LinkFilter", "links"),
    "lists.rhyming": ("RhymeFilter", "rhymes"),
    "lists.wordlists": ("WordFilter", "WordList", "word_cards", "word_list"),
    "mining.counting": ("mine",),
    "mining.memory": ("count_sentences", "count_texts"),
    "sounds": ("Sound", "load_sound"),
    "sources": ("SOURCES",),
    "sources.own_counts": ("OwnCounts", "load_own_counts"),
    "sources.word_pairs": ("load_word_pairs",),
    "teaching.handouts": ("Handout", "HandoutOptions", "handout"),
    "teaching.planning": ("PlanOptions", "plan"),
    "teaching.practising": ("PracticeLines", "PracticeOptions", "practice_lines"),
    "text.tagger": ("Passage", "Summary", "Tagger", "summarise"),
}
_HOMES = {name: room for room, names in _ROOMS.items() for name in names}

__all__ = [
    "SOURCES",
    "BuildOptions",
    "BuildResult",
    "Entry",
    "Handout",
    "HandoutOptions",
    "Lexicon",
    "LexiconForgeError",
    "LinkFilter",
    "MiningError",
    "OptionError",
    "OwnCounts",
    "Passage",
    "PlanOptions",
    "PlotError",
    "PracticeLines",
    "PracticeOptions",
    "ReadError",
    "Reading",
    "RhymeFilter",
    "Sound",
    "SoundError",
    "SoundToken",
    "SourceError",
    "Summary",
    "TableError",
    "Tagger",
    "WordFilter",
    "WordList",
    "WriteError",
    "build",
    "changes",
    "contrast_sets",
    "count_sentences",
    "count_texts",
    "coverage_figure",
    "csv_text",
    "environments_figure",
    "handout",
    "handout_text",
    "heard_figure",
    "links",
    "load_lexicon",
    "load_own_counts",
    "load_sound",
    "load_word_pairs",
    "mine",
    "plan",
    "practice_lines",
    "read_rows",
    "rhymes",
    "rule_table",
    "rules",
    "sound_tokens",
    "summarise",
    "supplemented",
    "text_figure",
    "word_cards",
    "word_list",
    "words",
]

if not TYPE_CHECKING:

    def __getattr__(name: str) -> object:
        from importlib import import_module

        if name not in _HOMES:
            raise AttributeError(f"module 'lexiconforge' has no attribute {name!r}")
        found = getattr(import_module(f"lexiconforge.{_HOMES[name]}"), name)
        globals()[name] = found
        return found


def __dir__() -> list[str]:
    return [*globals(), *_HOMES]
