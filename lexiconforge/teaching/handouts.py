"""What stands on a printed handout: the rule, words, exercises, contrasts, a dialogue, a dictation, and the key.

Room: chooses from a list and the lexicon by a seed; writes nothing. Everything is a :class:`Part` of entries, the same for
paper and for a word processor. The same list, options and seed give the same handout, so a class set can be printed again.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from itertools import islice
from random import Random
from typing import TYPE_CHECKING, NamedTuple, TypeVar

from lexiconforge import options as checks
from lexiconforge.errors import OptionError
from lexiconforge.lexicon import Lexicon
from lexiconforge.lists.linking import LinkFilter, link_table
from lexiconforge.teaching.handout_items import (
    Item,
    Line,
    Maker,
    Mark,
    Pair,
    Stock,
    lesson_rows,
)
from lexiconforge.teaching.targets import Target
from lexiconforge.text.corpus import spoken_words

if TYPE_CHECKING:
    import pandas as pd

    from lexiconforge.sounds import Allophone, Sound

__all__ = [
    "KEYS",
    "PAPERS",
    "PARTS",
    "Entry",
    "Handout",
    "HandoutOptions",
    "Item",
    "Mark",
    "Part",
    "handout",
]

T = TypeVar("T")

PARTS = ("words", "sorting", "linking", "contrasts", "dialogue", "dictation", "text")
"""The parts of a handout, in their order; ``text`` is that of a script. The keys come last, on a sheet of their own."""
PAPERS = ("a4", "letter")
KEYS = ("last", "separate", "none")
"""Where the key goes: on the last sheet, into a file of its own, or nowhere."""

LINKS_FROM, ASSOCIATED = 60, 2.0
"""Linking phrases, where the list brings none, are drawn from so many of the commonest links whose words meet at
least four times (two bits) as often as chance has it: *at all*, not *it as*."""
FEWEST_TO_HEAR = 3
"""Fewer contrasts than these are no exercise: words of the list, said in two ways, make one."""
DICTATED_WORDS = 8
"""A line of a dictation is no longer than is kept in mind (common practice)."""


class Entry(NamedTuple):
    """One entry of a part: an item, or two that are set against each other; ``lead`` stands before it (who speaks, a tick of
    the key), ``note`` after it."""

    item: Item
    other: Item | None = None
    lead: str = ""
    note: str = ""


class Part(NamedTuple):
    """One part: ``name`` is one of :data:`PARTS`, ``layout`` how it is set (columns, boxes, choice, lines, blanks, prose);
    ``shown`` how marks are drawn: ``signs``, or ``asked`` where the learner is to tell, or ``plain``, not at all."""

    name: str
    layout: str
    title: str
    told: str
    entries: tuple[Entry, ...]
    shown: str = "signs"
    ipa: bool = False


@dataclass(frozen=True, kw_only=True)
class HandoutOptions:
    """``seed`` is printed as the number of the set; ``words`` of the list, at most; ``exercise`` words to sort, half of them
    of the list; ``phrases`` to link; ``contrasts`` to hear; ``dictation`` items; ``ipa`` beside words and phrases on the
    learner's side; ``key`` one of :data:`KEYS`. Raises :class:`~lexiconforge.errors.OptionError`."""

    title: str = ""
    paper: str = "a4"
    seed: int = 1
    parts: Sequence[str] | str = PARTS
    key: str = KEYS[0]
    words: int = 42
    exercise: int = 16
    phrases: int = 12
    contrasts: int = 8
    dictation: int = 8
    ipa: bool = True

    def __post_init__(self) -> None:
        checks.text("title", self.title)
        checks.flag("ipa", self.ipa)
        parts = checks.some_of("part", self.parts, PARTS)
        if not parts:
            raise OptionError(f"no part is named; there are: {', '.join(PARTS)}")
        object.__setattr__(self, "parts", parts)
        object.__setattr__(self, "paper", checks.one_of("paper", self.paper, PAPERS) or PAPERS[0])
        object.__setattr__(self, "key", checks.one_of("key", self.key, KEYS) or KEYS[0])
        checks.whole("seed", self.seed, least=0)
        for name in ("words", "exercise", "phrases", "contrasts", "dictation"):
            checks.whole(name, getattr(self, name))


@dataclass(frozen=True, kw_only=True)
class Handout:
    """``target`` is the allophone that it is about; ``rule`` a sentence, empty where the list brings none; ``parts`` are for
    the learner, ``key`` for the teacher; ``options`` are those it was made with."""

    title: str
    target: str
    sound: Sound
    options: HandoutOptions
    rule: str = ""
    parts: list[Part] = field(default_factory=list)
    key: list[Part] = field(default_factory=list)

    def items(self, name: str, *, key: bool = False) -> list[Item]:
        """The items of the parts of this name, for the learner or of the key."""
        there = self.key if key else self.parts
        return [entry.item for part in there if part.name == name for entry in part.entries]

    @property
    def words(self) -> list[Item]:
        """The words to learn, with those of earlier lessons and the exceptions."""
        return self.items("words")

    @property
    def sorting(self) -> list[Item]:
        """Words with the target and without it."""
        return self.items("sorting", key=True)

    @property
    def linking(self) -> list[Item]:
        """Phrases to say as one."""
        return self.items("linking")

    @property
    def dictation(self) -> list[Item]:
        """What is read out, with every occurrence of the target marked."""
        return self.items("dictation", key=True)

    @property
    def legend(self) -> list[Allophone]:
        """The allophones that signs on the learner's side mark, in the order of the sound's table."""
        shown = {
            mark.allophone
            for part in self.parts
            if part.shown == "signs"
            for entry in part.entries
            for item in (entry.item, entry.other)
            for mark in (item.marks if item is not None else ())
            if mark.end > mark.start
        }
        if not shown:
            shown = {self.target}
        return [one for one in self.sound.allophones.values() if one.id in shown]


def handout(
    lexicon: Lexicon,
    pairs: pd.DataFrame,
    rows: Sequence[Mapping[str, str]],
    options: HandoutOptions | None = None,
) -> Handout:
    """The handout of a list.

    ``rows`` are those of a list of words, of links, of contrasts, of lines, or of a lesson of a plan, as this program writes
    them; ``pairs`` as :func:`lexiconforge.sources.word_pairs.load_word_pairs` gives them. The words to sort are those with
    one kind of the sound, and as many in which that kind is not heard, neither by rule nor in another pronunciation of the
    dictionary: first the exceptions that a lesson brings, then words of its level and length with varied endings. Contrasts
    that can be heard are to be told apart, the others are said to be alike. The dictation has words with the target and
    without, phrases and lines. Raises :class:`~lexiconforge.errors.OptionError` for rows of another kind and where nothing
    is left to print.
    """
    maker = Maker(lexicon)
    return _handout(maker, lexicon, pairs, maker.stock(lesson_rows(rows)), options or HandoutOptions())


def own_handout(
    lexicon: Lexicon,
    pairs: pd.DataFrame,
    targets: Sequence[Target],
    options: HandoutOptions | None = None,
) -> tuple[Handout, list[str]]:
    """The handout of a teacher's own words and pairs, and those of them that are not on it: the dictionary does not have
    them, or the sound is not in them. Raises :class:`~lexiconforge.errors.OptionError` where none is left."""
    maker = Maker(lexicon)
    rows, unknown = maker.rows_of(targets)
    if not rows:
        letters = lexicon.sound.letters
        raise OptionError(
            f"none of these words is in the dictionary and has a {letters}: {', '.join(unknown[:5])}"
        )
    return _handout(maker, lexicon, pairs, maker.stock(rows), options or HandoutOptions()), unknown


def script_handout(lexicon: Lexicon, text: str, options: HandoutOptions | None = None) -> Handout:
    """A script of running text: with every occurrence of the target marked, without marks for the learner to set, and with
    every occurrence of the sound as the key. Raises :class:`~lexiconforge.errors.OptionError` for one without the sound."""
    options = options or HandoutOptions()
    maker, sound = Maker(lexicon), lexicon.sound
    lines = [maker.line(line.strip()) for line in text.split("\n") if line.strip()]
    counts = Counter(name for line in lines for name in line.allophones)
    if not counts:
        raise OptionError(f"there is no {sound.letters} in this text, so there is nothing to print")
    target = next((name for name in sound.tapped if counts[name]), counts.most_common(1)[0][0])
    kinds = _kinds(sound, target)
    some = [line._replace(marks=tuple(m for m in line.marks if m.allophone in kinds)) for line in lines]
    label, letters = with_article(sound.allophones[target].label), sound.letters
    told = f"Read it aloud. The sign is under every {letters} that usually is {label}."
    asked = f"Mark every {letters} that you would say as {label}, then read it aloud."
    counted = ", ".join(f"{n} × {sound.allophones[name].label}" for name, n in counts.most_common())
    return Handout(
        title=options.title or "A text to read aloud",
        target=target,
        sound=sound,
        options=options,
        parts=[
            Part("text", "prose", "With the signs", told, tuple(map(Entry, some))),
            Part("text", "prose", "Your turn", asked, tuple(map(Entry, some)), "plain"),
        ],
        key=[Part("text", "prose", f"Every {letters}", f"{counted}.", tuple(map(Entry, lines)))],
    )


def with_article(label: str) -> str:
    """A label with its article.

    >>> with_article("tap"), with_article("affricate")
    ('a tap', 'an affricate')
    """
    return f"{'an' if label[0] in 'aeiou' else 'a'} {label}"


def _kinds(sound: Sound, target: str) -> tuple[str, ...]:
    """The allophones that count as the target: for the first tapped one all of them, as a tap through the nose is a tap."""
    return sound.tapped if target in sound.tapped[:1] else (target,)


def _handout(
    maker: Maker, lexicon: Lexicon, pairs: pd.DataFrame, stock: Stock, options: HandoutOptions
) -> Handout:
    sheet = _Sheet(maker, lexicon, stock, options)
    if not stock.phrases and stock.words and sheet.target in lexicon.sound.tapped:
        sheet.links = _common_links(maker, lexicon, pairs, sheet.target)
    made = [(part, key) for part, key in sheet.parts() if part.name in options.parts and part.entries]
    if not made:
        raise OptionError(f"this list has nothing for {', '.join(options.parts)}; choose other parts")
    return Handout(
        title=options.title or stock.title or _title(lexicon.sound, sheet.target, stock),
        target=sheet.target,
        sound=lexicon.sound,
        options=options,
        rule=stock.rule,
        parts=[part for part, _ in made],
        key=[key for _, key in made if key is not None],
    )


def _title(sound: Sound, target: str, stock: Stock) -> str:
    label = with_article(sound.allophones[target].label)
    if stock.words:
        alike = all(set(item.allophones) == {target} for item in stock.words)
        return f"Words with {label}" if alike else f"Words with a {sound.letters}"
    if stock.phrases:
        return f"Linking with {label}"
    return "Words that differ in little" if stock.pairs else "Lines to say"


def _common_links(maker: Maker, lexicon: Lexicon, pairs: pd.DataFrame, target: str) -> list[Item]:
    """The commonest links of this kind whose words belong together."""
    rows = [
        dict(row) | {"role": "link", "item": f"{row['first']} {row['second']}"}
        for row in link_table(lexicon, pairs, LinkFilter()).records()
        # A contraction was not counted as such: its two words belong together all the more.
        if (row["pmi"] is None or row["pmi"] >= ASSOCIATED) and row["allophone"] == target
    ]
    return maker.stock(rows[:LINKS_FROM]).phrases if rows else []


def _drawn(random: Random, items: Sequence[T], count: int) -> list[T]:
    """So many of these at random, in their order."""
    places = sorted(random.sample(range(len(items)), min(count, len(items))))
    return [items[place] for place in places]


class _Sheet:
    """Makes the parts of one handout, each with its key."""

    def __init__(self, maker: Maker, lexicon: Lexicon, stock: Stock, options: HandoutOptions) -> None:
        self._maker, self._sound, self._options = maker, lexicon.sound, options
        self._random = Random(options.seed)
        words = stock.words[: options.words]
        phrases = stock.phrases if words else stock.phrases[: options.words]
        self._stock = stock._replace(words=words, phrases=phrases)
        self.links: list[Item] = phrases
        self.target = self._about()
        self._kinds = _kinds(self._sound, self.target)
        self._label = with_article(self._sound.allophones[self.target].label)
        # A word with a tap can be said with a true t as well, so of any other kind only what is usual tells.
        self._usual = self.target not in self._sound.tapped
        self._sorted: list[tuple[Item, bool]] = []

    def _about(self) -> str:
        """The allophone that most of the items have; of contrasts and lines the sound's own target."""
        stock = self._stock
        counts = Counter(name for item in stock.words or stock.phrases for name in item.allophones)
        return counts.most_common(1)[0][0] if counts else self._sound.target_id()

    def parts(self) -> Iterator[tuple[Part, Part | None]]:
        """Every part that the list gives, with its key."""
        letters, label, ipa = self._sound.letters, self._label, self._options.ipa
        stock = self._stock
        drawn = (
            self.links if not stock.words else _drawn(self._random, self.links, self._options.phrases)
        )
        linked = f"Say the two words as one: the marked {letters} belongs to both."
        linking = Part("linking", "columns", "Link them", linked, _entries(drawn), ipa=ipa)
        if not stock.words:
            yield linking, None
        yield Part("words", "columns", "Words", "", _entries(stock.words), ipa=ipa), None
        yield Part("words", "columns", "From earlier lessons", "", _entries(stock.review), ipa=ipa), None
        why = f" ({'; '.join(stock.reasons)})" if stock.reasons else ""
        told = f"These look alike, but the {letters} is another{why}."
        yield Part("words", "columns", "But not here", told, _entries(stock.exceptions), ipa=ipa), None
        yield self._sorting()
        if stock.words:
            yield linking, None
        yield from self._contrasts()
        yield from self._dialogues()
        told = f"Listen and write. Then mark every {letters} that you heard as {label}."
        read = self._dictation(drawn)
        blanks = tuple(Entry(Item("", "", ())) for _ in read)
        yield (
            Part("dictation", "blanks", "Dictation", told, blanks, "plain"),
            Part(
                "dictation",
                "lines",
                "Dictation",
                f"Read each twice. Marked is every {letters} that usually is {label}.",
                _entries(read),
            ),
        )

    def _fair(self, item: Item) -> bool:
        """Whether an item can stand for *not the target*: phrases are what they are between their words."""
        return " " in item.text or not self._maker.can_be(item.text, self._kinds, usually=self._usual)

    def _asked(self) -> tuple[list[Item], list[Item]]:
        """The list's own words, or its phrases where it has none, with the target and without it."""
        meant: list[Item] = []
        others: list[Item] = []
        stock = self._stock
        for item in filter(_has_marks, [*stock.words, *stock.review] if stock.words else stock.phrases):
            # Of a word with several one place is asked about, so that a tick has one meaning.
            mixed = len({mark.allophone in self._kinds for mark in item.marks}) > 1
            if mixed or self._fair(item) or any(mark.allophone in self._kinds for mark in item.marks):
                asked = item._replace(marks=(self._random.choice(item.marks),))
                (meant if asked.marks[0].allophone in self._kinds else others).append(asked)
        return meant, others

    def _sorting(self) -> tuple[Part, Part]:
        sound, options, random = self._sound, self._options, self._random
        meant, others = self._asked()
        half = min(len(meant), options.exercise // 2)
        known = [item for item in self._stock.exceptions if len(item.marks) == 1 and self._fair(item)]
        foils = [*known, *_drawn(random, others, half)][:half]
        if not self._stock.words:
            half = len(foils)
        taken = {item.text for item in [*self._stock.words, *self._stock.review, *foils]}
        if len(foils) < half:
            more = self._maker.foils(self._stock, self._kinds, taken, usually=self._usual)
            foils += islice(more, half - len(foils))
        chosen = [(item, True) for item in random.sample(meant, half)] + [
            (item, False) for item in foils
        ]
        random.shuffle(chosen)
        self._sorted = chosen
        letters, label = sound.letters, self._label
        told = f"Say each one. Tick those in which the marked {letters} usually is {label}."
        rest = "usually is another" if self._usual else "is not heard so"
        told_key = f"✓: the {letters} usually is {label}; in the others it {rest}. A true {letters} is always acceptable."
        title = f"Which of these have {label}?"
        return (
            Part("sorting", "boxes", title, told, _entries([i for i, _ in chosen]), "asked"),
            Part(
                "sorting",
                "columns",
                title,
                told_key,
                tuple(
                    Entry(item, lead="✓" if yes else "–", note=_labels(sound, item))
                    for item, yes in chosen
                ),
                ipa=True,
            ),
        )

    def _contrasts(self) -> Iterator[tuple[Part, Part | None]]:
        pairs, most = self._stock.pairs, self._options.contrasts
        heard = [pair for pair in pairs if not pair.alike][:most]
        alike = [pair for pair in pairs if pair.alike][:most]
        yield self._choice(
            heard,
            "Which one do you hear?",
            "Your teacher says one of the two. Circle the one that you hear.",
            "plain",
        )
        if len(heard) < FEWEST_TO_HEAR:
            found = (
                (item, self._maker.otherwise(item, self._kinds))
                for item in self._stock.words
                if item.allophones == (self.target,)
            )
            both = [Pair(item, other, "") for item, other in found if other is not None]
            letters = self._sound.letters
            yield self._choice(
                _drawn(self._random, both, most // 2),
                f"Which {letters} do you hear?",
                f"Your teacher says each word in one of two ways, both of them good. Circle the {letters} that you hear.",
                "signs",
            )
        if alike:
            said = f"With {self._label} these are alike for many speakers: only the sentence tells which is meant."
            title, shown = "Alike to the ear", self._options.ipa
            yield Part("contrasts", "choice", title, said, _both(alike), ipa=shown), None

    def _choice(self, pairs: Sequence[Pair], title: str, told: str, shown: str) -> tuple[Part, Part]:
        """Pairs of which the teacher says one, and which one."""
        entries = []
        firsts = [n % 2 == 0 for n in range(len(pairs))]
        self._random.shuffle(firsts)
        for pair, first in zip(pairs, firsts, strict=True):
            said = pair.first if first else pair.second
            lead = said.text if pair.first.text != pair.second.text else f"[{self._sounds(said)}]"
            entries.append(Entry(pair.first, pair.second, lead, pair.note))
        return (
            Part("contrasts", "choice", title, told, _both(pairs), shown),
            Part("contrasts", "choice", title, "Say the one in front.", tuple(entries), ipa=True),
        )

    def _sounds(self, item: Item) -> str:
        return " ".join(self._sound.symbol(name) for name in item.allophones)

    def _dialogues(self) -> Iterator[tuple[Part, Part]]:
        blocks: dict[str, list[Line]] = {}
        for line in self._stock.lines:
            blocks.setdefault(line.dialogue, []).append(line)
        letters, label = self._sound.letters, self._label
        for n, lines in enumerate(blocks.values(), start=1):
            spoken = any(line.speaker for line in lines)
            title = "Dialogue" if spoken else "Lines to say"
            if spoken and len(blocks) > 1:
                title += f" {n}"
            marked = [self._maker.said(line.item, self._kinds) for line in lines]
            entries = tuple(Entry(i, lead=line.speaker) for i, line in zip(marked, lines, strict=True))
            told = f"Mark every {letters} that you would say as {label}, then say the lines."
            number = sum(len(item.marks) for item in marked)
            told_key = f"{number} to mark. A true {letters} is always acceptable."
            yield (
                Part("dialogue", "lines", title, told, entries, "plain"),
                Part("dialogue", "lines", title, told_key, entries),
            )

    def _dictation(self, phrases: Sequence[Item]) -> list[Item]:
        """Half lines that hold the list's words, half words with the target and without and phrases."""
        count, random, stock = self._options.dictation, self._random, self._stock
        spoken = {line.item.text for line in stock.lines}
        lines = [
            self._maker.line(text)
            for text in dict.fromkeys(stock.examples)
            if text not in spoken and len(spoken_words(text)) <= DICTATED_WORDS
        ]
        with_target = [line for line in lines if set(line.allophones) & set(self._kinds)]
        read = _drawn(random, with_target, count // 2)
        if not stock.words and not stock.phrases:
            read = _drawn(random, [line.item for line in stock.lines], count)
        rest = count - len(read)
        said = _drawn(random, phrases, rest // 3 if stock.words else rest)
        singles = [item for item, _ in self._sorted if " " not in item.text]
        yes = [item for item, meant in self._sorted if meant and item in singles]
        no = [item for item, meant in self._sorted if not meant and item in singles]
        left = rest - len(said)
        said += _drawn(random, yes, (left + 1) // 2)
        said += _drawn(random, no, rest - len(said))
        random.shuffle(said)
        return [self._maker.said(item, self._kinds) for item in [*said, *read]]


def _has_marks(item: Item) -> bool:
    return bool(item.marks)


def _entries(items: Sequence[Item]) -> tuple[Entry, ...]:
    return tuple(map(Entry, items))


def _both(pairs: Sequence[Pair]) -> tuple[Entry, ...]:
    return tuple(Entry(pair.first, pair.second) for pair in pairs)


def _labels(sound: Sound, item: Item) -> str:
    return "; ".join(sound.allophones[name].label for name in item.allophones)
