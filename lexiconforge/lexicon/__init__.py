"""The sources joined: what is known of every word, and every occurrence of one sound in it.

Room: everything above asks a :class:`Lexicon` for records (:mod:`lexiconforge.lexicon.records`) and for nothing else. A
lexicon is a value that any number of callers and threads can share; it is read from the compiled file of the user's cache
folder, or compiled where there is none.
"""

from __future__ import annotations

import threading
from array import array
from collections.abc import Collection, Container, Iterable, Iterator, Mapping, Sequence
from functools import cached_property, partial
from pathlib import Path
from typing import TYPE_CHECKING, NamedTuple

from lexiconforge.errors import OptionError
from lexiconforge.lexicon import cache
from lexiconforge.lexicon.codes import (
    EXCLUSIONS,
    LEVEL_NAMES,
    NEVER,
    NO_FREQUENCY,
    SENSITIVE,
    SPELLINGS,
    Verdict,
)
from lexiconforge.lexicon.columns import Columns
from lexiconforge.lexicon.records import Entry, Reading, SoundToken, Span
from lexiconforge.phonology.arpabet import Phones
from lexiconforge.phonology.ipa import ipa
from lexiconforge.phonology.spelling import align, decoded
from lexiconforge.sounds import Sound, load_sound

if TYPE_CHECKING:
    from lexiconforge.lexicon.families import Families
    from lexiconforge.lexicon.grading import Grading
    from lexiconforge.phonology.boundaries import BoundaryFinder
    from lexiconforge.sources.frequencies import CountedFrequencies, Frequencies
    from lexiconforge.sources.pronunciations import Pronunciations


FEW = 20
"""Words looked up one by one before an index of all is made, which takes as long as some thirty."""


class Spelled(NamedTuple):
    """A pronunciation as plain values: ``tokens`` are the index of the phone, the number of the rule, the letters."""

    word: str
    number: int
    phones: str
    note: str
    tokens: list[tuple[int, int, Span]]


class Candidate(NamedTuple):
    """A word of :meth:`Lexicon.having` and which tokens of one of its pronunciations are meant, counted from 0.

    ``reading`` is 0 for the pronunciation that stands for the word; of a homograph 1 is the other one."""

    row: int
    tokens: tuple[int, ...]
    reading: int = 0


class _Listed(Mapping[str, str]):
    """The pronunciations of the words of a lexicon, each a line, made of the columns where they are asked for."""

    def __init__(self, lexicon: Lexicon) -> None:
        self._lexicon = lexicon

    def __getitem__(self, word: str) -> str:
        return "\n".join(self._lexicon.listed_at(self._lexicon._rows[word]))

    def __contains__(self, word: object) -> bool:
        return word in self._lexicon._rows

    def __iter__(self) -> Iterator[str]:
        return iter(self._lexicon)

    def __len__(self) -> int:
        return len(self._lexicon)


class _Parts(Container[str]):
    """What a compound may be made of, asked word by word (:func:`lexiconforge.phonology.boundaries.is_part`)."""

    def __init__(self, lexicon: Lexicon) -> None:
        self._lexicon = lexicon

    def __contains__(self, word: object) -> bool:
        return isinstance(word, str) and self._lexicon.may_be_part(word)


class Lexicon:
    """Words of the dictionary with one sound of each looked at.

    ``counted`` are frequencies of one's own that grade the words in place of the shipped ones; ``own`` are words that
    only the user's supplement has.
    """

    def __init__(
        self,
        sound: Sound,
        columns: Columns,
        *,
        counted: CountedFrequencies | None = None,
        own: frozenset[str] = frozenset(),
        never: frozenset[str] = frozenset(),
    ) -> None:
        self.sound, self.own, self.never = sound, own, never
        self._columns, self._counted = columns, counted
        self._readings: dict[int, Reading] = {}
        self._entries: dict[int, Entry] = {}
        self._looked_up = 0

    def __repr__(self) -> str:
        graded = ", own frequencies" if self._counted else ""
        added = f", {len(self.own)} own words" if self.own else ""
        return f"<Lexicon of the sound {self.sound.name}: {len(self):,} words{graded}{added}>"

    def __getstate__(self) -> dict[str, object]:
        """What has been worked out on the way stays behind."""
        return {
            "sound": self.sound, "own": self.own, "never": self.never, "_columns": self._columns, "_counted": self._counted,
            "_readings": {}, "_entries": {}, "_looked_up": 0,
        }  # fmt: skip

    # Words

    @cached_property
    def _rows(self) -> dict[str, int]:
        # Of a word that the user gave anew the last row counts.
        return {word: row for row, word in enumerate(self._columns.text("word"))}

    def __contains__(self, word: object) -> bool:
        return isinstance(word, str) and self.row(word) is not None

    def __len__(self) -> int:
        return len(self._rows)

    def __iter__(self) -> Iterator[str]:
        return iter(self._rows)

    def row(self, word: str) -> int | None:
        """The place of a word in the dictionary, None if it is not in it."""
        if not word.islower():
            # A name stands in lists with its capital and in the dictionary without.
            word = word.lower()
        if "_rows" not in self.__dict__ and self._looked_up < FEW and self._columns.stored:
            # For a few words the index of all is not worth making.
            self._looked_up += 1
            return self._columns.find("word", word)
        return self._rows.get(word)

    def word_at(self, row: int) -> str:
        """The word of a row."""
        return self._columns.cell("word", row)

    @cached_property
    def _written(self) -> dict[str, str]:
        from lexiconforge.lexicon.screening import names_in_lists

        return {word: name.written for word, name in names_in_lists().items()}

    def written(self, word: str) -> str:
        """A word as it is written: a name that lists have with its capital."""
        return self._written.get(word, word)

    def written_at(self, row: int) -> str:
        """The word of a row as it is written."""
        return self.written(self.word_at(row))

    # Frequencies

    @cached_property
    def _ranks(self) -> Sequence[int]:
        if self._counted is None:
            return self._columns.numbers("rank")
        rank = self._counted.rank
        return array("i", [rank.get(word, 0) for word in self._columns.text("word")])

    @cached_property
    def _all_frequencies(self) -> Frequencies | CountedFrequencies:
        from lexiconforge.sources.frequencies import load_frequencies

        return self._counted or load_frequencies()

    def rank(self, word: str) -> int | None:
        """Place of a word among all words of the frequency list, 1 = commonest; None if that does not have it."""
        row = self.row(word)
        if row is None:
            return self._all_frequencies.rank.get(word)
        return self._ranks[row] or None

    def rank_at(self, row: int) -> int:
        """The rank of the word of a row, 0 for none."""
        return self._ranks[row]

    def zipf_at(self, row: int) -> float | None:
        """Zipf value of the word of a row."""
        if self._counted is not None:
            return self._counted.zipf(self.word_at(row))
        bin_ = self._columns.numbers("centibels")[row]
        return None if bin_ == NO_FREQUENCY else round(9 - bin_ / 100, 2)

    def share_at(self, row: int) -> float:
        """Share of all text (0 to 1) of the word of a row."""
        if self._counted is not None:
            return self._counted.share(self.word_at(row))
        bin_ = self._columns.numbers("centibels")[row]
        return 0.0 if bin_ == NO_FREQUENCY else 10 ** (-bin_ / 100)

    # Facts of words

    def reasons_at(self, row: int) -> int:
        """Why lists leave the word of a row out: a bit for each of
        :data:`~lexiconforge.lexicon.codes.EXCLUSIONS`, 0 if they do not."""
        return int(self._columns.numbers("reasons")[row]) | (NEVER if row in self._struck_out else 0)

    @cached_property
    def _struck_out(self) -> frozenset[int]:
        """Rows of the words that are never to be shown, and of their forms."""
        if not self.never:
            return frozenset()
        columns = self._columns
        named = zip(columns.text("word"), columns.text("lemma"), strict=True)
        return frozenset(row for row, names in enumerate(named) if not self.never.isdisjoint(names))

    def level_at(self, row: int) -> str:
        """CEFR level of the word of a row, empty where none is known."""
        return LEVEL_NAMES[self._columns.numbers("level")[row]]

    def parts_at(self, row: int) -> tuple[str, ...]:
        """Parts of speech of the word of a row."""
        cell = self._columns.cell("part_names", self._columns.numbers("parts")[row])
        return tuple(cell.split("; ")) if cell else ()

    def family_at(self, row: int) -> str:
        """The base that stands for the family of the word of a row."""
        return self._columns.cell("family", row)

    def row_at(self, row: int) -> str:
        """The word whose row of a list holds the word of a row (:meth:`Families.row`)."""
        return self._columns.cell("row", row)

    def lemma_at(self, row: int) -> str:
        """The base form of the word of a row."""
        return self._columns.cell("lemma", row)

    def verdict_at(self, row: int) -> Verdict:
        """The screening of the word of a row."""
        return self.verdicts_at([row])[0]

    def verdicts_at(self, rows: Sequence[int]) -> list[Verdict]:
        """The screening of the words of these rows."""
        spelling, sensitive = (self._columns.numbers(name) for name in ("spelling", "sensitive"))
        names, abbreviations, unknown, possessives = (
            1 << EXCLUSIONS.index(name) for name in ("names", "abbreviations", "unknown", "possessives")
        )
        found = []
        for row in rows:
            bits = self.reasons_at(row)
            found.append(
                Verdict(
                    proper_name=bool(bits & names) or self.word_at(row) in self._written,
                    abbreviation=bool(bits & abbreviations),
                    spelling=SPELLINGS[spelling[row]],
                    sensitive=SENSITIVE[sensitive[row]],
                    in_dictionary=not bits & unknown,
                    possessive=bool(bits & possessives),
                )
            )
        return found

    def family(self, word: str) -> str:
        """The base that stands for the family of any word."""
        row = self.row(word)
        return self._families.family(word) if row is None else self.family_at(row)

    def lemma(self, word: str) -> str:
        """The base form of any word."""
        row = self.row(word)
        return self._families.lemma(word) if row is None else self.lemma_at(row)

    def level(self, word: str) -> str:
        """CEFR level of any word, empty where none is known."""
        row = self.row(word)
        return self._grading.of(word).level if row is None else self.level_at(row)

    @cached_property
    def _families(self) -> Families:
        from lexiconforge.lexicon.families import Families
        from lexiconforge.sources.american_words import load_american_words

        general = self._columns.numbers("rank")
        ranks = {word: general[row] for word, row in self._rows.items() if general[row]}
        return Families(self._pronunciations, load_american_words().in_lower_case, ranks)

    @cached_property
    def _grading(self) -> Grading:
        from lexiconforge.lexicon.grading import Grading
        from lexiconforge.sources.american_words import load_american_words

        general = self._columns.numbers("rank")
        ranks = {word: general[row] for word, row in self._rows.items() if general[row]}
        return Grading(self._families, load_american_words(), ranks)

    # Records

    def entry(self, word: str) -> Entry | None:
        """All that is known of a word, None if the dictionary does not have it."""
        row = self.row(word)
        return None if row is None else self.entry_at(row)

    def word(self, written: str) -> Entry | None:
        """All that is known of a word as a person writes it, in any letter case and with either apostrophe; None if the
        dictionary does not have it. The second time it costs a look into a mapping.

        >>> load_lexicon().word("Water").to_dict()["readings"][0]["tokens"][0]["allophone"]
        'tap'
        """
        return self.entry(written.strip().lower().replace("’", "'"))

    def entry_at(self, row: int) -> Entry:
        """All that is known of the word of a row."""
        known = self._entries.get(row)
        if known is None:
            first, last = self._columns.numbers("first_reading")[row : row + 2]
            readings = tuple(self._reading(n, row, n - first + 1) for n in range(first, last))
            known = Entry(
                self.word_at(row),
                row,
                written=self._written.get(self.word_at(row), ""),
                reading_note=self.reading_note_at(row),
                homograph=self.homograph_at(row),
                rank=self.rank_at(row) or None,
                zipf=self.zipf_at(row),
                share=self.share_at(row),
                level=self.level_at(row),
                parts_of_speech=self.parts_at(row),
                lemma=self.lemma_at(row),
                family=self.family_at(row),
                verdict=self.verdict_at(row),
                readings=readings,
                main=readings[self._columns.numbers("main")[row] - first],
            )
            known = self._entries.setdefault(row, known)
        return known

    def main_at(self, row: int) -> Reading:
        """The pronunciation that stands for the word of a row: the first that has the sound in letters of its own, else
        the first that has it, else the first; of a word that was judged by reading always the first
        (:mod:`lexiconforge.lexicon.choosing`).

        The dictionary writes some taps with another phone (*thirty* is listed with D, then with T).
        """
        n = self._columns.numbers("main")[row]
        return self._reading(n, row, n - self._columns.numbers("first_reading")[row] + 1)

    def listed_at(self, row: int) -> list[str]:
        """The phones of each pronunciation of the word of a row, with spaces between."""
        first, last = self._columns.numbers("first_reading")[row : row + 2]
        return [self._columns.cell("phones", n) for n in range(first, last)]

    def main(self, word: str) -> Reading | None:
        """The pronunciation that stands for a word, None if the dictionary does not have it."""
        row = self.row(word)
        return None if row is None else self.main_at(row)

    def _reading(self, n: int, row: int, number: int) -> Reading:
        known = self._readings.get(n)
        if known is None:
            known = self._readings.setdefault(n, self._made_reading(n, self.word_at(row), number))
        return known

    def _made_reading(self, n: int, word: str, number: int) -> Reading:
        columns = self._columns
        phones = tuple(columns.cell("phones", n).split())
        first, last = columns.numbers("first_token")[n : n + 2]
        coded = columns.cell("letters", n)
        letters = decoded(coded) if coded else None
        plain = tuple(range(len(phones)))
        shown = partial(self._shown, n, phones)
        if first == last:
            # Without the sound nothing else is kept of a reading.
            return Reading(word, number, phones, phones, plain, (), "", shown, (), letters)
        stored = columns.cell("symbols", n)
        symbols = tuple(stored.split()) if stored else phones
        indexes = tuple(map(int, columns.cell("indexes", n).split())) if stored else plain
        boundaries = tuple(map(int, columns.cell("boundaries", n).split())) if stored else ()
        rules, heard = self.sound.rules, self.sound.heard
        tokens = tuple(
            SoundToken(index, rules[rule], (start, end), heard(word, phones, index, rules[rule]))
            for index, rule, start, end in zip(
                *(columns.numbers(name)[first:last] for name in ("phone_index", "rule", "start", "end")),
                strict=True,
            )
        )
        note = columns.cell("note", n)
        return Reading(word, number, phones, symbols, indexes, boundaries, note, shown, tokens, letters)

    def _shown(self, n: int, phones: Phones) -> str:
        return self._columns.cell("ipa", n) or self._broad(phones)

    def _broad(self, phones: Phones) -> str:
        """IPA of a pronunciation that does not have the sound; the one beside it is written as it is heard."""
        partner = load_sound(self.sound.partner)
        tokens = partner.matcher.tag(phones) if partner.phone in phones else ()
        return ipa(
            phones, {t.at: partner.allophones[partner.rules[t.rule].allophone].ipa for t in tokens}
        )

    def reading_note_at(self, row: int) -> str:
        """Why the word of a row is not read as the dictionary lists it first, empty where it is."""
        return self._columns.cell("reading_note", row)

    def homograph_at(self, row: int) -> tuple[str, ...]:
        """Parts of speech of the first readings of a word that is read in two ways, in their order; else none."""
        cell = self._columns.cell("reading_parts", row)
        return tuple(cell.split("; ")) if cell else ()

    def sounding(self, words: Sequence[str] | None = None) -> Iterator[Reading]:
        """Every pronunciation that has the sound, in the dictionary's order or that of these words."""
        return (self._reading(n, row, number) for n, row, number in self._sounding(words))

    def _sounding(self, words: Sequence[str] | None) -> Iterator[tuple[int, int, int]]:
        columns = self._columns
        firsts, tokens = columns.numbers("first_reading"), columns.numbers("first_token")
        found = self._rows.values() if words is None else map(self.row, words)
        for row in found:
            if row is None:
                continue
            first, last = firsts[row : row + 2]
            if tokens[first] != tokens[last]:
                for n in range(first, last):
                    if tokens[n] != tokens[n + 1]:
                        yield n, row, n - first + 1

    def spellings(self) -> Iterator[Spelled]:
        """The same as :meth:`sounding` of all words, as plain values: what a table of everything needs of a record."""
        return self._spelled(self._sounding(None))

    def main_spellings(self, rows: Sequence[int]) -> Iterator[Spelled]:
        """The pronunciation that stands for each of these words, as plain values."""
        main, firsts = self._columns.numbers("main"), self._columns.numbers("first_reading")
        return self._spelled((main[row], row, main[row] - firsts[row] + 1) for row in rows)

    def _spelled(self, readings: Iterable[tuple[int, int, int]]) -> Iterator[Spelled]:
        columns = self._columns
        words, phones, notes = (columns.text(name) for name in ("word", "phones", "note"))
        tokens = columns.numbers("first_token")
        places, rules, starts, ends = (
            columns.numbers(name).tolist() for name in ("phone_index", "rule", "start", "end")
        )
        for n, row, number in readings:
            meant = [
                (places[t], rules[t], (starts[t], ends[t])) for t in range(tokens[n], tokens[n + 1])
            ]
            yield Spelled(words[row], number, phones[n], notes[n], meant)

    def main_cells(self, name: str, rows: Sequence[int]) -> list[str]:
        """A text of the pronunciation that stands for each of these words: its ``phones`` or ``ipa``."""
        cells, main = self._columns.text(name), self._columns.numbers("main")
        return [cells[main[row]] for row in rows]

    def main_rules(self, rows: Sequence[int]) -> list[bytes]:
        """The numbers of the rules that decide the sound in the pronunciation that stands for each of these words."""
        columns = self._columns
        main, firsts, rules = (
            columns.numbers("main"),
            columns.numbers("first_token"),
            columns.numbers("rule"),
        )
        decided = rules.tobytes()
        return [decided[firsts[main[row]] : firsts[main[row] + 1]] for row in rows]

    @cached_property
    def graded(self) -> list[int]:
        """Rows of the words that have the sound in letters of its own (:func:`records.is_spelling`) and a frequency, the
        commonest first."""
        columns = self._columns
        main, tokens, ranks = columns.numbers("main"), columns.numbers("first_token"), self._ranks
        spelled, rows = columns.numbers("spelled").tobytes(), self._rows.values()
        found = [
            row for row in rows if ranks[row] and 1 in spelled[tokens[main[row]] : tokens[main[row] + 1]]
        ]
        return sorted(found, key=ranks.__getitem__)

    @cached_property
    def _by_rule(self) -> list[list[tuple[int, int]]]:
        """For each rule the words it decides: pairs of the place in :attr:`graded` and the token, counted from 0."""
        found: list[list[tuple[int, int]]] = [[] for _ in self.sound.rules]
        columns = self._columns
        main, firsts, spelled = (columns.numbers(name) for name in ("main", "first_token", "spelled"))
        for n, (row, decided) in enumerate(zip(self.graded, self.main_rules(self.graded), strict=True)):
            first = firsts[main[row]]
            for token, rule in enumerate(decided):
                if spelled[first + token]:
                    found[rule].append((n, token))
        return found

    def having(self, allophone: str = "", environment: str = "") -> list[Candidate]:
        """Words with the sound as this allophone in this environment (``""`` = any), the commonest first."""
        found: dict[int, list[int]] = {}
        for rule, uses in zip(self.sound.rules, self._by_rule, strict=True):
            if allophone in ("", rule.allophone) and environment in ("", rule.environment):
                for n, token in uses:
                    found.setdefault(n, []).append(token)
        first = [Candidate(self.graded[n], tuple(sorted(found[n]))) for n in sorted(found)]
        second = list(self._second_readings(allophone, environment))
        if not second:
            return first
        return sorted([*first, *second], key=lambda c: (self.rank_at(c.row), c.reading))

    def _second_readings(self, allophone: str, environment: str) -> Iterator[Candidate]:
        """The other reading of each homograph where it has the sound so, and is said otherwise than the first."""
        columns, rules = self._columns, self.sound.rules
        firsts, starts, decided, spelled = (
            columns.numbers(name) for name in ("first_reading", "first_token", "rule", "spelled")
        )
        for row in self._homographs:
            first = firsts[row]
            second = [rules[n] for n in decided[starts[first + 1] : starts[first + 2]]]
            tokens = tuple(
                n
                for n, rule in enumerate(second)
                if allophone in ("", rule.allophone)
                and environment in ("", rule.environment)
                and spelled[starts[first + 1] + n]
            )
            if tokens and columns.cell("ipa", first) != columns.cell("ipa", first + 1):
                yield Candidate(row, tokens, 1)

    @cached_property
    def _homographs(self) -> list[int]:
        cells = self._columns.text("reading_parts")
        return [row for row in self._rows.values() if cells[row] and self.rank_at(row)]

    def said(self, candidate: Candidate) -> Reading:
        """The pronunciation that a candidate is about."""
        if candidate.reading:
            return self.entry_at(candidate.row).readings[candidate.reading]
        return self.main_at(candidate.row)

    def parts_said(self, candidate: Candidate) -> tuple[str, ...]:
        """Parts of speech of a word as this candidate says it."""
        parts = self.homograph_at(candidate.row)
        return tuple(parts[candidate.reading].split(", ")) if parts else self.parts_at(candidate.row)

    # What text needs for words that are not listed

    @cached_property
    def _pronunciations(self) -> Pronunciations:
        from lexiconforge.sources.pronunciations import Pronunciations

        return Pronunciations(_Listed(self))

    @cached_property
    def _finder(self) -> BoundaryFinder:
        from lexiconforge.phonology.boundaries import BoundaryFinder
        from lexiconforge.sources.american_words import load_american_words

        sound = self.sound
        return BoundaryFinder(
            sound.phone,
            sound.letters,
            sound.exceptions,
            self._pronunciations,
            _Parts(self),
            # Loaded when a word has two parts, which few have.
            lambda word: load_american_words().in_lower_case(word),
        )

    def derived(self, word: str) -> Reading | None:
        """The pronunciation of a regular form that the dictionary does not list, None if it is not one."""
        from lexiconforge.phonology.inflection import inflected

        phones = inflected(word, self._pronunciations)
        if phones is None:
            return None
        special = self._finder.symbols(word, phones)
        symbols = special.symbols if special else phones
        indexes = special.indexes if special else tuple(range(len(phones)))
        matcher, spans = self.sound.matcher, align(word, phones)
        tokens = tuple(
            SoundToken(at, rule, spans[at], self.sound.heard(word, phones, at, rule))
            for at, rule in ((indexes[t.at], matcher.rules[t.rule]) for t in matcher.tag(symbols))
        )
        heard = {t.phone_index: self.sound.allophones[t.rule.allophone].ipa for t in tokens}
        note, ending = (special.note, special.ending) if special else ("", None)
        shown = ipa(phones, heard, (), ending)
        return Reading(word, 1, phones, symbols, indexes, (), note, shown, tokens, spans)

    def may_be_part(self, word: str) -> bool:
        """May a compound be made of this word? By its rank in the language at large."""
        from lexiconforge.phonology.boundaries import is_part

        row = self._rows.get(word)
        rank = 0 if row is None else self._columns.numbers("rank")[row]
        return rank > 0 and is_part(word, rank)

    # Other lexicons

    def with_frequencies(self, counted: CountedFrequencies) -> Lexicon:
        """The same words graded by other frequencies. What a t is, and what is a name, stays as it is: that does not
        depend on whose texts were counted."""
        return Lexicon(self.sound, self._columns, counted=counted, own=self.own, never=self.never)

    def without(self, words: Collection[str]) -> Lexicon:
        """The same with these words and their forms kept out of every list and line, whatever else is let in."""
        never = self.never | {word.lower().replace("’", "'") for word in words}
        return Lexicon(self.sound, self._columns, counted=self._counted, own=self.own, never=never)

    def with_pronunciations(self, own: dict[str, str]) -> Lexicon:
        """The dictionary with these words added, pronunciations a line; a word it has already is said as they say."""
        from lexiconforge.lexicon.choosing import Chosen
        from lexiconforge.lexicon.compiling import compile_facts, compile_families, compile_readings
        from lexiconforge.lexicon.families import Families
        from lexiconforge.sources.american_words import load_american_words
        from lexiconforge.sources.pronunciations import Pronunciations

        phones, firsts = self._columns.text("phones"), self._columns.numbers("first_reading")
        listed = {w: "\n".join(phones[firsts[n] : firsts[n + 1]]) for w, n in self._rows.items()}
        mine = Pronunciations({**listed, **own})
        general = self._columns.numbers("rank")
        ranks = {word: general[row] for word, row in self._rows.items() if general[row]}
        new = frozenset(own.keys() - self._rows.keys())
        american, words = load_american_words(), list(own)
        said = Chosen(mine, {}, {}, frozenset())
        families = Families(mine, american.in_lower_case, ranks)
        made = compile_readings(self.sound, words, said, ranks, american)
        made |= compile_families(words, families)
        made |= compile_facts(self.sound, words, said, families, ranks, american, new)
        centibels = self._columns.numbers("centibels")
        rows = [self._rows.get(word) for word in words]
        made["rank"] = array("i", [0 if row is None else general[row] for row in rows])
        made["centibels"] = array("H", [NO_FREQUENCY if r is None else centibels[r] for r in rows])
        return Lexicon(
            self.sound,
            cache.joined(self._columns, made),
            counted=self._counted,
            own=self.own | new,
            never=self.never,
        )


_loading = threading.Lock()
_loaded: dict[tuple[str, str], Lexicon] = {}


def load_lexicon(sound: str = "t", *, sounds: Path | str | None = None, keep: bool = True) -> Lexicon:
    """The lexicon from the packaged sources; loaded once, then shared by all threads.

    ``sound`` names a folder of tables, ``sounds`` a user's folder of such folders (:mod:`lexiconforge.sounds`). The
    compiled file is read from the cache folder and written there where it is missing or old, unless ``keep`` is False.

    Raises :class:`~lexiconforge.errors.SourceError` if a source is missing or damaged,
    :class:`~lexiconforge.errors.OptionError` for a sound that does not exist and
    :class:`~lexiconforge.errors.SoundError` for tables that do not hold together.

    >>> load_lexicon().main("water").phones
    ('W', 'AO1', 'T', 'ER0')
    """
    found = load_sound(sound, sounds)
    key = (found.name, found.fingerprint)
    with _loading:
        if key not in _loaded:
            _loaded[key] = Lexicon(found, cache.compiled(found, keep=keep))
        return _loaded[key]


def supplemented(
    lexicon: Lexicon,
    *,
    pronunciations: Path | str | Mapping[str, str | Sequence[str]] | None = None,
    frequencies: Path | str | Mapping[str, float] | None = None,
) -> Lexicon:
    """The lexicon with a user's pronunciations and frequencies (:mod:`lexiconforge.sources.supplements`).

    Each is a file or a mapping from words: to a pronunciation in ARPAbet or broad IPA, or a list of several, the usual
    one first; to a Zipf value.

    Raises :class:`~lexiconforge.errors.SourceError` with a line for every problem of these, and
    :class:`~lexiconforge.errors.OptionError` for frequencies where counts of one's own rule already.

    >>> mine = supplemented(load_lexicon(), pronunciations={"zottle": "ˈzɑtəl"}, frequencies={"zottle": 3.1})
    >>> mine.entry("zottle")
    <Entry zottle ˈzɑɾl̩, rank ...>
    """
    from lexiconforge.sources import supplements
    from lexiconforge.sources.frequencies import load_frequencies

    own: dict[str, str] = {}
    shares: dict[str, float] = {}
    if isinstance(pronunciations, Mapping):
        own = supplements.given_pronunciations(pronunciations)
    elif pronunciations:
        own = supplements.read_pronunciations(Path(pronunciations))
    if isinstance(frequencies, Mapping):
        shares = supplements.given_frequencies(frequencies)
    elif frequencies:
        shares = supplements.read_frequencies(Path(frequencies))
    if own:
        lexicon = lexicon.with_pronunciations(own)
    if shares:
        if lexicon._counted is not None:
            raise OptionError("own frequencies go with the shipped ones, not with counts")
        lexicon = lexicon.with_frequencies(supplements.with_frequencies(load_frequencies(), shares))
    return lexicon
