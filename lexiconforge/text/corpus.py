"""Lines to say aloud: the project's own, or a teacher's, as plain text.

Room: reads files of the shape that ``data/corpus/README.md`` describes. A line stands by itself; a dialogue is a block of
lines with names before a colon, between blank lines; a first line that a blank line follows, without a stop, is a title.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from functools import cache, lru_cache
from itertools import chain, pairwise
from pathlib import Path
from typing import NamedTuple

from lexiconforge.errors import ReadError
from lexiconforge.text.phrases import phrases, spelling
from lexiconforge.text.readers import read_text

OWN = Path(__file__).parent.parent / "data" / "corpus"
"""The folder of the project's own lines, a file for each scene."""
KEPT = 20_000
"""Lines whose phrases are remembered: more than the project has."""
_SPEAKER = re.compile(r"^([A-Z][\w.]*(?: [A-Z][\w.]*)?):\s+")
_STOP = (".", "!", "?")


class Line(NamedTuple):
    """One line: what is said, who says it (``""`` if nobody is named), the number of its dialogue in the file, 0 outside
    one, and where it stands."""

    text: str
    speaker: str = ""
    dialogue: int = 0
    file: str = ""
    number: int = 0

    @property
    def phrases(self) -> tuple[tuple[str, ...], ...]:
        """Its phrases, as words in small letters."""
        return spoken_phrases(self.text)

    @property
    def words(self) -> tuple[str, ...]:
        """Its words, in small letters."""
        return spoken_words(self.text)

    @property
    def pairs(self) -> Iterator[tuple[str, str]]:
        """Words that meet in one breath: a mark that parts phrases is between no pair."""
        return chain.from_iterable(map(pairwise, self.phrases))


@lru_cache(maxsize=KEPT)
def spoken_phrases(text: str) -> tuple[tuple[str, ...], ...]:
    """The phrases of a line, their words in small letters.

    >>> spoken_phrases("Etta, it's hot.")
    (('etta',), ("it's", 'hot'))
    """
    return tuple(tuple(spelling(item.text) for item in phrase) for phrase in phrases(text))


@lru_cache(maxsize=KEPT)
def spoken_words(text: str) -> tuple[str, ...]:
    """The words of a line, in small letters.

    >>> spoken_words("Etta, it's hot.")
    ('etta', "it's", 'hot')
    """
    return tuple(chain.from_iterable(spoken_phrases(text)))


def read_lines(path: Path) -> list[Line]:
    """The lines of one file. Raises :class:`~lexiconforge.errors.ReadError` naming the file."""
    try:
        written = "".join(read_text(path, note=lambda text: None)).split("\n")
    except ReadError as problem:
        raise ReadError(f"{path}: {problem}") from None
    found: list[Line] = []
    dialogue = 0
    inside = False
    for number, raw in enumerate(written, start=1):
        text = raw.strip()
        following = written[number].strip() if number < len(written) else ""
        if not text or (number == 1 and not following and not text.endswith(_STOP)):
            inside = False
            continue
        named = _SPEAKER.match(text)
        if named is not None:
            dialogue += not inside
            text = text[named.end() :]
        inside = named is not None
        speaker = named[1] if named is not None else ""
        found.append(Line(text, speaker, dialogue if inside else 0, path.name, number))
    return found


@cache
def own_lines() -> tuple[Line, ...]:
    """The project's own lines, file by file.

    >>> all(len(line.words) <= 12 for line in own_lines())
    True
    """
    return tuple(line for path in sorted(OWN.glob("*.txt")) for line in read_lines(path))


def dialogues(lines: Sequence[Line]) -> dict[tuple[str, int], list[Line]]:
    """The lines of each dialogue by file and number."""
    found: dict[tuple[str, int], list[Line]] = {}
    for line in lines:
        if line.dialogue:
            found.setdefault((line.file, line.dialogue), []).append(line)
    return found
