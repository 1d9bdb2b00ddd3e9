"""The rule table, in the order in which the rules are tried.

example: lexiconforge rules --out rules.csv
"""

from __future__ import annotations

import argparse

from lexiconforge.cli import common

SHOWN = ("rule", "before", "after", "allophone", "also_heard", "share", "source", "example")


def add_arguments(parser: argparse.ArgumentParser) -> None:
    common.add_out(parser)


def run(options: argparse.Namespace) -> int:
    from lexiconforge.lexicon import load_lexicon, rule_table

    common.deliver(rule_table(load_lexicon()), options.out, SHOWN)
    return 0
