"""Write every table and list into a folder.

t_tokens.csv, words.csv, the graded lists under lists/, links.csv, left_out.csv, and with them
manifest.json and SOURCES.md. Files appear whole or not at all.

example: lexiconforge build --out output --size 500
"""

from __future__ import annotations

import argparse
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
        "--html", action="store_true", help="also words.html, a page to choose, tick and print words"
    )
    common.add_bom(parser)
    common.add_json(parser)
    parser.add_argument(
        "--counts", metavar="FILE.parquet", help="grade and link by counts of your own texts (see: mine)"
    )
    parser.add_argument(
        "--blend", action="store_true", help="with --counts: blend them with the shipped ones"
    )
    common.add_include(parser)
    common.add_supplements(parser)


def run(options: argparse.Namespace) -> int:
    from lexiconforge.building import BuildOptions, build
    from lexiconforge.wordlists import LISTS

    folder = Path(options.out)
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
        **common.supplements(options),
    )
    account = build(folder, chosen, step=common.step)
    if options.json:
        print(json.dumps({"folder": str(folder), "rows": account.rows, "left_out": account.left_out}))
        return 0
    meant = {
        "t_tokens.csv": "every t of every pronunciation",
        "words.csv": "words with a t and a frequency",
        "links.csv": "word pairs that link with a tap",
        "left_out.csv": "words kept out of the lists, with the reason",
        "words.html": "the t's of the commonest words, to choose from",
    } | {f"lists/{target.name}.csv": target.title for target in LISTS}
    print(f"in {folder}:")
    for name, count in account.rows.items():
        print(f"  {name:<42} {count:7,}  {meant[name]}")
    counts = ", ".join(f"{name} {count}" for name, count in account.left_out.items())
    print(f"left out, by reason: {counts or 'nothing'}")
    if options.xlsx:
        print("lists.xlsx: a sheet a list, columns and sources explained on the first")
    print("who made the data, on what terms: SOURCES.md; for programs: manifest.json")
    return 0
