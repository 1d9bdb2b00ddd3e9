"""One list of words, commonest first, on the screen or in a file.

Filters combine. Names, abbreviations, British spellings, sensitive and unknown words and possessives are
left out unless --include lets them in.

example: lexiconforge words --allophone tap --syllables 2 --level A1-A2 --limit 20
"""

from __future__ import annotations

import argparse
from pathlib import Path
from typing import TYPE_CHECKING

from lexiconforge.cli import NotFoundError, common

if TYPE_CHECKING:
    from lexiconforge.lexicon import Lexicon
    from lexiconforge.lists.wordlists import WordFilter

SHOWN = (
    "place",
    "marked",
    "ipa",
    "rank",
    "level",
    "environment",
    "allophone",
    "also_heard",
    "family_members",
)


def add_arguments(parser: argparse.ArgumentParser) -> None:
    add = parser.add_argument
    add("--allophone", default="", help="what the t is: tap, glottal-stop, aspirated-stop …")
    add("--environment", default="", help="where it stands: between-vowels, after-r …")
    add("--syllables", type=common.number_range, metavar="N or N-M", help="number of syllables")
    add("--stress", default="", metavar="DIGITS", help="stress of the vowels in order: 10 as in water")
    add("--max-rank", type=common.whole_number, metavar="N", help="at most this rare")
    add("--level", metavar="A1-B1", help="CEFR level or range of levels")
    add("--pos", default="", metavar="NAME", help="part of speech: noun, verb, adjective …")
    add("--one-per-family", action="store_true", help="only the commonest member of a word family")
    add(
        "--starting-after",
        metavar="FILE.csv",
        help="leave out the families of the words in an earlier list or lesson",
    )
    add("--limit", type=common.whole_number, metavar="N", help="at most this many rows")
    add(
        "--examples",
        type=common.whole_number,
        metavar="N",
        help="lines to say for each word (default: 1)",
    )
    common.add_lines(parser)
    common.add_include(parser)
    common.add_out(parser, page=True)
    common.add_lexicon(parser)


def run(options: argparse.Namespace) -> int:
    from lexiconforge.lists.wordlists import WordFilter, select

    as_page = common.wants_page(options)
    common.check_out(options, options.starting_after, options.lines, page=True)

    wanted = WordFilter(
        allophone=options.allophone,
        environment=options.environment,
        syllables=options.syllables,
        stress=options.stress,
        max_rank=options.max_rank,
        levels=options.level,
        part_of_speech=options.pos,
        include=options.include,
        one_per_family=options.one_per_family,
        without=_taught(options.starting_after),
        limit=options.limit,
        examples=1 if options.examples is None else options.examples,
        lines=common.own_lines(options),
    )

    lexicon = common.load(options)
    made = select(lexicon, wanted)
    if not len(made.rows):
        common.progress("")
        common.note_left_out(len(made.left_out), options.include)
        raise NotFoundError("no word fits all of these filters; take one away")
    if as_page:
        _write_page(lexicon, wanted, options)
        common.note_left_out(len(made.left_out), options.include)
        return 0
    common.deliver(made.rows, options, SHOWN if options.examples is None else (*SHOWN, "example"))
    common.note_left_out(len(made.left_out), options.include)
    return 0


def _write_page(lexicon: Lexicon, wanted: WordFilter, options: argparse.Namespace) -> None:
    """The list as a page: it opens on every word of it, since these were asked for."""
    from lexiconforge.export.folder import write_whole
    from lexiconforge.export.page import page_text
    from lexiconforge.lists.wordlists import cards
    from lexiconforge.sources import SOURCES

    shown = cards(lexicon, wanted)
    text = page_text(
        shown,
        lexicon.sound,
        SOURCES,
        opening=wanted.allophone and lexicon.sound.allophone_id(wanted.allophone),
    )
    write_whole({Path(options.out): text.encode()})
    common.progress("")
    words = len(set(zip(shown["word"], shown["ipa"], strict=True)))
    common.notify(f"{words} words in {options.out}; it opens in any browser")


def _taught(path: str | None) -> list[str]:
    return [word for word in common.words_of(Path(path)) if " " not in word] if path else []
