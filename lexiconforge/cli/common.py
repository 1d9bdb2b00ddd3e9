"""What several commands share: options and the way a table leaves the program."""

from __future__ import annotations

import argparse
import os
import re
import sys
from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING

from lexiconforge.cli import NotFoundError, UsageError

if TYPE_CHECKING:
    import pandas as pd

    from lexiconforge.lexicon import Lexicon


def whole_number(text: str) -> int:
    """A whole number, for argparse."""
    try:
        return int(text)
    except ValueError:
        raise argparse.ArgumentTypeError(f"{text!r} is not a whole number") from None


def number_range(text: str) -> tuple[int, int]:
    """``2`` or ``2-3``, both ends included."""
    first, _, last = text.partition("-")
    return whole_number(first), whole_number(last or first)


def level_range(text: str) -> tuple[str, str]:
    """``A1`` or ``A1-B1``, both ends included."""
    first, _, last = text.upper().partition("-")
    return first, last or first


def names(text: str) -> tuple[str, ...]:
    """``names,sensitive``."""
    return tuple(name.strip().lower() for name in text.split(",") if name.strip())


def add_include(parser: argparse.ArgumentParser) -> None:
    from lexiconforge.screening import EXCLUSIONS

    parser.add_argument(
        "--include",
        type=names,
        default=(),
        metavar="KINDS",
        help=f"let in words that are left out otherwise, with commas between: {', '.join(EXCLUSIONS)}",
    )


def add_out(parser: argparse.ArgumentParser) -> None:
    """Options that say where a table goes: ``out``, ``bom``, ``json``."""
    parser.add_argument(
        "--out",
        metavar="FILE",
        help="write the whole table: FILE.csv, FILE.xlsx, or - for CSV on the screen",
    )
    add_bom(parser)
    add_json(parser)


def add_bom(parser: argparse.ArgumentParser) -> None:
    parser.add_argument(
        "--bom",
        action="store_true",
        help="begin CSV with a byte order mark, for spreadsheets that take it for another encoding",
    )


def add_json(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("--json", action="store_true", help="print JSON for another program")


def deliver(table: pd.DataFrame, options: argparse.Namespace, shown: Sequence[str], kind: str) -> None:
    """Write a table where ``--out`` says; without it show these columns on the screen, or JSON.

    ``kind`` is that of :data:`lexiconforge.export.schema.TABLES`.
    """
    from lexiconforge.export.tables import csv_text, json_text

    out = options.out
    step("")
    if out not in (None, "-"):
        written = write_table(table, Path(out), kind, bom=options.bom)
        print(f"{len(table)} rows in {written}", file=sys.stderr)
    if options.json:
        sys.stdout.write(json_text(table))
    elif out == "-":
        sys.stdout.write(("\ufeff" if options.bom else "") + csv_text(table))
    elif out is None:
        sys.stdout.write(aligned(table[list(shown)], bold=in_colour()))


def write_table(table: pd.DataFrame, path: Path, kind: str, *, bom: bool = False) -> Path:
    """One table as CSV with its metadata, or as a workbook, by the ending that :func:`check_out` has checked."""
    from lexiconforge.export.folder import write_whole
    from lexiconforge.export.schema import TABLES, csv_files
    from lexiconforge.sources import SOURCES

    if path.suffix.lower() == ".xlsx":
        from lexiconforge.export.workbook import Sheet, workbook_bytes

        write_whole({path: workbook_bytes([Sheet(path.stem, kind, TABLES[kind], table)], SOURCES)})
        return path
    files = csv_files(path.name, table, kind, bom=bom)
    write_whole({path.with_name(name): content for name, content in files.items()})
    return path


def check_out(options: argparse.Namespace) -> None:
    """Raises UsageError for a name that no table can be written to, before anything is worked out."""
    if options.out not in (None, "-") and Path(options.out).suffix.lower() not in (".csv", ".xlsx"):
        raise UsageError(f"--out {options.out}: the name must end in .csv or .xlsx")


def in_colour() -> bool:
    """Whether the screen is a terminal that may show bold type (https://no-color.org)."""
    return sys.stdout.isatty() and not os.environ.get("NO_COLOR") and os.environ.get("TERM") != "dumb"


def add_supplements(parser: argparse.ArgumentParser) -> None:
    parser.add_argument(
        "--pronunciations",
        metavar="FILE",
        help="pronunciations of your own, one a line: grotto G R AA1 T OW0",
    )
    parser.add_argument(
        "--frequencies",
        metavar="FILE.csv",
        help="frequencies of your own: columns word and zipf or per_million",
    )


def supplements(options: argparse.Namespace) -> dict[str, Path | None]:
    """The files of :func:`add_supplements` by name."""
    named = {name: getattr(options, name) for name in ("pronunciations", "frequencies")}
    return {name: Path(file) if file else None for name, file in named.items()}


def load(options: argparse.Namespace) -> Lexicon:
    """The lexicon with the user's supplements, with word of what is going on, for a terminal."""
    from lexiconforge.lexicon import load_lexicon, supplemented

    step("reading the sources")
    lexicon = load_lexicon()
    files = supplements(options)
    if any(files.values()):
        lexicon = supplemented(lexicon, **files)
        ungraded = sorted(lexicon.own - lexicon.frequencies.rank.keys())
        if ungraded:
            more = f" and {len(ungraded) - 5} more" if len(ungraded) > 5 else ""
            say(
                f"no frequency, so in no list: {', '.join(ungraded[:5])}{more}; give one with --frequencies"
            )
    step("working it out")
    return lexicon


def step(text: str) -> None:
    """Say on a terminal what is being done; ``""`` takes the line away."""
    if sys.stderr.isatty():
        print(f"\r\x1b[K{text}", end="", file=sys.stderr, flush=True)


def aligned(table: pd.DataFrame, *, bold: bool = False) -> str:
    """A table for the eye: columns of even width, numbers to the right; ``bold`` for the head and marked t's."""
    import unicodedata

    from lexiconforge.export.tables import present

    def width(text: str) -> int:
        return sum(not unicodedata.combining(letter) for letter in text)

    columns = []
    for name in table.columns:
        cells = [name.replace("_", " "), *("" if v is None else str(v) for v in present(table[name]))]
        most = max(map(width, cells))
        right = table[name].dtype.kind in "iuf"
        pads = [" " * (most - width(cell)) for cell in cells]
        columns.append([pad + c if right else c + pad for c, pad in zip(cells, pads, strict=True)])
    lines = ["  ".join(row).rstrip() for row in zip(*columns, strict=True)]
    if bold:
        marked = [re.sub(r"\[[^\]]*\]", "\x1b[1m\\g<0>\x1b[22m", line) for line in lines[1:]]
        lines = [f"\x1b[1m{lines[0]}\x1b[22m", *marked]
    return "".join(f"{line}\n" for line in lines)


def say(text: str) -> None:
    """One line for the person, beside the results."""
    print(text, file=sys.stderr)


def require_words(lexicon: Lexicon, words: Sequence[str]) -> None:
    """Raises NotFoundError for words the dictionary does not have, with the closest that it has."""
    from difflib import get_close_matches

    missing = [word for word in dict.fromkeys(words) if word not in lexicon.pronunciations]
    if not missing:
        return
    lines = []
    for word in missing:
        near = [
            other
            for other in lexicon.pronunciations
            if other[:1] == word[:1] and abs(len(other) - len(word)) <= 2
        ]
        close = get_close_matches(word, near, n=40, cutoff=0.7)
        # Commonest first: what was meant is more often a common word than the nearest spelling.
        close = sorted(close, key=lambda other: lexicon.frequencies.rank.get(other, 10**9))[:5]
        hint = f"; closest: {', '.join(close)}" if close else ""
        lines.append(f"not in the dictionary: {word}{hint}")
    raise NotFoundError("\nlexiconforge: ".join(lines))


def note_left_out(count: int, include: Sequence[str]) -> None:
    """Say on standard error how many words screening kept out."""
    if count:
        print(
            f"{count} left out (names, abbreviations and the like); --include lets them in",
            file=sys.stderr,
        )
