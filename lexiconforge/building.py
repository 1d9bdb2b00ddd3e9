"""The main job: every table and list of a build, made once and handed to the export.

Room: calls the makers in order and names the files; decides nothing about words or sounds. T tokens and
links are made on a second core while words and lists are made on the first.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Collection, Iterator
from dataclasses import asdict, dataclass
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING

from lexiconforge import __version__
from lexiconforge.export.folder import beside, delivery, put
from lexiconforge.export.manifest import credits_text, manifest_text
from lexiconforge.export.schema import TABLES, csv_files
from lexiconforge.lexicon import Lexicon, load_lexicon, supplemented, t_tokens, words
from lexiconforge.linking import LinkChoice, links
from lexiconforge.sources import SOURCES
from lexiconforge.sources.frequencies import Frequencies, counted_frequencies
from lexiconforge.sources.own_counts import blended_pairs, load_own_counts
from lexiconforge.sources.word_pairs import load_word_pairs
from lexiconforge.wordlists import (
    LEFT_OUT_COLUMNS,
    LISTS,
    Choice,
    ChoiceError,
    word_cards,
    word_list,
)

if TYPE_CHECKING:
    import pandas as pd

    from lexiconforge.export.workbook import Sheet


PAGE_WORDS = 5000
"""Words of the page, the commonest with a t: as many as it filters in a tenth of a second."""


@dataclass(frozen=True, kw_only=True)
class BuildOptions:
    """``size`` is the most rows of a graded list; ``all_forms`` lists every member of a family;
    ``xlsx`` and ``html`` add a workbook of the lists and a page to choose from; ``bom`` begins CSV files with a
    byte order mark; ``include`` lets in kinds of words that screening leaves out; ``counts``, a file that
    ``lexiconforge mine`` wrote, grades and links by one's own texts, blended with the shipped counts if ``blend``;
    ``pronunciations`` and ``frequencies`` are files of words of one's own
    (:mod:`lexiconforge.sources.supplements`). Raises
    :class:`~lexiconforge.wordlists.ChoiceError`."""

    size: int = 500
    all_forms: bool = False
    include: Collection[str] = ()
    xlsx: bool = False
    html: bool = False
    bom: bool = False
    pronunciations: Path | None = None
    frequencies: Path | None = None
    counts: Path | None = None
    blend: bool = False

    def __post_init__(self) -> None:
        if self.size < 1:
            raise ChoiceError(f"size {self.size}: must be 1 or more")
        Choice(include=self.include)
        if self.counts and self.frequencies:
            raise ChoiceError("counts and frequencies of your own: give one of the two")


@dataclass(frozen=True)
class Account:
    """What a build did: data rows by file, in the order of the files, and the words that screening kept out
    of the lists by reason, each word once."""

    rows: dict[str, int]
    left_out: dict[str, int]


def build(
    folder: Path,
    options: BuildOptions | None = None,
    lexicon: Lexicon | None = None,
    step: Callable[[str], None] = lambda name: None,
) -> Account:
    """Write every table and list, the manifest and the credits into a folder: all files or none.

    ``step`` is told what comes next. Files: ``t_tokens.csv``, ``words.csv``, ``lists/*.csv``, ``links.csv``;
    ``left_out.csv``, the words that screening kept out of each list, down to the list's last word;
    ``manifest.json``, ``SOURCES.md``. The same sources and options give the same bytes.

    Raises :class:`lexiconforge.export.folder.WriteError` and :class:`lexiconforge.sources.SourceError`.
    """
    options = options or BuildOptions()
    step("sources")
    lexicon = lexicon or load_lexicon()
    if options.pronunciations or options.frequencies:
        lexicon = supplemented(
            lexicon, pronunciations=options.pronunciations, frequencies=options.frequencies
        )
    pairs = load_word_pairs()
    if options.counts is not None:
        own = load_own_counts(options.counts)
        shipped = lexicon.frequencies if isinstance(lexicon.frequencies, Frequencies) else None
        lexicon = Lexicon(
            pronunciations=lexicon.pronunciations,
            frequencies=counted_frequencies(own.words, shipped if options.blend else None),
            general=shipped,
            own=lexicon.own,
        )
        pairs = blended_pairs(own.pairs, pairs) if options.blend else own.pairs
    rows: dict[str, int] = {}
    sheets: list[Sheet] = []
    with delivery(folder) as scratch:
        # Both halves below need these, so they are made before the process is copied.
        for word in lexicon.with_t:
            lexicon.tag_phones(word, lexicon.main_phones(word))
        lexicon.verdicts([])
        other_half = partial(_write_tokens_and_links, lexicon, pairs, options, scratch)
        with beside(other_half) as finish:
            for name, table in _tables(lexicon, options, step):
                _write_csv(scratch, name, table, options)
                rows[name] = len(table)
                if options.xlsx and name.startswith("lists/"):
                    sheets.append(_sheet(name, table))
                if name == "left_out.csv":
                    left_out = _count_reasons(table)
            step("t_tokens.csv, links.csv")
            rows = finish() | rows
        if options.html:
            from lexiconforge.export.page import page_text

            step("words.html")
            cards = word_cards(lexicon, Choice(include=options.include, limit=PAGE_WORDS))
            page = page_text(cards, SOURCES)
            put(scratch / "words.html", page.encode())
            rows["words.html"] = len(cards)
        if options.xlsx:
            from lexiconforge.export.workbook import workbook_bytes

            step("lists.xlsx")
            # Made a second time: the first was made in the copy of this process, which gives numbers back, no tables.
            table = links(lexicon, pairs, LinkChoice(include=tuple(options.include)))
            sheets.append(_sheet("links.csv", table))
            put(scratch / "lists.xlsx", workbook_bytes(sheets, SOURCES))
        credits = credits_text(SOURCES, _remark(options))
        put(scratch / "SOURCES.md", credits.encode())
        text = manifest_text(
            scratch,
            version=__version__,
            options=asdict(options)
            | {
                "include": sorted(options.include),
            }
            | {
                name: file.name if (file := getattr(options, name)) else None
                for name in ("counts", "pronunciations", "frequencies")
            },
            sources=SOURCES,
            rows=rows,
            left_out=left_out,
        )
        put(scratch / "manifest.json", text.encode())
        step("")
    return Account(rows, left_out)


def _write_csv(folder: Path, name: str, table: pd.DataFrame, options: BuildOptions) -> None:
    path = folder / name
    path.parent.mkdir(exist_ok=True)
    for file, content in csv_files(path.name, table, *_kind(name), bom=options.bom).items():
        put(path.with_name(file), content)


def _kind(name: str) -> tuple[str, str]:
    """The kind and the title of the table in a file."""
    titles = {f"lists/{target.name}.csv": target.title for target in LISTS}
    if name in titles:
        return "list", titles[name]
    kind = name.removesuffix(".csv")
    return kind, TABLES[kind]


def _sheet(name: str, table: pd.DataFrame) -> Sheet:
    from lexiconforge.export.workbook import Sheet

    return Sheet(Path(name).stem, *_kind(name), table)


def _remark(options: BuildOptions) -> str:
    own = [file.name for file in (options.pronunciations, options.frequencies) if file is not None]
    if own:
        return f"Words of the user's own are from {' and '.join(own)}; the rest as below."
    if options.counts is None:
        return ""
    mixed = ", blended with the sources below" if options.blend else ", not from the sources below"
    return f"Ranks, frequencies and word pairs come from the counts in {options.counts.name}{mixed}."


def _write_tokens_and_links(
    lexicon: Lexicon, pairs: pd.DataFrame, options: BuildOptions, folder: Path
) -> dict[str, int]:
    """The half of a build that needs nothing of the other; rows by file."""
    choice = LinkChoice(include=tuple(options.include))
    tables = {"t_tokens.csv": t_tokens(lexicon), "links.csv": links(lexicon, pairs, choice)}
    for name, table in tables.items():
        _write_csv(folder, name, table, options)
    return {name: len(table) for name, table in tables.items()}


def _tables(
    lexicon: Lexicon, options: BuildOptions, step: Callable[[str], None]
) -> Iterator[tuple[str, pd.DataFrame]]:
    """Words, lists and what they leave out, by file name."""
    import pandas as pd

    step("words.csv")
    yield "words.csv", words(lexicon)
    left_out: list[pd.DataFrame] = []
    for target in LISTS:
        step(f"lists/{target.name}.csv")
        made = word_list(
            lexicon,
            Choice(
                allophone=target.allophone,
                environment=target.environment,
                include=options.include,
                one_per_family=not options.all_forms,
                limit=options.size,
            ),
        )
        left_out.append(made.left_out.assign(list=target.name))
        yield f"lists/{target.name}.csv", made.rows
    yield "left_out.csv", pd.concat(left_out, ignore_index=True)[list(LEFT_OUT_COLUMNS)]


def _count_reasons(left_out: pd.DataFrame) -> dict[str, int]:
    reasons = left_out.drop_duplicates("word")["reason"]
    counts = Counter(reason for cell in reasons for reason in cell.split("; "))
    return dict(sorted(counts.items()))
