"""A sequence of lessons, from simple to combined, commoner and shorter words first.

Every lesson has its rule, new words, a few earlier ones for review, exceptions, links, contrasts and lines to say; links,
-teen and -ty, and words with two kinds of the sound have lessons of their own. There are as many as the words of the level
give. With --out, one CSV of all lessons and one a lesson, which handout, cards, practice and words --starting-after take.

example: lexiconforge plan --level A1-A2 --out unit
"""

from __future__ import annotations

import argparse
from itertools import groupby
from pathlib import Path

from lexiconforge.cli import UsageError, common

NO_FOLDERS = (".csv", ".tsv", ".xls", ".ods", ".txt", ".html", ".json")
SHOWN = ("lesson", "title", "role", "item", "ipa", "level", "note")


def add_arguments(parser: argparse.ArgumentParser) -> None:
    add = parser.add_argument
    add(
        "--lessons",
        type=common.whole_number,
        default=20,
        metavar="N",
        help="at most so many (default: 20)",
    )
    add(
        "--words",
        type=common.whole_number,
        default=12,
        metavar="N",
        help="most new words each (default: 12)",
    )
    add(
        "--order",
        type=common.names,
        default=None,
        metavar="ENVIRONMENTS",
        help="environments in turn, with commas between (between-vowels,after-r,…)",
    )
    add("--level", metavar="A1-B1", help="CEFR level or range of all words")
    add(
        "--review",
        type=common.whole_number,
        default=3,
        metavar="N",
        help="earlier words in each (default: 3)",
    )
    common.add_include(parser)
    add(
        "--out",
        metavar="FOLDER",
        help="where to write plan.csv and lesson-01.csv and so on; or FILE.xlsx, a sheet a lesson",
    )
    add("--force", action="store_true", help="replace a plan.csv that this program did not write")
    common.add_bom(parser)
    common.add_json(parser)
    common.add_lexicon(parser)


def run(options: argparse.Namespace) -> int:
    from lexiconforge.export.folder import delivery, write_file, write_whole
    from lexiconforge.export.schema import csv_files
    from lexiconforge.export.workbook import Sheet, workbook_bytes
    from lexiconforge.sources import SOURCES
    from lexiconforge.sources.word_pairs import load_word_pairs
    from lexiconforge.tables import TITLES, Table
    from lexiconforge.teaching.planning import PLAN_COLUMNS, PlanOptions, plan_table

    if Path(options.out or "").suffix.lower() in NO_FOLDERS:
        raise UsageError(f"--out {options.out}: a plan is a folder of files, or FILE.xlsx")
    place = Path(options.out or "")
    before = _check(options, place) if options.out is not None else []
    chosen = PlanOptions(
        lessons=options.lessons,
        words=options.words,
        order=options.order,
        levels=options.level,
        review=options.review,
        include=options.include,
    )
    table = plan_table(common.load(options), load_word_pairs(), chosen)
    common.progress("")
    if options.out is None or options.json:
        common.deliver(table, argparse.Namespace(out=None, json=options.json), SHOWN)
    if options.out is None:
        return 0
    lessons = {
        f"lesson-{number:02}": Table.of_rows("plan", PLAN_COLUMNS, list(rows))
        for number, rows in groupby(table.rows(), key=lambda row: row[0])
    }
    if place.suffix.lower() == ".xlsx":
        sheets = [
            Sheet("plan", TITLES["plan"], table),
            *(Sheet(name, name, rows) for name, rows in lessons.items()),
        ]
        write_whole({place: workbook_bytes(sheets, SOURCES)})
        counted = _counted(len(lessons), chosen.lessons)
        common.notify(f"{counted} in {place}: a sheet of all and one for each")
        return 0
    with delivery(place, replacing=before, reading=list(map(Path, common.inputs(options)))) as scratch:
        for name, rows in {"plan": table, **lessons}.items():
            for file, content in csv_files(f"{name}.csv", rows, bom=options.bom).items():
                write_file(scratch / file, content)
    common.notify(f"{_counted(len(lessons), chosen.lessons)} in {place}: plan.csv and a file for each")
    return 0


def _counted(count: int, most: int) -> str:
    """How many lessons there are, and which way leads to more."""
    plural = "s" if count > 1 else ""
    if count < most:
        return f"{count} lesson{plural}, as many as these words give,"
    return f"{count} lesson{plural} (--lessons for more)"


def _check(options: argparse.Namespace, place: Path) -> list[str]:
    """The files of an earlier plan in this folder, which a new one replaces. Raises WriteError for a place that cannot
    be written, and UsageError for one where a plan or lesson stands that is not ours, without ``--force``."""
    from lexiconforge.export.folder import check_build_folder
    from lexiconforge.export.schema import METADATA_SUFFIX, is_ours

    if place.suffix.lower() == ".xlsx":
        common.check_place(place, *common.inputs(options))
        return []
    check_build_folder(place)
    found = [path for path in (place / "plan.csv", *place.glob("lesson-*.csv")) if path.exists()]
    foreign = [path for path in found if not is_ours(path, "plan")]
    numbers = {f"lesson-{number:02}.csv" for number in range(1, options.lessons + 1)}
    in_the_way = [path for path in foreign if path.name == "plan.csv" or path.name in numbers]
    if in_the_way and not options.force:
        raise UsageError(
            f"{in_the_way[0]} is not a plan of this program; choose another place, or replace it with --force"
        )
    ours = [path.name for path in found if path not in foreign]
    return [name + ending for name in ours for ending in ("", METADATA_SUFFIX)]
