"""Lines to say aloud that practise a list: as few as hold all its words, each whole and fit to be said as it stands.

They come from the lines written for this program, or from texts of yours; tagged, with the reasons for the choice and their
file and line. Words that no line holds are named.

example: lexiconforge practice --words tap.csv --limit 40 --level B1 --out lines.csv
"""

from __future__ import annotations

import argparse
from pathlib import Path

from lexiconforge.cli import NotFoundError, UsageError, common

SHOWN = ("place", "marked", "new", "fitness", "reasons", "file", "file_line")
SPOKEN = ("dialogue", "speaker", "marked", "new", "file", "file_line")


def add_arguments(parser: argparse.ArgumentParser) -> None:
    add = parser.add_argument
    add(
        "--words",
        metavar="FILE",
        help="a list, links or lessons of this program, or any file with a word or pair a line",
    )
    add("--links", metavar="FILE", help="the same")
    add(
        "--texts",
        nargs="+",
        default=[],
        metavar="PATH",
        help="files, folders or patterns (default: the program's own lines)",
    )
    add("--dialogues", action="store_true", help="whole dialogues of two to six lines")
    common.add_lines(parser)
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
    from lexiconforge.teaching.practising import PracticeOptions, choose_lines
    from lexiconforge.teaching.targets import read_targets

    if bool(options.words) == bool(options.links):
        raise UsageError("give --words FILE or --links FILE, one of them")
    if options.dialogues and options.texts:
        raise UsageError("--dialogues are the program's own and yours (--lines), not of --texts")
    common.check_out(options, options.words, options.links, options.lines, *_texts(options))
    targets = read_targets(Path(options.words or options.links))
    chosen = PracticeOptions(
        words=options.longest,
        syllables=options.syllables,
        level=options.level,
        max_rank=options.max_rank,
        style=options.style,
        column=options.column,
        dialogues=options.dialogues,
        lines=common.own_lines(options),
    )
    made = choose_lines(common.load(options), targets[: options.limit], options.texts, chosen)
    if not len(made.lines):
        common.progress("")
    else:
        common.deliver(made.lines, options, SPOKEN if options.dialogues else SHOWN)
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
