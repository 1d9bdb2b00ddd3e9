"""Word pairs in which the end of one and the start of the next make a tap, commonest first.

example: lexiconforge links --first get --limit 20
"""

from __future__ import annotations

import argparse

from lexiconforge.cli import NotFoundError, common

SHOWN = ("first", "second", "ipa", "per_million", "pmi", "log_likelihood", "allophone", "also_heard")


def add_arguments(parser: argparse.ArgumentParser) -> None:
    add = parser.add_argument
    add("--first", default="", metavar="WORD", help="only pairs that begin with this word")
    add("--second", default="", metavar="WORD", help="only pairs that end with this word")
    add("--limit", type=common.whole_number, metavar="N", help="at most this many rows")
    common.add_include(parser)
    common.add_out(parser)
    common.add_lexicon(parser)


def run(options: argparse.Namespace) -> int:
    from lexiconforge.lists.linking import LinkFilter, link_table

    common.check_out(options)

    wanted = LinkFilter(
        first=options.first,
        second=options.second,
        include=options.include,
        limit=options.limit,
    )
    from lexiconforge.sources.word_pairs import load_word_pairs

    lexicon = common.load(options)
    for word in filter(None, (wanted.first, wanted.second)):
        common.require_words(lexicon, [word])
    table = link_table(lexicon, load_word_pairs(), wanted)
    if not len(table):
        common.progress("")
        raise NotFoundError("no pair of these words links with a tap")
    common.deliver(table, options, SHOWN)
    return 0
