"""How often two words meet in talk, from counts that web pages gave.

Room: takes the lexicon and the counts of pairs, gives the counts with an estimate beside each and the pairs that the
source cannot have. Web pages speak of sites and orders: a pair is weighed by how much commoner each of its words is in
general use than on the web, where its share is the geometric mean of that in the list of words and that in the list of
pairs. Pairs with a contraction, which the source took apart, come from the pairs of its parts by how
often the contraction is written against the part (``data/contractions.csv``).
"""

from __future__ import annotations

import math
from collections.abc import Collection, Mapping
from functools import cache
from typing import TYPE_CHECKING, NamedTuple

from lexiconforge import data
from lexiconforge.lexicon import Lexicon
from lexiconforge.sources.word_pairs import PAIR_COLUMNS, WEB_COLUMNS

if TYPE_CHECKING:
    import pandas as pd

OPENING = ("conjunction", "demonstrative")
"""Words after which a pronoun is the subject of a clause, so that it can be one with its verb: *but I'm*, not *got it's*."""
LEAST = 0.1
"""Occurrences per million words from which on a pair is worked out that the source does not have."""
ASKED = 0.37
"""How often a contraction with *not* stands before its subject (*isn't it*), against its first part alone: 21 of 377
against 504 of 3,332 in spoken files of an open corpus (MASC)."""


class Pair(NamedTuple):
    """Two words; ``times`` as the source has it, None where it has no such pair; ``estimate`` per million words."""

    first: str
    second: str
    times: int | None
    estimate: float


@cache
def classes() -> dict[str, frozenset[str]]:
    """The closed classes of words of ``data/word_classes.csv`` by word.

    >>> sorted(classes()["him"])
    ['object pronoun']
    """
    found: dict[str, set[str]] = {}
    for row in data.rows("word_classes"):
        for word in row["words"].split():
            found.setdefault(word, set()).add(row["class"])
    return {word: frozenset(names) for word, names in found.items()}


@cache
def classes_of_function_words() -> frozenset[str]:
    """The names of all closed classes."""
    return frozenset(row["class"] for row in data.rows("word_classes"))


def is_a(word: str, *names: str) -> bool:
    """Whether a word is of one of these classes."""
    return not classes().get(word, frozenset()).isdisjoint(names)


@cache
def contracted() -> dict[str, tuple[str, str]]:
    """The two words of each contraction of ``data/contractions.csv``.

    >>> contracted()["isn't"]
    ('is', 'not')
    """
    return {row["word"]: (row["first"], row["second"]) for row in data.rows("contractions")}


def spoken_pairs(
    lexicon: Lexicon,
    pairs: pd.DataFrame,
    firsts: Collection[str],
    seconds: Collection[str],
    apart: Collection[tuple[str, str]] = (),
) -> list[Pair]:
    """The pairs of one of ``firsts`` and one of ``seconds``, without those that are ``apart``, with an estimate of their
    occurrences per million words of talk, in no order.

    Counts without :data:`~lexiconforge.sources.word_pairs.WEB_COLUMNS` are somebody's own: they rule, and nothing is added.
    """
    total = int(pairs["count"].sum())
    meets = pairs["second"].isin(list(seconds))
    if not set(WEB_COLUMNS) <= set(pairs.columns):
        own = pairs[meets & pairs["first"].isin(list(firsts))]
        cells = (own[name].tolist() for name in PAIR_COLUMNS)
        return [
            Pair(a, b, n, n / total * 1e6) for a, b, n in zip(*cells, strict=True) if (a, b) not in apart
        ]
    shares = _Shares(lexicon)
    before, after = _contracting(shares, firsts, seconds)
    opening = [word for word in firsts if is_a(word, *OPENING)]
    on_web = (pairs[list(WEB_COLUMNS)] > 0).fillna(False).all(axis="columns")
    asked = (meets & pairs["first"].isin([*firsts, *after])) | (
        pairs["second"].isin(list(before)) & pairs["first"].isin(opening)
    )
    useful = pairs[asked & on_web]
    weigh_first, weigh_second = (
        _weights(shares, useful[name], useful[share], _margins(pairs[name], pairs["count"]))
        for name, share in zip(PAIR_COLUMNS, WEB_COLUMNS, strict=False)
    )
    found: dict[tuple[str, str], Pair] = {}
    derived: dict[tuple[str, str], Pair] = {}

    def derive(first: str, second: str, estimate: float) -> None:
        if estimate >= LEAST and (first, second) not in apart:
            derived[first, second] = Pair(first, second, None, estimate)

    for first, second, count in zip(*(useful[name].tolist() for name in PAIR_COLUMNS), strict=True):
        estimate = count / total * 1e6 * weigh_first[first] * weigh_second[second]
        if first in firsts:
            if second in seconds and (first, second) not in apart:
                found[first, second] = Pair(first, second, count, estimate)
            if second in before and is_a(first, *OPENING):
                for word, ratio in before[second]:
                    derive(first, word, estimate * ratio)
        if first in after and second in seconds:
            for form in after[first]:
                if form.stands_before(lexicon, second):
                    derive(form.word, second, estimate * form.ratio)
    return list((derived | found).values())


def _weights(
    shares: _Shares, words: pd.Series[str], on_web: pd.Series[float], margins: Mapping[str, float]
) -> dict[str, float]:
    """How much commoner each of these words is in general use than on the web, of which it has one share."""
    web = dict(zip(words.tolist(), on_web.tolist(), strict=True))
    return {word: shares[word] / math.sqrt(share * margins[word]) for word, share in web.items()}


def _margins(words: pd.Series[str], counts: pd.Series[int]) -> dict[str, float]:
    """Share of each of these words in the list of pairs."""
    sums = counts.groupby(words, sort=False).sum()
    shares: dict[str, float] = (sums / sums.sum()).to_dict()
    return shares


class _Form(NamedTuple):
    """A contraction beside the part that meets the next word: how often it is written for each time the part stands alone;
    ``subjects``, the words it stands before where it is the first part (*isn't it*), ``verb`` what that first part is."""

    word: str
    ratio: float
    verb: str
    subjects: frozenset[str]

    def stands_before(self, lexicon: Lexicon, word: str) -> bool:
        """Whether the contraction can: before a subject it agrees with; else a form of *be* before anything, *do* and the
        like before a verb or an adverb."""
        if self.subjects or is_a(word, "subject pronoun"):
            return word in self.subjects
        if is_a(self.verb, "be"):
            return True
        row = lexicon.row(word)
        open_class = not is_a(word, *(classes_of_function_words() - {"auxiliary", "be"}))
        return (
            open_class and row is not None and not {"verb", "adverb"}.isdisjoint(lexicon.parts_at(row))
        )


class _Shares(dict[str, float]):
    """Share of all text of any word, looked up once."""

    def __init__(self, lexicon: Lexicon) -> None:
        self._lexicon = lexicon

    def __missing__(self, word: str) -> float:
        row = self._lexicon.row(word)
        share = self[word] = 0.0 if row is None else self._lexicon.share_at(row)
        return share


def _contracting(
    shares: _Shares, firsts: Collection[str], seconds: Collection[str]
) -> tuple[dict[str, list[tuple[str, float]]], dict[str, list[_Form]]]:
    """Contractions among ``seconds`` by the part that the word before them meets, and among ``firsts`` by the part that the
    word after them meets."""
    before: dict[str, list[tuple[str, float]]] = {}
    after: dict[str, list[_Form]] = {}
    for row in data.rows("contractions"):
        word, first, second = row["word"], row["first"], row["second"]
        if shares[first] and shares[second]:
            ratio = shares[word] / shares[first]
            if word in seconds:
                before.setdefault(first, []).append((word, ratio))
            if word in firsts:
                form = _Form(word, shares[word] / shares[second], first, frozenset())
                after.setdefault(second, []).append(form)
                if subjects := frozenset(row["subjects"].split()):
                    after.setdefault(first, []).append(_Form(word, ratio * ASKED, first, subjects))
    return before, after
