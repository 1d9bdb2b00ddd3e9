"""Write every table and list into a folder.

words.csv, the graded lists under lists/, left_out.csv, t_tokens.csv, links.csv, the rule tables under sounds/, and
with them manifest.json and SOURCES.md. Files appear whole or not at all.

example: lexiconforge build --out output --size 500
"""

from __future__ import annotations

import argparse
import itertools
import json
from pathlib import Path

from lexiconforge.cli import UsageError, common


def add_arguments(parser: argparse.ArgumentParser) -> None:
    parser.add_argument(
        "--out", default="output", metavar="FOLDER", help="where to write (default: output)"
    )
    parser.add_argument(
        "--size",
        type=common.whole_number,
        default=500,
        metavar="N",
        help="most rows of a graded list (default: 500)",
    )
    parser.add_argument(
        "--all-forms", action="store_true", help="list every member of a word family, not the best one"
    )
    parser.add_argument(
        "--xlsx", action="store_true", help="also lists.xlsx, a workbook with a sheet a list"
    )
    parser.add_argument(
        "--html",
        action="store_true",
        help="also words.html, a page to choose, keep, print and sort words, with links and lines",
    )
    common.add_bom(parser)
    common.add_layout(parser)
    common.add_json(parser)
    parser.add_argument(
        "--counts", metavar="FILE.parquet", help="grade and link by counts of your own texts (see: mine)"
    )
    parser.add_argument(
        "--blend", action="store_true", help="with --counts: blend them with the shipped ones"
    )
    parser.add_argument(
        "--force",
        action="store_true",
        help="replace a build of another sound, and files that no build wrote",
    )
    common.add_include(parser)
    common.add_lexicon(parser)


def run(options: argparse.Namespace) -> int:
    from lexiconforge.building import BuildOptions, build
    from lexiconforge.export.folder import check_build_folder

    folder = Path(options.out)
    check_build_folder(folder)
    if options.blend and not options.counts:
        raise UsageError("--blend goes with --counts")
    chosen = BuildOptions(
        size=options.size,
        all_forms=options.all_forms,
        include=options.include,
        counts=Path(options.counts) if options.counts else None,
        blend=options.blend,
        xlsx=options.xlsx,
        html=options.html,
        bom=options.bom,
        separator=options.separator,
        decimal=options.decimal,
        force=options.force,
        **common.supplements(options),
    )
    lexicon = common.load_plain(options)
    common.progress("")
    # Besides the lists: the sources, three tables, links, page and workbook, and the last step.
    steps = len(lexicon.sound.lists) + 5 + options.html + options.xlsx
    done = itertools.count()
    with common.bar("build", "table") as advance:
        made = build(folder, chosen, lexicon, progress=lambda name: advance(next(done), steps))
    if options.json:
        print(json.dumps({"folder": str(folder), "rows": made.rows, "left_out": made.left_out}))
        return 0
    print(f"in {folder}:")
    for name, count in made.rows.items():
        print(f"  {name:<42} {count:7,}  {made.titles[name]}")
    counts = ", ".join(f"{name} {count}" for name, count in made.left_out.items())
    print(f"left out, by reason: {counts or 'nothing'}")
    if options.xlsx:
        print("lists.xlsx: a sheet a list, columns and sources explained on the first")
    print("the rules behind the columns rule and source: sounds/")
    print("who made the data, on what terms: SOURCES.md; for programs: manifest.json")
    return 0
