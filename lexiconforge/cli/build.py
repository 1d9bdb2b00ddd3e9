"""Write every table and list into a folder.

t_tokens.csv, words.csv, the graded lists under lists/, links.csv, left_out.csv, and with them
manifest.json and SOURCES.md. Files appear whole or not at all.

example: lexiconforge build --out output --size 500
"""

from __future__ import annotations

import argparse
import sys
from pathlib import Path

from lexiconforge.cli import common


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
    common.add_include(parser)


def run(options: argparse.Namespace) -> int:
    from lexiconforge.building import BuildOptions, build_tables, write_build
    from lexiconforge.export.folder import WriteError

    chosen = BuildOptions(size=options.size, all_forms=options.all_forms, include=options.include)
    folder = Path(options.out)
    if folder.exists() and not folder.is_dir():
        raise WriteError(f"{folder} is a file, not a folder; choose another place with --out")
    watched = sys.stderr.isatty()

    def step(name: str) -> None:
        if watched:
            print(f"\r\x1b[K{name}", end="", file=sys.stderr, flush=True)

    built = build_tables(chosen, step=step)
    step("")
    write_build(built, chosen, folder)
    tokens, words = built.tables["t_tokens.csv"], built.tables["words.csv"]
    print(f"wrote {folder}:")
    print(f"  t_tokens.csv  {len(tokens):6,}  every t of every pronunciation")
    print(f"  words.csv     {len(words):6,}  words with a t and a frequency")
    for name, table in built.tables.items():
        if name.startswith("lists/"):
            print(f"  {name}  {len(table):,}")
    print(f"  links.csv     {len(built.tables['links.csv']):6,}  word pairs that link")
    counts = ", ".join(f"{name} {count}" for name, count in built.left_out.items())
    print(f"left out of the lists, named in left_out.csv: {counts or 'nothing'}")
    print("who made the data, on what terms: SOURCES.md and manifest.json")
    return 0
