"""What several commands share: options and the way a table leaves the program."""

from __future__ import annotations

import argparse
import contextlib
import os
import re
import sys
from collections.abc import Callable, Iterator, Sequence
from pathlib import Path
from typing import TYPE_CHECKING

from lexiconforge.cli import NotFoundError, UsageError, go_on, tell
from lexiconforge.options import MOST

if TYPE_CHECKING:
    from lexiconforge.export.exporters import Layout
    from lexiconforge.lexicon import Lexicon
    from lexiconforge.tables import Table
    from lexiconforge.text.corpus import Line


def whole_number(text: str) -> int:
    """A whole number that a list can have, for argparse."""
    try:
        number = int(text)
    except ValueError:
        shown = text if len(text) <= 40 else f"{text[:40]}…"
        raise argparse.ArgumentTypeError(f"{shown!r} is not a whole number") from None
    if abs(number) > MOST:
        raise argparse.ArgumentTypeError(f"{number}: must be at most {MOST:,}")
    return number


def positive(text: str) -> int:
    """A whole number from 1 up, for argparse."""
    number = whole_number(text)
    if number < 1:
        raise argparse.ArgumentTypeError(f"{number}: must be 1 or more")
    return number


def number_range(text: str) -> tuple[int, int]:
    """``2`` or ``2-3``, both ends included."""
    first, _, last = text.partition("-")
    return whole_number(first), whole_number(last or first)


def names(text: str) -> tuple[str, ...]:
    """``names,sensitive``."""
    return tuple(name.strip().lower() for name in text.split(",") if name.strip())


def add_include(parser: argparse.ArgumentParser) -> None:
    from lexiconforge.lexicon.codes import EXCLUSIONS

    parser.add_argument(
        "--include",
        type=names,
        default=(),
        metavar="KINDS",
        help=f"let in words that are left out otherwise, with commas between: {', '.join(EXCLUSIONS)}",
    )


def add_out(parser: argparse.ArgumentParser, *, page: bool = False) -> None:
    """Options that say where a table goes: ``out``, ``bom``, ``json``; with ``page`` it may be a page too."""
    also = ", or html, a page to choose and print from" if page else ""
    parser.add_argument(
        "--out",
        metavar="FILE",
        help=f"write the whole table: FILE.csv, tsv, json, jsonl, parquet or xlsx{also}; - for CSV on the screen",
    )
    add_bom(parser)
    add_layout(parser)
    add_json(parser)


def add_bom(parser: argparse.ArgumentParser) -> None:
    parser.add_argument(
        "--bom",
        action="store_true",
        help="begin CSV with a byte order mark, for spreadsheets that take it for another encoding",
    )


def add_layout(parser: argparse.ArgumentParser) -> None:
    add = parser.add_argument
    add(
        "--separator",
        default=",",
        metavar="SIGN",
        help="between the cells of CSV: , ; or tab (default: ,)",
    )
    add("--decimal", default=".", metavar="SIGN", help="in the numbers of CSV: . or , (default: .)")


def layout(options: argparse.Namespace) -> Layout:
    """How CSV is written, by the options of :func:`add_out`. Raises OptionError."""
    from lexiconforge.export import exporters

    separator, decimal = getattr(options, "separator", ","), getattr(options, "decimal", ".")
    return exporters.layout(separator, decimal, bom=getattr(options, "bom", False))


def add_json(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("--json", action="store_true", help="print JSON for another program")


def deliver(table: Table, options: argparse.Namespace, shown: Sequence[str]) -> None:
    """Write a table where ``--out`` says; without it show these columns on the screen, or JSON."""
    from lexiconforge.export.texts import csv_text, json_text

    out = options.out
    progress("")
    if out not in (None, "-"):
        written = write_table(table, Path(out), layout(options))
        notify(f"{len(table)} rows in {written}")
    if options.json:
        sys.stdout.write(json_text(table))
    elif out == "-":
        form = layout(options)
        sys.stdout.write(
            ("\ufeff" if options.bom else "")
            + csv_text(table, separator=form.separator, decimal=form.decimal)
        )
    elif out is None:
        sys.stdout.write(aligned(_labelled(table.only(shown), options), bold=in_colour()))


def _labelled(table: Table, options: argparse.Namespace) -> Table:
    """The table for the eye: environments by the labels that people read; files have the ids, which programs know."""
    from lexiconforge.sounds import load_sound
    from lexiconforge.tables import Table

    if "environment" not in table.columns or not hasattr(options, "sound"):
        return table
    labels = load_sound(options.sound, options.sounds).environments
    cells = [
        "; ".join(labels.get(one, one) for one in str(cell).split("; ")) for cell in table["environment"]
    ]
    return Table(table.kind, table.columns | {"environment": cells})


def write_table(table: Table, path: Path, form: Layout | None = None) -> Path:
    """One table by the exporter of the ending that :func:`check_out` has checked."""
    from lexiconforge.export.exporters import table_files
    from lexiconforge.export.folder import write_whole

    files = table_files(path.name, table, form)
    write_whole({path.with_name(name): content for name, content in files.items()})
    return path


def wants_page(options: argparse.Namespace) -> bool:
    """Whether ``--out`` names a page."""
    return Path(options.out or "").suffix.lower() == ".html"


def check_out(options: argparse.Namespace, *reading: str | Path | None, page: bool = False) -> None:
    """Raises UsageError for a name that no table can be written to, and WriteError for a place that cannot be written
    or is ``reading``, before anything is worked out."""
    from lexiconforge.export.exporters import EXPORTERS, endings

    layout(options)
    if options.out in (None, "-"):
        return
    if Path(options.out).suffix.lower() not in EXPORTERS and not (page and wants_page(options)):
        also = ", or .html for a page" if page else ""
        raise UsageError(f"--out {options.out}: the name must end in {endings()}{also}")
    check_place(options.out, *inputs(options, *reading))


def check_place(out: str | Path, *reading: str | Path | None) -> None:
    """Raises WriteError unless a file may be written here and is none of those that are read, nor is its metadata."""
    from lexiconforge.places import check_target

    files = [Path(file) for file in reading if file]
    check_target(Path(out), files)
    if Path(out).suffix.lower() == ".csv":
        check_target(Path(f"{out}-metadata.json"), files)


def inputs(options: argparse.Namespace, *reading: str | Path | None) -> list[str | Path]:
    """These files, the user's supplements and struck-out words, as far as there are any."""
    never = getattr(options, "never", None)
    return [file for file in (*reading, never, *supplements(options).values()) if file]


def in_colour() -> bool:
    """Whether the screen is a terminal that may show bold type (https://no-color.org)."""
    return sys.stdout.isatty() and not os.environ.get("NO_COLOR") and os.environ.get("TERM") != "dumb"


def add_lexicon(parser: argparse.ArgumentParser) -> None:
    """Options that say which sound, and what the user adds to the dictionary."""
    add = parser.add_argument
    add("--sound", default="t", metavar="NAME", help="the sound that is looked at: t or d (default: t)")
    add("--sounds", metavar="FOLDER", help="tables of sounds of your own (see: rules --check)")
    add(
        "--pronunciations",
        metavar="FILE",
        help="pronunciations of your own, one per line: grotto G R AA1 T OW0",
    )
    add(
        "--frequencies",
        metavar="FILE.csv",
        help="frequencies of your own: columns word and zipf or per_million",
    )
    add(
        "--never",
        metavar="FILE",
        help="words that you struck out, one per line: they and their forms are never shown",
    )
    add("--no-cache", action="store_true", help="work the dictionary out anew and keep nothing of it")


def supplements(options: argparse.Namespace) -> dict[str, Path | None]:
    """The user's files of :func:`add_lexicon` by name."""
    named = {name: getattr(options, name, None) for name in ("pronunciations", "frequencies")}
    return {name: Path(file) if file else None for name, file in named.items()}


def load_plain(options: argparse.Namespace) -> Lexicon:
    """The lexicon of the sound that is asked for, without the user's words."""
    from lexiconforge.lexicon import load_lexicon

    progress("reading the dictionary")
    return load_lexicon(options.sound, sounds=options.sounds, keep=not options.no_cache)


def load(options: argparse.Namespace) -> Lexicon:
    """The lexicon with the user's supplements, with word of what is going on, for a terminal."""
    from lexiconforge.lexicon import supplemented

    lexicon = load_plain(options)
    files = supplements(options)
    if any(files.values()):
        lexicon = supplemented(lexicon, **files)
        ungraded = sorted(word for word in lexicon.own if lexicon.rank(word) is None)
        if ungraded:
            more = f" and {len(ungraded) - 5} more" if len(ungraded) > 5 else ""
            notify(
                f"no frequency, so in no list: {', '.join(ungraded[:5])}{more}; give one with --frequencies"
            )
    if options.never:
        lexicon = lexicon.without(words_of(Path(options.never)))
    progress("working it out")
    return lexicon


def words_of(path: Path) -> list[str]:
    """The words and pairs of any file of words (:func:`lexiconforge.teaching.targets.read_targets`)."""
    from lexiconforge.teaching.targets import read_targets

    return [" ".join(target) for target in read_targets(path)]


def add_lines(parser: argparse.ArgumentParser) -> None:
    """The option for a teacher's own lines: ``lines``."""
    parser.add_argument(
        "--lines",
        metavar="FILE",
        help="sentences of your own, one per line: they are given before the program's",
    )


def own_lines(options: argparse.Namespace) -> list[Line]:
    """The lines of :func:`add_lines`."""
    from lexiconforge.text.corpus import read_lines

    return read_lines(Path(options.lines)) if options.lines else []


def progress(text: str) -> None:
    """Say on a terminal what is being done; ``""`` takes the line away."""
    if on_terminal():
        print(f"\r\x1b[K{text}", end="", file=sys.stderr, flush=True)


def on_terminal() -> bool:
    """Whether somebody may be watching."""
    return sys.stderr is not None and sys.stderr.isatty()


@contextlib.contextmanager
def bar(what: str, unit: str = "") -> Iterator[Callable[[int, int], None]]:
    """A bar on a terminal with the rate and the time that is left; elsewhere nothing.

    What it gives is called with how much is done and how much there is; ``unit`` is ``"B"`` for bytes.
    """
    if not on_terminal():
        yield lambda done, whole: go_on()
        return
    from tqdm import tqdm

    # Its thread that looks after bars would keep a process from being forked beside this one.
    tqdm.monitor_interval = 0
    progress("")
    with tqdm(
        desc=what,
        unit=unit or "it",
        unit_scale=unit == "B",
        leave=False,
        file=sys.stderr,
        dynamic_ncols=True,
    ) as shown:

        def advance(done: int, whole: int) -> None:
            go_on()
            shown.total = whole
            shown.update(done - shown.n)

        yield advance


def aligned(table: Table, *, bold: bool = False) -> str:
    """A table for the eye: columns of even width, numbers to the right; ``bold`` for the head and marked letters."""
    import unicodedata

    from lexiconforge.tables import column

    def width(text: str) -> int:
        return sum(not unicodedata.combining(letter) for letter in text)

    columns = []
    for name, values in table.columns.items():
        cells = [name.replace("_", " "), *("" if v is None or v != v else str(v) for v in values)]
        widths = list(map(width, cells))
        most = max(widths)
        right = column(table.kind, name).datatype in ("integer", "number")
        pads = [" " * (most - one) for one in widths]
        columns.append([pad + c if right else c + pad for c, pad in zip(cells, pads, strict=True)])
    lines = ["  ".join(row).rstrip() for row in zip(*columns, strict=True)]
    if bold:
        marked = [re.sub(r"\[[^\]]*\]", "\x1b[1m\\g<0>\x1b[22m", line) for line in lines[1:]]
        lines = [f"\x1b[1m{lines[0]}\x1b[22m", *marked]
    return "".join(f"{line}\n" for line in lines)


def notify(text: str) -> None:
    """One line for the person, beside the results."""
    tell(text)


def require_words(lexicon: Lexicon, words: Sequence[str]) -> None:
    """Raises NotFoundError for words the dictionary does not have, with the closest that it has."""
    from difflib import get_close_matches

    missing = [word for word in dict.fromkeys(words) if word not in lexicon]
    if not missing:
        return
    lines = []
    for word in missing:
        near = [other for other in lexicon if other[:1] == word[:1] and abs(len(other) - len(word)) <= 2]
        close = get_close_matches(word, near, n=40, cutoff=0.7)
        # Commonest first: what was meant is more often a common word than the nearest spelling.
        close = sorted(close, key=lambda other: lexicon.rank(other) or 10**9)[:5]
        hint = f"; closest: {', '.join(close)}" if close else ""
        lines.append(f"not in the dictionary: {word}{hint}")
    raise NotFoundError("\nlexiconforge: ".join(lines))


def note_left_out(count: int, include: Sequence[str]) -> None:
    """Say on standard error how many words screening kept out."""
    if count:
        notify(f"{count} left out (names, abbreviations and the like); --include lets them in")
