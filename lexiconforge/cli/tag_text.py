"""Every t of a text of yours in its place: the text with each t in brackets with its IPA, a table, or counts.

A text is read from a file or, with -, from standard input. Casual speech links words and reduces some; careful speech
says each as it stands in the dictionary. Words that the dictionary does not have are listed, not guessed.

example: lexiconforge tag-text dialogue.txt --show summary --level B1
"""

from __future__ import annotations

import argparse
import sys
from pathlib import Path
from typing import TYPE_CHECKING

from lexiconforge.cli import UsageError, common

if TYPE_CHECKING:
    from lexiconforge.passages import Passage


def add_arguments(parser: argparse.ArgumentParser) -> None:
    add = parser.add_argument
    add("text", metavar="FILE", help="a text in UTF-8; - reads standard input")
    add("--style", default="casual", help="casual or careful speech (default: casual)")
    add("--show", choices=("text", "summary"), default="text", help="what to print (default: text)")
    add("--target", default="tap", help="allophone whose lines the summary looks for (default: tap)")
    add("--level", default="", metavar="B1", help="the summary names words above this CEFR level")
    add("--max-rank", type=common.whole_number, metavar="N", help="and words rarer than this")
    common.add_out(parser)
    common.add_supplements(parser)


def run(options: argparse.Namespace) -> int:
    from lexiconforge.passages import Tagger, summarise
    from lexiconforge.sources.levels import LEVELS
    from lexiconforge.wordlists import allophones, one_of

    common.check_out(options)
    target = one_of("allophone", options.target, allophones())
    level = one_of("level", options.level, LEVELS)
    text = read_text(options.text)
    lexicon = common.load(options)
    passage = Tagger(lexicon, options.style).tag_text(
        text, lambda share: common.step(f"tagging, {share:.0%}")
    )
    common.step("")
    if options.json:
        sys.stdout.write(_json(passage))
        if options.out not in (None, "-"):
            common.write_table(passage.tokens, Path(options.out), "passage", bom=options.bom)
    elif options.out:
        common.deliver(passage.tokens, options, (), "passage")
    elif options.show == "text":
        sys.stdout.write(passage.marked if passage.marked.endswith("\n") else passage.marked + "\n")
    else:
        summary = summarise(passage, lexicon, target=target, level=level, max_rank=options.max_rank)
        print(f"words                {summary.words}")
        for name, count in summary.allophones.items():
            print(f"{name:<20} {count}")
        print(f"taps in ten words    {summary.taps_per_ten_words}")
        if options.level or options.max_rank:
            print(f"above the class      {', '.join(summary.above) or 'none'}")
        lines = ", ".join(map(str, summary.without_target))
        print(f"lines without a {target}: {lines or 'none'}")
    if passage.unknown:
        words = ", ".join(word for word, _ in passage.unknown.most_common())
        common.say(f"not in the dictionary, their t's not guessed: {words}")
    return 0


def _json(passage: Passage) -> str:
    """The marked text, the table and the unknown words as one JSON object."""
    import json

    from lexiconforge.export.tables import json_text

    rest = {"marked": passage.marked, "words": passage.words, "unknown": dict(passage.unknown)}
    head = json.dumps(rest, ensure_ascii=False)
    return f'{head[:-1]}, "tokens": {json_text(passage.tokens).rstrip()}}}\n'


def read_text(name: str) -> str:
    """A text in UTF-8 from a file, or from standard input for ``-``. Raises UsageError."""
    try:
        data = sys.stdin.buffer.read() if name == "-" else Path(name).read_bytes()
        return data.decode("utf-8-sig")
    except OSError as error:
        raise UsageError(f"cannot read {name}: {error.strerror}") from None
    except UnicodeDecodeError as error:
        raise UsageError(f"{name} is not UTF-8 text (byte {error.start}); save it as UTF-8") from None
