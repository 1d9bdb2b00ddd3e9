"""Words of one's own: pronunciations and frequencies that a user adds to those of the packages.

A file is checked as a whole before any of it is used, and every problem is named by its line.
"""

from __future__ import annotations

import csv
import io
import math
import re
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from pathlib import Path
from typing import NamedTuple

from lexiconforge import data
from lexiconforge.errors import ReadError, SourceError
from lexiconforge.phonology.arpabet import INVENTORY, VOWELS
from lexiconforge.phonology.ipa_reading import looks_like_ipa, phones_of_ipa
from lexiconforge.places import read_whole
from lexiconforge.sources.frequencies import CountedFrequencies, Frequencies

SHOWN = 20
"""Problems of a file that are told; of more, only their number."""
MOST_LETTERS, MOST_PHONES = 200, 255
"""Of one word: far more than any has, and as many as the compiled columns can number."""
SHOWN_LETTERS = 60
LEAST_PER_MILLION, MOST_PER_MILLION = 1e-6, 1e6
MEASURES = ("zipf", "per_million")

_WORD = re.compile(r"[^\W\d_]+(?:['-][^\W\d_]+)*'?|'[^\W\d_]+")
_ENTRY = re.compile(r"(?P<word>\S+?)(?:\((?P<variant>\d+)\))?\s+(?P<phones>.*)")


def read_pronunciations(path: Path) -> dict[str, str]:
    """Pronunciations by word, as :class:`~lexiconforge.sources.pronunciations.Pronunciations` takes them.

    The file is UTF-8 text, one pronunciation a line: the word, then its ARPAbet phones with a stress digit on each
    vowel, as in the CMU dictionary (``grotto  G R AA1 T OW0``), or broad IPA (``grotto  ˈɡrɑtoʊ``, see
    :mod:`lexiconforge.phonology.ipa_reading`); further pronunciations of a word on lines of their own, with or without
    ``(2)``; the rest of a line after ``#`` or ``;;;`` is a remark. Raises SourceError naming every line with a phone that
    is not one, a sign that is not of General American, a vowel without stress, no vowel or no main stress, or a
    pronunciation given twice.
    """

    def entries() -> Iterator[_Given]:
        for number, line in enumerate(_text(path).splitlines(), start=1):
            line = re.split(r"#|;;;", line, maxsplit=1)[0].strip()
            if line:
                entry = _ENTRY.fullmatch(line)
                yield _Given(
                    f"line {number}", *((entry["word"], entry["phones"]) if entry else (line, ""))
                )

    return _checked_pronunciations(entries(), str(path), "write one a line, as in: grotto G R AA1 T OW0")


def given_pronunciations(given: Mapping[str, str | Sequence[str]]) -> dict[str, str]:
    """As :func:`read_pronunciations`, from a mapping: a word's pronunciation, or several in a list, the first for most.

    >>> given_pronunciations({"grotto": ["G R AA1 T OW0", "/ˈɡrɔtoʊ/"]})
    {'grotto': 'G R AA1 T OW0\\nG R AO1 T OW0'}
    """
    problems: list[str] = []

    def entries() -> Iterator[_Given]:
        for word, several in given.items():
            for phones in [several] if isinstance(several, str) else _several(several):
                if isinstance(word, str) and isinstance(phones, str):
                    yield _Given(repr(word), word.strip(), phones.strip())
                else:
                    problems.append(
                        f"{word!r}: a pronunciation must be text, or a list of them, not {several!r}"
                    )

    return _checked_pronunciations(
        entries(), "pronunciations", 'give them as in: {"grotto": "G R AA1 T OW0"}', problems
    )


def _several(given: object) -> Sequence[object]:
    return given if isinstance(given, Sequence) and given else [given]


class _Given(NamedTuple):
    """A pronunciation as it was given, and where."""

    where: str
    word: str
    phones: str


def _checked_pronunciations(
    entries: Iterable[_Given], source: str, example: str, problems: list[str] | None = None
) -> dict[str, str]:
    listed: dict[str, str] = {}
    seen: dict[tuple[str, str], str] = {}
    problems = [] if problems is None else problems
    for where, written, given in entries:
        word = written.lower().replace("’", "'")
        if not given:
            problems.append(f"{where}: {_shown(written)} has no phones after the word")
            continue
        try:
            phones = phones_of_ipa(given) if looks_like_ipa(given) else given.upper().split()
            found = _problem(word, phones, ipa=looks_like_ipa(given))
        except ValueError as problem:
            phones, found = [], f"{word} {given}: {problem}"
        joined = " ".join(phones)
        if not found and (word, joined) in seen:
            found = f"{word} {joined} stands in {seen[word, joined]} already"
        if found:
            problems.append(f"{where}: {found}")
            continue
        seen[word, joined] = where
        listed[word] = f"{listed[word]}\n{joined}" if word in listed else joined
    _refuse(source, problems)
    if not listed:
        raise SourceError(f"{source}: no pronunciations in it; {example}")
    return listed


def _problem(word: str, phones: list[str], *, ipa: bool = False) -> str:
    if not _WORD.fullmatch(word):
        return f"{_shown(word)} is not one word of letters"
    if len(word) > MOST_LETTERS or len(phones) > MOST_PHONES:
        return (
            f"{_shown(word)} has {len(word):,} letters and {len(phones):,} phones; "
            f"a word has at most {MOST_LETTERS} letters and {MOST_PHONES} phones"
        )
    for phone in phones:
        if phone in VOWELS:
            return f"the vowel {phone} of {word} has no stress; write {phone}0, {phone}1 or {phone}2"
        if phone not in INVENTORY:
            meant = next(
                (row["meant"] for row in data.rows("arpabet_signs") if row["sign"] == phone), ""
            )
            said = f"{_shown(phone)} in {word} is no phone of the ARPAbet"
            return f"{said}; meant is {meant}" if meant else said
    vowels = [phone for phone in phones if phone[:-1] in VOWELS]
    if not vowels:
        return f"{word} has no vowel"
    if len(vowels) > 1 and not any(phone.endswith("1") for phone in vowels):
        how = "put ˈ before a syllable" if ipa else "mark one vowel with 1"
        return f"{word} has no main stress; {how}"
    return ""


def _shown(text: str) -> str:
    """Text of a user's for a message of one line."""
    return repr(text if len(text) <= SHOWN_LETTERS else f"{text[:SHOWN_LETTERS]}…")


def read_frequencies(path: Path) -> dict[str, float]:
    """Shares of all text (0 to 1) by word.

    The file is CSV in UTF-8 with a head: ``word`` and either ``zipf`` (0 to 9) or ``per_million``. Raises SourceError
    naming every line with a word given twice, no word, or a number that is none or out of range.
    """
    text = _text(path)
    first = text.partition("\n")[0]
    rows = csv.reader(io.StringIO(text, newline=""), delimiter=max(",;\t", key=first.count))
    head = [name.strip().lower() for name in next(rows, [])]
    measure = next((name for name in MEASURES if name in head), None)
    if "word" not in head or measure is None:
        raise SourceError(
            f"{path}: its first line must name the columns word and {' or '.join(MEASURES)}"
        )
    at_word, at_number = head.index("word"), head.index(measure)
    shares: dict[str, float] = {}
    lines: dict[str, int] = {}
    problems: list[str] = []
    try:
        for row in rows:
            number = rows.line_num
            if not row:
                continue
            if len(row) != len(head):
                problems.append(f"line {number}: {len(row)} cells, {len(head)} expected")
                continue
            word = row[at_word].strip().lower().replace("’", "'")
            share = _SHARE[measure](row[at_number].strip())
            if not _WORD.fullmatch(word) or len(word) > MOST_LETTERS:
                problems.append(f"line {number}: {_shown(word)} is not one word of letters")
            elif word in shares:
                problems.append(f"line {number}: {word} stands in line {lines[word]} already")
            elif share is None:
                problems.append(f"line {number}: {_shown(row[at_number])} is not {_WANTED[measure]}")
            else:
                shares[word], lines[word] = share, number
    except csv.Error as error:
        problems.append(f"line {rows.line_num}: {error}")
    _refuse(path, problems)
    if not shares:
        raise SourceError(f"{path}: no frequencies in it")
    return shares


def given_frequencies(given: Mapping[str, float]) -> dict[str, float]:
    """As :func:`read_frequencies`, from a mapping of Zipf values (0 to 9) by word.

    >>> given_frequencies({"Grotto": 3.0})
    {'grotto': 1e-06}
    """
    shares: dict[str, float] = {}
    problems: list[str] = []
    for written, zipf in given.items():
        word = written.strip().lower().replace("’", "'") if isinstance(written, str) else ""
        share = None if isinstance(zipf, bool) else _from_zipf(str(zipf))
        if not _WORD.fullmatch(word):
            problems.append(f"{written!r} is not one word of letters")
        elif word in shares:
            problems.append(f"{written!r}: {word} is given already")
        elif share is None:
            problems.append(f"{written!r}: {zipf!r} is not a Zipf value from 0 to 9")
        else:
            shares[word] = share
    _refuse("frequencies", problems)
    if not shares:
        raise SourceError("frequencies: none are given")
    return shares


def _number(text: str) -> float:
    try:
        return float(text.replace(",", ".")) if "_" not in text else math.nan
    except ValueError:
        return math.nan


def _from_zipf(text: str) -> float | None:
    zipf = _number(text)
    return 10 ** (zipf - 9) if 0 <= zipf <= 9 else None


def _from_million(text: str) -> float | None:
    number = _number(text)
    return number / 1e6 if LEAST_PER_MILLION <= number <= MOST_PER_MILLION else None


_WANTED = {
    "zipf": "a Zipf value from 0 to 9",
    "per_million": "a number above 0 per million (from 0.000001 to 1,000,000)",
}
_SHARE: dict[str, Callable[[str], float | None]] = {"zipf": _from_zipf, "per_million": _from_million}


def _text(path: Path) -> str:
    try:
        text = read_whole(path).decode("utf-8-sig")
    except ReadError as problem:
        raise SourceError(f"cannot read {path}: {problem}") from None
    except UnicodeDecodeError as error:
        line = error.object[: error.start].count(b"\n") + 1
        raise SourceError(f"{path}, line {line}: not UTF-8 text; save the file as UTF-8") from None
    if "\0" in text:
        line = text[: text.index("\0")].count("\n") + 1
        raise SourceError(f"{path}, line {line}: binary data (it has NUL bytes)")
    return text


def _refuse(path: Path | str, problems: list[str]) -> None:
    if not problems:
        return
    told = [f"{path}, {problem}" for problem in problems[:SHOWN]]
    if len(problems) > SHOWN:
        told.append(f"{path}: {len(problems) - SHOWN} more lines like these")
    raise SourceError("\n".join(told))


def with_frequencies(shipped: Frequencies, own: dict[str, float]) -> CountedFrequencies:
    """The shipped frequencies with these shares added or in place of those of the same words.

    Words of the same share keep the order of the shipped list; new ones stand behind them.

    >>> both = with_frequencies(Frequencies({"the": 1, "to": 2}, [1, 2], [127, 157]), {"grotto": 0.05})
    >>> both.rank
    {'the': 1, 'grotto': 2, 'to': 3}
    """
    shares = {word: shipped.share(word) for word in shipped.rank} | own
    ordered = sorted(shares, key=lambda word: -shares[word])
    return CountedFrequencies({word: place for place, word in enumerate(ordered, start=1)}, shares)
