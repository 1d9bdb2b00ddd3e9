"""What the lessons of a plan are made of: words, exceptions, links, contrasts and lines, each given once.

Room: chooses from word lists, links, contrasts and lines; decides nothing about sounds, and nothing about the order.
"""

from __future__ import annotations

import re
from collections.abc import Collection, Iterator, Sequence
from functools import cached_property
from itertools import zip_longest
from typing import TYPE_CHECKING, NamedTuple

from lexiconforge.lexicon import Candidate, Lexicon
from lexiconforge.lexicon.codes import exclusion_bits
from lexiconforge.lexicon.records import Reading, bracketed
from lexiconforge.lists.contrasts import contrast_table
from lexiconforge.lists.examples import SEPARATOR, Examples
from lexiconforge.lists.linking import LinkFilter, link_table, rule_across
from lexiconforge.lists.phrasing import TYPES, PairReadings, phrase_type
from lexiconforge.lists.wordlists import LIST_COLUMNS, WordFilter, joined, select
from lexiconforge.phonology.ipa import ipa
from lexiconforge.phonology.matcher import PAUSE
from lexiconforge.sources.levels import LEVELS
from lexiconforge.teaching.practising import targets_in
from lexiconforge.teaching.targets import Target
from lexiconforge.text.corpus import Line, dialogues, own_lines, spoken_words
from lexiconforge.text.tagger import Tagger

if TYPE_CHECKING:
    import pandas as pd

    from lexiconforge.sounds import LessonStep

ITEM_COLUMNS = (
    "item", "marked", "ipa", "syllables", "rank", "level", "allophone", "example", "speaker", "dialogue", "note",
)  # fmt: skip

RAREST = {"": 12_000, "A1": 8_000, "A2": 10_000, "B1": 15_000, "B2": 20_000, "C1": 30_000, "C2": 60_000}
"""The rarest words of a lesson by the highest level asked for. Levels of inflected forms are estimates: below these ranks
they bring in words that no class of the level meets (*skirted*, *fronted*). Found by reading the pools of all levels."""
RAREST_LINK = 6.0
"""Occurrences per million words of talk: below it stand pairs of web pages rather than of people (*internet at*)."""
ASSOCIATED, CLAUSE = 2.0, TYPES[3]
"""Bits: pairs other than small words that open a clause meet four times as often as chance has it, or are no phrase."""
RAREST_EXCEPTION = 6_000
"""An exception must be a word that the class knows, or it teaches a word and no rule."""
SHORTEST_DIALOGUE = 3
SOUGHT = 12
"""Lines among which one that a class can read is sought."""
LONGEST_EXCEPTION = 3
"""Syllables: in a longer word nobody notices the one sound."""
DIALOGUES, SINGLE_LINES = 2, 8
"""Lines of a lesson: so many dialogues, or so many lines by themselves (common practice)."""
DIALOGUE_HITS = 3
"""Two dialogues that hold fewer words of a lesson than this practise another lesson."""
POOL = 1200
"""Words in which two kinds of the sound are sought, by falling frequency."""


class Word(NamedTuple):
    """A word that may be taught: its pronunciation, family, environment, whether it has one kind of the sound, and the
    cells of a plan (:data:`ITEM_COLUMNS`), mostly without a line yet; ``forms`` are all members of the family that have the
    sound so; ``reading_index`` as ``reading`` in :class:`~lexiconforge.lexicon.Candidate`."""

    word: str
    reading: Reading
    family: str
    environment: str
    single: bool
    syllables: int
    rank: int
    cells: tuple[object, ...]
    forms: frozenset[str] = frozenset()
    reading_index: int = 0


class Phrase(NamedTuple):
    """A link or a contrast: its words, its environment or kind, and its cells."""

    words: tuple[str, ...]
    environment: str
    cells: tuple[object, ...]


class Material:
    """Everything that a plan of these levels can draw on; what is given out once is not given again."""

    def __init__(
        self,
        lexicon: Lexicon,
        pairs: pd.DataFrame,
        levels: object,
        include: Collection[str] | str,
    ) -> None:
        self._lexicon, self._pairs, self._include = lexicon, pairs, include
        self._levels = levels if isinstance(levels, tuple) else None
        self._highest = self._levels[1] if self._levels else ""
        above = LEVELS.index(self._highest) + 1 if self._highest else len(LEVELS)
        self._bearable = LEVELS[min(above, len(LEVELS) - 1)]
        self._rarest = RAREST[self._highest]
        self._pools: dict[tuple[str, ...], list[Word]] = {}
        self._given: set[tuple[str, ...]] = set()
        self._borne: dict[str, bool] = {}

    @cached_property
    def _examples(self) -> Examples:
        return Examples(self._lexicon)

    @cached_property
    def _tagger(self) -> Tagger:
        return Tagger(self._lexicon)

    def family(self, word: str) -> str:
        """The family of a word, the word itself where it has none."""
        word = word.lower()
        return self._lexicon.family(word) if word in self._lexicon else word

    def allophone(self, step: LessonStep) -> str:
        """What the sound is in the first environment of a lesson, by the first rule that decides there."""
        rules = self._lexicon.sound.rules
        return next((rule.allophone for rule in rules if rule.environment in step.environments), "")

    # Words

    def pool(self, step: LessonStep) -> list[Word]:
        """The words that a lesson may teach, those with one kind of the sound, by falling frequency."""
        if step.kind == "combined":
            return self._combined
        words = [word for name in step.environments for word in self._of(name) if word.single]
        return sorted(words, key=lambda word: word.rank)

    def _of(self, *environment: str) -> list[Word]:
        if environment not in self._pools:
            wanted = WordFilter(
                environment=environment[0] if environment else "",
                levels=self._levels,
                include=self._include,
                one_per_family=True,
                max_rank=self._rarest,
                limit=None if environment else POOL,
                examples=0,  # most of these words are not chosen
            )
            made = select(self._lexicon, wanted, self._examples)
            rows = zip(made.entries, made.candidates, made.rows.rows(), strict=True)
            self._pools[environment] = [
                self._word(entry.word, entry.family, candidate, row) for entry, candidate, row in rows
            ]
        return self._pools[environment]

    def _word(
        self, word: str, family: str, candidate: Candidate, row: Sequence[object], note: str = ""
    ) -> Word:
        cell = dict(zip(LIST_COLUMNS, row, strict=True))
        reading = self._lexicon.said(candidate)
        kinds = {token.rule.allophone for token in reading.tokens}
        members = str(cell["family_members"])
        shown = (
            *(cell[name] for name in ("word", "marked", "ipa", "syllables", "rank", "level")),
            *(cell["allophone"], "", "", None, note or members),
        )
        return Word(
            word,
            reading,
            family,
            str(cell["environment"]),
            len(kinds) == 1,
            int(str(cell["syllables"])),
            int(str(cell["rank"])),
            shown,
            frozenset({word, *filter(None, members.lower().split(", "))}),
            candidate.reading,
        )

    @cached_property
    def _combined(self) -> list[Word]:
        """Words in which two kinds of the sound stand that the lessons teach."""
        sound = self._lexicon.sound
        places = {name for step in sound.lessons if step.kind == "words" for name in step.environments}
        taught = {rule.allophone for rule in sound.rules if rule.environment in places}
        found = []
        for word in self._of():
            heard = {token.rule.allophone for token in word.reading.tokens}
            inside = {token.rule.environment for token in word.reading.tokens} & places
            if len(heard) > 1 and inside and heard <= taught:
                found.append(word)
        return found

    def exceptions(
        self, step: LessonStep, taken: Collection[str], links: Sequence[Phrase], count: int
    ) -> list[Word] | list[Phrase]:
        """What looks like the words of a lesson and behaves otherwise, in the same context before the sound: short and
        common ones, each in one lesson only."""
        if step.kind == "links":
            return self._apart(step, links, count)
        found: list[Word] = []
        for name in step.looks_like:
            fit = [
                word
                for word in self._of(name)
                if word.single
                and word.syllables <= LONGEST_EXCEPTION
                and word.rank <= min(RAREST_EXCEPTION, self._rarest)
                and word.family not in taken
                and ("exception", word.family) not in self._given
                and self._in_frame(word.reading, step, name)
            ]
            fit.sort(key=lambda word: (word.syllables > 2, word.rank))
            found += fit[: count - len(found)]
        self._given |= {("exception", word.family) for word in found}
        return [self._explained(word) for word in found]

    def _explained(self, word: Word) -> Word:
        """An exception with the reason why it is one."""
        sound = self._lexicon.sound
        allophone = str(word.cells[ITEM_COLUMNS.index("allophone")])
        label = sound.allophones[allophone].label if allophone in sound.allophones else allophone
        note = f"{label}: {sound.environments.get(word.environment, word.environment)}"
        return word._replace(cells=(*word.cells[:-1], note))

    def _in_frame(self, reading: Reading, step: LessonStep, environment: str) -> bool:
        if not step.frame:
            return True
        matcher = self._lexicon.sound.matcher
        return any(
            matcher.context_before((PAUSE, *reading.phones[: token.phone_index])) == step.frame
            for token in reading.tokens
            if token.rule.environment == environment
        )

    # Two words

    @cached_property
    def _all_links(self) -> list[Phrase]:
        if not len(self._pairs):
            return []
        levels = (LEVELS[0], self._highest) if self._highest else None
        wanted = LinkFilter(levels=levels, include=self._include)
        table = link_table(
            self._lexicon, self._pairs, wanted, examples=self._examples, least=RAREST_LINK
        )
        found = []
        for row in table.records():
            # A pair that is no phrase is the end of one and the beginning of another; one that no line has is hard to say.
            chance = row["pmi"] is not None and row["pmi"] < ASSOCIATED and row["phrase_type"] != CLAUSE
            if chance or not row["phrase_type"] or not row["example"]:
                continue
            words = (str(row["first"]), str(row["second"]))
            written = self._written(" ".join(words), str(row["example"]))
            marked = self._linked(written, words[0], str(row["allophone"]))
            cells = (
                written, marked, row["ipa"], None, None, row["level"], row["allophone"], row["example"], "",
                None, row["phrase_type"],
            )  # fmt: skip
            found.append(Phrase(words, str(row["environment"]), cells))
        return found

    def _linked(self, written: str, first: str, allophone: str) -> str:
        """The two words with the sound between them in brackets."""
        reading = self._lexicon.main(first)
        span = reading.letters[-1] if reading is not None else (len(first) - 1, len(first))
        symbol = self._lexicon.sound.symbol(allophone)
        return bracketed(written, [(span, symbol)])

    def links(
        self,
        environments: Collection[str],
        count: int,
        *,
        families: Collection[str] = (),
        each: int = 1,
    ) -> list[Phrase]:
        """The commonest links of these environments (any of those taught, if none is named) that no lesson has had: first
        those of words of these families, then others; ``each`` first word so often at most."""
        fresh = [
            link
            for link in self._all_links
            if ("link", *link.words) not in self._given
            and (not environments or link.environment in environments)
        ]
        firsts: dict[str, int] = {}
        found: list[Phrase] = []
        for link in self._in_turn(fresh, families):
            lemma = (
                self._lexicon.lemma(link.words[0]) if link.words[0] in self._lexicon else link.words[0]
            )
            if firsts.get(lemma, 0) < each and len(found) < count:
                firsts[lemma] = firsts.get(lemma, 0) + 1
                found.append(link)
        self._given |= {("link", *link.words) for link in found}
        return found

    def _in_turn(self, links: Sequence[Phrase], families: Collection[str]) -> Iterator[Phrase]:
        """Links of these families, then of every type of phrase one in turn: what is commonest are two small words."""
        own = [link for link in links if any(self.family(word) in families for word in link.words)]
        yield from sorted(own, key=lambda link: link.cells[-1] == TYPES[-1])
        kinds: dict[object, list[Phrase]] = {kind: [] for kind in TYPES}
        for link in links:
            if link not in own:
                kinds[link.cells[-1]].append(link)
        for turn in zip_longest(*kinds.values()):
            yield from filter(None, turn)

    def _apart(self, step: LessonStep, links: Sequence[Phrase], count: int) -> list[Phrase]:
        """Phrases with the same first words in which the next word makes the sound another."""
        firsts = dict.fromkeys(link.words[0] for link in links)
        sound, said = self._lexicon.sound, PairReadings(self._lexicon)
        wanted = self._pairs[self._pairs["first"].isin(list(firsts))]
        ordered = wanted.sort_values(["count", "first", "second"], ascending=[False, True, True])
        found: dict[str, Phrase] = {}
        for first, second in zip(ordered["first"].tolist(), ordered["second"].tolist(), strict=True):
            if len(found) == count:
                break
            if first in found or not self._fit(second) or ("link", first, second) in self._given:
                continue
            if not phrase_type(self._lexicon, first, second):
                continue
            one, two = said.of(first, second)
            rule = rule_across(sound, one.phones, two.phones)
            if rule.environment not in step.looks_like:
                continue
            shown = f"{ipa(one.phones, {len(one.phones) - 1: sound.allophones[rule.allophone].ipa})} {two.ipa}"
            note = f"{sound.allophones[rule.allophone].label}: {sound.environments[rule.environment]}"
            level = max(self._lexicon.level(first), self._lexicon.level(second))
            line = self._examples.of_link(first, second)
            written = self._written(f"{first} {second}", line)
            marked = self._linked(written, first, rule.allophone)
            cells = (
                written, marked, shown, None, None, level, rule.allophone, line, "", None, note,
            )  # fmt: skip
            found[first] = Phrase((first, second), rule.environment, cells)
        self._given |= {("link", *phrase.words) for phrase in found.values()}
        return list(found.values())

    def _fit(self, word: str, highest: str = "") -> bool:
        """Whether a word is fit for a class of this level, or of the one named."""
        row = self._lexicon.row(word)
        if row is None or not 0 < self._lexicon.rank_at(row) <= self._rarest:
            return False
        level = self._lexicon.level_at(row)
        if self._highest and level > (highest or self._highest):
            return False
        return not self._lexicon.reasons_at(row) & ~exclusion_bits(self._include)

    # Contrasts

    @cached_property
    def _all_contrasts(self) -> dict[str, list[Phrase]]:
        found: dict[str, list[Phrase]] = {}
        table = contrast_table(self._lexicon, self._pairs, self._lexicon.sound.contrasts)
        for row in table.records():
            sides = [str(row["first"]), str(row["second"])]
            words = tuple(word for side in sides for word in side.split())
            if not all(self._fit(word, self._bearable) for word in words):
                continue
            written = " / ".join(map(self._written, sides))
            marked = " / ".join(map(self._marked, sides))
            lines = " / ".join(filter(None, (row["first_line"], row["second_line"])))
            cells = (
                written, marked, f"{row['first_ipa']} / {row['second_ipa']}", None, row["rarer"], "",
                "", lines, "", None, row["note"],
            )  # fmt: skip
            kind = str(row["kind"])
            found.setdefault(kind, []).append(Phrase(words, kind, cells))
        return found

    def _written(self, side: str, line: str = "") -> str:
        """Words as they are written inside a line: names with their capital, and whatever else a line that has them
        writes so."""
        rows = [(word, self._lexicon.row(word)) for word in side.split()]
        plain = [word if row is None else self._lexicon.written_at(row) for word, row in rows]
        there = re.search(rf"\b{re.escape(side)}\b", line, re.IGNORECASE)
        if there is not None:
            plain[1:] = there[0].split()[1:]
        return " ".join(plain)

    def _marked(self, side: str) -> str:
        """A side of a contrast with every sound in brackets: a word by itself, two words together."""
        if " " in side:
            return self._tagger.tag_text(side).marked
        reading = self._lexicon.main(side)
        tokens = reading.tokens if reading is not None else ()
        symbol = self._lexicon.sound.symbol
        return bracketed(self._written(side), [(t.span, symbol(t.rule.allophone)) for t in tokens])

    def contrasts(
        self,
        kinds: Sequence[str],
        families: Collection[str],
        count: int,
        environments: Collection[str] = (),
    ) -> list[Phrase]:
        """Contrasts of these kinds that no lesson has had, from each kind in turn: first those with a word of these
        families, then the commonest; if environments are named, only those with a word that has the sound there."""
        fresh: list[Iterator[Phrase]] = []
        for kind in kinds:
            those = [
                phrase
                for phrase in self._all_contrasts.get(kind, ())
                if ("contrast", *phrase.words) not in self._given
                and (not environments or self._stands_in(phrase.words, environments))
            ]
            those.sort(key=lambda p: not any(self.family(word) in families for word in p.words))
            fresh.append(iter(those))
        found: list[Phrase] = []
        while fresh and len(found) < count:
            for one in list(fresh):
                phrase = next(one, None)
                if phrase is None:
                    fresh.remove(one)
                elif len(found) < count:
                    found.append(phrase)
        self._given |= {("contrast", *phrase.words) for phrase in found}
        if environments and not found:
            return self.contrasts(kinds, families, count // 2)
        return found

    def _stands_in(self, words: Sequence[str], environments: Collection[str]) -> bool:
        readings = filter(None, map(self._lexicon.main, words))
        return any(token.rule.environment in environments for one in readings for token in one.tokens)

    def words_of(self, contrasts: Sequence[Phrase], count: int, used: Collection[str]) -> list[Word]:
        """The words of contrasts that have the sound, as words to learn, those of a pair together."""
        found: dict[str, Word] = {}
        words = [word for phrase in contrasts for word in phrase.words]
        for word in dict.fromkeys(words):
            row = self._lexicon.row(word)
            reading = self._lexicon.main(word)
            if row is None or reading is None or not reading.tokens or len(found) == count:
                continue
            entry = self._lexicon.entry_at(row)
            places = joined(token.rule.environment for token in reading.tokens)
            cells = (
                entry.written, self._marked(word), reading.ipa, len(reading.stress), entry.rank,
                entry.level, joined(token.rule.allophone for token in reading.tokens),
                self._examples.of_word(word), "", None, "",
            )  # fmt: skip
            single = len({token.rule.allophone for token in reading.tokens}) == 1
            found[word] = Word(
                word, reading, entry.family, places, single, len(reading.stress), entry.rank or 0, cells
            )
        return list(found.values())

    # Lines

    def shown(self, item: Word | Phrase) -> tuple[object, ...]:
        """The cells of an item, with a line that this class can read where there is one."""
        at = ITEM_COLUMNS.index("example")
        text = str(item.cells[at])
        if text and self._easy(text):
            return item.cells
        if isinstance(item, Word):
            places = item.environment.split("; ")
            found = self._examples.of_word(item.word, places, SOUGHT, item.reading_index)
        else:
            found = self._examples.of_link(item.words[0], item.words[1], "", SOUGHT) if text else ""
        lines = list(filter(None, found.split(SEPARATOR)))
        best = next(filter(self._easy, lines), text or next(iter(lines), ""))
        return (*item.cells[:at], best, *item.cells[at + 1 :])

    def _easy(self, text: str) -> bool:
        """Whether no word of a line is more than one level above the class."""
        return all(map(self._bears, spoken_words(text)))

    def _bears(self, word: str) -> bool:
        if not self._highest:
            return True
        if word not in self._borne:
            self._borne[word] = self._is_borne(word)
        return self._borne[word]

    def _is_borne(self, word: str) -> bool:
        row = self._lexicon.row(word)
        if row is None:
            return True
        level = self._lexicon.level(self._lexicon.lemma_at(row)) or self._lexicon.level_at(row)
        return level <= self._bearable

    def lines(
        self, words: Sequence[Word], links: Sequence[Phrase], others: Sequence[Word | Phrase]
    ) -> list[tuple[object, ...]]:
        """Two dialogues of the project's own lines that practise most of a lesson, or eight lines by themselves."""
        targets: set[Target] = {(form,) for word in words for form in word.forms}
        targets |= {link.words for link in links}
        chosen: list[list[Line]] = []
        had: set[Target] = set()
        for _ in range(DIALOGUES):
            best, most = None, 0.0
            for key, block in self._dialogues.items():
                new = self._hits(block, targets) - had
                value = len(new) - self._costs[key]
                if (
                    new
                    and ("dialogue", *map(str, key)) not in self._given
                    and (best is None or value > most)
                ):
                    best, most = key, value
            if best is None:
                break
            chosen.append(self._dialogues[best])
            had |= self._hits(chosen[-1], targets)
            self._given.add(("dialogue", *map(str, best)))
        if len(chosen) == DIALOGUES and len(had) >= DIALOGUE_HITS:
            return [
                self._line(line, number, targets)
                for number, block in enumerate(chosen, start=1)
                for line in block
            ]
        for block in chosen:
            self._given.discard(("dialogue", block[0].file, str(block[0].dialogue)))
        return self._single_lines([*words, *links, *others], targets)

    def _single_lines(
        self, items: Sequence[Word | Phrase], targets: Collection[Target]
    ) -> list[tuple[object, ...]]:
        at = ITEM_COLUMNS.index("example")
        texts = dict.fromkeys(str(self.shown(one)[at]) for one in items)
        by_text = {line.text: line for line in own_lines()}
        wanted = [text for text in texts if text in by_text and ("line", text) not in self._given]
        wanted.sort(key=lambda text: not self._easy(text))
        self._given |= {("line", text) for text in wanted[:SINGLE_LINES]}
        return [self._line(by_text[text], None, targets) for text in wanted[:SINGLE_LINES]]

    @cached_property
    def _dialogues(self) -> dict[tuple[str, int], list[Line]]:
        """The dialogues that a class of this level can read."""
        return {
            key: block
            for key, block in dialogues(own_lines()).items()
            if len(block) >= SHORTEST_DIALOGUE
            and all(self._bears(word) for line in block for word in line.words)
        }

    @cached_property
    def _costs(self) -> dict[tuple[str, int], float]:
        cost = self._examples.cost
        return {
            key: sum(cost(line, ()) for line in block) / len(block)
            for key, block in self._dialogues.items()
        }

    def _hits(self, block: Sequence[Line], targets: Collection[Target]) -> set[Target]:
        """What a dialogue practises of a lesson."""
        return {target for line in block for target in targets_in(line) if target in targets}

    def _line(self, line: Line, dialogue: int | None, targets: Collection[Target]) -> tuple[object, ...]:
        hits = [" ".join(target) for target in targets_in(line) if target in targets]
        marked = self._tagger.tag_text(line.text).marked
        speaker = line.speaker if dialogue else ""
        return (
            line.text, marked, "", None, None, "", "", line.text, speaker, dialogue, ", ".join(dict.fromkeys(hits)),
        )  # fmt: skip
