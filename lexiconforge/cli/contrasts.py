"""Sets that teach by difference: pairs that a tap makes alike, and pairs that the sound tells apart.

homophones: metal, medal. linked-homophones: set it, said it. nasal-taps: winter, winner. stress-shift: atom, atomic.
ed-ation: invited, invitation. teen-ty: thirteen, thirty. tap-or-glottal: batter, batten. across-words: at all, a tall.
Each is ranked by the frequency of its rarer member and has two lines to say.

example: lexiconforge contrasts --kind homophones --limit 20
"""

from __future__ import annotations

import argparse

from lexiconforge.cli import NotFoundError, common

SHOWN = (
    "kind",
    "place",
    "first",
    "second",
    "first_ipa",
    "second_ipa",
    "rarer",
    "first_line",
    "second_line",
)


def add_arguments(parser: argparse.ArgumentParser) -> None:
    add = parser.add_argument
    add("--kind", type=common.names, default=(), metavar="KINDS", help="only these, with commas between")
    add(
        "--all-forms", action="store_true", help="every pair of two word families, not the commonest one"
    )
    add("--limit", type=common.positive, metavar="N", help="at most this many rows of a kind")
    common.add_include(parser)
    common.add_out(parser)
    common.add_lexicon(parser)


def run(options: argparse.Namespace) -> int:
    from lexiconforge.lists.contrasts import contrast_table
    from lexiconforge.lists.options import included
    from lexiconforge.options import one_of
    from lexiconforge.sources.word_pairs import load_word_pairs

    common.check_out(options)

    lexicon = common.load(options)
    known = {kind.kind: kind for kind in lexicon.sound.contrasts}
    named = [known[one_of("contrast", name, list(known))] for name in options.kind]
    table = contrast_table(
        lexicon,
        load_word_pairs(),
        named or list(known.values()),
        limit=options.limit,
        include=included(options.include),
        all_forms=options.all_forms,
    )
    if not len(table):
        common.progress("")
        raise NotFoundError("no pair of this kind; let in more words with --include")
    common.deliver(table, options, SHOWN)
    return 0
