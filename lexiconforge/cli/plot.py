"""A picture, PNG or SVG: coverage of lists, words by environment and rank, how often each variant is heard, the t's
of a text.

coverage takes lists (share of the t's of running text against words learned), environments and heard take nothing, text
takes one text; heard draws the shares in conversation by environment, with the number of tokens behind them. Needs
matplotlib: pip install 'lexiconforge[plots]'.

example: lexiconforge plot coverage tap.csv --out coverage.svg
"""

from __future__ import annotations

import argparse
from pathlib import Path
from typing import TYPE_CHECKING

from lexiconforge.cli import UsageError, common

if TYPE_CHECKING:
    from matplotlib.figure import Figure

KINDS = ("coverage", "environments", "heard", "text")


def add_arguments(parser: argparse.ArgumentParser) -> None:
    add = parser.add_argument
    add("kind", choices=KINDS, metavar="KIND", help=", ".join(KINDS))
    add("files", nargs="*", metavar="FILE", help="lists as CSV, or a text")
    add("--out", required=True, metavar="FILE.svg", help="where to write, FILE.svg or FILE.png")
    add("--style", default="casual", help="casual or careful speech of a text (default: casual)")
    common.add_include(parser)
    common.add_lexicon(parser)


def run(options: argparse.Namespace) -> int:
    from lexiconforge.export.folder import write_whole
    from lexiconforge.export.plots import FORMATS, figure_bytes

    out = Path(options.out)
    form = out.suffix.removeprefix(".")
    if form not in FORMATS:
        raise UsageError(f"--out {out}: the name must end in .svg or .png")
    common.check_place(out, *common.inputs(options, *options.files))
    none = not options.files
    wanted = {"coverage": not none, "environments": none, "heard": none}
    if not wanted.get(options.kind, len(options.files) == 1):
        takes = {"coverage": "one list or more", "text": "one text"}
        takes |= dict.fromkeys(("environments", "heard"), "no file")
        raise UsageError(f"plot {options.kind} takes {takes[options.kind]}")
    draw = {"coverage": _coverage, "environments": _environments, "heard": _heard, "text": _text}
    figure = draw[options.kind](options)
    common.progress("")
    write_whole({out: figure_bytes(figure, form)})
    common.notify(f"picture in {out}")
    return 0


def _coverage(options: argparse.Namespace) -> Figure:
    import pandas as pd

    from lexiconforge.export.plots import coverage_figure
    from lexiconforge.export.texts import read_numbers

    stems = [Path(file).stem for file in options.files]
    columns = ("place", "coverage")
    return coverage_figure(
        {
            stem if stems.count(stem) == 1 else file: pd.DataFrame(
                read_numbers(Path(file), columns), columns=list(columns)
            )
            for stem, file in zip(stems, options.files, strict=True)
        }
    )


def _environments(options: argparse.Namespace) -> Figure:
    from lexiconforge.export.plots import THOUSANDS, environments_figure
    from lexiconforge.lists.wordlists import WordFilter, word_cards

    lexicon = common.load(options)
    wanted = WordFilter(include=options.include, max_rank=THOUSANDS * 1000)
    return environments_figure(word_cards(lexicon, wanted))


def _heard(options: argparse.Namespace) -> Figure:
    from lexiconforge.export.plots import heard_figure
    from lexiconforge.sounds import load_sound

    return heard_figure(load_sound(options.sound, options.sounds))


def _text(options: argparse.Namespace) -> Figure:
    from lexiconforge.cli.tag_text import read_text
    from lexiconforge.export.plots import text_figure
    from lexiconforge.text.tagger import Tagger

    text = read_text(options.files[0])
    lexicon = common.load(options)
    passage = Tagger(lexicon, options.style).tag_text(text)
    return text_figure(passage.tokens, text, lexicon.sound)
