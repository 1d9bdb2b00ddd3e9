"""A sequence of lessons, one environment each, easier and commoner words first.

Every lesson has new words, a few earlier ones for review, exceptions, and links and contrasts that use its
words. With --out, one CSV of all lessons and one a lesson; without, the new words on the screen.

example: lexiconforge plan --lessons 8 --words 12 --level A1-B1 --out lessons
"""

from __future__ import annotations

import argparse
from pathlib import Path

from lexiconforge.cli import common

SHOWN = ("lesson", "environment", "role", "item", "marked", "ipa", "level", "note")


def add_arguments(parser: argparse.ArgumentParser) -> None:
    add = parser.add_argument
    add("--lessons", type=common.whole_number, default=8, metavar="N", help="how many (default: 8)")
    add(
        "--words", type=common.whole_number, default=12, metavar="N", help="new words each (default: 12)"
    )
    add(
        "--order",
        type=common.names,
        default=None,
        metavar="ENVIRONMENTS",
        help="environments in turn, with commas between (between-vowels,after-r,…)",
    )
    add("--level", type=common.level_range, metavar="A1-B1", help="CEFR level or range of all words")
    add(
        "--review",
        type=common.whole_number,
        default=3,
        metavar="N",
        help="earlier words in each (default: 3)",
    )
    common.add_include(parser)
    add("--out", metavar="FOLDER", help="where to write plan.csv and lesson-01.csv and so on")


def run(options: argparse.Namespace) -> int:
    from lexiconforge.export.folder import delivery
    from lexiconforge.export.tables import csv_text
    from lexiconforge.lexicon import load_lexicon
    from lexiconforge.planning import ORDER, PlanOptions, plan
    from lexiconforge.sources.word_pairs import load_word_pairs

    chosen = PlanOptions(
        lessons=options.lessons,
        words=options.words,
        order=options.order if options.order is not None else ORDER,
        levels=options.level,
        review=options.review,
        include=options.include,
    )
    table = plan(load_lexicon(), load_word_pairs(), chosen)
    if options.out is None:
        common.deliver(table, None, SHOWN)
        return 0
    folder = Path(options.out)
    with delivery(folder) as scratch:
        (scratch / "plan.csv").write_text(csv_text(table), encoding="utf-8", newline="")
        for number, lesson in table.groupby("lesson"):
            name = f"lesson-{number:02}.csv"
            (scratch / name).write_text(csv_text(lesson), encoding="utf-8", newline="")
    common.say(f"{chosen.lessons} lessons in {folder}: plan.csv and a file for each")
    return 0
