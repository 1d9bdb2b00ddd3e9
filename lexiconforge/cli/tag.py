"""Every t of the given words: letters, environment, allophone, what else is heard, the rule and its source.

example: lexiconforge tag water button atomic
"""

from __future__ import annotations

import argparse

from lexiconforge.cli import common

SHOWN = (
    "word", "phones", "marked", "environment", "allophone", "ipa", "also_heard", "rule", "source",
)  # fmt: skip


def add_arguments(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("words", nargs="+", metavar="WORD")
    common.add_out(parser)
    common.add_supplements(parser)


def run(options: argparse.Namespace) -> int:
    from lexiconforge.lexicon import t_tokens
    from lexiconforge.wordlists import marked

    common.check_out(options)

    lexicon = common.load(options)
    asked = [word.lower().replace("’", "'") for word in options.words]
    known = [word for word in dict.fromkeys(asked) if word in lexicon.pronunciations]
    table = t_tokens(lexicon, known)
    shown = table
    if options.out is None and not options.json:
        spans = zip(table["word"], table["letters_start"], table["letters"], strict=True)
        shown = table.assign(
            marked=[
                marked(word, [(start, start + len(letters))] if letters else [])
                for word, start, letters in spans
            ]
        )
    if len(table):
        common.deliver(shown, options, SHOWN, "t_tokens")
    without = [word for word in known if word not in set(table["word"])]
    if without:
        common.say(f"no t is heard in: {', '.join(without)}")
    common.require_words(lexicon, asked)
    return 0
