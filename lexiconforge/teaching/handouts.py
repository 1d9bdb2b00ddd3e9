"""What stands on a printed handout: words, a sorting exercise, linking phrases, a dictation.

Room: chooses from a list and the lexicon by a seed; writes nothing. The same list, options and seed give the same
handout, so a class set can be printed again.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass, field
from random import Random
from typing import TYPE_CHECKING, NamedTuple, TypeVar

from lexiconforge import options as checks
from lexiconforge.errors import OptionError
from lexiconforge.lexicon import Lexicon
from lexiconforge.lexicon.records import bracket_ends
from lexiconforge.lists.linking import LINK_COLUMNS, LinkFilter, link_table
from lexiconforge.lists.wordlists import WordFilter, select
from lexiconforge.text.tagger import Tagger

if TYPE_CHECKING:
    import pandas as pd

    from lexiconforge.sounds import Sound

T = TypeVar("T")

PARTS = ("words", "sorting", "linking", "dictation")
"""The pages of a handout, in their order; the keys of two and four come last, on pages of their own."""
PAPERS = ("a4", "letter")

FOILS_FROM, RAREST_FOIL = 100, 3000
"""A sorting exercise draws its other words from so many of an environment, and from ranks at least so far."""
LINKS_FROM, ASSOCIATED = 60, 2.0
"""Linking phrases, where the list brings none, are drawn from so many of the commonest links whose words meet at
least four times (two bits) as often as chance has it: *at all*, not *it as*."""


class Mark(NamedTuple):
    """Letters of an item that are meant, from ``start`` to ``end``, and what the sound is there."""

    start: int
    end: int
    allophone: str


class Item(NamedTuple):
    """A word or phrase on a handout, with the occurrences of the sound that are meant."""

    text: str
    ipa: str
    marks: tuple[Mark, ...]

    @property
    def allophones(self) -> tuple[str, ...]:
        """What each of these occurrences is, in order."""
        return tuple(mark.allophone for mark in self.marks)


@dataclass(frozen=True, kw_only=True)
class HandoutOptions:
    """``seed`` is printed on every page as the number of the set; ``words`` of the list, at most; ``exercise``
    words to sort, half of them of the list; ``phrases`` to link where the list is one of words; ``dictation`` items;
    ``ipa`` beside words and phrases on the learner's pages. Raises :class:`~lexiconforge.errors.OptionError`."""

    title: str = ""
    paper: str = "a4"
    seed: int = 1
    parts: Sequence[str] | str = PARTS
    words: int = 42
    exercise: int = 16
    phrases: int = 12
    dictation: int = 12
    ipa: bool = True

    def __post_init__(self) -> None:
        checks.text("title", self.title)
        checks.flag("ipa", self.ipa)
        parts = checks.some_of("part", self.parts, PARTS)
        if not parts:
            raise OptionError(f"no part is named; there are: {', '.join(PARTS)}")
        object.__setattr__(self, "parts", parts)
        object.__setattr__(self, "paper", checks.one_of("paper", self.paper, PAPERS) or PAPERS[0])
        checks.whole("seed", self.seed, least=0)
        for name in ("words", "exercise", "phrases", "dictation"):
            checks.whole(name, getattr(self, name))


@dataclass(frozen=True, kw_only=True)
class Handout:
    """``target`` is the allophone that the words are about; ``sorting`` holds words with it and without; ``options``
    are those it was made with."""

    title: str
    target: str
    sound: Sound
    options: HandoutOptions
    words: list[Item] = field(default_factory=list)
    sorting: list[Item] = field(default_factory=list)
    linking: list[Item] = field(default_factory=list)
    dictation: list[Item] = field(default_factory=list)


def handout(
    lexicon: Lexicon,
    pairs: pd.DataFrame,
    rows: Sequence[Mapping[str, str]],
    options: HandoutOptions | None = None,
) -> Handout:
    """The handout of a list.

    ``rows`` are those of a list of words, of a lesson of a plan or of a list of links, as this program writes them;
    ``pairs`` as :func:`lexiconforge.sources.word_pairs.load_word_pairs` gives them. The words to sort are those with
    one kind of the sound, and as many in which that kind is not heard, neither by rule nor in another pronunciation of the
    dictionary: first the exceptions that a lesson brings, then common words in which it stands in a similar place. Where
    the list brings no phrases, linking needs a target that links. Raises
    :class:`~lexiconforge.errors.OptionError` for rows of another kind and where nothing is left to print.
    """
    options = options or HandoutOptions()
    random, sound = Random(options.seed), lexicon.sound
    maker = _Maker(lexicon)
    words, review, foils, phrases = maker.material(rows)
    words = words[: options.words]
    target = Counter(name for item in words or phrases for name in item.allophones).most_common(1)[0][0]
    kinds = sound.tapped if target in sound.tapped else (target,)
    if not words:
        phrases = phrases[: options.words]
    else:
        if not phrases and target in sound.tapped:
            phrases = maker.common_links(pairs, target)
        phrases = _drawn(random, phrases, options.phrases)
    meant = [item for item in words + review if set(item.allophones) == {target}]
    half = min(len(meant), options.exercise // 2)
    foils = [item for item in foils if not maker.can_be(item.text, kinds)]
    foils = _drawn(random, foils, half)
    if len(foils) < half:
        taken = {item.text for item in words + review + foils}
        foils += _drawn(random, maker.foils(rows, kinds, taken), half - len(foils))
    sorting = random.sample(meant, half) + foils
    random.shuffle(sorting)
    said = _drawn(random, phrases, options.dictation // 3 if words else options.dictation)
    pool = [*meant, *foils]
    said = said + random.sample(pool, min(len(pool), options.dictation - len(said)))
    random.shuffle(said)
    parts = {
        "words": words,
        "sorting": sorting,
        "linking": phrases,
        "dictation": [maker.said(item, kinds) for item in said],
    }
    if not any(parts[name] for name in options.parts):
        raise OptionError(f"this list has nothing for {', '.join(options.parts)}; choose other parts")
    return Handout(
        title=options.title or _title(sound, target, words),
        target=target,
        sound=sound,
        options=options,
        **{name: items if name in options.parts else [] for name, items in parts.items()},
    )


def with_article(label: str) -> str:
    """A label with its article.

    >>> with_article("tap"), with_article("affricate")
    ('a tap', 'an affricate')
    """
    return f"{'an' if label[0] in 'aeiou' else 'a'} {label}"


def _title(sound: Sound, target: str, words: Sequence[Item]) -> str:
    label = with_article(sound.allophones[target].label)
    if not words:
        return f"Linking with {label}"
    alike = all(set(item.allophones) == {target} for item in words)
    return f"Words with {label}" if alike else f"Words with a {sound.letters}"


def _drawn(random: Random, items: Sequence[T], count: int) -> list[T]:
    """So many of these at random, in their order."""
    places = sorted(random.sample(range(len(items)), min(count, len(items))))
    return [items[place] for place in places]


class _Maker:
    """Makes items out of rows, and finds more of them in the lexicon."""

    def __init__(self, lexicon: Lexicon) -> None:
        self._lexicon, self._sound = lexicon, lexicon.sound
        self._tagger = Tagger(lexicon)

    def material(
        self, rows: Sequence[Mapping[str, str]]
    ) -> tuple[list[Item], list[Item], list[Item], list[Item]]:
        """Words, words of earlier lessons, foils and phrases of a list, by the columns it has."""
        if not rows:
            raise OptionError("the list is empty, so there is nothing to print")
        columns = rows[0].keys()
        if {"first", "second", "ipa", "allophone"} <= columns:
            return [], [], [], [self._phrase(f"{row['first']} {row['second']}", row) for row in rows]
        if {"role", "item", "marked", "ipa", "allophone"} <= columns:
            if len({row.get("lesson") for row in rows}) > 1:
                raise OptionError("this is a whole plan; give one of its lessons, as lesson-01.csv")
            by_role: dict[str, list[Item]] = {}
            for row in rows:
                if row["role"] != "contrast":
                    make = self._phrase if row["role"] == "link" else self._word
                    by_role.setdefault(row["role"], []).append(make(row["item"], row))
            if not by_role.get("new"):
                raise OptionError("the lesson has no new words, so there is nothing to print")
            review, exceptions, phrases = (by_role.get(r, []) for r in ("review", "exception", "link"))
            return by_role["new"], review, exceptions, phrases
        if {"word", "marked", "ipa", "allophone"} <= columns:
            return [self._word(row["word"], row) for row in rows], [], [], []
        raise OptionError(
            "this is no list of words, lesson or list of links; give one that words, links, plan or build wrote"
        )

    def _word(self, text: str, row: Mapping[str, str]) -> Item:
        """A word with the occurrences that its row marks, each as what it is."""
        named = row["allophone"].split("; ")
        for name in named:
            if name not in self._sound.allophones:
                there = ", ".join(self._sound.allophones)
                raise OptionError(f"{text}: no allophone {name!r}; there are: {there}")
        main = self._lexicon.main(text)
        ends = bracket_ends(row["marked"])
        if main is None:
            # How many letters spell it nobody knows; the last one does.
            marks = tuple(Mark(end - 1, end, named[0]) for end in ends if 0 < end <= len(text))
        else:
            tokens = (token for token in main.tokens if token.span[1] in ends)
            marks = tuple(Mark(*token.span, token.rule.allophone) for token in tokens)
        return Item(text, row["ipa"], marks or (Mark(0, 0, named[0]),))

    def _phrase(self, text: str, row: Mapping[str, str]) -> Item:
        """Two words with the sound that links them, as it is between them."""
        words = text.split()
        if len(words) != 2 or row["allophone"] not in self._sound.allophones:
            raise OptionError(f"{text!r}: a link is two words and what the sound between them is")
        last = [mark for mark in self._marks(text) if mark.end <= len(words[0])][-1:]
        return Item(text, row["ipa"], tuple(Mark(m.start, m.end, row["allophone"]) for m in last))

    def _marks(self, text: str) -> list[Mark]:
        """Every occurrence of the sound in a text that letters spell."""
        table = self._tagger.tag_text(text).table
        found = zip(table["start"], table["end"], table["allophone"], strict=True)
        return [Mark(start, end, allophone) for start, end, allophone in found if end > start]

    def said(self, item: Item, kinds: Collection[str]) -> Item:
        """The item with every occurrence of these kinds marked, and no other."""
        marks = tuple(mark for mark in self._marks(item.text) if mark.allophone in kinds)
        return item._replace(marks=marks)

    def common_links(self, pairs: pd.DataFrame, target: str) -> list[Item]:
        """The commonest links of this kind whose words belong together."""
        table = link_table(self._lexicon, pairs, LinkFilter())
        at = {name: n for n, name in enumerate(LINK_COLUMNS)}
        fit = [
            row
            for row in table.rows()
            # A contraction was not counted as such: its two words belong together all the more.
            if (row[at["pmi"]] is None or row[at["pmi"]] >= ASSOCIATED)
            and row[at["allophone"]] == target
        ]
        return [
            self._phrase(
                f"{row[at['first']]} {row[at['second']]}",
                {"ipa": row[at["ipa"]], "allophone": row[at["allophone"]]},
            )
            for row in fit[:LINKS_FROM]
        ]

    def can_be(self, word: str, kinds: Collection[str]) -> bool:
        """Is an occurrence in the word one of these, usually or sometimes, in any pronunciation?"""
        entry = self._lexicon.entry(word)
        if entry is None:
            return True
        heard = {
            name
            for reading in entry.readings
            for token in reading.tokens
            for name in (token.rule.allophone, *token.rule.also_heard)
        }
        return bool(heard & set(kinds))

    def foils(
        self, rows: Sequence[Mapping[str, str]], kinds: Collection[str], taken: Collection[str]
    ) -> list[Item]:
        """Words with the sound once and as none of these, no rarer than the list's own: first those where it stands in
        a place that looks like the list's, then the commonest others, as many as the list has rows or more."""
        looks_like = {step.environment: step.looks_like for step in self._sound.lessons}
        own = [row for row in rows if row.get("role", "new") == "new"]
        environments = dict.fromkeys(
            looks_like[name]
            for row in own
            for name in row.get("environment", "").split("; ")
            if looks_like.get(name)
        )
        words = (row.get("word") or row.get("item", "") for row in own)
        rarest = max((self._lexicon.rank(word) or 0 for word in words), default=0)
        found: dict[str, Item] = {}
        for environment in [*environments, ""]:
            wanted = WordFilter(
                environment=environment,
                one_per_family=True,
                max_rank=max(rarest, RAREST_FOIL),
                limit=FOILS_FROM if environment else None,
            )
            chosen = select(self._lexicon, wanted)
            for entry, candidate in zip(chosen.entries, chosen.candidates, strict=True):
                word, main = entry.word, entry.main
                letters = self._sound.letters
                once = len(candidate.tokens) == 1 == word.replace(letters * 2, letters).count(letters)
                if once and len(main.stress) > 1 and word not in taken and not self.can_be(word, kinds):
                    token = main.tokens[candidate.tokens[0]]
                    mark = Mark(*token.span, token.rule.allophone)
                    found.setdefault(word, Item(word, main.ipa, (mark,)))
                if len(found) >= FOILS_FROM:
                    return list(found.values())
        return list(found.values())
