"""The main job: every table and list of a build, made once and handed to the export.

Room: calls the makers in order and names the files; decides nothing about words or sounds.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Collection
from dataclasses import asdict, dataclass
from pathlib import Path
from typing import TYPE_CHECKING

from lexiconforge import __version__
from lexiconforge.export.folder import delivery
from lexiconforge.export.manifest import credits_text, manifest_text
from lexiconforge.export.tables import csv_text
from lexiconforge.lexicon import Lexicon, load_lexicon, t_tokens, words
from lexiconforge.linking import LinkChoice, links
from lexiconforge.sources import SOURCES
from lexiconforge.sources.word_pairs import load_word_pairs
from lexiconforge.wordlists import LEFT_OUT_COLUMNS, LISTS, Choice, ChoiceError, word_list

if TYPE_CHECKING:
    import pandas as pd


@dataclass(frozen=True, kw_only=True)
class BuildOptions:
    """``size`` is the most rows of a graded list; ``all_forms`` lists every member of a family;
    ``include`` lets in kinds of words that screening leaves out. Raises
    :class:`~lexiconforge.wordlists.ChoiceError`."""

    size: int = 500
    all_forms: bool = False
    include: Collection[str] = ()

    def __post_init__(self) -> None:
        if self.size < 1:
            raise ChoiceError(f"size {self.size}: must be 1 or more")
        Choice(include=self.include)


@dataclass(frozen=True)
class Build:
    """``tables`` by file name, in the order they are written; ``left_out`` counts words by reason, over all
    lists, each word once."""

    tables: dict[str, pd.DataFrame]
    left_out: dict[str, int]


def build_tables(
    options: BuildOptions,
    lexicon: Lexicon | None = None,
    step: Callable[[str], None] = lambda name: None,
) -> Build:
    """Every table of a build. ``step`` is told the name of each before it is made.

    Tables: ``t_tokens.csv``, ``words.csv``, ``lists/*.csv``, ``links.csv``, and ``left_out.csv``, the words
    that screening kept out of each list, down to the list's last word.
    """
    import pandas as pd

    step("loading the sources")
    lexicon = lexicon or load_lexicon()
    tables: dict[str, pd.DataFrame] = {}
    step("t_tokens.csv")
    tables["t_tokens.csv"] = t_tokens(lexicon)
    step("words.csv")
    tables["words.csv"] = words(lexicon)
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
        tables[f"lists/{target.name}.csv"] = made.rows
        left_out.append(made.left_out.assign(list=target.name))
    step("links.csv")
    tables["links.csv"] = links(
        lexicon, load_word_pairs(), LinkChoice(include=tuple(options.include))
    )
    all_left_out = pd.concat(left_out, ignore_index=True)[list(LEFT_OUT_COLUMNS)]
    tables["left_out.csv"] = all_left_out
    reasons = all_left_out.drop_duplicates("word")["reason"]
    counts = Counter(reason for cell in reasons for reason in cell.split("; "))
    return Build(tables, dict(sorted(counts.items())))


def write_build(built: Build, options: BuildOptions, folder: Path) -> None:
    """Write a build with its manifest and credits into a folder, all files or none.

    Raises :class:`lexiconforge.export.folder.WriteError`.
    """
    with delivery(folder) as scratch:
        rows = {}
        for name, table in built.tables.items():
            path = scratch / name
            path.parent.mkdir(exist_ok=True)
            path.write_text(csv_text(table), encoding="utf-8", newline="")
            rows[name] = len(table)
        (scratch / "SOURCES.md").write_text(credits_text(SOURCES), encoding="utf-8", newline="")
        text = manifest_text(
            scratch,
            version=__version__,
            options=asdict(options) | {"include": sorted(options.include)},
            sources=SOURCES,
            rows=rows,
            left_out=built.left_out,
        )
        (scratch / "manifest.json").write_text(text, encoding="utf-8", newline="")
