"""Sets that teach by difference: pairs that the tap makes alike, and pairs that the t tells apart.

homophones: metal, medal. stress-shift: atom, atomic. teen-ty: thirteen, thirty. tap-or-glottal: batter, batten.
across-words: at all, a tall. Each is ranked by the frequency of its rarer member.

example: lexiconforge contrasts --kind homophones --limit 20
"""

from __future__ import annotations

import argparse

from lexiconforge.cli import common

SHOWN = ("kind", "place", "first", "second", "first_ipa", "second_ipa", "rarer", "note")


def add_arguments(parser: argparse.ArgumentParser) -> None:
    add = parser.add_argument
    add("--kind", type=common.names, default=(), metavar="KINDS", help="only these, with commas between")
    add(
        "--all-forms", action="store_true", help="every pair of two word families, not the commonest one"
    )
    add("--limit", type=common.whole_number, metavar="N", help="at most this many rows of a kind")
    common.add_include(parser)
    common.add_out(parser)
    common.add_supplements(parser)


def run(options: argparse.Namespace) -> int:
    from lexiconforge.contrasts import contrasts
    from lexiconforge.sources.word_pairs import load_word_pairs

    common.check_out(options)

    table = contrasts(
        common.load(options),
        load_word_pairs(),
        options.kind,
        limit=options.limit,
        include=options.include,
        all_forms=options.all_forms,
    )
    common.deliver(table, options, SHOWN, "contrasts")
    return 0
