"""What a handout is made from: words, phrases, pairs and lines with their marks, out of any list, and fair foils.

Room: reads rows of lists that this program wrote, or words of a teacher's own; the sounds are the lexicon's and the tagger's
business.
"""

from __future__ import annotations

from collections.abc import Collection, Iterator, Mapping, Sequence
from functools import cached_property
from itertools import zip_longest
from typing import NamedTuple

from lexiconforge.errors import OptionError
from lexiconforge.lexicon import Lexicon
from lexiconforge.lexicon.records import Reading, bracket_ends, bracketed
from lexiconforge.lists.linking import phrase_ipa, rule_across
from lexiconforge.lists.phrasing import PairReadings
from lexiconforge.lists.wordlists import WordFilter, joined, select
from lexiconforge.phonology.ipa import ipa
from lexiconforge.sources.levels import LEVELS
from lexiconforge.teaching.targets import Target
from lexiconforge.text.tagger import Tagger

Row = Mapping[str, str]

FOILS_FROM, RAREST_FOIL = 40, 3000
"""Foils are drawn from so many words of an environment, and from ranks at least so far."""
SAME_ENDING = 2
"""Foils that end in the same letters, so many of them, give themselves away; so no two do."""


class Mark(NamedTuple):
    """Letters of an item that are meant, from ``start`` to ``end``, and what the sound is there."""

    start: int
    end: int
    allophone: str


class Item(NamedTuple):
    """A word, phrase or line on a handout, with the occurrences of the sound that are meant."""

    text: str
    ipa: str
    marks: tuple[Mark, ...]

    @property
    def allophones(self) -> tuple[str, ...]:
        """What each of these occurrences is, in order."""
        return tuple(mark.allophone for mark in self.marks)


class Pair(NamedTuple):
    """The two sides of a contrast, and what it teaches."""

    first: Item
    second: Item
    note: str

    @property
    def alike(self) -> bool:
        """Whether nobody can hear which of the two is said."""
        return self.first.ipa == self.second.ipa


class Line(NamedTuple):
    """A line to say: who says it (``""`` if nobody is named), the number of its dialogue (``""`` outside one)."""

    item: Item
    speaker: str
    dialogue: str


class Stock(NamedTuple):
    """All that a list brings. ``title``, ``rule`` and the ``reasons`` of exceptions are of lessons; ``examples`` are lines
    to say with its words; ``levels`` and ``environments`` those of its words."""

    title: str
    rule: str
    reasons: list[str]
    words: list[Item]
    review: list[Item]
    exceptions: list[Item]
    phrases: list[Item]
    pairs: list[Pair]
    lines: list[Line]
    examples: list[str]
    levels: list[str]
    environments: list[str]


LESSON = {"role", "item", "marked", "ipa", "allophone"}


def lesson_rows(rows: Sequence[Row]) -> list[dict[str, str]]:
    """The rows of any list of this program as those of a lesson: each with its ``role`` and ``item``.

    Raises :class:`~lexiconforge.errors.OptionError` for rows of another kind, of a whole plan, and for none.
    """
    if not rows:
        raise OptionError("the list is empty, so there is nothing to print")
    columns = rows[0].keys()
    if columns >= LESSON:
        if len({row.get("lesson") for row in rows}) > 1:
            raise OptionError("this is a whole plan; give one of its lessons, as lesson-01.csv")
        return [dict(row) for row in rows]
    if {"kind", "first", "second", "first_ipa", "second_ipa"} <= columns:
        return [
            dict(row)
            | {
                "role": "contrast",
                "item": f"{row['first']} / {row['second']}",
                "ipa": f"{row['first_ipa']} / {row['second_ipa']}",
                "example": "",
            }
            for row in rows
        ]
    if {"first", "second", "ipa", "allophone"} <= columns:
        return [dict(row) | {"role": "link", "item": f"{row['first']} {row['second']}"} for row in rows]
    if {"line", "marked", "practises"} <= columns:
        return [dict(row) | {"role": "line", "item": row["line"]} for row in rows]
    if {"word", "marked", "ipa", "allophone"} <= columns:
        return [dict(row) | {"role": "new", "item": row["word"]} for row in rows]
    raise OptionError(
        "this is no list of words, links, contrasts, lines or a lesson; give one that this program wrote, or plain "
        "text with a word a line"
    )


class Maker:
    """Makes items out of rows, and finds more of them in the lexicon."""

    def __init__(self, lexicon: Lexicon) -> None:
        self._lexicon, self._sound = lexicon, lexicon.sound
        self._tagger = Tagger(lexicon)

    @cached_property
    def _said(self) -> PairReadings:
        return PairReadings(self._lexicon)

    def stock(self, rows: Sequence[Row]) -> Stock:
        """Everything in these rows of a lesson. Raises OptionError for a row that cannot be."""
        roles: dict[str, list[Row]] = {}
        for row in rows:
            roles.setdefault(row["role"], []).append(row)
        new = roles.get("new", [])
        rule = next((row["item"] for row in roles.get("rule", ())), "")
        own = [*new, *roles.get("link", ())]
        return Stock(
            next((row.get("title", "") for row in rows), ""),
            rule,
            list(dict.fromkeys(filter(None, (row.get("note") for row in roles.get("exception", ()))))),
            [self._word(row["item"], row) for row in new],
            [self._word(row["item"], row) for row in roles.get("review", ())],
            [
                self._phrase(row["item"], row) if " " in row["item"] else self._word(row["item"], row)
                for row in roles.get("exception", ())
            ],
            [self._phrase(row["item"], row) for row in roles.get("link", ())],
            [self._pair(row) for row in roles.get("contrast", ())],
            [
                Line(self.line(row["item"]), row.get("speaker") or "", row.get("dialogue") or "")
                for row in roles.get("line", ())
            ],
            [line for row in own if (line := (row.get("example") or "").partition(" / ")[0])],
            [row["level"] for row in new if row.get("level")],
            list(dict.fromkeys(e for row in new for e in (row.get("environment") or "").split("; "))),
        )

    def rows_of(self, targets: Sequence[Target]) -> tuple[list[dict[str, str]], list[str]]:
        """A teacher's own words and pairs as rows of a lesson, and those of which nothing is known or in which the sound
        does not stand."""
        rows, unknown = [], []
        for target in targets:
            text = " ".join(target)
            row = self._own_pair(*target) if len(target) == 2 else self._own_word(text)
            if row is None:
                unknown.append(text)
            else:
                rows.append(row)
        return rows, unknown

    def _own_word(self, word: str) -> dict[str, str] | None:
        entry = self._lexicon.entry(word)
        reading = self._lexicon.derived(word) if entry is None else entry.main
        if reading is None or not reading.tokens:
            return None
        tokens = reading.tokens
        written = word if entry is None else entry.written
        marked = bracketed(written, [(t.span, self._sound.symbol(t.rule.allophone)) for t in tokens])
        return {
            "role": "new",
            "item": written,
            "marked": marked,
            "ipa": reading.ipa,
            "allophone": joined(token.rule.allophone for token in tokens),
            "environment": joined(token.rule.environment for token in tokens),
            "level": "" if entry is None else entry.level,
        }

    def _own_pair(self, first: str, second: str) -> dict[str, str] | None:
        if first not in self._lexicon or second not in self._lexicon:
            return None
        one, two = self._said.of(first, second)
        if one.phones[-1] != self._sound.phone:
            return None
        rule = rule_across(self._sound, one.phones, two.phones)
        shown = phrase_ipa(self._sound, one, two, rule)
        if rule.allophone not in self._sound.tapped:
            shown = shown.replace("‿", " ")
        text = f"{first} {second}"
        return {"role": "link", "item": text, "marked": "", "ipa": shown, "allophone": rule.allophone}

    def _word(self, text: str, row: Row) -> Item:
        """A word with the occurrences that its row marks, each as what it is."""
        named = row["allophone"].split("; ")
        for name in named:
            if name not in self._sound.allophones:
                there = ", ".join(self._sound.allophones)
                raise OptionError(f"{text}: no allophone {name!r}; there are: {there}")
        main = self._reading(text, row["ipa"])
        ends = bracket_ends(row["marked"])
        if main is None:
            # How many letters spell it nobody knows; the last one does.
            marks = tuple(Mark(end - 1, end, named[0]) for end in ends if 0 < end <= len(text))
        else:
            tokens = (token for token in main.tokens if token.span[1] in ends)
            marks = tuple(Mark(*token.span, token.rule.allophone) for token in tokens)
        return Item(text, row["ipa"], marks or (Mark(0, 0, named[0]),))

    def _reading(self, text: str, ipa: str) -> Reading | None:
        """The pronunciation that a row means: of a homograph the one that it shows."""
        entry = self._lexicon.entry(text.lower())
        if entry is None:
            return self._lexicon.derived(text.lower())
        return next((reading for reading in entry.readings if reading.ipa == ipa), entry.main)

    def _phrase(self, text: str, row: Row) -> Item:
        """Two words with the sound that links them, as it is between them."""
        words = text.split()
        if len(words) != 2 or row["allophone"] not in self._sound.allophones:
            raise OptionError(f"{text!r}: a link is two words and what the sound between them is")
        last = [mark for mark in self._marks(text) if mark.end <= len(words[0])][-1:]
        return Item(text, row["ipa"], tuple(Mark(m.start, m.end, row["allophone"]) for m in last))

    def _pair(self, row: Row) -> Pair:
        sides, heard = row["item"].split(" / "), row["ipa"].split(" / ")
        if len(sides) != 2 or len(heard) != 2:
            raise OptionError(
                f"{row['item']!r}: a contrast is two sides with ' / ' between, and the IPA of both"
            )
        first, second = (
            Item(side, said, self._side(side, said)) for side, said in zip(sides, heard, strict=True)
        )
        return Pair(first, second, row.get("note", ""))

    def _side(self, side: str, said: str) -> tuple[Mark, ...]:
        if " " in side:
            words = side.split()
            return tuple(
                mark for mark in self._marks(side) if mark.end <= len(words[0]) or "‿" not in said
            )
        reading = self._reading(side, said)
        tokens = reading.tokens if reading is not None else ()
        return tuple(Mark(*t.span, t.rule.allophone) for t in tokens if t.span[1] > t.span[0])

    def line(self, text: str) -> Item:
        """A line with every occurrence of the sound."""
        return Item(text, "", tuple(self._marks(text)))

    def _marks(self, text: str) -> list[Mark]:
        """Every occurrence of the sound in a text that letters spell."""
        table = self._tagger.tag_text(text).table
        found = zip(table["start"], table["end"], table["allophone"], strict=True)
        return [Mark(start, end, allophone) for start, end, allophone in found if end > start]

    def said(self, item: Item, kinds: Collection[str]) -> Item:
        """The item with every occurrence of these kinds marked, and no other."""
        marks = item.marks
        if not item.ipa or " " in item.text:
            marks = tuple(self._marks(item.text))
        elif (reading := self._reading(item.text, item.ipa)) is not None:
            marks = tuple(
                Mark(*t.span, t.rule.allophone) for t in reading.tokens if t.span[1] > t.span[0]
            )
        return item._replace(marks=tuple(mark for mark in marks if mark.allophone in kinds))

    def otherwise(self, item: Item, kinds: Collection[str]) -> Item | None:
        """The same word with the sound as it can be as well, which is none of these and heard; None where it cannot, or has
        the sound more than once."""
        reading = self._reading(item.text, item.ipa)
        if reading is None or len(reading.tokens) != 1 or len(item.marks) != 1:
            return None
        (token,) = reading.tokens
        sound = self._sound
        full = [name for name in token.rule.also_heard if name not in (*kinds, sound.silent)]
        if not full:
            return None
        other = full[0]
        shown = ipa(reading.phones, {token.phone_index: sound.allophones[other].ipa}, reading.boundaries)
        return Item(item.text, shown, (item.marks[0]._replace(allophone=other),))

    def can_be(self, word: str, kinds: Collection[str], *, usually: bool = False) -> bool:
        """Is an occurrence in the word one of these, or not heard, in any pronunciation: usually or sometimes, or only
        ``usually``?"""
        entry = self._lexicon.entry(word.lower())
        if entry is None:
            return True
        heard = {
            name
            for reading in entry.readings
            for token in reading.tokens
            for name in (token.rule.allophone, *(() if usually else token.rule.also_heard))
        }
        return bool(heard & {*kinds, self._sound.silent})

    def foils(
        self, stock: Stock, kinds: Collection[str], taken: Collection[str], *, usually: bool = False
    ) -> Iterator[Item]:
        """Words with the sound once, inside the word, and as none of these, of the level and length of the list's own: those
        where it stands in a place that looks like the list's first, then every other place in turn."""
        alike = [
            name
            for step in self._sound.lessons
            if set(step.environments) & set(stock.environments)
            for name in step.looks_like
        ]
        rules = self._sound.rules
        others = [r.environment for r in rules if r.allophone not in (*kinds, self._sound.silent)]
        pools = [self._pool(name, stock, kinds, usually) for name in dict.fromkeys([*alike, *others])]
        endings: set[str] = set()
        for turn in zip_longest(*pools):
            for item in filter(None, turn):
                ending = item.text[-SAME_ENDING:]
                if ending not in endings and item.text not in taken:
                    endings.add(ending)
                    yield item

    def _pool(self, environment: str, stock: Stock, kinds: Collection[str], usually: bool) -> list[Item]:
        ranks = [self._lexicon.rank(item.text.lower()) or 0 for item in stock.words]
        lengths = [
            len(main.stress) for item in stock.words if (main := self._lexicon.main(item.text.lower()))
        ]
        wanted = WordFilter(
            environment=environment,
            one_per_family=True,
            levels=(LEVELS[0], max(stock.levels)) if stock.levels else None,
            syllables=(max(2, min(lengths)), max(2, *lengths)) if lengths else None,
            max_rank=max([RAREST_FOIL, *ranks]),
            limit=FOILS_FROM,
            examples=0,
        )
        chosen = select(self._lexicon, wanted)
        found = []
        for entry, candidate in zip(chosen.entries, chosen.candidates, strict=True):
            letters, main = self._sound.letters, entry.main
            once = len(main.tokens) == 1 == entry.word.replace(letters * 2, letters).count(letters)
            if not once or self.can_be(entry.word, kinds, usually=usually):
                continue
            token = main.tokens[0]
            if self._sound.silent in token.rule.also_heard:
                continue
            inside = 0 < token.phone_index < len(main.phones) - 1
            if inside and not candidate.reading and entry.written == entry.word:
                found.append(Item(entry.word, main.ipa, (Mark(*token.span, token.rule.allophone),)))
        return found
