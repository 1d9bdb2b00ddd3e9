"""Numbers of a text as they are read out: money, times, dates, telephone numbers, ordinals, fractions, units.

Room: a place of a line goes in, words come out. Which forms there are stands in ``data/number_forms.csv``, the first
that fits
wins; signs and units in ``data/number_words.csv``; whole numbers are num2words'. What has no single reading (24/7, 1.2.3) is
given back unread.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping
from functools import cache
from typing import NamedTuple

from lexiconforge import data

PAUSE = ""
"""Stands among the words where the reader pauses, as between the parts of a telephone number."""
_RUN = re.compile(r"[^\s,;!?]*[^\s,;!?.:)\]\"”’]|.")
"""Characters that belong to a number of no known form."""
_WHOLE = r"(?:\d{1,3}(?:,\d{3})+|\d+)"


class ReadNumber(NamedTuple):
    """How a number is read: its ``words`` (:data:`PAUSE` where the reader pauses), ``None`` where nothing can be known,
    and the index after its last character."""

    words: tuple[str, ...] | None
    end: int


class NumberWords(NamedTuple):
    """A row of the signs and units: the word for one and for many."""

    one: str
    many: str


@cache
def _words() -> dict[str, dict[str, NumberWords]]:
    found: dict[str, dict[str, NumberWords]] = {}
    for row in data.rows("number_words"):
        found.setdefault(row["kind"], {})[row["sign"]] = NumberWords(row["one"], row["many"])
    return found


@cache
def _forms() -> list[tuple[str, re.Pattern[str]]]:
    def any_of(kind: str) -> str:
        return "|".join(map(re.escape, sorted(_words()[kind], key=len, reverse=True)))

    named = {"{N}": _WHOLE, "{SCALE}": any_of("scale"), "{UNIT}": any_of("unit")}
    forms = []
    for row in data.rows("number_forms"):
        pattern = row["pattern"]
        for name, stands_for in named.items():
            pattern = pattern.replace(name, stands_for)
        forms.append((row["form"], re.compile(pattern)))
    return forms


def read_number(line: str, start: int, before: str = "") -> ReadNumber:
    """The number that starts here and how it is read. ``before`` is the word before, as written: after a month a number is
    its day, after *a* the unit is in the singular (*a $20 bill*).

    >>> read_number("$1.50", 0).words
    ('one', 'dollar', 'and', 'fifty', 'cents')
    >>> read_number("at 8:05.", 3)
    ReadNumber(words=('eight', 'oh', 'five'), end=7)
    >>> read_number("24/7", 0)
    ReadNumber(words=None, end=4)
    """
    for form, pattern in _forms():
        match = pattern.match(line, start)
        if match is not None and match.end() > start:
            given = tuple((name, value or "") for name, value in match.groupdict().items())
            return ReadNumber(_read(form, given, before), match.end())
    run = _RUN.match(line, start)
    return ReadNumber(None, run.end() if run else start + 1)


@cache
def _read(form: str, given: tuple[tuple[str, str], ...], before: str) -> tuple[str, ...] | None:
    try:
        found = _READERS[form](dict(given), before)
    except (ValueError, OverflowError, KeyError):
        return None
    return None if found is None else tuple(_split(found))


def _split(spoken: str) -> list[str]:
    return [PAUSE if word == "," else word for word in re.findall(r"[a-z']+|,", spoken)]


def _word(name: str, kind: str = "word") -> str:
    return _words()[kind][name].one


def sign_word(sign: str) -> str:
    """The word for a sign of the table.

    >>> sign_word("&")
    'and'
    """
    return _word(sign)


def _cardinal(digits: str) -> str:
    from num2words import num2words

    spoken = str(num2words(int(digits.replace(",", "")))).replace(",", "")
    return " ".join(word for word in spoken.split() if word != _word("&"))


def _ordinal(digits: str) -> str:
    from num2words import num2words

    spoken = str(num2words(int(digits.replace(",", "")), to="ordinal")).replace(",", "")
    return " ".join(word for word in spoken.split() if word != _word("&"))


def _year(digits: str) -> str:
    from num2words import num2words

    spoken = str(num2words(int(digits), to="year"))
    return " ".join(word for word in spoken.split() if word != _word("&"))


def _digits(digits: str) -> str:
    return " ".join(_word("0") if one == "0" else _cardinal(one) for one in digits)


def _decimal(whole: str, decimals: str) -> str:
    # A zero before the point is said, as is one behind it.
    behind = " ".join(_cardinal(one) for one in decimals)
    return f"{_cardinal(whole or '0')} {_word('point')} {behind}"


def _of(number: NumberWords, whole: str, *, singular: bool = False) -> str:
    return number.one if singular or whole == "1" else number.many


def _telephone(given: Mapping[str, str], before: str) -> str:
    parts = (re.sub(r"\D", "", given[name]) for name in ("country", "area", "first", "last"))
    return " , ".join(_digits(part) for part in parts if part)


def _date(given: Mapping[str, str], before: str) -> str | None:
    month, day, year = (given[name] for name in ("month", "day", "in"))
    if not 1 <= int(day) <= 31 or not 1 <= int(month) <= 12:
        return None
    said = _year(year) if len(year) == 4 else _digits(year) if year[0] == "0" else _cardinal(year)
    return f"{_word(str(int(month)), 'month')} {_ordinal(day)} {said}"


def _time(given: Mapping[str, str], before: str) -> str | None:
    hour, minutes = int(given["hour"]), given.get("minutes", "")
    half = f" {_word(given['half'].lower())} {_word('m')}" if given["half"] else ""
    if hour > 24:
        return None
    if minutes in ("", "00"):
        full = _word("o'clock")
        return _cardinal(str(hour)) + (half or f" {full}")
    return (
        f"{_cardinal(str(hour))} {_digits(minutes) if minutes[0] == '0' else _cardinal(minutes)}{half}"
    )


def _money(given: Mapping[str, str], before: str) -> str | None:
    whole, part, scale = given["whole"], given.get("part", ""), given["scale"]
    money, hundredth = _words()["money"][given["sign"]], _words()["part"][given["sign"]]
    single = before.lower() in _words()["attributive"]
    if scale:
        decimals = given.get("decimals") or part
        number = _decimal(whole, decimals) if decimals else _cardinal(whole)
        return f"{number} {_word(scale, 'scale')} {_of(money, '', singular=single)}"
    if not whole and not part:
        return None
    said = []
    if (whole and whole != "0") or not part:
        said.append(f"{_cardinal(whole)} {_of(money, whole, singular=single)}")
    if part and int(part):
        said.append(f"{_cardinal(part)} {_of(hundredth, str(int(part)), singular=single)}")
    return f" {_word('and')} ".join(said) or None


def _feet(given: Mapping[str, str], before: str) -> str:
    return f"{_cardinal(given['feet'])} {_word('foot')} {_cardinal(given['inches'])}"


_DENOMINATORS = frozenset({*range(2, 11), 12, 16, 20, 32, 64, 100})


def _fraction(given: Mapping[str, str], before: str) -> str | None:
    above, below = given.get("above", ""), given.get("below", "")
    if given.get("vulgar"):
        above, below = _word(given["vulgar"], "vulgar").split("/")
    if int(below) not in _DENOMINATORS or int(above) >= int(below) or above.startswith("0"):
        return None
    named = _words()["part of one"].get(below) or NumberWords(_ordinal(below), _ordinal(below) + "s")
    part = f"{_cardinal(above)} {_of(named, above)}"
    if not given["whole"]:
        return part
    if (above, below) == ("1", "2"):
        part = f"{_word('a')} {named.one}"
    return f"{_cardinal(given['whole'])} {_word('and')} {part}"


def _decade(given: Mapping[str, str], before: str) -> str | None:
    digits = given["decade"]
    if len(digits) == 3:
        return None
    said = _year(digits) if len(digits) == 4 else _cardinal(digits)
    return said[:-1] + "ies" if said.endswith("y") else said + "s"


def _unit(given: Mapping[str, str], before: str) -> str:
    whole, decimals = given["whole"], given["decimals"]
    unit = _words()["unit"][given["unit"]]
    number = _decimal(whole, decimals) if decimals else _plain(whole)
    single = before.lower() in _words()["attributive"]
    return f"{number} {_of(unit, whole + decimals, singular=single)}"


def _range(given: Mapping[str, str], before: str) -> str:
    low, high = given["low"], given["high"]
    return f"{_plain(low, before)} {_word('to')} {_plain(high, before)}"


def _plain(digits: str, before: str = "") -> str:
    if before[:1].isupper() and digits.isdigit() and 1 <= int(digits) <= 31:
        months = {row.one for row in _words()["month"].values()}
        if any(month == before.lower() for month in months):
            return _ordinal(digits)
    if len(digits) == 4 and digits.isdigit() and 1100 <= int(digits) < 2100:
        return _year(digits)
    return _cardinal(digits)


_READERS: dict[str, Callable[[Mapping[str, str], str], str | None]] = {
    "telephone": _telephone,
    "date": _date,
    "time": _time,
    "unreadable": lambda given, before: None,
    "money": _money,
    "feet": _feet,
    "fraction": _fraction,
    "ordinal": lambda given, before: _ordinal(given["whole"]),
    "decade": _decade,
    "unit": _unit,
    "range": _range,
    "number": lambda given, before: f"{_word('#')} {_cardinal(given['whole'])}",
    "decimal": lambda given, before: _decimal(given["whole"], given["decimals"]),
    "digits": lambda given, before: _digits(given["digits"]),
    "calendar": lambda given, before: _year(given["in"]),
    "cardinal": lambda given, before: _plain(given["whole"], before),
}
"""How each form is read; ``None`` for what has no one reading."""
