"""One list of words, commonest first, on the screen or in a file.

Filters combine. Names, abbreviations, British spellings, sensitive and unknown words and possessives are
left out unless --include lets them in.

example: lexiconforge words --allophone tap --syllables 2 --level A1-A2 --limit 20
"""

from __future__ import annotations

import argparse
from pathlib import Path

from lexiconforge.cli import NotFoundError, common

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
    common.add_out(parser)
    common.add_lexicon(parser)


def run(options: argparse.Namespace) -> int:
    from lexiconforge.lists.wordlists import WordFilter, select

    common.check_out(options, options.starting_after, options.lines)

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

    made = select(common.load(options), wanted)
    if not len(made.rows):
        common.progress("")
        common.note_left_out(len(made.left_out), options.include)
        raise NotFoundError("no word fits all of these filters; take one away")
    common.deliver(made.rows, options, SHOWN if options.examples is None else (*SHOWN, "example"))
    common.note_left_out(len(made.left_out), options.include)
    return 0


def _taught(path: str | None) -> list[str]:
    return [word for word in common.words_of(Path(path)) if " " not in word] if path else []
