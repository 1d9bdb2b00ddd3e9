"""Every t (or d) of a text of yours in its place: the text with each in brackets with its IPA, a table, or counts.

A text is read from a file or, with -, from standard input. Casual speech links words and reduces some; careful speech
says each as it stands in the dictionary. Words that the dictionary does not have are listed, not guessed.

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
    from lexiconforge.sounds import Sound
    from lexiconforge.text.tagger import Passage, Summary


TIMED = (".srt", ".vtt", ".textgrid")
"""Endings of files that need the times of subtitles."""


def add_arguments(parser: argparse.ArgumentParser) -> None:
    add = parser.add_argument
    add("text", metavar="FILE", help="a text in UTF-8, FILE.docx or FILE.epub; - reads standard input")
    add("--style", default="casual", help="casual or careful speech (default: casual)")
    add("--show", choices=("text", "summary"), default="text", help="what to print (default: text)")
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
    common.check_out(options)
    level = one_of("level", options.level, LEVELS)
    text = read_text(options.text)
    lexicon = common.load(options)
    target = lexicon.sound.allophone_id(options.target) or lexicon.sound.tapped[0]
    passage = Tagger(lexicon, options.style).tag_text(
        text, lambda share: common.progress(f"tagging, {share:.0%}")
    )
    common.progress("")
    if options.json:
        sys.stdout.write(_json(passage))
        if options.out not in (None, "-"):
            common.write_table(passage.table, Path(options.out), common.layout(options))
    elif options.out:
        common.deliver(passage.table, options, ())
    elif options.show == "text":
        marked = passage.marked
        sys.stdout.write(marked if marked.endswith("\n") else marked + "\n")
    else:
        found = summarise(passage, lexicon, target=target, level=level, max_rank=options.max_rank)
        _print_summary(found, lexicon.sound, target, above=bool(level or options.max_rank))
    if passage.unknown:
        words = ", ".join(word for word, _ in passage.unknown.most_common())
        common.notify(f"not in the dictionary, nothing in them is guessed: {words}")
    return 0


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
    for name, count in summary.allophones.items():
        print(f"{sound.allophones[name].label:<20} {count}")
    print(f"taps in ten words    {summary.taps_per_ten_words}")
    if above:
        print(f"above the class      {', '.join(summary.above) or 'none'}")
    lines = ", ".join(map(str, summary.without_target))
    print(f"lines without a {sound.allophones[target].label}: {lines or 'none'}")


def _json(passage: Passage) -> str:
    """The marked text, the table and the unknown words as one JSON object."""
    import json

    from lexiconforge.export.texts import json_text

    rest = {"marked": passage.marked, "words": passage.words, "unknown": dict(passage.unknown)}
    head = json.dumps(rest, ensure_ascii=False)
    return f'{head[:-1]}, "tokens": {json_text(passage.table).rstrip()}}}\n'


def read_text(name: str) -> str:
    """A text in UTF-8 from a file, a Word document or a book, or from standard input for ``-``. Raises UsageError."""
    if Path(name).suffix.lower() in (".docx", ".epub"):
        from lexiconforge.text import readers

        try:
            return "".join(readers.read_text(Path(name)))
        except ReadError as problem:
            raise UsageError(f"cannot read {name}: {problem}") from None
    try:
        data = sys.stdin.buffer.read() if name == "-" else Path(name).read_bytes()
        return data.decode("utf-8-sig")
    except OSError as error:
        raise UsageError(f"cannot read {name}: {error.strerror}") from None
    except UnicodeDecodeError as error:
        raise UsageError(f"{name} is not UTF-8 text (byte {error.start}); save it as UTF-8") from None
