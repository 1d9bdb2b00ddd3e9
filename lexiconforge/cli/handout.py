"""Pages to print from a list: its words, a sorting exercise with its key, linking phrases, a dictation.

The list is one of words, of links, or a lesson of a plan. The choice of words is drawn by --seed, which is printed on
every page: the same number gives the same pages again. The result is one HTML file for any browser to print.

example: lexiconforge handout tap.csv --paper letter --seed 7 --out monday.html
"""

from __future__ import annotations

import argparse
from pathlib import Path

from lexiconforge.cli import UsageError, common


def add_arguments(parser: argparse.ArgumentParser) -> None:
    add = parser.add_argument
    add("list", metavar="LIST.csv", help="a list that build, words, links or plan wrote")
    add(
        "--out",
        default="handout.html",
        metavar="FILE.html",
        help="where to write (default: handout.html)",
    )
    add("--paper", default="a4", metavar="NAME", help="a4 or letter (default: a4)")
    add(
        "--seed", type=common.whole_number, default=1, metavar="N", help="number of the set (default: 1)"
    )
    add("--title", default="", metavar="TEXT", help="what stands over the words")
    add(
        "--parts",
        type=common.names,
        default=None,
        metavar="PARTS",
        help="only these, with commas between: words, sorting, linking, dictation",
    )
    add(
        "--words",
        type=common.whole_number,
        default=42,
        metavar="N",
        help="most words of the list (default: 42)",
    )
    add("--without-ipa", action="store_true", help="leave the IPA to the teacher's pages")
    common.add_lexicon(parser)


def run(options: argparse.Namespace) -> int:
    from lexiconforge.export.folder import write_whole
    from lexiconforge.export.page import handout_text
    from lexiconforge.export.texts import read_rows
    from lexiconforge.sources import SOURCES
    from lexiconforge.sources.word_pairs import load_word_pairs
    from lexiconforge.teaching.handouts import PARTS, HandoutOptions, handout

    out = Path(options.out)
    if out.suffix.lower() not in (".html", ".htm"):
        raise UsageError(f"--out {out}: the name must end in .html")
    common.check_place(out, *common.inputs(options, options.list))
    chosen = HandoutOptions(
        title=options.title,
        paper=options.paper.lower(),
        seed=options.seed,
        parts=PARTS if options.parts is None else options.parts,
        words=options.words,
        ipa=not options.without_ipa,
    )
    rows = read_rows(Path(options.list))
    sheet = handout(common.load(options), load_word_pairs(), rows, chosen)
    common.progress("")
    write_whole({out: handout_text(sheet, SOURCES).encode()})
    common.notify(f"set {chosen.seed} in {out}; open it in a browser and print")
    return 0
