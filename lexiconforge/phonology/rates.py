"""How often each variant of a sound is heard in its environment, and by whose count.

Room: takes the rows of a sound's ``heard`` tables (``sounds/README.md`` explains them), knows no sound and no word.
The cells that hold a token go from wide to narrow::

    every word-final one > the sound before > and the next sound > and the ending > and the word > the pair

Counts of a wide cell are lent to the narrow ones (:data:`LENT`), so that a rare cell does not claim certainty: the
share of a variant is ``(count + lent * share in the wider cell) / (tokens + lent)``, additive smoothing towards the wider
distribution (common practice). Where the sound before and the next sound were never counted together, the answer is
:data:`NOT_COUNTED`.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator, Mapping, Sequence
from fnmatch import translate
from math import floor
from typing import NamedTuple

from lexiconforge.phonology.matcher import fitting

CELLS = ("context", "ending", "word", "pair", "environment")
"""What a row of the table can be about; *environment* is one of the rule table, inside a word."""
UNITS = ("count", "percent")
GROUPINGS = ("before", "next", "kind", "ending")
"""What a row of the groups can be about: the sound before, the next sound, two ways of grouping words."""

LENT = {"before": 4.0, "context": 4.0, "ending": 16.0, "word": 16.0, "pair": 16.0}
"""How many tokens a cell borrows from the next wider one.

Found by leaving speakers out one by one (``benchmarks/connected_speech.py``): the best of a grid of powers of two, log loss
.848; from 2 to 8 by context and 8 to 32 by ending, word and pair it stays within .003 of that, and chosen without
the speaker they are tried on they do as well (.848). Words borrow more because the tokens of a word come from few speakers.
"""

FEW = 8
"""A cell with fewer tokens than this is not named alone as the source: its shares are mostly those of the wider one."""

Shares = tuple[float, ...]


class Group(NamedTuple):
    """A category of the counts: ``grouping`` is one of :data:`GROUPINGS`, ``fits`` a symbol of a pattern (``V``,
    ``ER/R``) or words with ``; `` between, ``*`` for any letters."""

    grouping: str
    name: str
    fits: str


class Key(NamedTuple):
    """A cell of the table: the kind of cell, and what it is about (empty: anything)."""

    cell: str
    before: str
    next_sound: str = ""
    kind: str = ""
    word: str = ""
    next_word: str = ""


class Cell(NamedTuple):
    """A row of the table: ``values`` in the order of the variants are counts, or percent where ``percent``."""

    values: Shares
    tokens: int
    source: str
    percent: bool
    estimated: str


class Heard(Mapping[str, int]):
    """Percent by variant, most frequent first, adding up to 100, without those that are never heard; empty where
    nobody counted.

    ``source``: whose count, of what, how many tokens. ``tokens``: those of the narrowest cell used, 0 if unknown.
    ``estimated``: from what, where the shares are not a count of this environment; else empty.

    >>> str(Heard({"tap": 64, "stop": 36}, "a count"))
    'tap 64; stop 36'
    """

    __slots__ = ("_shares", "estimated", "source", "text", "tokens")

    def __init__(
        self, shares: Mapping[str, int], source: str, tokens: int = 0, estimated: str = ""
    ) -> None:
        self._shares = dict(shares)
        self.source, self.tokens, self.estimated = source, tokens, estimated
        self.text = "; ".join(f"{variant} {share}" for variant, share in self._shares.items())

    def __getitem__(self, variant: str) -> int:
        return self._shares[variant]

    def __iter__(self) -> Iterator[str]:
        return iter(self._shares)

    def __len__(self) -> int:
        return len(self._shares)

    def __str__(self) -> str:
        return self.text

    def __repr__(self) -> str:
        return f"<Heard {self.text or 'nothing'}: {self.source}>"

    @property
    def likeliest(self) -> str:
        """The most frequent variant, ``""`` where nobody counted."""
        return next(iter(self._shares), "")


NOT_COUNTED = Heard({}, "no published count")


class RatesError(ValueError):
    """A row of the table that cannot be: ``row`` counted from 0, ``column`` its name."""

    def __init__(self, row: int, column: str, what: str) -> None:
        super().__init__(what)
        self.row, self.column = row, column


class Rates:
    """Looks up shares. Answers are kept: a text asks for few environments many times.

    >>> groups = [Group("before", "r", "ER/R"), Group("next", "vowel", "V"), Group("next", "pause", "#")]
    >>> rates = Rates("t", ("stop", "elided", "glottal stop", "tap"), groups, [
    ...     {"cell": "context", "before": "r", "next_sound": "vowel", "unit": "count", "n": "225", "source": "P07",
    ...      "heard": "stop 16; elided 33; glottal stop 21; tap 155"},
    ...     {"cell": "pair", "before": "r", "next_sound": "vowel", "word": "sort", "next_word": "of", "unit": "count",
    ...      "heard": "stop 8; elided 13; glottal stop 4; tap 92", "n": "117", "source": "P07"}])
    >>> str(rates.final("sort", "R", "AH0"))
    'tap 69; elided 15; glottal stop 9; stop 7'
    >>> rates.final("sort", "R", "AH0", "of").source
    'P07: sort of, 117 tokens'
    >>> rates.final("cat", "AE1", "#").source
    'no published count'
    """

    def __init__(
        self,
        letters: str,
        variants: Sequence[str],
        groups: Iterable[Group],
        rows: Iterable[Mapping[str, str]],
        lent: Mapping[str, float] = LENT,
    ) -> None:
        """``letters`` name the sound in the sources of answers. Raises :class:`RatesError` for a cell or unit that does not
        exist, a number that is none, counts that do not add up to ``n`` or percents that do not add up to 100, and a
        cell given twice."""
        self.letters, self.variants, self._lent = letters, tuple(variants), lent
        self._symbols: dict[str, dict[str, str]] = {"before": {}, "next": {}}
        self._patterns: dict[str, list[tuple[re.Pattern[str], str]]] = {"kind": [], "ending": []}
        for group in groups:
            if group.grouping in self._symbols:
                for symbol in fitting(group.fits):
                    self._symbols[group.grouping].setdefault(symbol, group.name)
            else:
                words = (word.strip() for word in group.fits.split(";"))
                fits = (re.compile(translate(word)) for word in words)
                self._patterns[group.grouping] += [(one, group.name) for one in fits]
        self._cells: dict[Key, Cell] = {}
        self._environments: dict[tuple[str, str], Cell] = {}
        for at, row in enumerate(rows):
            self._add(at, row)
        counted = [(key, c) for key, c in self._cells.items() if key.cell == "context" and not c.percent]
        self._all = self._sum(cell.values for _, cell in counted)
        by_group: dict[tuple[str, str], list[Shares]] = {}
        for key, cell in counted:
            by_group.setdefault((key.before, key.kind), []).append(cell.values)
        self._before = {group: self._sum(values) for group, values in by_group.items()}
        # Words without cells of their own share one answer by context, so the memory is bounded by the table.
        self._words = {key.word for key in self._cells if key.word}
        # A counted pair brings its own context: *wouldn't have* is filed before h, also where the h is lost.
        self.pairs = {
            (key.word, key.next_word): (key.before, key.next_sound)
            for key in self._cells
            if key.next_word
        }
        self._known: dict[tuple[str, ...], Heard] = {}
        self._grouped: dict[tuple[str, str], str] = {}

    def final(self, word: str, before: str, after: str, next_word: str = "") -> Heard:
        """How often each variant is heard at the end of a word.

        ``before`` and ``after`` are the symbols on either side, the next word's as it is said: a vowel for *him* without
        its h. (The counts file *him* under h; its tokens are foretold better as before a vowel, log loss .86
        against .97 of 46.) ``word`` and ``next_word`` in lower case, with a straight apostrophe; no next word before
        a pause.
        """
        return self.final_in(
            self._symbols["before"].get(before, ""),
            self._symbols["next"].get(after, ""),
            word,
            next_word,
        )

    def final_in(self, before: str, next_sound: str, word: str = "", next_word: str = "") -> Heard:
        """The same by the groups of the table: ``before`` *r*, ``next_sound`` *vowel*."""
        key = self._filed(before, next_sound, word, next_word)
        try:
            return self._known[key]
        except KeyError:
            return self._known.setdefault(key, self._worked_out(*key))

    def run_together(self, word: str, next_word: str) -> Heard:
        """The same of two words that are said as one (*want to*): a count of other words tells nothing of them."""
        if (word, next_word) not in self.pairs:
            return NOT_COUNTED
        return self.final_in("", "", word, next_word)

    def inside(self, environment: str, before: str) -> Heard:
        """The same inside a word: ``environment`` of the rule table, ``before`` the symbol before."""
        group = self._symbols["before"].get(before, "")
        known = self._known.get((environment, group))
        if known is None:
            cell = self._environments.get((environment, group)) or self._environments.get(
                (environment, "")
            )
            known = NOT_COUNTED if cell is None else self._as_published(cell, environment)
            self._known[environment, group] = known
        return known

    def distribution(
        self, before: str, next_sound: str, word: str = "", next_word: str = ""
    ) -> dict[str, float] | None:
        """The shares of :meth:`final_in` before they are rounded, adding up to 1; None where nobody counted."""
        filed = self._filed(before, next_sound, word, next_word)
        chain = self._chain(*filed)
        if not chain:
            return None
        return dict(zip(self.variants, self._smoothed(filed[0], filed[2], chain), strict=True))

    def environments(self, least: int = 0) -> list[tuple[str, Heard]]:
        """What was counted or published, by environment: the sound before and the next sound of word-final ones, then those
        inside a word; those with fewer tokens than ``least`` left out, but not where no number was given."""
        found = []
        for key, cell in self._cells.items():
            if key.cell == "context" and cell.tokens >= least:
                # As shares of the cell alone: no word is named.
                smoothed = self._smoothed(key.before, key.kind, [(key, cell)])
                heard = Heard(
                    whole_percents(self.variants, smoothed), cell.source, cell.tokens, cell.estimated
                )
                found.append((self._described(key), heard))
        for (environment, before), cell in self._environments.items():
            named = f"{environment}, {before} + {self.letters}" if before else environment
            if not cell.tokens or cell.tokens >= least:
                found.append((f"inside a word: {named}", self._as_published(cell, environment)))
        return found

    def _add(self, at: int, row: Mapping[str, str]) -> None:
        what, unit = row["cell"], row["unit"]
        if what not in CELLS:
            raise RatesError(at, "cell", f"no cell {what!r}; there are: {', '.join(CELLS)}")
        if unit not in UNITS:
            raise RatesError(at, "unit", f"no unit {unit!r}; there are: {', '.join(UNITS)}")
        given: dict[str, float] = {}
        for part in row["heard"].split(";"):
            variant, _, number = part.strip().rpartition(" ")
            if variant not in self.variants or variant in given:
                listed = ", ".join(self.variants)
                raise RatesError(
                    at, "heard", f"{part.strip()!r}: a variant once and a number; they are: {listed}"
                )
            given[variant] = _number(at, "heard", number)
        tokens = int(_number(at, "n", row.get("n") or "0"))
        values = tuple(given.get(variant, 0.0) for variant in self.variants)
        total = 100 if unit == "percent" else tokens
        if abs(sum(values) - total) > 1e-6:
            raise RatesError(at, "heard", f"the variants add up to {sum(values):g}, not {total}")
        cell = Cell(values, tokens, row["source"], unit == "percent", row.get("estimated") or "")
        names = ("before", "next_sound", "kind", "word", "next_word")
        about = [row.get(name) or "" for name in names]
        key, inside = Key(what, *about), (row.get("environment") or "", about[0])
        if key in self._cells or (what == "environment" and inside in self._environments):
            raise RatesError(at, "cell", "this cell is given twice")
        if what == "environment":
            self._environments[inside] = cell
        else:
            self._cells[key] = cell

    def group(self, grouping: str, word: str) -> str:
        """The *kind* or *ending* that a word belongs to, ``""`` for none."""
        known = self._grouped.get((grouping, word))
        if known is None:
            patterns = self._patterns[grouping]
            known = next((name for fits, name in patterns if fits.match(word)), "")
            self._grouped[grouping, word] = known
        return known

    def _filed(
        self, before: str, next_sound: str, word: str, next_word: str
    ) -> tuple[str, str, str, str, str, str]:
        """The context to look in, the groups of the word, the word and the next where they were counted."""
        filed = self.pairs.get((word, next_word))
        if filed is None:
            next_word = ""
        else:
            before, next_sound = filed
        named = word if word in self._words else ""
        return (
            *(before, next_sound, self.group("kind", word), self.group("ending", word)),
            *(named, next_word),
        )

    def _chain(
        self, before: str, next_sound: str, kind: str, ending: str, word: str, next_word: str
    ) -> list[tuple[Key, Cell]]:
        """The cells that hold the token, from wide to narrow; none if its context was not counted."""
        candidates = [
            Key("context", before, next_sound, kind),
            Key("ending", before, next_sound, ending),
            Key("word", before, next_sound, word=word),
            Key("pair", before, next_sound, word=word, next_word=next_word),
        ]
        if candidates[0] not in self._cells:
            return []
        return [(key, self._cells[key]) for key in candidates if key in self._cells]

    def _smoothed(self, before: str, kind: str, chain: Sequence[tuple[Key, Cell]]) -> Shares:
        values = chain[0][1].values
        if chain[0][1].percent:
            return tuple(value / sum(values) for value in values)
        share = tuple(value / sum(self._all) for value in self._all)
        share = _lend(self._before[before, kind], share, self._lent["before"])
        for key, cell in chain:
            share = _lend(cell.values, share, self._lent[key.cell])
        return share

    def _worked_out(
        self, before: str, next_sound: str, kind: str, ending: str, word: str, next_word: str
    ) -> Heard:
        chain = self._chain(before, next_sound, kind, ending, word, next_word)
        if not chain:
            return NOT_COUNTED
        if chain[0][1].percent:
            return self._as_published(chain[0][1], self._described(chain[0][0]))
        key, cell = chain[-1]
        source = f"{cell.source}: {self._described(key)}, {_tokens(cell.tokens)}"
        if cell.tokens < FEW:
            wider = int(sum(self._before[before, kind]))
            source += f" (few; with {self._named(before, kind)} before any sound, {_tokens(wider)})"
        return Heard(
            whole_percents(self.variants, self._smoothed(before, kind, chain)), source, cell.tokens
        )

    def _as_published(self, cell: Cell, about: str) -> Heard:
        """A cell that is not smoothed: nothing wider was counted in the same way."""
        source = f"{cell.source}: {about}"
        if cell.estimated:
            source += f", estimated {cell.estimated}"
        if cell.tokens:
            source += f", {_tokens(cell.tokens)}"
        shares = [value / sum(cell.values) for value in cell.values]
        return Heard(whole_percents(self.variants, shares), source, cell.tokens, cell.estimated)

    def _described(self, key: Key) -> str:
        if key.next_word:
            return f"{key.word} {key.next_word}"
        return f"{key.word or self._named(key.before, key.kind)} + {key.next_sound}"

    def _named(self, before: str, kind: str) -> str:
        plain = f"{before} + {self.letters}"
        return f"{kind} ({plain})" if kind else plain

    def _sum(self, values: Iterable[Shares]) -> Shares:
        total = (0.0,) * len(self.variants)
        for some in values:
            total = tuple(a + b for a, b in zip(total, some, strict=True))
        return total


def whole_percents(variants: Sequence[str], shares: Iterable[float]) -> dict[str, int]:
    """Whole percents by largest remainder, so that they add up to 100; most frequent first, zeros left out.

    ``shares`` add up to 1. A tie goes to the variant that stands first.

    >>> whole_percents(("stop", "elided", "tap"), [1 / 3, 1 / 3, 1 / 3])
    {'stop': 34, 'elided': 33, 'tap': 33}
    """
    exact = [100 * share for share in shares]
    whole = [floor(value + 1e-9) for value in exact]
    by_remainder = sorted(range(len(exact)), key=lambda place: whole[place] - exact[place])
    for place in by_remainder[: 100 - sum(whole)]:
        whole[place] += 1
    order = sorted(range(len(whole)), key=lambda place: -whole[place])
    return {variants[place]: whole[place] for place in order if whole[place]}


def _number(at: int, column: str, text: str) -> float:
    try:
        number = float(text)
    except ValueError:
        raise RatesError(at, column, f"{text!r} is not a number") from None
    if not 0 <= number < 1e9:
        raise RatesError(at, column, f"{text!r} cannot be a count")
    return number


def _lend(counts: Shares, wider: Shares, lent: float) -> Shares:
    total = sum(counts) + lent
    return tuple((count + lent * share) / total for count, share in zip(counts, wider, strict=True))


def _tokens(number: int) -> str:
    return f"{number:,} token{'s' if number != 1 else ''}"
