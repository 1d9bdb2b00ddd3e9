"""Every t of the given words: letters, environment, allophone, what else is heard, the rule and its source.

example: lexiconforge tag water button atomic
"""

from __future__ import annotations

import argparse
from pathlib import Path

from lexiconforge.cli import UsageError, common

SHOWN = (
    "word", "phones", "marked", "environment", "allophone", "ipa", "also_heard", "rule", "source",
)  # fmt: skip


def add_arguments(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("words", nargs="+", metavar="WORD")
    common.add_out(parser)
    common.add_lexicon(parser)


def run(options: argparse.Namespace) -> int:
    from lexiconforge.lexicon.catalog import TOKEN_COLUMNS, reading_rows
    from lexiconforge.lexicon.records import bracketed
    from lexiconforge.tables import Table

    common.check_out(options)
    files = [word for word in options.words if Path(word).suffix.lower() in (".csv", ".xlsx", ".txt")]
    if files:
        raise UsageError(f"{files[0]} is no word; a text is tagged by: tag-text FILE")
    phrases = [word for word in options.words if len(word.split()) > 1]
    if phrases:
        raise UsageError(
            f"{phrases[0]!r} is more than one word, and its sounds depend on each other; phrases and texts are tagged by: "
            f"echo {phrases[0]!r} | lexiconforge tag-text -"
        )
    lexicon = common.load(options)
    asked = list(dict.fromkeys(word.lower().replace("’", "'") for word in options.words))
    readings = list(lexicon.sounding(asked))
    rows = [
        (*cells, bracketed(reading.word, [(token.span, lexicon.sound.symbol(token.rule.allophone))]))
        for reading in readings
        for token, cells in zip(reading.tokens, reading_rows(lexicon, reading), strict=True)
    ]
    table = Table.of_rows("tokens", (*TOKEN_COLUMNS, "marked"), rows)
    if rows:
        written = options.out is not None or options.json
        common.deliver(table.only(TOKEN_COLUMNS) if written else table, options, SHOWN)
    common.progress("")
    for word in asked:
        entry = lexicon.entry(word)
        if entry is not None and entry.reading_note:
            common.notify(f"{word} {entry.main.ipa}: {entry.reading_note}")
    sounding = {reading.word for reading in readings}
    without = [word for word in asked if word in lexicon and word not in sounding]
    if without:
        common.notify(f"no {lexicon.sound.letters} is heard in: {', '.join(without)}")
    common.require_words(lexicon, asked)
    return 0
