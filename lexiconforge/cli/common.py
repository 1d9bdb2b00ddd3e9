"""What several commands share: options and the way a table leaves the program."""

from __future__ import annotations

import argparse
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
    parser.add_argument(
        "--out", metavar="FILE.csv", help="write the whole table as CSV; - writes it to the screen"
    )


def deliver(table: pd.DataFrame, out: str | None, shown: Sequence[str]) -> None:
    """Write a table where ``--out`` says; without it show these columns on the screen."""
    from lexiconforge.export.folder import write_whole
    from lexiconforge.export.tables import csv_text

    if out is None:
        sys.stdout.write(aligned(table[list(shown)]))
    elif out == "-":
        sys.stdout.write(csv_text(table))
    else:
        if not out.endswith(".csv"):
            raise UsageError(f"--out {out}: the name must end in .csv")
        write_whole(Path(out), csv_text(table))
        print(f"{len(table)} rows in {out}", file=sys.stderr)


def aligned(table: pd.DataFrame) -> str:
    """A table for the eye: columns of even width, numbers to the right."""
    import unicodedata

    def width(text: str) -> int:
        return sum(not unicodedata.combining(letter) for letter in text)

    columns = []
    for name in table.columns:
        cells = [name.replace("_", " "), *("" if v != v else str(v) for v in table[name].tolist())]
        most = max(map(width, cells))
        right = table[name].dtype.kind in "iuf"
        pads = [" " * (most - width(cell)) for cell in cells]
        columns.append([pad + c if right else c + pad for c, pad in zip(cells, pads, strict=True)])
    return "".join("  ".join(row).rstrip() + "\n" for row in zip(*columns, strict=True))


def say(text: str) -> None:
    """One line for the person, beside the results."""
    print(text, file=sys.stderr)


def columns_of(path: Path, names: Sequence[str]) -> list[tuple[str, ...]]:
    """These columns of an earlier list, a tuple a row. Raises UsageError."""
    import csv

    try:
        with path.open(encoding="utf-8-sig", newline="") as file:
            table = csv.DictReader(file)
            missing = [name for name in names if name not in (table.fieldnames or ())]
            if missing:
                raise UsageError(
                    f"{path} has no column named {missing[0]}; give a list that this program wrote"
                )
            return [tuple(row[name] for name in names) for row in table]
    except OSError as error:
        raise UsageError(f"cannot read {path}: {error.strerror}") from None
    except UnicodeDecodeError:
        raise UsageError(f"{path} is not UTF-8 text; save the list as CSV in UTF-8") from None


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
