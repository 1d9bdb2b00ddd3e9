"""Lines to say aloud that practise a list, picked from texts of yours: as few as hold all its words.

Each line is a whole sentence, short enough, within the class's vocabulary, and comes tagged, with its file and line.
Words that no line holds are named.

example: lexiconforge practice --words tap.csv --texts course/ --level B1 --out lines.csv
"""

from __future__ import annotations

import argparse
from pathlib import Path

from lexiconforge.cli import NotFoundError, UsageError, common

SHOWN = ("place", "marked", "new", "file", "file_line")


def add_arguments(parser: argparse.ArgumentParser) -> None:
    add = parser.add_argument
    add("--words", metavar="LIST.csv", help="a list that build or words wrote")
    add("--links", metavar="LINKS.csv", help="a list of word pairs that build or links wrote")
    add("--texts", nargs="+", required=True, metavar="PATH", help="files, folders or patterns")
    add("--limit", type=common.whole_number, metavar="N", help="only the first N of the list")
    add(
        "--longest",
        type=common.whole_number,
        default=14,
        metavar="N",
        help="most words of a line (default: 14)",
    )
    add(
        "--syllables",
        type=common.whole_number,
        default=22,
        metavar="N",
        help="most syllables (default: 22)",
    )
    add(
        "--level", type=str.upper, default="", metavar="B1", help="highest CEFR level of the other words"
    )
    add("--max-rank", type=common.whole_number, metavar="N", help="rarest of the other words")
    add("--style", default="casual", help="casual or careful speech (default: casual)")
    add(
        "--column",
        default="text",
        metavar="NAME",
        help="column of CSV, field of JSON Lines (default: text)",
    )
    common.add_out(parser)
    common.add_lexicon(parser)


def run(options: argparse.Namespace) -> int:
    from lexiconforge.export.texts import read_columns
    from lexiconforge.teaching.practising import PracticeOptions, choose_lines

    if bool(options.words) == bool(options.links):
        raise UsageError("give --words LIST.csv or --links LINKS.csv, one of them")
    common.check_out(options, options.words, options.links, *_texts(options))
    columns = ("first", "second") if options.links else ("word",)
    targets = read_columns(Path(options.links or options.words), columns)
    chosen = PracticeOptions(
        words=options.longest,
        syllables=options.syllables,
        level=options.level,
        max_rank=options.max_rank,
        style=options.style,
        column=options.column,
    )
    made = choose_lines(common.load(options), targets[: options.limit], options.texts, chosen)
    if not len(made.lines):
        common.progress("")
    else:
        common.deliver(made.lines, options, SHOWN)
    for path, what in made.skipped.items():
        common.notify(f"skipped {path}: {what}")
    if made.uncovered:
        common.notify(f"in no line ({len(made.uncovered)}): {', '.join(made.uncovered)}")
    if not len(made.lines):
        raise NotFoundError(
            "no line of these texts fits; allow longer lines, or other words with --level"
        )
    return 0


def _texts(options: argparse.Namespace) -> list[Path]:
    """The files that are read for lines, if any are written over by ``--out``."""
    from lexiconforge.text.readers import find_files

    return find_files(options.texts) if options.out not in (None, "-") else []
