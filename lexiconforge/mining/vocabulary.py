"""Words as numbers: whole blocks of clean text at once, so that pairs of words are counted as pairs of numbers.

Most words fit into eight bytes, nearly all into sixteen, and are compared as one or two integers with those of a table
that numpy looks up for a block in one go. What the table does not have goes through a dictionary, once for each
different word of a block. numpy lets other threads run meanwhile, so two blocks are read on two cores.
"""

from __future__ import annotations

import threading
from typing import Any

import numpy as np

from lexiconforge.text.normalising import EDGE

Numbers = np.ndarray[Any, Any]

END, NOTHING = 0, 2**32 - 1
"""The number of the end of a sentence, and of what is no word, such as an apostrophe alone."""
SLOT_BITS = 20
"""The table has so many bits of slots; a word whose slot is taken goes through the dictionary."""
_SHIFT = np.uint64(64 - SLOT_BITS)
# 2^64 divided by the golden ratio, and another odd number: multiplying spreads keys over the high bits (Knuth, The Art
# of Computer Programming, volume 3, section 6.4).
_FIRST, _SECOND = np.uint64(0x9E3779B97F4A7C15), np.uint64(0xC2B2AE3D27D4EB4F)
_MASKS = np.array([2 ** (8 * length) - 1 for length in range(9)], np.uint64)
_APOSTROPHE = EDGE.encode()


class Vocabulary:
    """The numbers of words, given out in the order in which they come; safe to use in several threads.

    ``words[n]`` is the word with the number n, UTF-8 without apostrophes at its ends; ``words[END]`` is empty.
    """

    def __init__(self) -> None:
        self.words = [b""]
        self._numbers: dict[bytes, int] = {}
        self._adding = threading.Lock()
        slots = 1 << SLOT_BITS
        self._short, self._short_numbers = np.zeros(slots, np.uint64), np.zeros(slots, np.uint32)
        self._long, self._long_numbers = np.zeros((2, slots), np.uint64), np.zeros(slots, np.uint32)

    def read(self, block: bytes) -> tuple[Numbers, Numbers]:
        """The numbers of the words of a block of clean text (:func:`~lexiconforge.text.normalising.normalise`), uint32, and
        how many words stand before each line end, int64, in order."""
        data = np.frombuffer(b" " + block + b" " * 16, np.uint8)
        letter = data > ord(" ")
        edges = np.flatnonzero(letter[1:] != letter[:-1]) + 1
        starts, lengths = edges[::2], edges[1::2] - edges[::2]
        windows = np.ndarray((len(data) - 7,), "<u8", data.data, strides=(1,))
        keys = windows[starts] & _MASKS[np.minimum(lengths, 8)]
        slots = (keys * _FIRST) >> _SHIFT
        # Keys first: where a key is there its number is, but a number looked up before may be older than the key.
        missing = (self._short[slots] != keys) | (lengths > 8)
        numbers = self._short_numbers[slots]
        at = np.flatnonzero(missing)
        if len(at):
            longer = lengths[at] > 8
            self._read_short(at[~longer], keys, numbers)
            self._read_long(at[longer], block, (starts, lengths), (windows, keys), numbers)
        return numbers, np.searchsorted(starts, np.flatnonzero(data == ord("\n")))

    def _read_short(self, at: Numbers, keys: Numbers, numbers: Numbers) -> None:
        """Fill in the numbers of words up to eight bytes that the table did not have."""
        new, back = np.unique(keys[at], return_inverse=True)
        given = self._give([key.tobytes().rstrip(b"\0") for key in new.astype("<u8")])
        numbers[at] = given[back]
        with self._adding:
            slots, first = np.unique((new * _FIRST) >> _SHIFT, return_index=True)
            free = self._short[slots] == 0
            # The number stands before its key does: who finds the key in another thread finds the number.
            self._short_numbers[slots[free]] = given[first[free]]
            self._short[slots[free]] = new[first[free]]

    def _read_long(
        self,
        at: Numbers,
        block: bytes,
        places: tuple[Numbers, Numbers],
        read: tuple[Numbers, Numbers],
        numbers: Numbers,
    ) -> None:
        """Fill in the numbers of words of more than eight bytes."""
        if not len(at):
            return
        starts, lengths = places[0][at], places[1][at]
        windows, keys = read
        firsts = keys[at]
        seconds = windows[starts + 8] & _MASKS[np.minimum(lengths - 8, 8)]
        slots = (firsts * _FIRST + seconds * _SECOND) >> _SHIFT
        missing = (self._long[0][slots] != firsts) | (self._long[1][slots] != seconds) | (lengths > 16)
        found = self._long_numbers[slots]
        absent = np.flatnonzero(missing)
        if len(absent):
            # The block stands one byte on in what was searched.
            texts = [
                block[start - 1 : start - 1 + length]
                for start, length in zip(starts[absent].tolist(), lengths[absent].tolist(), strict=True)
            ]
            found[absent] = self._give(texts)
            with self._adding:
                fits = absent[lengths[absent] <= 16]
                taken, first = np.unique(slots[fits], return_index=True)
                free = self._long[1][taken] == 0
                new = fits[first[free]]
                self._long_numbers[taken[free]] = found[new]
                self._long[0][taken[free]] = firsts[new]
                self._long[1][taken[free]] = seconds[new]
        numbers[at] = found

    def _give(self, texts: list[bytes]) -> Numbers:
        """The number of each of these words, new ones for new words."""
        known = self._numbers
        with self._adding:
            for text in texts:
                if text not in known:
                    word = text.strip(_APOSTROPHE)
                    if word and word not in known:
                        known[word] = len(self.words)
                        self.words.append(word)
                    known[text] = known[word] if word else NOTHING
            return np.array([known[text] for text in texts], np.uint32)


def pair_counts(
    vocabulary: Vocabulary, blocks: list[bytes], *, unfinished: bool
) -> tuple[Numbers, Numbers]:
    """Each different pair of neighbours in these blocks, ``first << 32 | second``, uint64, and how often, int64.

    The last word of a sentence has :data:`END` for its neighbour. The last of all opens no pair if it is
    ``unfinished``, since what comes after it is not known yet.
    """
    numbers, ends, before = [], [], 0
    for block in blocks:
        found, breaks = vocabulary.read(block)
        numbers.append(found)
        ends.append(breaks + before)
        before += len(found)
    words, after = np.concatenate(numbers), np.concatenate(ends)
    nothing = words == NOTHING
    if nothing.any():
        kept = np.flatnonzero(~nothing)
        words, after = words[kept], np.searchsorted(kept, after)
    codes = words.astype(np.uint64) << np.uint64(32)
    codes[:-1] |= words[1:]
    # What was put behind the last word of a sentence goes again.
    codes[after[after > 0] - 1] &= np.uint64(2**64 - 2**32)
    if unfinished:
        codes = codes[:-1]
    codes.sort()
    first = np.flatnonzero(np.concatenate((np.ones(min(len(codes), 1), bool), codes[1:] != codes[:-1])))
    return codes[first], np.diff(np.append(first, len(codes)))
