"""The rule table, in the order in which the rules are tried.

heard is how often each variant is heard in the example in conversation, by whose count, in percent;
share is that of all such sounds of the dictionary which a rule decides; misaki and espeak_ng are the shares at which two
references that do not know these rules agree with it.

With --check, tables that you have written or changed are checked instead; the program's folder sounds/ says what they are.

example: lexiconforge rules --out rules.csv
"""

from __future__ import annotations

import argparse
from pathlib import Path

from lexiconforge.cli import common

SHOWN = (
    "rule", "before", "after", "allophone", "also_heard", "heard", "heard_source", "share", "misaki", "espeak_ng", "source",
    "example",
)  # fmt: skip


def add_arguments(parser: argparse.ArgumentParser) -> None:
    parser.add_argument(
        "--check", metavar="FOLDER", help="check tables of sounds of your own: one line for each problem"
    )
    common.add_out(parser)
    common.add_lexicon(parser)


def run(options: argparse.Namespace) -> int:
    from lexiconforge.export.manifest import references
    from lexiconforge.lexicon.catalog import rules_as_table

    if options.check is not None:
        return _check(options.check)
    common.check_out(options)
    table = rules_as_table(common.load(options))
    common.deliver(table, options, SHOWN)
    if options.out is None and not options.json:
        for key, citation in references().items():
            common.notify(f"{key}: {citation}")
    return 0


def _check(folder: str) -> int:
    from lexiconforge.sounds.check import check_folder

    problems = check_folder(Path(folder))
    for problem in problems:
        print(problem)
    common.notify(f"{len(problems)} problems" if problems else "no problem found")
    return 2 if problems else 0
