"""What stands on a printed handout: words, a sorting exercise, linking phrases, a dictation.

Room: chooses from a list and the lexicon by a seed; writes nothing. The same list, options and seed give the same
handout, so a class set can be printed again.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from random import Random
from typing import TYPE_CHECKING, NamedTuple, TypeVar

from lexiconforge.lexicon import Lexicon
from lexiconforge.linking import links
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
LINKS_FROM = 60
"""The commonest links, from which linking phrases are drawn where the list brings none."""


class Item(NamedTuple):
    """A word or phrase on a handout: ``marked`` has the t that is meant in brackets."""

    text: str
    marked: str
    ipa: str
    allophone: str


@dataclass(frozen=True, kw_only=True)
class HandoutOptions:
    """``seed`` is printed on every page as the number of the set; ``words`` of the list, at most; ``exercise``
    words to sort, half of them of the list; ``phrases`` to link where the list is one of words; ``dictation`` items. Raises
    :class:`~lexiconforge.wordlists.ChoiceError`."""

    title: str = ""
    paper: str = "a4"
    seed: int = 1
    parts: Sequence[str] = PARTS
    words: int = 48
    exercise: int = 16
    phrases: int = 12
    dictation: int = 12
    ipa: bool = True

    def __post_init__(self) -> None:
        if self.paper not in PAPERS:
            raise ChoiceError(f"no paper {self.paper!r}; there are: {', '.join(PAPERS)}")
        for part in self.parts:
            if part not in PARTS:
                raise ChoiceError(f"no part {part!r}; there are: {', '.join(PARTS)}")
        for name in ("words", "exercise", "phrases", "dictation"):
            if getattr(self, name) < 1:
                raise ChoiceError(f"{name} {getattr(self, name)}: must be 1 or more")


@dataclass(frozen=True, kw_only=True)
class Handout:
    """``target`` is the allophone that the words are about; ``sorting`` holds words with it and without."""

    title: str
    target: str
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
    ``pairs`` as :func:`lexiconforge.sources.word_pairs.load_word_pairs` gives them. A lesson brings its own foils and
    phrases; for a list of words they are drawn: foils from the common words whose t stands in a similar place and is
    something else. Raises :class:`~lexiconforge.wordlists.ChoiceError` for rows of another kind.
    """
    options = options or HandoutOptions()
    random = Random(options.seed)
    words, review, foils, phrases = _material(rows)
    words = words[: options.words]
    target = Counter(item.allophone for item in words or phrases).most_common(1)[0][0]
    if not words:
        phrases = phrases[: options.words]
    elif phrases:
        phrases = _drawn(random, phrases, options.phrases)
    elif {"linking", "dictation"} & set(options.parts):
        common = links(lexicon, pairs).head(LINKS_FROM)
        drawn = _drawn(random, list(common.to_dict("records")), options.phrases)
        phrases = [_phrase({str(name): cell for name, cell in row.items()}) for row in drawn]
    meant = [item for item in words + review if item.allophone == target]
    sorting: list[Item] = []
    if words and {"sorting", "dictation"} & set(options.parts):
        half = min(len(meant), options.exercise // 2)
        others = [item for item in foils + words if item.allophone != target]
        if len(others) < half:
            others += _foils(
                lexicon, rows[: options.words], target, {item.text for item in words + review + foils}
            )
        foils = others if len(others) < half else _drawn(random, others[: 4 * half], half)
        sorting = random.sample(meant, half) + foils
        random.shuffle(sorting)
    said = _drawn(random, phrases, options.dictation // 3 if words else options.dictation)
    pool = meant + foils
    said = said + random.sample(pool, min(len(pool), options.dictation - len(said)))
    random.shuffle(said)

    def if_wanted(part: str, items: list[Item]) -> list[Item]:
        return items if part in options.parts else []

    return Handout(
        title=options.title or _title(target, bool(words)),
        target=target,
        words=if_wanted("words", words),
        sorting=if_wanted("sorting", sorting),
        linking=if_wanted("linking", phrases),
        dictation=if_wanted("dictation", said[: options.dictation]),
    )


def _title(target: str, words: bool) -> str:
    article = "an" if target[0] in "aeiou" else "a"
    return f"Words with {article} {target}" if words else f"Linking with {article} {target}"


def _material(
    rows: Sequence[Mapping[str, str]],
) -> tuple[list[Item], list[Item], list[Item], list[Item]]:
    """Words, words of earlier lessons, foils and phrases of a list, by the columns it has."""
    if not rows:
        raise ChoiceError("the list is empty, so there is nothing to print")
    columns = rows[0].keys()
    if {"first", "second", "ipa", "allophone"} <= columns:
        return [], [], [], [_phrase(row) for row in rows]
    if {"role", "item", "ipa", "allophone"} <= columns:
        by_role: dict[str, list[Item]] = {}
        for row in rows:
            if row["role"] == "link":
                first, second = row["item"].split()
                item = _phrase({**row, "first": first, "second": second})
            else:
                item = _item(row["item"], row)
            by_role.setdefault(row["role"], []).append(item)
        if not by_role.get("new"):
            raise ChoiceError("the lesson has no new words, so there is nothing to print")
        review, exceptions, phrases = (by_role.get(r, []) for r in ("review", "exception", "link"))
        return by_role["new"], review, exceptions, phrases
    if {"word", "marked", "ipa", "allophone"} <= columns:
        return [_item(row["word"], row) for row in rows], [], [], []
    raise ChoiceError(
        "this is no list of words, lesson or list of links; give one that words, links, plan or build wrote"
    )


def _item(text: str, row: Mapping[str, object]) -> Item:
    return Item(text, str(row["marked"]), str(row["ipa"]), str(row["allophone"]).split("; ")[0])


def _phrase(row: Mapping[str, object]) -> Item:
    first, second = str(row["first"]), str(row["second"])
    # The letters of the t at the end of a word: tt, t, or t before a silent e.
    end = len(first.rstrip("e")) if first.endswith(("te", "tte")) else len(first)
    start = end - (2 if first[:end].endswith("tt") else 1)
    marked = f"{first[:start]}[{first[start:end]}]{first[end:]} {second}"
    return Item(f"{first} {second}", marked, str(row["ipa"]), str(row["allophone"]))


def _drawn(random: Random, items: Sequence[T], count: int) -> list[T]:
    """So many of these at random, in their order."""
    places = sorted(random.sample(range(len(items)), min(count, len(items))))
    return [items[place] for place in places]


def _foils(
    lexicon: Lexicon, rows: Sequence[Mapping[str, str]], target: str, taken: set[str]
) -> list[Item]:
    """Words with one t that is not the target, no rarer than the list's own: first those whose t stands in a place
    that looks like the list's, then the commonest others."""
    environments = dict.fromkeys(
        EXCEPTIONS[name]
        for row in rows
        for name in row.get("environment", "").split("; ")
        if name in EXCEPTIONS
    )
    rarest = max((int(float(row.get("rank") or 0)) for row in rows), default=0)
    found: dict[str, Item] = {}
    for environment in [*environments, ""]:
        choice = Choice(
            environment=environment,
            one_per_family=True,
            max_rank=max(rarest, RAREST_FOIL),
            limit=FOILS_FROM,
        )
        for row in word_list(lexicon, choice).rows.to_dict("records"):
            item = _item(row["word"], {str(name): cell for name, cell in row.items()})
            one_t = row["marked"].count("[") == 1 == row["word"].replace("tt", "t").count("t")
            if one_t and row["syllables"] > 1 and item.allophone != target and item.text not in taken:
                found.setdefault(item.text, item)
    return list(found.values())
