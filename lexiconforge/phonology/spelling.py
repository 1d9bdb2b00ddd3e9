"""Which letters of a word spell which phone: the cheapest alignment of spelling and phones.

``data/graphemes.csv`` lists the spellings of every phone, each with a cost: 0 for the ordinary ones, 1
and 2 for rarer ones; a row without letters is a phone that the spelling often leaves out. The table is
common knowledge of English spelling, written for this project. A letter may also stay silent and a phone
unspelled, at a price that makes either the last resort.

All words of a batch are aligned at once, one dynamic-programming step a phone (Needleman and Wunsch
1970, with costs in place of scores), in whole numbers so that ties break the same way everywhere.
"""

from __future__ import annotations

from collections.abc import Sequence
from functools import cache
from typing import TYPE_CHECKING

from lexiconforge import data
from lexiconforge.phonology.arpabet import CONSONANTS, VOWELS

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

_LONGEST = 4
_IMPOSSIBLE = 10_000
_UNSPELLED = 8
_SILENT = 6
# A final or linking e is silent more often than not (common practice); the apostrophe, hyphen and full
# stop of a spelling stand for no sound at all.
_SILENT_LETTERS = {"e": 1, "a": 4, "i": 4, "o": 4, "u": 4, "h": 4, "'": 0, "-": 0, ".": 0}
_ALPHABET = {letter: code for code, letter in enumerate("abcdefghijklmnopqrstuvwxyz'", start=1)}
_BASE = 28
_PHONES = {phone: code for code, phone in enumerate(sorted(VOWELS | CONSONANTS))}
_PHONES |= {f"{vowel}{digit}": _PHONES[vowel] for vowel in VOWELS for digit in "012"}
_PHONE_COUNT = len(VOWELS | CONSONANTS)
_CODES = 128
_BATCH = 2048
LETTER_BASE = 48
"""Letter positions are coded as characters from this code on; no word is longer than the 200 that are left."""


@cache
def _letters() -> tuple[NDArray[np.int64], NDArray[np.int16]]:
    """Number and price of silence of each letter, by its code."""
    import numpy as np

    codes = [chr(code) for code in range(_CODES)]
    return (
        np.array([_ALPHABET.get(letter, 0) for letter in codes], dtype=np.int64),
        np.array([_SILENT_LETTERS.get(letter, _SILENT) for letter in codes], dtype=np.int16),
    )


@cache
def _tables() -> tuple[list[NDArray[np.int16]], NDArray[np.int16], NDArray[np.int16]]:
    """Grapheme numbers by packed letters, one array a length; costs by phone and grapheme; unspelled."""
    import numpy as np

    rows = data.rows("graphemes")
    numbers = {
        letters: number
        for number, letters in enumerate(sorted({r["letters"] for r in rows} - {""}), start=1)
    }
    costs = np.full((_PHONE_COUNT, len(numbers) + 1), _IMPOSSIBLE, dtype=np.int16)
    unspelled = np.full(_PHONE_COUNT, _UNSPELLED, dtype=np.int16)
    for row in rows:
        phone, cost = _PHONES[row["phone"]], int(row["cost"])
        if row["letters"]:
            costs[phone, numbers[row["letters"]]] = cost
        else:
            unspelled[phone] = cost
    by_length = [np.zeros(_BASE**size, dtype=np.int16) for size in range(1, _LONGEST + 1)]
    for letters, number in numbers.items():
        packed = 0
        for letter in letters:
            packed = packed * _BASE + _ALPHABET[letter]
        by_length[len(letters) - 1][packed] = number
    return by_length, costs, unspelled


def align(word: str, phones: Sequence[str]) -> list[tuple[int, int]]:
    """The letters of every phone, as ``(start, end)`` in the word, 0-based and end-exclusive.

    ``word`` is a lower-case spelling. ``start == end`` marks a phone for which no letters were found.

    >>> word = "walked"
    >>> [word[start:end] for start, end in align(word, "W AO1 K T".split())]
    ['w', 'a', 'lk', 'ed']
    """
    starts, ends = _align_batch([word], [phones])
    return list(zip(starts[0].tolist(), ends[0].tolist(), strict=True))


Spans = list[tuple[int, int]]
"""The letters of each phone of one pronunciation, start and end."""


def align_coded(words: Sequence[str], pronunciations: Sequence[Sequence[str]]) -> list[str]:
    """As :func:`align`, for many words at once: the letters of every phone, a text for each pronunciation.

    Each start and each end is one character, in the order of the phones; :func:`decoded` gives the spans back.

    >>> [decoded(text)[2] for text in align_coded(["butter", "yacht"], ["B AH1 T ER0".split(), "Y AA1 T".split()])]
    [(2, 4), (2, 5)]
    """
    import numpy as np

    found = [""] * len(words)
    order = sorted(range(len(words)), key=lambda n: (len(pronunciations[n]), len(words[n])))
    for first in range(0, len(order), _BATCH):
        batch = order[first : first + _BATCH]
        phones = [pronunciations[n] for n in batch]
        spans = np.stack(_align_batch([words[n] for n in batch], phones), axis=-1) + LETTER_BASE
        width = 2 * spans.shape[1]
        text = spans.astype(np.uint8).tobytes().decode("latin-1")
        for row, (n, reading) in enumerate(zip(batch, phones, strict=True)):
            found[n] = text[row * width : row * width + 2 * len(reading)]
    return found


def decoded(text: str) -> Spans:
    """The span of every phone, from a text of :func:`align_coded`."""
    places = [ord(letter) - LETTER_BASE for letter in text]
    return list(zip(places[::2], places[1::2], strict=True))


def unspelled(words: Sequence[str], pronunciations: Sequence[Sequence[str]]) -> list[int]:
    """How many phones of each word no letters account for, not counting those that spelling often leaves
    out (the y of *music*, the schwa of *rhythm*). Two or more make it likely that the spelling is short
    for a longer word.

    >>> unspelled(["music", "dr"], ["M Y UW1 Z IH0 K".split(), "D AA1 K T ER0".split()])
    [0, 2]
    """
    starts, ends = [], []
    for first in range(0, len(words), _BATCH):
        batch = slice(first, first + _BATCH)
        first_letters, end_letters = _align_batch(list(words[batch]), list(pronunciations[batch]))
        starts += first_letters.tolist()
        ends += end_letters.tolist()
    price = _tables()[2]
    return [
        sum(
            int(start == end and price[_PHONES[phone]] == _UNSPELLED)
            for phone, start, end in zip(phones, start_row, end_row, strict=False)
        )
        for phones, start_row, end_row in zip(pronunciations, starts, ends, strict=True)
    ]


def _align_batch(
    words: list[str], pronunciations: list[Sequence[str]]
) -> tuple[NDArray[np.int64], NDArray[np.int64]]:
    import numpy as np

    by_length, costs, unspelled = _tables()
    letter_number, letter_silence = _letters()
    count, width = len(words), max(map(len, words))
    length = np.array([len(word) for word in words])
    depth = np.array([len(phones) for phones in pronunciations])

    letters = np.zeros((count, width + _LONGEST), dtype=np.int64)
    silent = np.zeros((count, width + 1), dtype=np.int16)
    characters = np.array(words, dtype=f"U{width}").view(np.uint32).reshape(count, width)
    characters = np.minimum(characters, _CODES - 1)
    letters[:, :width] = letter_number[characters]
    silent[:, 1:] = np.where(characters > 0, letter_silence[characters], 0)
    skipped = silent.cumsum(axis=1, dtype=np.int16)
    graphemes = []
    packed = np.zeros((count, width), dtype=np.int64)
    for size in range(_LONGEST):
        piece = letters[:, size : size + width]
        packed = np.where((packed < 0) | (piece == 0), -1, packed * _BASE + piece)
        graphemes.append(np.where(packed >= 0, by_length[size][packed], 0))

    phone_codes = np.zeros((count, int(depth.max())), dtype=np.int64)
    for row, phones in enumerate(pronunciations):
        phone_codes[row, : len(phones)] = [_PHONES[phone] for phone in phones]

    # spelled[p]: cheapest cost of phones 0..p-1 ending right at a letter; reached[p]: with the letters
    # after it allowed to be silent.
    spelled = np.full((int(depth.max()) + 1, count, width + 1), _IMPOSSIBLE, dtype=np.int16)
    reached = np.empty_like(spelled)
    spelled[0, :, 0] = 0
    reached[0] = skipped
    for p in range(phone_codes.shape[1]):
        phone = phone_codes[:, p]
        ahead = reached[p] + unspelled[phone][:, None]
        for size, grapheme in enumerate(graphemes, start=1):
            if size > width:
                break
            cost = reached[p][:, :-1] + costs[phone[:, None], grapheme]
            np.minimum(ahead[:, size:], cost[:, : width + 1 - size], out=ahead[:, size:])
        spelled[p + 1] = ahead
        reached[p + 1] = np.minimum.accumulate(ahead - skipped, axis=1) + skipped

    starts = np.zeros((count, phone_codes.shape[1]), dtype=np.int64)
    ends = np.zeros_like(starts)
    rows = np.arange(count)
    place = length.copy()
    columns = np.arange(width + 1)
    for p in range(phone_codes.shape[1] - 1, -1, -1):
        live = depth > p
        # Undo the silent letters: the last place from which they were skipped at this price.
        price = spelled[p + 1] + skipped[rows, place][:, None] - skipped
        price[columns[None, :] > place[:, None]] = _IMPOSSIBLE
        end = width - np.argmin(price[:, ::-1], axis=1)
        best = reached[p, rows, end] + unspelled[phone_codes[:, p]]
        start = end.copy()
        for size, grapheme in enumerate(graphemes, start=1):
            begin = end - size
            fits = begin >= 0
            cost = np.where(
                fits,
                reached[p, rows, np.maximum(begin, 0)]
                + costs[phone_codes[:, p], grapheme[rows, np.maximum(begin, 0)]],
                _IMPOSSIBLE,
            )
            better = cost <= best
            best = np.where(better, cost, best)
            start = np.where(better, begin, start)
        starts[live, p], ends[live, p] = start[live], end[live]
        place = np.where(live, start, place)
    return starts, ends
