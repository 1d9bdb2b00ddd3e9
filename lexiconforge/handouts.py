"""What stands on a printed handout: words, a sorting exercise, linking phrases, a dictation.

Room: chooses from a list and the lexicon by a seed; writes nothing. The same list, options and seed give the same
handout, so a class set can be printed again.
"""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass, field
from random import Random
from typing import TYPE_CHECKING, NamedTuple, TypeVar

from lexiconforge.allophones import ALLOPHONE_IPA
from lexiconforge.lexicon import ELIDED_SIGN, Lexicon
from lexiconforge.linking import LINKING, links
from lexiconforge.passages import Tagger
from lexiconforge.planning import EXCEPTIONS
from lexiconforge.wordlists import Choice, ChoiceError, word_list

if TYPE_CHECKING:
    import pandas as pd

T = TypeVar("T")

PARTS = ("words", "sorting", "linking", "dictation")
"""The pages of a handout, in their order; the keys of two and four come last, on pages of their own."""
PAPERS = ("a4", "letter")

FOILS_FROM, RAREST_FOIL = 100, 3000
"""A sorting exercise draws its other words from so many of an environment, and from ranks at least so far."""
LINKS_FROM, ASSOCIATED = 60, 2.0
"""Linking phrases, where the list brings none, are drawn from so many of the commonest links whose words meet at
least four times (two bits) as often as chance has it: *at all*, not *it as*."""

_ALLOPHONES = {symbol or ELIDED_SIGN: name for name, symbol in ALLOPHONE_IPA.items()}
_MARK = re.compile(r"\[([^|\]]*)\|([^\]]*)\]")


class Item(NamedTuple):
    """A word or phrase on a handout: ``marked`` has the t's that are meant in brackets, ``allophones`` says what each
    of these is, in order."""

    text: str
    marked: str
    ipa: str
    allophones: tuple[str, ...]


@dataclass(frozen=True, kw_only=True)
class HandoutOptions:
    """``seed`` is printed on every page as the number of the set; ``words`` of the list, at most; ``exercise``
    words to sort, half of them of the list; ``phrases`` to link where the list is one of words; ``dictation`` items;
    ``ipa`` beside words and phrases on the learner's pages. Raises :class:`~lexiconforge.wordlists.ChoiceError`."""

    title: str = ""
    paper: str = "a4"
    seed: int = 1
    parts: Sequence[str] = PARTS
    words: int = 42
    exercise: int = 16
    phrases: int = 12
    dictation: int = 12
    ipa: bool = True

    def __post_init__(self) -> None:
        if self.paper not in PAPERS:
            raise ChoiceError(f"no paper {self.paper!r}; there are: {', '.join(PAPERS)}")
        if not self.parts:
            raise ChoiceError(f"no part is named; there are: {', '.join(PARTS)}")
        for part in self.parts:
            if part not in PARTS:
                raise ChoiceError(f"no part {part!r}; there are: {', '.join(PARTS)}")
        if self.seed < 0:
            raise ChoiceError(f"seed {self.seed}: must be 0 or more")
        for name in ("words", "exercise", "phrases", "dictation"):
            if getattr(self, name) < 1:
                raise ChoiceError(f"{name} {getattr(self, name)}: must be 1 or more")


@dataclass(frozen=True, kw_only=True)
class Handout:
    """``target`` is the allophone that the words are about; ``sorting`` holds words with it and without; ``options``
    are those it was made with."""

    title: str
    target: str
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
    one kind of t, and as many in which that kind is not heard, neither by rule nor in another pronunciation of the
    dictionary: first the exceptions that a lesson brings, then common words whose t stands in a similar place. Where
    the list brings no phrases, linking needs a target that links. Raises
    :class:`~lexiconforge.wordlists.ChoiceError` for rows of another kind and where nothing is left to print.
    """
    options = options or HandoutOptions()
    random = Random(options.seed)
    maker = _Maker(lexicon)
    words, review, foils, phrases = maker.material(rows)
    words = words[: options.words]
    target = Counter(name for item in words or phrases for name in item.allophones).most_common(1)[0][0]
    kinds = LINKING if target in LINKING else (target,)
    if not words:
        phrases = phrases[: options.words]
    elif phrases:
        phrases = _drawn(random, phrases, options.phrases)
    elif target in LINKING:
        phrases = _drawn(random, maker.common_links(pairs, target), options.phrases)
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
        raise ChoiceError(f"this list has nothing for {', '.join(options.parts)}; choose other parts")
    return Handout(
        title=options.title or _title(target, words),
        target=target,
        options=options,
        **{name: items if name in options.parts else [] for name, items in parts.items()},
    )


def _title(target: str, words: Sequence[Item]) -> str:
    article = "an" if target[0] in "aeiou" else "a"
    if not words:
        return f"Linking with {article} {target}"
    alike = all(set(item.allophones) == {target} for item in words)
    return f"Words with {article} {target}" if alike else "Words with a t"


def _drawn(random: Random, items: Sequence[T], count: int) -> list[T]:
    """So many of these at random, in their order."""
    places = sorted(random.sample(range(len(items)), min(count, len(items))))
    return [items[place] for place in places]


class _Maker:
    """Makes items out of rows, and finds more of them in the lexicon."""

    def __init__(self, lexicon: Lexicon) -> None:
        self._lexicon = lexicon
        self._tagger = Tagger(lexicon)

    def material(
        self, rows: Sequence[Mapping[str, str]]
    ) -> tuple[list[Item], list[Item], list[Item], list[Item]]:
        """Words, words of earlier lessons, foils and phrases of a list, by the columns it has."""
        if not rows:
            raise ChoiceError("the list is empty, so there is nothing to print")
        columns = rows[0].keys()
        if {"first", "second", "ipa", "allophone"} <= columns:
            return [], [], [], [self._phrase(f"{row['first']} {row['second']}", row) for row in rows]
        if {"role", "item", "marked", "ipa", "allophone"} <= columns:
            if len({row.get("lesson") for row in rows}) > 1:
                raise ChoiceError("this is a whole plan; give one of its lessons, as lesson-01.csv")
            by_role: dict[str, list[Item]] = {}
            for row in rows:
                if row["role"] != "contrast":
                    make = self._phrase if row["role"] == "link" else self._word
                    by_role.setdefault(row["role"], []).append(make(row["item"], row))
            if not by_role.get("new"):
                raise ChoiceError("the lesson has no new words, so there is nothing to print")
            review, exceptions, phrases = (by_role.get(r, []) for r in ("review", "exception", "link"))
            return by_role["new"], review, exceptions, phrases
        if {"word", "marked", "ipa", "allophone"} <= columns:
            return [self._word(row["word"], row) for row in rows], [], [], []
        raise ChoiceError(
            "this is no list of words, lesson or list of links; give one that words, links, plan or build wrote"
        )

    def _word(self, text: str, row: Mapping[str, str]) -> Item:
        """A word with the t's that its row marks, each as what it is."""
        named = row["allophone"].split("; ")
        for name in named:
            if name not in ALLOPHONE_IPA:
                raise ChoiceError(
                    f"{text}: no allophone {name!r}; there are: {', '.join(ALLOPHONE_IPA)}"
                )
        marked = row["marked"] or text
        starts = [match.start() - 2 * n for n, match in enumerate(re.finditer(r"\[", marked))]
        at = self._allophones_by_place(text)
        kinds = tuple(at.get(start, named[0]) for start in starts) or (named[0],)
        return Item(text, marked, row["ipa"], kinds)

    def _allophones_by_place(self, word: str) -> dict[int, str]:
        """What the t's of a word are, by their first letter."""
        from lexiconforge.spelling import align_t

        if word not in self._lexicon.pronunciations:
            return {}
        phones = self._lexicon.main_phones(word)
        tokens = self._lexicon.tag_phones(word, phones).tokens
        (starts,), _ = align_t([word], [phones])
        return dict(zip(starts, (token.rule.allophone for token in tokens), strict=True))

    def _phrase(self, text: str, row: Mapping[str, str]) -> Item:
        """Two words with the t that links them, as it is between them."""
        if len(text.split()) != 2 or row["allophone"] not in ALLOPHONE_IPA:
            raise ChoiceError(f"{text!r}: a link is two words and what the t between them is")
        first = self._tagger.tag_text(text).marked.split()[0]
        linking = [match.span() for match in _MARK.finditer(first)][-1:]
        plain = _MARK.sub(r"\1", first)
        if linking:
            start, end = linking[0]
            plain = _MARK.sub(r"\1", first[:start]) + _MARK.sub(r"[\1]", first[start:end]) + first[end:]
        return Item(text, f"{plain} {text.split()[1]}", row["ipa"], (row["allophone"],))

    def said(self, item: Item, kinds: Collection[str]) -> Item:
        """The item with all its t's of these kinds marked, and no other."""
        found: list[str] = []

        def keep(match: re.Match[str]) -> str:
            kind = _ALLOPHONES.get(match[2], "")
            if kind not in kinds:
                return match[1]
            found.append(kind)
            return f"[{match[1]}]"

        marked = _MARK.sub(keep, self._tagger.tag_text(item.text).marked)
        return item._replace(marked=marked, allophones=tuple(found))

    def common_links(self, pairs: pd.DataFrame, target: str) -> list[Item]:
        """The commonest links of this kind whose words belong together."""
        table = links(self._lexicon, pairs)
        table = table[(table["association"] >= ASSOCIATED) & (table["allophone"] == target)]
        return [
            self._phrase(f"{row.first} {row.second}", {"ipa": row.ipa, "allophone": row.allophone})
            for row in table.head(LINKS_FROM).itertuples()
        ]

    def can_be(self, word: str, kinds: Collection[str]) -> bool:
        """Is a t of the word one of these, usually or sometimes, in any pronunciation?"""
        lexicon = self._lexicon
        if word not in lexicon.pronunciations:
            return True
        heard = {
            name
            for phones in lexicon.listed(word)
            for token in lexicon.tag_phones(word, phones).tokens
            for name in (token.rule.allophone, *token.rule.also_heard.split("; "))
        }
        return bool(heard & set(kinds))

    def foils(
        self, rows: Sequence[Mapping[str, str]], kinds: Collection[str], taken: Collection[str]
    ) -> list[Item]:
        """Words with one t that is none of these, no rarer than the list's own: first those whose t stands in a place
        that looks like the list's, then the commonest others, as many as the list has rows or more."""
        own = [row for row in rows if row.get("role", "new") == "new"]
        environments = dict.fromkeys(
            EXCEPTIONS[name]
            for row in own
            for name in row.get("environment", "").split("; ")
            if name in EXCEPTIONS
        )
        rank = self._lexicon.frequencies.rank
        rarest = max((rank.get(row.get("word") or row.get("item", ""), 0) for row in own), default=0)
        found: dict[str, Item] = {}
        for environment in [*environments, ""]:
            choice = Choice(
                environment=environment,
                one_per_family=True,
                max_rank=max(rarest, RAREST_FOIL),
                limit=FOILS_FROM if environment else None,
            )
            for row in word_list(self._lexicon, choice).rows.itertuples():
                word = str(row.word)
                one_t = row.marked.count("[") == 1 == word.replace("tt", "t").count("t")
                if one_t and row.syllables > 1 and word not in taken and not self.can_be(word, kinds):
                    cells = {"marked": row.marked, "ipa": row.ipa, "allophone": row.allophone}
                    found.setdefault(word, self._word(word, cells))
                if len(found) >= FOILS_FROM:
                    return list(found.values())
        return list(found.values())
