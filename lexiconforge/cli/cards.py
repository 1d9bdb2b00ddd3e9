"""Cards for a flash-card program: front, back, IPA and an example, one card a line, with tabs between.

The list is one of words, links or contrasts, a lesson of a plan, or plain text with a word or pair a line. The front is what
is to be said, the back the same with the sound marked and named.

example: lexiconforge cards unit/lesson-01.csv --out deck.tsv
"""

from __future__ import annotations

import argparse
from pathlib import Path

from lexiconforge.cli import UsageError, common


def add_arguments(parser: argparse.ArgumentParser) -> None:
    add = parser.add_argument
    add("list", metavar="LIST", help="a list or lesson of this program, or a word or pair a line")
    add("--out", metavar="FILE.tsv", help="where to write (default: the screen)")
    add("--header", action="store_true", help="begin with a line that names the columns")
    add("--limit", type=common.whole_number, metavar="N", help="at most this many cards")
    common.add_lexicon(parser)


def run(options: argparse.Namespace) -> int:
    import sys

    from lexiconforge.export.decks import deck_text
    from lexiconforge.export.folder import write_whole
    from lexiconforge.export.texts import read_rows
    from lexiconforge.teaching.cards import cards_of_rows, cards_of_targets
    from lexiconforge.teaching.targets import read_targets

    path = Path(options.list)
    if options.out is not None:
        if Path(options.out).suffix.lower() not in (".tsv", ".txt"):
            raise UsageError(f"--out {options.out}: the name must end in .tsv or .txt")
        common.check_place(options.out, *common.inputs(options, options.list))
    rows = read_rows(path) if path.suffix.lower() in (".csv", ".tsv") else []
    unknown: list[str] = []
    if rows and len(rows[0]) > 1:
        table = cards_of_rows(common.load(options), rows, limit=options.limit)
    else:
        targets = read_targets(path)
        table, unknown = cards_of_targets(common.load(options), targets, limit=options.limit)
    common.progress("")
    text = deck_text(table, header=options.header)
    if options.out is None:
        sys.stdout.write(text)
    else:
        write_whole({Path(options.out): text.encode()})
        common.notify(f"{len(table)} cards in {options.out}")
    if unknown:
        common.notify(f"no card, as not in the dictionary or without the sound: {', '.join(unknown)}")
    return 0
