"""What a word is when a body of text is counted, fast or as it is said.

Fast, a word is a run of letters in lower case, with apostrophes inside (*don't*); a curly apostrophe is a straight one.
A sentence ends at ``.``, ``!``, ``?``, ``;``, ``:``, a number or a line break; anything else between words (a
comma, a hyphen, a quotation mark) only parts them. As it is said, words and pauses are those of tagging
(:mod:`lexiconforge.text.phrases`): numbers and abbreviations are read out, who speaks is left out, and a comma or a filler
is a pause, across which no pair is counted.
"""

from __future__ import annotations

import codecs
from collections.abc import Iterable, Iterator

from lexiconforge.text.phrases import UNREAD, items

_ENDS = b".!?;:\n\r0123456789"
_KEPT = {ord("'"): ord("'"), **dict.fromkeys(_ENDS, ord("\n"))}
_KEPT |= {code: code for code in range(128, 256)}
_KEPT |= {code: code for code in range(ord("a"), ord("z") + 1)}
_KEPT |= {code - 32: code for code in range(ord("a"), ord("z") + 1)}
_TABLE = bytes(_KEPT.get(code, ord(" ")) for code in range(256))


def _letter(other: str) -> str:
    if other in "’ʼ":
        return "'"
    if other == "…":
        return "\n"
    lower = other.lower()
    return lower if lower.isalpha() else " "


def _others(error: UnicodeError) -> tuple[bytes, int]:
    """What stands for a run of letters and signs outside ASCII, for :func:`codecs.register_error`."""
    if not isinstance(error, UnicodeEncodeError):
        raise error
    run = error.object[error.start : error.end]
    return "".join(map(_letter, run)).encode("utf-8", errors="ignore"), error.end


# The encoder passes over ASCII many times faster than a regular expression does, and stops at the rest.
_HANDLER = "lexiconforge-words"
codecs.register_error(_HANDLER, _others)


def normalise(text: str) -> bytes:
    """Letters in lower case, apostrophes and spaces, a sentence a line, in UTF-8.

    In bytes because a hundred megabytes go through here in a second. What is left to do for words is cheaper
    later: spaces may come in runs, and a word may still have apostrophes at its ends (:data:`EDGE`).
    """
    return text.encode("ascii", _HANDLER).translate(_TABLE)


LONGEST = 1 << 14
"""Characters of a line that is read as it is said; a longer one is cut, at a space where it has one."""


def as_said(pieces: Iterable[str]) -> Iterator[bytes]:
    """The words of a text that comes in pieces as they are said, with spaces between, a phrase a line, in UTF-8.

    >>> b"".join(as_said(["Etta: it's 8:", "15, uh, put it on\\n"])).decode().split()
    ["it's", 'eight', 'fifteen', 'put', 'it', 'on']
    """
    rest = ""
    for piece in pieces:
        *lines, rest = f"{rest}{piece}".replace("\r\n", "\n").replace("\r", "\n").split("\n")
        for line in lines:
            yield from _said(line)
        while len(rest) > LONGEST:
            cut = _cut(rest)
            yield from _said(rest[:cut])
            rest = rest[cut:]
    yield from _said(rest)


def _cut(line: str) -> int:
    return line.rfind(" ", 0, LONGEST) + 1 or LONGEST


def _said(line: str) -> Iterator[bytes]:
    while line:
        cut = len(line) if len(line) <= LONGEST else _cut(line)
        said = (
            "\n" if item is None or item.kind == UNREAD else f"{item.text} "
            for item in [*items(line[:cut]), None]
        )
        yield normalise("".join(said))
        line = line[cut:]


EDGE = "'"
"""Taken off both ends of a word; a word of nothing else is none."""


def sentences(text: str) -> list[list[str]]:
    """The words of each sentence, empty sentences left out.

    >>> sentences("Don’t put it on. It's 'hot'!")
    [["don't", 'put', 'it', 'on'], ["it's", 'hot']]
    """
    found = []
    for line in normalise(text).decode().split("\n"):
        words = [stripped for word in line.split() if (stripped := word.strip(EDGE))]
        if words:
            found.append(words)
    return found
