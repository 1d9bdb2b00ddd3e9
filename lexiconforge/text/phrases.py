"""A line of text as words and pauses, with their places: the one reader of tagging and practice.

Room: knows letters, marks, numbers and abbreviations (``data/abbreviations.csv``, ``data/speech_marks.csv``), no words.

A pause is what parts phrases (punctuation, a restart), a filler (*uh*) and a cut-off word (*st-*), which is none. A name
and a colon at the start of a line tell who speaks and are not said, nor is what stands in square brackets or tags.
Numbers and abbreviations are read out; what has no single reading is kept as unread.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from functools import cache
from typing import NamedTuple

from lexiconforge import data
from lexiconforge.text.numbers import PAUSE, read_number, sign_word

WORD, READ_OUT, UNREAD = "word", "read out", "unread"


MOST_PLAIN = 200_000
"""Spellings that are remembered: more than a language has, so that the memory of a long run is bounded."""


class Item(NamedTuple):
    """A word as it is said, from ``start`` to ``end`` of the line. ``kind`` is :data:`WORD` for one that is written so,
    :data:`READ_OUT` for one of those that a number or an abbreviation is read as, :data:`UNREAD` for what cannot be read."""

    text: str
    start: int
    end: int
    kind: str = WORD


class _Spoken(NamedTuple):
    """How an abbreviation is read and where; nothing where the dictionary has it as it stands."""

    words: tuple[str, ...]
    where: str


@cache
def _abbreviations() -> dict[str, list[_Spoken]]:
    found: dict[str, list[_Spoken]] = {}
    for row in data.rows("abbreviations"):
        spoken = _Spoken(tuple(row["spoken"].split()), row["where"])
        found.setdefault(row["written"], []).append(spoken)
    return found


@cache
def _marks(kind: str) -> frozenset[str]:
    return frozenset(row["text"] for row in data.rows("speech_marks") if row["kind"] == kind)


@cache
def _item() -> re.Pattern[str]:
    """What a line is made of. A word comes first and is looked at by what follows it: nearly all there is are words."""
    clipped = "|".join(word[1:] for word in _abbreviations() if word[0] == "'")
    return re.compile(
        r"(?P<word>[^\W\d_½⅓⅔¼¾⅛⅜⅝⅞][^\W_]*(?:['’][^\W\d_]+)*)"
        r"|(?P<pause>[.,;:!?…—–()\]{}|/\\](?!\d)|(?<!\w)-|--+|-(?!\w))"
        r"|(?P<number>(?:[$€£#]\s?)?\.?\d|\+1|\(\d{3}\)\s?\d|[½⅓⅔¼¾⅛⅜⅝⅞])"
        rf"|(?P<clipped>(?<!\w)['’](?:{clipped})(?!\w))"
        r"|(?P<ampersand>(?<=\s)&(?=\s))"
        r"|(?P<unsaid><[^<>\n]{1,80}>|\[[^\[\]\n]{1,60}\])"
        r"|(?P<handle>(?<!\w)@\w+)"
        r"|(?P<other>[.,;:!?…—–()\[\]{}|/\\])",
        re.IGNORECASE,
    )


_INITIALS = re.compile(r"[^\W\d_]{1,2}(?:\.[^\W\d_])+\.?(?!\w)")
_WEB = re.compile(r"(?:https?://|www\.)\S+|[\w.+-]+@\w[\w-]*\.[\w.-]*\w")
_MIXED = re.compile(r"\w+(?:[.-]\w+)*")
_POSSESSIVE = re.compile(r"(?<=s)['’](?![^\W_])", re.IGNORECASE)


_LABEL = re.compile(
    r"\s*(?:>+\s*)?(?:[\[(]?\d{1,2}:\d\d(?::\d\d)?[\])]?\s+)?"
    r"(?:\[[^\[\]\n]{1,30}\]|(?P<name>[^\W\d_][\w.’'-]*(?: (?:[^\W\d_a-z][\w.’'-]*|\d{1,2})){0,2})):(?=\s)"
)
_SENTENCE_END = re.compile(r"(?<=[.!?…])[\"”’')\]]*(?P<gap>\s+)(?=[\"“‘'(\[]?[A-Z0-9])")


def speaker_label(line: str) -> int:
    """How long the label of a speaker at the start of a line is, 0 where there is none.

    >>> speaker_label("Rita: it is late"), speaker_label("Note: it is late")
    (5, 0)
    """
    if ":" not in line[:60]:
        return 0
    match = _LABEL.match(line)
    if match is None:
        return 0
    name = match.group("name")
    if name is not None and (not name[0].isupper() or name.lower() in _marks("no label")):
        return 0
    return match.end()


def items(line: str) -> list[Item | None]:
    """The words of a line in order, None for a pause.

    >>> [item and item.text for item in items("Rita: put it, uh, in a st- a stand at 8:15.")]
    ['put', 'it', None, None, None, 'in', 'a', None, 'a', 'stand', 'at', 'eight', 'fifteen', None]
    """
    found: list[Item | None] = []
    add = found.append
    done = speaker_label(line)
    plain, new = _PLAIN, tuple.__new__
    for match in _item().finditer(line, done):
        start, end = match.span()
        if start < done:
            continue
        if match.lastindex == 1:
            written = match[0]
            if line[end : end + 1] in " ,?!" and written in plain:
                # As Item(written, start, end): nearly all words come here.
                add(new(Item, (written, start, end, WORD)))
            else:
                done = _read_word(line, start, end, written, found)
        else:
            done = _read_other(match.lastgroup or "", line, start, end, found)
    return found


_PLAIN: set[str] = set()
"""Spellings that are words whatever stands before them: no fillers, no digits."""


def _read_word(line: str, start: int, end: int, written: str, found: list[Item | None]) -> int:
    """Adds what begins with these letters; the index after it."""
    follower = line[end : end + 1]
    lower = written.lower()
    if follower in ("'", "’") and _POSSESSIVE.match(line, end):
        found.append(Item(line[start : end + 1], start, end + 1))
        return end + 1
    if follower in (":", ".", "@", "+", "_") and (web := _WEB.match(line, start)):
        found.append(Item(web.group(), start, web.end(), UNREAD))
        return web.end()
    if follower == ".":
        if (initials := _INITIALS.match(line, start)) and line[start - 1 : start] != ".":
            return _read_initials(line, start, initials.end(), found)
        if spoken := _abbreviations().get(f"{lower}."):
            return _read_abbreviation(line, start, end + 1, spoken, found)
    fillers = _marks("filler")
    if follower == "-":
        double = re.compile(r"-[^\W\d_]+(?!\w)").match(line, end)
        if double and lower + double.group().lower() in fillers:
            found.append(None)
            return double.end()
        cut_off, joined = _after_hyphen(line, end)
        if cut_off:
            found.append(None)
            return end + 1
        if joined:
            found.append(Item(written, start, end))
            return end + 1
    if lower in fillers:
        found.append(None)
        return end
    if not written.isalpha() and any(letter.isdigit() for letter in written):
        mixed = _MIXED.match(line, start)
        end = mixed.end() if mixed else end
        found.append(Item(line[start:end], start, end, UNREAD))
        return end
    if len(_PLAIN) < MOST_PLAIN:
        _PLAIN.add(written)
    found.append(Item(written, start, end))
    return end


def _read_other(kind: str, line: str, start: int, end: int, found: list[Item | None]) -> int:
    """Adds what begins with no letter; the index after it."""
    if kind == "number":
        last = found[-1] if found else None
        before = "" if last is None else last.text
        if last is not None and last.kind == READ_OUT:
            # The month of Jan. 5 has its capital in the text.
            before = before.capitalize()
        words, end = read_number(line, start, before)
        if words is None:
            found.append(Item(line[start:end], start, end, UNREAD))
        else:
            found += [Item(w, start, end, READ_OUT) if w != PAUSE else None for w in words]
    elif kind == "clipped":
        found.append(Item(line[start:end], start, end))
    elif kind == "ampersand":
        found.append(Item(sign_word("&"), start, end, READ_OUT))
    elif kind == "handle":
        found.append(Item(line[start:end], start, end, UNREAD))
    elif kind != "unsaid" or line[start] == "[":
        found.append(None)
    return end


def _after_hyphen(line: str, end: int) -> tuple[bool, bool]:
    """Is the word that ends here broken off, as in *a st- a story*? Does it share the end of a later one, as in *two- and
    three-year-olds*?"""
    rest = line[end + 1 :]
    if rest[:1].isalnum() or rest[:1] in ("-", "_", ">"):
        return False, False
    follower = re.match(r"\s+([^\W\d_]+)", rest)
    suspended = follower is not None and follower.group(1).lower() in _marks("suspended")
    return not suspended, suspended


def _read_abbreviation(
    line: str, start: int, end: int, spoken: list[_Spoken], found: list[Item | None]
) -> int:
    """Adds the words of an abbreviation that ends in a full stop; the index after it, or that of the full stop where
    it ends the phrase."""
    last = found[-1] if found else None
    rest = line[end:].lstrip()
    opens = rest[:1].isupper()
    fits = {
        "any": True,
        "before a name": opens,
        "after a name": last is not None and last.text[:1].isupper() and last.kind == WORD,
        "before a number": rest[:1].isdigit(),
    }
    for words, where in spoken:
        if fits[where]:
            if words:
                found += [Item(word, start, end, READ_OUT) for word in words]
            else:
                found.append(Item(line[start : end - 1], start, end - 1))
            if not rest or (where == "after a name" and opens):
                found.append(None)
            return end
    found.append(Item(line[start : end - 1], start, end - 1))
    return end - 1


def _read_initials(line: str, start: int, end: int, found: list[Item | None]) -> int:
    """Adds the words of letters with full stops: *for example* for *e.g.*, else letter by letter."""
    written = line[start:end].lower()
    known = _abbreviations().get(written if written.endswith(".") else written + ".")
    words = known[0].words if known else tuple(written.replace(".", " ").split())
    found += [Item(word, start, end, READ_OUT) for word in words]
    return end


def split_sentences(line: str) -> list[str]:
    """The sentences of a line; who speaks is taken off, and an abbreviation ends none.

    >>> split_sentences("Etta: Put it on, Dr. Ames. Is it hot?")
    ['Put it on, Dr. Ames.', 'Is it hot?']
    """
    line = line[speaker_label(line) :].strip()
    found, done = [], 0
    for match in _SENTENCE_END.finditer(line):
        if not _ends_clipped(line[: match.start("gap")]):
            found.append(line[done : match.start("gap")].strip())
            done = match.end()
    found.append(line[done:].strip())
    return [sentence for sentence in found if sentence]


def _ends_clipped(text: str) -> bool:
    """Does this text end in an abbreviation that stands before a name, or in an initial?"""
    if not text.endswith("."):
        return False
    word = re.split(r"[\s(\"“]", text)[-1].lower()
    if re.fullmatch(r"[^\W\d_]\.", word) and word != "i.":
        return True
    before = ("before a name", "before a number")
    spoken = _abbreviations().get(word)
    return spoken is not None and (not spoken[0].words or spoken[0].where in before)


def phrases(line: str) -> Iterator[list[Item]]:
    """The words of a line between its pauses, empty phrases left out.

    >>> [[item.text for item in phrase] for phrase in phrases("Put it on, not in.")]
    [['Put', 'it', 'on'], ['not', 'in']]
    """
    phrase: list[Item] = []
    for item in [*items(line), None]:
        if item is not None:
            phrase.append(item)
        elif phrase:
            yield phrase
            phrase = []


def spelling(written: str) -> str:
    """A word as the dictionary spells it: small letters, a straight apostrophe."""
    return written.lower().replace("’", "'")
