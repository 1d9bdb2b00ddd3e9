"""The rule table, in the order in which the rules are tried.

share is that of all t's of the dictionary which a rule decides; misaki and espeak_ng are the shares at which two
references that do not know these rules agree with it.

example: lexiconforge rules --out rules.csv
"""

from __future__ import annotations

import argparse

from lexiconforge.cli import common

SHOWN = (
    "rule", "before", "after", "allophone", "also_heard", "share", "misaki", "espeak_ng", "source",
    "example",
)  # fmt: skip


def add_arguments(parser: argparse.ArgumentParser) -> None:
    common.add_out(parser)
    common.add_supplements(parser)


def run(options: argparse.Namespace) -> int:
    from lexiconforge.export.manifest import references
    from lexiconforge.lexicon import rule_table

    common.check_out(options)

    table = rule_table(common.load(options))
    common.deliver(table, options, SHOWN, "rules")
    if options.out is None and not options.json:
        for key, citation in references().items():
            common.say(f"{key}: {citation}")
    return 0
