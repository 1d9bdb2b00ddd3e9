"""Subtitles as what they are: cues with times, whose text can be tagged and put back in its place.

Room: reads SRT and WebVTT as text and gives them back as text; numbers, times, settings, notes, styles and markup stay as
they are. As the WebVTT standard (W3C) has it, a block is what stands between blank lines; it is a cue if its first or
second line holds a timing, and everything after the timing is its text.
"""

from __future__ import annotations

import html
import re
from collections.abc import Callable, Iterator, Sequence
from typing import TYPE_CHECKING, NamedTuple

from lexiconforge.errors import ReadError

if TYPE_CHECKING:
    from lexiconforge.text.tagger import Passage, Tagger

ENDINGS = (".srt", ".vtt")
_TIME = r"(?:(\d+):)?(\d{1,2}):(\d{2})[.,](\d{3})"
_TIMING = re.compile(rf"^\s*{_TIME}\s+-->\s+{_TIME}")
_MARKUP = re.compile(r"<[^>\n]*>|\{\\[^}\n]*\}")
_PLACE = 0xE000
"""Characters of Unicode's private use area, from here, stand for line breaks and markup while a cue is tagged: they part
words, as a space does, and no phrases."""
_MOST = 0xF8FF - _PLACE


class Cue(NamedTuple):
    """A cue: seconds from the start of the film, its text with line breaks and markup, and where that stands in the file,
    in characters from 0."""

    start: float
    end: float
    text: str
    at: int

    @property
    def plain(self) -> str:
        """The text on one line, without markup."""
        return plain(self.text)


def plain(text: str) -> str:
    """Text of a cue on one line, without markup."""
    return " ".join(html.unescape(_MARKUP.sub("", text)).split())


def cues(text: str) -> list[Cue]:
    """The cues of an SRT or WebVTT file, in its order. Raises ReadError for a text without any.

    >>> cues("1\\n00:00:01,000 --> 00:00:02,500\\nPut it on.\\n")[0][:3]
    (1.0, 2.5, 'Put it on.')
    """
    found = list(_cues(text))
    if not found:
        raise ReadError("no cues in it; not SRT or WebVTT subtitles")
    return found


def _cues(text: str) -> Iterator[Cue]:
    block: list[tuple[str, int]] = []
    at = 0
    for line in [*text.splitlines(keepends=True), "\n"]:
        if line.strip():
            block.append((line, at))
        else:
            yield from _cue(block)
            block = []
        at += len(line)


def _cue(block: Sequence[tuple[str, int]]) -> Iterator[Cue]:
    for place, (line, _) in enumerate(block[:2]):
        timing = _TIMING.match(line.lstrip("\ufeff"))
        if timing:
            lines = block[place + 1 :]
            text = "".join(line for line, _ in lines).rstrip("\r\n")
            if text:
                parts = timing.groups()
                yield Cue(_seconds(parts[:4]), _seconds(parts[4:]), text, lines[0][1])
            return


def _seconds(parts: Sequence[str | None]) -> float:
    hours, minutes, seconds, thousandths = (int(part or 0) for part in parts)
    return hours * 3600 + minutes * 60 + seconds + thousandths / 1000


class TaggedCue(NamedTuple):
    """A cue with its text marked, markup and line breaks in their places."""

    cue: Cue
    marked: str


def tag_cues(
    found: Sequence[Cue], tagger: Tagger, progress: Callable[[float], None] = lambda share: None
) -> tuple[list[TaggedCue], Passage]:
    """The cues with their texts marked, and the passage of them all, a line each: words link over the line breaks of a cue,
    and not from one cue to the next."""
    hidden = [_hidden(cue.text) for cue in found]
    passage = tagger.tag_text("\n".join(text for text, _, _ in hidden), progress)
    lines = passage.marked.split("\n")
    return [
        TaggedCue(cue, _shown(line, kept, escaped=escaped))
        for cue, line, (_, kept, escaped) in zip(found, lines, hidden, strict=True)
    ], passage


def _hidden(text: str) -> tuple[str, list[str], bool]:
    """The text on one line with markup and line breaks as single characters, these, and whether it has character
    references."""
    kept: list[str] = []

    def keep(match: re.Match[str]) -> str:
        if len(kept) >= _MOST:
            raise ReadError(f"a cue with more than {_MOST} line breaks and marks")
        kept.append(match.group())
        return chr(_PLACE + len(kept) - 1)

    if any(_PLACE <= ord(letter) <= 0xF8FF for letter in text):
        raise ReadError("characters of the private use area in a cue")
    hidden = re.sub(rf"{_MARKUP.pattern}|\r?\n", keep, text)
    return html.unescape(hidden).replace("\n", " "), kept, html.unescape(hidden) != hidden


def _shown(line: str, kept: Sequence[str], *, escaped: bool) -> str:
    if escaped:
        line = html.escape(line, quote=False)
    for n, text in enumerate(kept):
        line = line.replace(chr(_PLACE + n), text)
    return line


def annotated(text: str, tagged: Sequence[TaggedCue]) -> str:
    """The file with the texts of its cues marked and everything else as it was."""
    out, done = [], 0
    for cue, marked in tagged:
        out += [text[done : cue.at], marked]
        done = cue.at + len(cue.text)
    return "".join([*out, text[done:]])
