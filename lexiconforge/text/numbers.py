"""Numbers of a text as they are read out. Room: a string goes in, words come out; the words are num2words' and ours."""

from __future__ import annotations

import re
from functools import cache

from lexiconforge import data


@cache
def _words() -> dict[str, str]:
    return {row["sign"]: row["word"] for row in data.rows("number_words")}


def number_words(text: str) -> list[str]:
    """A number as it is read: $40 is forty dollars, 8:15 eight fifteen, 13th thirteenth; itself if it is none.

    >>> number_words("13"), number_words("$40"), number_words("8:15")
    (['thirteen'], ['forty', 'dollars'], ['eight', 'fifteen'])
    """
    signs = "$€£"
    unit = _words()[text[0]] if text[0] in signs else ""
    plain = text.strip(signs).replace(",", "")
    try:
        if plain.endswith("%"):
            words, unit = _cardinal(plain[:-1]), _words()["%"]
        else:
            words = _time(plain) if ":" in plain else _plain(plain, year="," not in text and not unit)
    except (ValueError, OverflowError, IndexError):
        return [text]
    return [*re.findall(r"[a-z']+", words), *([unit] if unit else [])]


def _cardinal(digits: str) -> str:
    from num2words import num2words

    return str(num2words(float(digits) if "." in digits else int(digits)))


def _time(text: str) -> str:
    hours, minutes = text.split(":")
    spoken = _cardinal(str(int(hours)))
    if not int(minutes[:2]):
        return f"{spoken} {_words()[':00']}"
    between = f" {_words()['0']} " if minutes[0] == "0" else " "
    return spoken + between + _cardinal(str(int(minutes[:2])))


def _plain(text: str, *, year: bool) -> str:
    from num2words import num2words

    if text.endswith(("st", "nd", "rd", "th")):
        return str(num2words(int(text[:-2]), to="ordinal"))
    if text.endswith("s"):
        return f"{num2words(int(text[:-1]), to='year')}s"
    if year and len(text) == 4 and text.isdigit() and 1100 <= int(text) < 2100:
        return str(num2words(int(text), to="year"))
    return _cardinal(text)
