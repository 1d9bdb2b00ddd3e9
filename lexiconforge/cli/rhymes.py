"""Sets of words that rhyme, for drills: better, letter, sweater. Words with a tap come first in each.

Which words: filters as in words, or a list of yours. Rhymes are perfect; --near adds those whose consonants differ only in
voice, or one nasal from another. --stress takes digits as words does, and * and ? for any.

example: lexiconforge rhymes --allophone tap --level A1-B1 --limit 10
"""

from __future__ import annotations

import argparse
from pathlib import Path

from lexiconforge.cli import NotFoundError, common

SHOWN = ("set", "marked", "ipa", "rhyme", "kind", "rank", "level", "allophone")


def add_arguments(parser: argparse.ArgumentParser) -> None:
    add = parser.add_argument
    add("words", nargs="*", metavar="WORD", help="only sets that rhyme with one of these words")
    add("--near", action="store_true", help="near rhymes too: letter and header")
    add("--same-stress", action="store_true", help="words of one stress pattern in a set")
    add("--stress", default="", metavar="PATTERN", help="stress of the vowels: 10 as in water, *10, ?1?")
    add(
        "--least",
        type=common.whole_number,
        default=2,
        metavar="N",
        help="fewest words of a set (default: 2)",
    )
    add(
        "--most",
        type=common.whole_number,
        default=8,
        metavar="N",
        help="most words of a set (default: 8)",
    )
    add("--limit", type=common.whole_number, default=20, metavar="N", help="most sets (default: 20)")
    add("--from", dest="list", metavar="FILE.csv", help="the words of a list that this program wrote")
    add("--allophone", default="", help="what the t is: tap, glottal-stop, aspirated-stop …")
    add("--environment", default="", help="where it stands: between-vowels, after-r …")
    add("--syllables", type=common.number_range, metavar="N or N-M", help="number of syllables")
    add("--max-rank", type=common.whole_number, metavar="N", help="at most this rare")
    add("--level", metavar="A1-B1", help="CEFR level or range of levels")
    add("--one-per-family", action="store_true", help="only the commonest member of a word family")
    common.add_include(parser)
    common.add_out(parser)
    common.add_lexicon(parser)


def run(options: argparse.Namespace) -> int:
    from lexiconforge.export.texts import read_columns
    from lexiconforge.lists.rhyming import RhymeFilter, rhyme_table
    from lexiconforge.lists.wordlists import WordFilter

    common.check_out(options)
    wanted = RhymeFilter(
        words=options.words,
        near=options.near,
        same_stress=options.same_stress,
        stress=options.stress,
        least=options.least,
        most=options.most,
        limit=options.limit,
    )
    of: WordFilter | list[str] = WordFilter(
        allophone=options.allophone,
        environment=options.environment,
        syllables=options.syllables,
        max_rank=options.max_rank,
        levels=options.level,
        include=options.include,
        one_per_family=options.one_per_family,
    )
    if options.list:
        of = [word for (word,) in read_columns(Path(options.list), ("word",))]
    lexicon = common.load(options)
    common.require_words(lexicon, tuple(wanted.words))
    table = rhyme_table(lexicon, wanted, of)
    common.progress("")
    if not len(table):
        raise NotFoundError("no words of these rhyme; take a filter away, or add --near")
    common.deliver(table, options, SHOWN)
    return 0
