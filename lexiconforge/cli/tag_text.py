"""Every t (or d) of a text of yours in its place: the sound in brackets after the letters, wat[ɾ]er, a table, or counts.

A text is read from a file or, with -, from standard input. Casual speech links words, reduces some and shows what is heard
most in conversation; --show all gives each t with its shares in percent. Careful speech says every word in full. What the
dictionary does not have and what cannot be read out is listed, not guessed.

Subtitles keep their times: --out talk.tagged.srt marks the cues in their places, --out talk.TextGrid gives the tiers in
which recordings are annotated.

example: lexiconforge tag-text dialogue.txt --show summary --level B1
"""

from __future__ import annotations

import argparse
import sys
from pathlib import Path
from typing import TYPE_CHECKING

from lexiconforge.cli import UsageError, common
from lexiconforge.errors import ReadError

if TYPE_CHECKING:
    from collections import Counter

    from lexiconforge.sounds import Sound
    from lexiconforge.text.tagger import Passage, Summary

TABLES = (".csv", ".xlsx", ".parquet")


SHOWN = ("likely", "all")


TIMED = (".srt", ".vtt", ".textgrid")
"""Endings of files that need the times of subtitles."""


def add_arguments(parser: argparse.ArgumentParser) -> None:
    add = parser.add_argument
    add("text", metavar="FILE", help="a text in UTF-8, FILE.docx or FILE.epub; - reads standard input")
    add("--style", default="casual", help="casual or careful speech (default: casual)")
    add(
        "--show",
        choices=(*SHOWN, "summary"),
        default="likely",
        help="the text with what is likely, or all with their shares, or counts (default: likely)",
    )
    add("--target", default="", help="allophone whose lines the summary looks for (default: tap)")
    add("--level", default="", metavar="B1", help="the summary names words above this CEFR level")
    add("--max-rank", type=common.whole_number, metavar="N", help="and words rarer than this")
    common.add_out(parser)
    common.add_lexicon(parser)


def run(options: argparse.Namespace) -> int:
    from lexiconforge.options import one_of
    from lexiconforge.sources.levels import LEVELS
    from lexiconforge.text.tagger import Tagger, summarise

    out = Path(options.out or "")
    if out.suffix.lower() in TIMED:
        return _timed(options, out)
    common.check_out(options, options.text if options.text != "-" else None)
    level = one_of("level", options.level, LEVELS)
    text = read_text(options.text)
    lexicon = common.load(options)
    target = lexicon.sound.target_id(options.target)
    common.progress("")
    tagger = Tagger(lexicon, options.style)
    with common.bar("tagging") as advance:

        def told(share: float) -> None:
            advance(round(share * len(text)), len(text))

        if options.out and not options.json:
            table, unknown, unread = tagger.tag_table(text, told)
        else:
            passage = tagger.tag_text(text, told)
            unknown, unread = passage.unknown, passage.unread
    common.progress("")
    if options.json:
        sys.stdout.write(_json(passage))
        if options.out not in (None, "-"):
            common.write_table(passage.table, Path(options.out), common.layout(options))
    elif options.out:
        common.deliver(table, options, ())
    elif options.show in SHOWN:
        marked = passage.shown(options.show)
        sys.stdout.write(marked if marked.endswith("\n") else marked + "\n")
    else:
        summary = summarise(passage, lexicon, target=target, level=level, max_rank=options.max_rank)
        _print_summary(summary, lexicon.sound, target, above=bool(level or options.max_rank))
    if unknown:
        common.notify(f"not in the dictionary, nothing in them is guessed: {_named(unknown)}")
    if unread:
        common.notify(f"cannot be read out: {_named(unread)}")
    return 0


MOST_NAMED = 60
"""Words that are named on the screen, the most frequent first: no more can be looked at there."""


def _named(words: Counter[str]) -> str:
    named = ", ".join(word for word, _ in words.most_common(MOST_NAMED))
    more = len(words) - MOST_NAMED
    return f"{named} and {more} more" if more > 0 else named


def _timed(options: argparse.Namespace, out: Path) -> int:
    """Subtitles with their cues marked, or a TextGrid of them."""
    from lexiconforge.export.folder import write_whole
    from lexiconforge.text import subtitles
    from lexiconforge.text.tagger import Tagger

    ending = Path(options.text).suffix.lower()
    if ending not in subtitles.ENDINGS:
        raise UsageError(
            f"--out {out}: this needs times; give subtitles, FILE.srt or FILE.vtt, not {options.text}"
        )
    if out.suffix.lower() in subtitles.ENDINGS and out.suffix.lower() != ending:
        raise UsageError(f"--out {out}: the name must end in {ending}, as that of the subtitles does")
    if out.exists() and out.samefile(options.text):
        raise UsageError(f"--out {out} is the text itself; choose another name")
    text = read_text(options.text)
    try:
        found = subtitles.cues(text)
        lexicon = common.load(options)
        tagger = Tagger(lexicon, options.style)
        tagged, passage = subtitles.tag_cues(
            found, tagger, lambda share: common.progress(f"tagging, {share:.0%}")
        )
    except ReadError as problem:
        raise UsageError(f"cannot read {options.text}: {problem}") from None
    if out.suffix.lower() in subtitles.ENDINGS:
        content = subtitles.annotated(text, tagged)
    else:
        from lexiconforge.export.textgrid import textgrid_text

        content = textgrid_text(tagged, passage, lexicon.sound)
    common.progress("")
    write_whole({out: content.encode("utf-8-sig" if options.bom else "utf-8")})
    common.notify(f"{len(tagged)} cues in {out}")
    return 0


def _print_summary(summary: Summary, sound: Sound, target: str, *, above: bool) -> None:
    print(f"words                {summary.words}")
    print("labels")
    for name, count in summary.allophones.items():
        print(f"  {sound.allophones[name].label:<18} {count}")
    print("to expect in conversation, by the shares")
    for variant, number in summary.expected.items():
        print(f"  {variant:<18} {number}")
    print(f"taps in ten words    {summary.taps_per_ten_words}")
    if above:
        print(f"above the class      {', '.join(summary.above) or 'none'}")
    lines = ", ".join(map(str, summary.without_target))
    print(f"lines without a {sound.allophones[target].label}: {lines or 'none'}")


def _json(passage: Passage) -> str:
    """The marked text, the table, what to expect of it and what is left out as one JSON object; ``heard`` is an object from
    variant to percent."""
    import json

    from lexiconforge.export.texts import json_text
    from lexiconforge.tables import Table

    rest = {
        "marked": passage.marked,
        "words": passage.words,
        "expected": {variant: round(number, 2) for variant, number in passage.expected.items()},
        "unknown": dict(passage.unknown),
        "unread": dict(passage.unread),
    }
    head = json.dumps(rest, ensure_ascii=False)
    table = passage.table
    columns = {**table.columns, "heard": [dict(heard) for heard in passage.heard]}
    return f'{head[:-1]}, "tokens": {json_text(Table(table.kind, columns)).rstrip()}}}\n'


def read_text(name: str) -> str:
    """A text in UTF-8 from a file, a Word document or a book, or from standard input for ``-``. Raises UsageError."""
    from lexiconforge.places import MOST_BYTES, read_whole

    if Path(name).suffix.lower() in (".docx", ".epub"):
        from lexiconforge.text import readers

        try:
            return "".join(readers.read_text(Path(name)))
        except ReadError as problem:
            raise UsageError(f"cannot read {name}: {problem}") from None
    if Path(name).suffix.lower() in TABLES:
        raise UsageError(f"{name} is a table, not a text; tag-text reads plain text in UTF-8")
    try:
        if name != "-":
            data = read_whole(Path(name))
        elif len(data := sys.stdin.buffer.read(MOST_BYTES + 1)) > MOST_BYTES:
            raise ReadError(f"larger than {MOST_BYTES >> 20} MB")
        text = data.decode("utf-8-sig")
    except ReadError as problem:
        hint = "; a pipe is read from standard input, with -" if "a pipe" in str(problem) else ""
        raise UsageError(f"cannot read {name}: {problem}{hint}") from None
    except OSError as error:
        raise UsageError(f"cannot read {name}: {error.strerror}") from None
    except UnicodeDecodeError as error:
        raise UsageError(f"{name} is not UTF-8 text (byte {error.start}); save it as UTF-8") from None
    if "\0" in text:
        raise UsageError(f"{name} is not a text: it has NUL bytes")
    return text
