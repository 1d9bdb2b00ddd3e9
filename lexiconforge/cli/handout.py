"""A handout to print from a list: two sides for the learner and one for the key.

The list is a lesson of a plan, words, links, contrasts or lines; or plain text: words of your own, one a line, or a script
to read aloud. The choice is drawn by --seed, which is printed on it: the same number gives the same set again. HTML for any
browser to print, .docx for a word processor, .pdf where a Chromium browser is installed.

example: lexiconforge handout unit/lesson-01.csv --out monday.html
"""

from __future__ import annotations

import argparse
from pathlib import Path
from typing import TYPE_CHECKING

from lexiconforge.cli import UsageError, common

if TYPE_CHECKING:
    from lexiconforge.teaching.handouts import Handout, HandoutOptions

ENDINGS = (".html", ".htm", ".docx", ".pdf")


def add_arguments(parser: argparse.ArgumentParser) -> None:
    add = parser.add_argument
    add("list", metavar="LIST", help="a lesson or list of this program, or plain text of yours")
    add(
        "--out",
        default="handout.html",
        metavar="FILE",
        help="where to write: FILE.html, .docx or .pdf (default: handout.html)",
    )
    add("--paper", default="a4", metavar="NAME", help="a4 or letter (default: a4)")
    add(
        "--seed", type=common.whole_number, default=1, metavar="N", help="number of the set (default: 1)"
    )
    add("--title", default="", metavar="TEXT", help="what stands on top")
    add(
        "--parts",
        type=common.names,
        default=None,
        metavar="PARTS",
        help="only these, with commas between: words, sorting, linking, contrasts, dialogue, dictation, text",
    )
    add(
        "--key",
        default="last",
        metavar="WHERE",
        help="last: on the last sheet; separate: in FILE-key; none (default: last)",
    )
    add(
        "--words",
        type=common.whole_number,
        default=42,
        metavar="N",
        help="most words of the list (default: 42)",
    )
    add("--without-ipa", action="store_true", help="leave the IPA to the key")
    common.add_lexicon(parser)


def run(options: argparse.Namespace) -> int:
    from lexiconforge.export.folder import write_whole
    from lexiconforge.export.printing import browser
    from lexiconforge.teaching.handouts import PARTS, HandoutOptions

    out = Path(options.out)
    if out.suffix.lower() not in ENDINGS:
        raise UsageError(f"--out {out}: the name must end in .html, .docx or .pdf")
    chosen = HandoutOptions(
        title=options.title,
        paper=options.paper.lower(),
        seed=options.seed,
        parts=PARTS if options.parts is None else options.parts,
        key=options.key.lower(),
        words=options.words,
        ipa=not options.without_ipa,
    )
    places = {out: "both"}
    if chosen.key == "separate":
        places = {out: "learner", out.with_name(f"{out.stem}-key{out.suffix}"): "key"}
    for place in places:
        common.check_place(place, *common.inputs(options, options.list))
    if out.suffix.lower() == ".pdf":
        browser()
    sheet = _sheet(options, chosen)
    common.progress("")
    write_whole({place: _content(sheet, out.suffix.lower(), sides) for place, sides in places.items()})
    where = " and ".join(map(str, places))
    how = "open it in a browser and print" if out.suffix.lower().startswith(".htm") else "ready to print"
    common.notify(f"set {chosen.seed} in {where}; {how}")
    return 0


def _sheet(options: argparse.Namespace, chosen: HandoutOptions) -> Handout:
    """The handout of what the file holds: a list of this program, words of somebody's, or a script."""
    from lexiconforge.export.texts import read_rows
    from lexiconforge.sources.word_pairs import load_word_pairs
    from lexiconforge.teaching.handouts import handout, own_handout, script_handout
    from lexiconforge.teaching.targets import is_script, read_script, read_targets

    path = Path(options.list)
    if path.suffix.lower() in (".csv", ".tsv"):
        rows = read_rows(path)
        if not rows or len(rows[0]) > 1:
            return handout(common.load(options), load_word_pairs(), rows, chosen)
    elif is_script(text := read_script(path)):
        return script_handout(common.load(options), text, chosen)
    targets = read_targets(path)
    sheet, unknown = own_handout(common.load(options), load_word_pairs(), targets, chosen)
    if unknown:
        letters = sheet.sound.letters
        common.notify(
            f"not on the handout ({len(unknown)}), as they are not in the dictionary or have no {letters}: "
            f"{', '.join(unknown)}"
        )
    return sheet


def _content(sheet: Handout, ending: str, sides: str) -> bytes:
    from lexiconforge.export.handout_page import handout_text
    from lexiconforge.sources import SOURCES

    if ending == ".docx":
        from lexiconforge.export.handout_docx import handout_bytes

        return handout_bytes(sheet, SOURCES, sides)
    text = handout_text(sheet, SOURCES, sides)
    if ending == ".pdf":
        from lexiconforge.export.printing import pdf_bytes

        return pdf_bytes(text)
    return text.encode()
