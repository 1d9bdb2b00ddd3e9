"""Word pairs in which the end of one and the start of the next make a tap, commonest in talk first.

Contractions and weak forms are among them; each pair has a line to say.

example: lexiconforge links --first get --limit 20
"""

from __future__ import annotations

import argparse

from lexiconforge.cli import NotFoundError, common

SHOWN = ("first", "second", "ipa", "spoken_estimate", "phrase_type", "level", "allophone", "example")


def add_arguments(parser: argparse.ArgumentParser) -> None:
    add = parser.add_argument
    add("--first", default="", metavar="WORD", help="only pairs that begin with this word")
    add("--second", default="", metavar="WORD", help="only pairs that end with this word")
    add("--level", metavar="A1-B1", help="CEFR level or range of the harder of the two words")
    add("--type", default="", metavar="NAME", help="phrase type: verb + particle, clause start …")
    common.add_lines(parser)
    add("--limit", type=common.whole_number, metavar="N", help="at most this many rows")
    common.add_include(parser)
    common.add_out(parser)
    common.add_lexicon(parser)


def run(options: argparse.Namespace) -> int:
    from lexiconforge.lists.examples import Examples
    from lexiconforge.lists.linking import LinkFilter, link_table

    common.check_out(options, options.lines)

    wanted = LinkFilter(
        first=options.first,
        second=options.second,
        levels=options.level,
        phrase_type=options.type,
        include=options.include,
        limit=options.limit,
    )
    from lexiconforge.sources.word_pairs import load_word_pairs

    lexicon = common.load(options)
    for word in filter(None, (wanted.first, wanted.second)):
        common.require_words(lexicon, [word])
    lines = Examples(lexicon, common.own_lines(options))
    table = link_table(lexicon, load_word_pairs(), wanted, examples=lines)
    if not len(table):
        common.progress("")
        raise NotFoundError("no pair of these words links with a tap")
    common.deliver(table, options, SHOWN)
    return 0
