"""The main job: every table and list of a build, made once and handed to the export.

Room: calls the makers in order and names the files; decides nothing about words or sounds.
"""

from __future__ import annotations

import contextlib
from collections import Counter
from collections.abc import Callable, Collection, Iterator, Mapping, Sequence
from dataclasses import dataclass, fields
from functools import cache, partial
from pathlib import Path
from typing import TYPE_CHECKING

from lexiconforge import options as checks
from lexiconforge.beside import beside
from lexiconforge.errors import OptionError, WriteError
from lexiconforge.export.exporters import layout
from lexiconforge.export.folder import delivery, write_file
from lexiconforge.export.manifest import Built, built_before, credits_text, manifest_text, untouched
from lexiconforge.export.schema import csv_files
from lexiconforge.lexicon import Lexicon, load_lexicon, supplemented
from lexiconforge.lexicon.catalog import token_table, word_table
from lexiconforge.lists.examples import Examples
from lexiconforge.lists.linking import LinkFilter, link_table
from lexiconforge.lists.options import included
from lexiconforge.lists.wordlists import LEFT_OUT_COLUMNS, WordFilter, cards, default_filter, select
from lexiconforge.sources import SOURCES
from lexiconforge.sources.own_counts import OwnCounts
from lexiconforge.sources.word_pairs import load_word_pairs
from lexiconforge.tables import TITLES, Table
from lexiconforge.version import __version__

if TYPE_CHECKING:
    import pandas as pd

    from lexiconforge.export.page import Mark, Material
    from lexiconforge.sounds import Sound

PAGE_WORDS = 5000
"""Words of the page, the commonest with the sound: as many as it filters in a twentieth of a second."""
PAGE_LINKS, PAGE_CONTRASTS, PAGE_LINES, PAGE_LESSONS = 1000, 100, 2000, 12
"""Most links, contrasts of each kind, lines and lessons of the page: with its words they stay under 1.5 MB."""


@dataclass(frozen=True, kw_only=True)
class BuildOptions:
    """``size`` is the most rows of a graded list; ``all_forms`` lists every member of a family;
    ``xlsx`` and ``html`` add a workbook of the lists and a page to choose from; ``bom`` begins CSV files with a
    byte order mark, ``separator`` (``,``, ``;`` or a tab) stands between their cells and ``decimal`` in their numbers;
    ``include`` lets in kinds of words that screening leaves out; ``counts``, a file that
    ``lexiconforge mine`` wrote or what :func:`~lexiconforge.mining.memory.count_texts` gave, grades and links by one's own
    texts, blended with the shipped counts if ``blend``; ``pronunciations`` and ``frequencies`` are files or mappings of
    words of one's own (:mod:`lexiconforge.sources.supplements`); ``force`` replaces the files of a build of another sound,
    and files that no build wrote. Raises :class:`~lexiconforge.errors.OptionError`."""

    size: int = 500
    all_forms: bool = False
    include: Collection[str] | str = ()
    xlsx: bool = False
    html: bool = False
    bom: bool = False
    separator: str = ","
    decimal: str = "."
    pronunciations: Path | str | Mapping[str, str | Sequence[str]] | None = None
    frequencies: Path | str | Mapping[str, float] | None = None
    counts: Path | str | OwnCounts | pd.DataFrame | None = None
    blend: bool = False
    force: bool = False

    def __post_init__(self) -> None:
        checks.whole("size", self.size)
        object.__setattr__(self, "include", included(self.include))
        for name in ("all_forms", "xlsx", "html", "bom", "blend", "force"):
            checks.flag(name.replace("_", " "), getattr(self, name))
        for name in ("pronunciations", "frequencies", "counts"):
            given = getattr(self, name)
            if not (isinstance(given, Mapping | OwnCounts) or hasattr(given, "columns")):
                object.__setattr__(self, name, checks.path(name, given))
        object.__setattr__(self, "separator", layout(self.separator, self.decimal).separator)
        if self.counts is not None and self.frequencies:
            raise OptionError("counts and frequencies of your own: give one of the two")
        if self.blend and self.counts is None:
            raise OptionError("blend goes with counts")


@dataclass(frozen=True)
class BuildResult:
    """What a build did: data rows by file, in the order of the files, what each file is, and the words that screening
    kept out of the lists by reason, each word once."""

    rows: dict[str, int]
    titles: dict[str, str]
    left_out: dict[str, int]


def build(
    folder: Path | str,
    options: BuildOptions | None = None,
    lexicon: Lexicon | None = None,
    progress: Callable[[str], None] = lambda name: None,
) -> BuildResult:
    """Write every table and list, the rule tables, the manifest and the credits into a folder: all files or none.

    ``progress`` is told what comes next. Files: ``words.csv``, ``lists/*.csv``; ``left_out.csv``, the words that
    screening kept out of each list, down to the list's last word; the occurrences of the sound (``t_tokens.csv``),
    ``links.csv``; ``sounds/``, the rule tables; ``manifest.json``, ``SOURCES.md``. The same sources and options give the
    same bytes.

    Raises :class:`~lexiconforge.errors.WriteError`, also for a folder that holds a build of another sound, unless
    ``force``, and :class:`~lexiconforge.errors.SourceError`.
    """
    folder, options = Path(folder), options or BuildOptions()
    progress("sources")
    lexicon = lexicon or load_lexicon()
    before = _replaced(folder, lexicon.sound, options)
    lexicon, pairs = _graded(lexicon, options)
    given = (options.counts, options.pronunciations, options.frequencies)
    own = [Path(file) for file in given if isinstance(file, str | Path)]
    over = None if options.force else partial(untouched, folder)
    linking = LinkFilter(include=options.include)
    with (
        delivery(folder, replacing=before.files, reading=own, over=over) as scratch,
        beside(lambda: link_table(lexicon, pairs(), linking)) as links,
    ):
        maker = _Maker(lexicon, pairs, links, options, progress)
        for name, title, table in maker.tables():
            maker.write(scratch, name, title, table)
        if options.html:
            maker.write_page(scratch)
        if options.xlsx:
            maker.write_workbook(scratch)
        for name, content in lexicon.sound.files.items():
            path = scratch / "sounds" / name
            path.parent.mkdir(parents=True, exist_ok=True)
            write_file(path, content)
        write_file(scratch / "SOURCES.md", credits_text(SOURCES, _remark(options)).encode())
        chosen = {field.name: getattr(options, field.name) for field in fields(options)}
        named = {name: _named(chosen[name]) for name in ("counts", "pronunciations", "frequencies")}
        chosen |= {"include": sorted(options.include)} | named
        del chosen["force"]
        text = manifest_text(
            scratch,
            version=__version__,
            sound=lexicon.sound.name,
            options=chosen,
            sources=SOURCES,
            rows=maker.rows,
            left_out=maker.left_out,
        )
        write_file(scratch / "manifest.json", text.encode())
        progress("")
    return BuildResult(maker.rows, maker.titles, maker.left_out)


def _named(given: object) -> str | None:
    """What a user's own data is called where it is told of."""
    if given is None:
        return None
    if isinstance(given, str | Path):
        return Path(given).name or None
    return "memory"


def _replaced(folder: Path, sound: Sound, options: BuildOptions) -> Built:
    """The build of another sound that this one takes the place of. Raises WriteError unless that is wanted."""
    before = built_before(folder)
    if before is None or before.sound == sound.name:
        return Built(sound.name, [])
    if not options.force:
        raise WriteError(
            f"{folder} holds a build of the sound {before.sound}; choose another place with --out, or replace it "
            "with --force"
        )
    return before


def _graded(lexicon: Lexicon, options: BuildOptions) -> tuple[Lexicon, Callable[[], pd.DataFrame]]:
    """The lexicon with what the user brings, and who gives the counts of pairs."""
    if options.pronunciations or options.frequencies:
        lexicon = supplemented(
            lexicon, pronunciations=options.pronunciations, frequencies=options.frequencies
        )
    if options.counts is None:
        return lexicon, load_word_pairs
    from lexiconforge.sources.frequencies import counted_frequencies, load_frequencies
    from lexiconforge.sources.own_counts import blended_pairs, own_counts

    own = own_counts(options.counts)
    shipped = load_frequencies() if options.blend else None
    lexicon = lexicon.with_frequencies(counted_frequencies(own.words, shipped))
    if options.blend:
        return lexicon, lambda: blended_pairs(own.pairs, load_word_pairs())
    return lexicon, lambda: own.pairs


class _Maker:
    """Makes the tables of one build and remembers what it wrote."""

    def __init__(
        self,
        lexicon: Lexicon,
        pairs: Callable[[], pd.DataFrame],
        links: Callable[[], Table],
        options: BuildOptions,
        progress: Callable[[str], None],
    ) -> None:
        self._lexicon, self._pairs, self._made_links = lexicon, pairs, links
        self._options, self._progress = options, progress
        self.rows: dict[str, int] = {}
        self.titles: dict[str, str] = {}
        self.left_out: dict[str, int] = {}
        self._sheets: list[tuple[str, str, Table]] = []
        self.links: Table | None = None

    def tables(self) -> Iterator[tuple[str, str, Table]]:
        """Every table, by its file name, with what it is."""
        lexicon, options, say = self._lexicon, self._options, self._progress
        sound = lexicon.sound
        say("words.csv")
        yield "words.csv", f"Words with a {sound.letters} and a frequency", word_table(lexicon)
        kept_out: list[tuple[object, ...]] = []
        examples = Examples(lexicon)
        for target in sound.lists:
            name = f"lists/{target.name}.csv"
            say(name)
            wanted = default_filter(
                target, include=options.include, all_forms=options.all_forms, size=options.size
            )
            made = select(lexicon, wanted, examples)
            kept_out += [(target.name, *row) for row in made.left_out.rows()]
            yield name, target.title, made.rows
        left_out = Table.of_rows("left_out", ("list", *LEFT_OUT_COLUMNS), kept_out)
        self.left_out = _count_reasons(left_out)
        yield "left_out.csv", TITLES["left_out"], left_out
        name = f"{sound.name}_tokens.csv"
        say(name)
        yield name, f"Every {sound.letters} of every pronunciation", token_table(lexicon)
        say("links.csv")
        self.links = self._made_links()
        yield "links.csv", TITLES["links"], self.links

    def write(self, folder: Path, name: str, title: str, table: Table) -> None:
        """Write a table as CSV with its metadata, and keep it for the workbook if it goes there."""
        path = folder / name
        path.parent.mkdir(exist_ok=True)
        chosen = self._options
        files = csv_files(
            path.name, table, title, bom=chosen.bom, separator=chosen.separator, decimal=chosen.decimal
        )
        for file, content in files.items():
            write_file(path.with_name(file), content)
        self.rows[name], self.titles[name] = len(table), title
        if self._options.xlsx and (name.startswith("lists/") or name == "links.csv"):
            self._sheets.append((Path(name).stem, title, table))

    def write_page(self, folder: Path) -> None:
        """Write the page to choose words from."""
        from lexiconforge.export.page import page_text

        self._progress("words.html")
        lexicon, include = self._lexicon, self._options.include
        chosen = cards(lexicon, WordFilter(include=include, limit=PAGE_WORDS))
        beside = page_material(lexicon, self._pairs(), self.links, include)
        text = page_text(chosen, lexicon.sound, SOURCES, material=beside)
        write_file(folder / "words.html", text.encode())
        self.rows["words.html"] = len(chosen)
        self.titles["words.html"] = "The commonest words, to choose from"

    def write_workbook(self, folder: Path) -> None:
        """Write the workbook of the lists and links."""
        from lexiconforge.export.workbook import Sheet, workbook_bytes

        self._progress("lists.xlsx")
        sheets = [Sheet(*sheet) for sheet in self._sheets]
        write_file(folder / "lists.xlsx", workbook_bytes(sheets, SOURCES))


def page_material(
    lexicon: Lexicon, pairs: pd.DataFrame, links: Table | None, include: Collection[str] = ()
) -> Material:
    """What stands beside the words on a page: the first rows of ``links``, contrasts of every kind, and the
    project's own lines that hold the sound a page opens on, the easiest first."""
    from lexiconforge.export.page import Material
    from lexiconforge.lists.contrasts import contrast_table
    from lexiconforge.teaching.planning import PlanOptions, plan_table
    from lexiconforge.text.corpus import own_lines
    from lexiconforge.text.tagger import Tagger

    sound, tagger = lexicon.sound, Tagger(lexicon)
    target = sound.target_id()

    @cache
    def marks(text: str) -> tuple[Mark, ...]:
        tagged = tagger.tag_text(text).table
        return tuple(zip(tagged["start"], tagged["end"], tagged["allophone"], strict=True))

    easy = Examples(lexicon)
    costs = {
        line.text: cost
        for line in own_lines()
        if (cost := easy.cost(line, ())) < float("inf")
        and any(mark[2] == target for mark in marks(line.text))
    }
    contrasts = contrast_table(
        lexicon, pairs, sound.contrasts, limit=PAGE_CONTRASTS, include=included(include)
    )
    lessons = None
    with contextlib.suppress(OptionError):  # own counts may have too few words for any
        lessons = plan_table(lexicon, pairs, PlanOptions(lessons=PAGE_LESSONS, include=include))
    return Material(
        links=None if links is None else links.first(PAGE_LINKS),
        contrasts=contrasts,
        lessons=lessons,
        lines=sorted(costs, key=lambda text: costs[text])[:PAGE_LINES],
        marks=marks,
    )


def _remark(options: BuildOptions) -> str:
    own = list(filter(None, map(_named, (options.pronunciations, options.frequencies))))
    if own:
        return f"Words of the user's own are from {' and '.join(own)}; the rest as below."
    if options.counts is None:
        return ""
    mixed = ", blended with the sources below" if options.blend else ", not from the sources below"
    return f"Ranks, frequencies and word pairs come from the counts in {_named(options.counts)}{mixed}."


def _count_reasons(left_out: Table) -> dict[str, int]:
    reasons = dict(zip(reversed(left_out["word"]), reversed(left_out["reason"]), strict=True))
    counts = Counter(reason for cell in reasons.values() for reason in cell.split("; "))
    return dict(sorted(counts.items()))
