"""Sets that teach by difference: pairs that a sound makes alike, and pairs that it tells apart.

Room: takes the lexicon and the counts of word pairs; gives one table. The kinds of a sound are rows of its
``contrasts.csv``; each names a method, and :data:`METHODS` is the registry of these.
"""

from __future__ import annotations

from collections.abc import Callable, Collection, Iterator
from typing import TYPE_CHECKING, NamedTuple

from lexiconforge import data, options
from lexiconforge.lexicon import Lexicon
from lexiconforge.lexicon.codes import exclusion_bits
from lexiconforge.lexicon.records import Reading
from lexiconforge.lists.examples import Examples
from lexiconforge.lists.linking import LINK, phrase_ipa, rule_across
from lexiconforge.lists.options import included
from lexiconforge.lists.phrasing import PairReadings
from lexiconforge.phonology.arpabet import Phones
from lexiconforge.phonology.ipa import ipa
from lexiconforge.phonology.matcher import Rule
from lexiconforge.sounds import ContrastKind, load_sound
from lexiconforge.tables import Table

if TYPE_CHECKING:
    import pandas as pd

CONTRAST_COLUMNS = (
    "kind", "place", "first", "second", "first_ipa", "second_ipa", "first_rank", "second_rank",
    "rarer", "note", "first_line", "second_line",
)  # fmt: skip
RAREST = 60_000
"""A pair with a rarer word than this teaches nobody (*attar, adder*): it is shown with ``all_forms`` only. Found by reading
all pairs: textbook pairs end about here."""
RAREST_PHRASE = 100_000
"""The same of two words together, by their rank among all pairs (*that asks, the tasks*)."""
RAISED = ("AY", "AW")
"""Vowels of which some speakers have a higher, shorter variant before a voiceless sound (Wells 1982, from memory)."""


class Contrast(NamedTuple):
    """``first`` and ``second`` are words or phrases; ``ranks`` their places by frequency (of phrases, by the
    count of the pair), so that the larger is the rarer member."""

    first: str
    second: str
    first_ipa: str
    second_ipa: str
    ranks: tuple[int, int]
    note: str


class Token(NamedTuple):
    """Where the sound stands in a word, and the rule that decides it."""

    phone_index: int
    rule: Rule


class Plain(NamedTuple):
    """The pronunciation that stands for a word, as far as all words are looked at."""

    word: str
    phones: Phones
    tokens: tuple[Token, ...]


class Material(NamedTuple):
    """What a method works on: the lexicon, the words fit for class by falling frequency, the counts of pairs."""

    lexicon: Lexicon
    words: list[Plain]
    pairs: pd.DataFrame

    def contrast(self, first: Plain, second: Plain, note: str) -> Contrast:
        """Two words as a contrast."""
        one, two = first.word, second.word
        ranks = (self.lexicon.rank(one) or 0, self.lexicon.rank(two) or 0)
        return Contrast(one, two, self.reading(one).ipa, self.reading(two).ipa, ranks, note)

    def reading(self, word: str) -> Reading:
        """All that is known of the pronunciation that stands for one of the words."""
        found = self.lexicon.main(word)
        assert found is not None
        return found


def contrast_sets(
    lexicon: Lexicon,
    pairs: pd.DataFrame,
    kinds: Collection[str] | str = (),
    *,
    limit: int | None = None,
    include: Collection[str] | str = (),
    all_forms: bool = False,
) -> pd.DataFrame:
    """Contrast sets of these kinds (all that the sound has if none is named), ``limit`` rows of each at most.

    Columns (:data:`CONTRAST_COLUMNS`): ``place`` within the kind, the pair whose rarer member is commonest
    first; ``first_rank``, ``second_rank``, ranks of the words, of phrases their rank among all pairs of the
    source; ``rarer``, the larger of the two; ``first_line`` and ``second_line``, lines to say that differ in nothing else
    where the sound's ``contrast_lines.csv`` has them, else the example of each. Screened words are left out but for the
    kinds named in ``include``; of two lemmas the commonest pair stands for all (*metal, medal* for *metals, medals*; a
    *writer* is a word of its own), and pairs with a word rarer than :data:`RAREST` are left out, unless ``all_forms``.

    Raises :class:`~lexiconforge.errors.OptionError` for a kind that the sound does not have.

    >>> import pandas as pd
    >>> from lexiconforge.lexicon import load_lexicon
    >>> no_pairs = pd.DataFrame({"first": [], "second": [], "count": []})
    >>> table = contrast_sets(load_lexicon(), no_pairs, "homophones")
    >>> ["metal", "medal"] in table[["first", "second"]].values.tolist()
    True
    """
    options.whole_or_none("limit", limit)
    options.flag("all forms", all_forms)
    known = {kind.kind: kind for kind in lexicon.sound.contrasts}
    chosen = [known[name] for name in options.some_of("contrast", kinds, list(known))]
    return contrast_table(
        lexicon,
        pairs,
        chosen or list(known.values()),
        limit=limit,
        include=included(include),
        all_forms=all_forms,
    ).frame()


def contrast_table(
    lexicon: Lexicon,
    pairs: pd.DataFrame,
    kinds: Collection[ContrastKind],
    *,
    limit: int | None = None,
    include: Collection[str] = (),
    all_forms: bool = False,
) -> Table:
    """As :func:`contrast_sets`, as a plain table."""
    material = Material(lexicon, _vocabulary(lexicon, include), pairs)
    lines = _Lines(lexicon)
    rows = []
    for kind in kinds:
        found = sorted(set(METHODS[kind.method](kind, material)), key=lambda c: (max(c.ranks), c))
        if not all_forms:
            found = _one_of_each(lexicon, kind, found)
        for place, contrast in enumerate(found[:limit], start=1):
            first, second, *shown, ranks, note = contrast
            said = lines.of(contrast)
            written = (_written(lexicon, first), _written(lexicon, second))
            rows.append((kind.kind, place, *written, *shown, *ranks, max(ranks), note, *said))
    return Table.of_rows("contrasts", CONTRAST_COLUMNS, rows)


def _written(lexicon: Lexicon, side: str) -> str:
    return " ".join(map(lexicon.written, side.split()))


def _one_of_each(lexicon: Lexicon, kind: ContrastKind, found: list[Contrast]) -> list[Contrast]:
    """The commonest pair of every two lemmas, the pair that shares a family before another; of words that differ only in
    their ending one for each second word."""
    found = [c for c in found if max(c.ranks) <= (RAREST_PHRASE if " " in c.first else RAREST)]
    seen: dict[tuple[str, ...], Contrast] = {}

    def strangers(contrast: Contrast) -> bool:
        one, two = contrast.first, contrast.second
        return " " in one or lexicon.family(one) != lexicon.family(two)

    ordered = sorted(found, key=lambda c: (max(c.ranks), strangers(c)))
    for contrast in ordered:
        sides = tuple(
            " ".join(map(lexicon.lemma, side.split()[:1])) for side in (contrast.first, contrast.second)
        )
        if " " in contrast.first:
            sides = (contrast.first, contrast.second)
        elif kind.method == "ending":
            sides = (lexicon.lemma(contrast.second),)
        seen.setdefault(sides, contrast)
    return list(seen.values())


class _Lines:
    """Two lines for a pair, from the table of the sound or from the examples."""

    def __init__(self, lexicon: Lexicon) -> None:
        self._written, self._examples = lexicon.sound.contrast_lines, Examples(lexicon)

    def of(self, contrast: Contrast) -> tuple[str, str]:
        first, second = contrast.first, contrast.second
        if (first, second) in self._written:
            return self._written[first, second]
        if (second, first) in self._written:
            after, before = self._written[second, first]
            return before, after
        return self._example(first), self._example(second)

    def _example(self, side: str) -> str:
        words = side.split()
        if len(words) == 2:
            return self._examples.of_link(words[0], words[1])
        return self._examples.of_word(side)


def _vocabulary(lexicon: Lexicon, include: Collection[str]) -> list[Plain]:
    """Every word fit for class, the commonest first."""
    keeping_out = ~exclusion_bits(include)
    rows = [row for word in lexicon if "'" not in word and (row := lexicon.row(word)) is not None]
    fit = [row for row in rows if lexicon.rank_at(row) and not lexicon.reasons_at(row) & keeping_out]
    rules = lexicon.sound.rules
    return [
        Plain(
            one.word,
            tuple(one.phones.split()),
            tuple(Token(index, rules[rule]) for index, rule, _ in one.tokens),
        )
        for one in lexicon.main_spellings(sorted(fit, key=lexicon.rank_at))
    ]


def _sound_alike(phones: Phones) -> Phones:
    """Phones without what two entries of the dictionary can differ in by chance: the mark of the final
    vowel, and schwa against short i without stress."""
    return tuple(
        "IH0" if phone == "AH0" else f"{phone[:-1]}0" if phone in ("IY2", "OW2") else phone
        for phone in phones
    )


def _merger(kind: ContrastKind, material: Material) -> Iterator[Contrast]:
    """Pairs whose whole pronunciations the allophone makes alike: metal, medal."""
    partner = load_sound(material.lexicon.sound.partner).phone
    by_sound: dict[Phones, list[Plain]] = {}
    for reading in material.words:
        if partner in reading.phones:
            by_sound.setdefault(_sound_alike(reading.phones), []).append(reading)
    for reading in material.words:
        merged = {t.phone_index for t in reading.tokens if t.rule.allophone == kind.allophone}
        if not merged:
            continue
        alike = tuple(partner if n in merged else phone for n, phone in enumerate(reading.phones))
        for other in by_sound.get(_sound_alike(alike), ()):
            raised = any(reading.phones[n - 1][:2] in RAISED for n in merged)
            yield material.contrast(reading, other, kind.raised_note if raised else kind.note)


def _absorbed(kind: ContrastKind, material: Material) -> Iterator[Contrast]:
    """Pairs that are alike where the allophone leaves nothing of the sound but the one before it: winter, winner."""
    by_sound: dict[Phones, list[Plain]] = {}
    for reading in material.words:
        by_sound.setdefault(_sound_alike(reading.phones), []).append(reading)
    for reading in material.words:
        lost = {t.phone_index for t in reading.tokens if t.rule.allophone == kind.allophone}
        if lost:
            rest = tuple(phone for n, phone in enumerate(reading.phones) if n not in lost)
            for other in by_sound.get(_sound_alike(rest), ()):
                yield material.contrast(reading, other, kind.note)


def _suffixes(kind: ContrastKind, material: Material) -> Iterator[Contrast]:
    """Words of one stem with the two endings of ``detail``, the allophone in the first and another place of the sound in
    the second: invited, invitation."""
    one, _, two = kind.detail.partition("/")
    by_word = {reading.word: reading for reading in material.words}
    for first in material.words:
        second = (
            by_word.get(f"{first.word.removesuffix(one)}{two}") if first.word.endswith(one) else None
        )
        if second is None or not first.tokens:
            continue
        if first.tokens[-1].rule.allophone != kind.allophone:
            continue
        if any(token.rule.environment == kind.other for token in second.tokens):
            yield material.contrast(first, second, kind.note)


def _link_merger(kind: ContrastKind, material: Material) -> Iterator[Contrast]:
    """The pairs of phrases of the sound's own table that the allophone makes alike: set it, said it. Their ranks are those
    of the words that differ."""
    lexicon = material.lexicon
    known = {reading.word for reading in material.words}
    partner = load_sound(lexicon.sound.partner)
    said = PairReadings(lexicon)
    for one, two in lexicon.sound.contrast_pairs.get(kind.kind, ()):
        sides = [side.split() for side in (one, two)]
        if any(len(side) != 2 or side[0] not in known for side in sides) or sides[0][1] != sides[1][1]:
            continue
        (first, after), (other, _) = (said.of(*side) for side in sides)
        rule = rule_across(lexicon.sound, first.phones, after.phones)
        alike = _sound_alike(first.phones[:-1]) == _sound_alike(other.phones[:-1])
        if rule.allophone != kind.allophone or not alike or other.phones[-1] != partner.phone:
            continue
        linked = rule_across(partner, other.phones, after.phones)
        ranks = [lexicon.rank(side[0]) or 0 for side in sides]
        yield Contrast(
            one,
            two,
            phrase_ipa(lexicon.sound, first, after, rule),
            phrase_ipa(partner, other, after, linked),
            (ranks[0], ranks[1]),
            kind.note,
        )


def _shift(kind: ContrastKind, material: Material) -> Iterator[Contrast]:
    """Relatives with the allophone in one and another environment in the other, as the stress moved: atom, atomic."""
    endings = tuple(row["ending"] for row in data.rows("shifting_endings"))
    stems: dict[tuple[str, int, str], Plain] = {}
    for reading in material.words:
        for n, token in enumerate(reading.tokens):
            if token.rule.allophone == kind.allophone and len(reading.word) >= 4:
                for stem in {reading.word, reading.word.rstrip("aeioy")}:
                    key = (stem, n, _consonants(reading.phones[: token.phone_index]))
                    stems.setdefault(key, reading)
    for reading in material.words:
        for n, token in enumerate(reading.tokens):
            if token.rule.environment != kind.other:
                continue
            before = _consonants(reading.phones[: token.phone_index])
            for ending in endings:
                if not reading.word.endswith(ending):
                    continue
                stem = reading.word[: -len(ending)]
                for form in (stem, stem.rstrip("aeioy")):
                    base = stems.get((form, n, before))
                    if base is not None and base.word != reading.word and len(form) >= 4:
                        yield material.contrast(base, reading, kind.note)


def _consonants(phones: Phones) -> str:
    return " ".join(phone for phone in phones if phone[-1] not in "012")


def _pairs(kind: ContrastKind, material: Material) -> Iterator[Contrast]:
    """The pairs of the sound's own table: thirteen, thirty."""
    by_word = {reading.word: reading for reading in material.words}
    for first, second in material.lexicon.sound.contrast_pairs.get(kind.kind, ()):
        if first in by_word and second in by_word:
            heard = [by_word[word].tokens[-1].rule.allophone for word in (first, second)]
            note = kind.note.replace("{first}", heard[0]).replace("{second}", heard[1])
            yield material.contrast(by_word[first], by_word[second], note)


def _ending(kind: ContrastKind, material: Material) -> Iterator[Contrast]:
    """Pairs that differ only after the sound, one allophone in one and another in the other: batter, batten."""
    others: dict[Phones, list[Plain]] = {}
    for reading in material.words:
        last = reading.tokens[-1] if reading.tokens else None
        if last is None or last.rule.allophone != kind.other:
            continue
        if reading.phones[last.phone_index + 2 :] == (kind.detail,):
            others.setdefault(reading.phones[:-2], []).append(reading)
    for reading in material.words:
        if not reading.tokens or reading.tokens[-1].rule.allophone != kind.allophone:
            continue
        at = reading.tokens[-1].phone_index
        ending = reading.phones[at + 1 :]
        if len(ending) > 2 or sum(phone[-1] in "012" for phone in ending) != 1:
            continue
        for other in others.get(reading.phones[: at + 1], ()):
            yield material.contrast(reading, other, kind.note)


def _boundary(kind: ContrastKind, material: Material) -> Iterator[Contrast]:
    """The same sounds with the boundary on the other side: at all, a tall."""
    lexicon, pairs = material.lexicon, material.pairs
    sound = lexicon.sound
    if pairs.empty:
        return
    known = {reading.word: reading.phones for reading in material.words}
    weak = {
        word: form.phones
        for word, forms in sound.weak_forms.items()
        for form in forms
        if form.where == "in contrasts"
    }
    ordered = pairs.sort_values(
        ["count", "first", "second"], ascending=[False, True, True], ignore_index=True
    )
    fit = ordered[ordered["first"].isin(list(known)) & ordered["second"].isin(list(known))]
    opening: dict[Phones, list[tuple[str, str, int]]] = {}
    closing: list[tuple[Phones, str, str, int, Rule]] = []
    for index, one, two in zip(
        fit.index.tolist(), fit["first"].tolist(), fit["second"].tolist(), strict=True
    ):
        place = index + 1
        before, after = known[one], known[two]
        if after[0] == sound.phone and before[-1] != sound.phone:
            opening.setdefault(before + after, []).append((one, two, place))
        elif before[-1] == sound.phone and after[0][-1] in "012":
            rule = rule_across(sound, before, after)
            if rule.allophone in sound.tapped:
                closing.append((weak.get(one, before) + after, one, two, place, rule))
    for heard, one, two, place, rule in closing:
        for left, right, other in opening.get(heard, ()):
            first, second = material.reading(one), material.reading(two)
            shown = phrase_ipa(sound, first, second, rule)
            symbol = sound.allophones[rule.allophone].ipa
            if one in weak:
                # The first word in the weak form that makes it sound like the other.
                shown = f"{ipa(weak[one], {len(weak[one]) - 1: symbol})}{LINK}{second.ipa}"
            yield Contrast(
                f"{one} {two}",
                f"{left} {right}",
                shown,
                f"{material.reading(left).ipa} {material.reading(right).ipa}",
                (place, other),
                kind.note.replace("{ipa}", symbol),
            )


METHODS: dict[str, Callable[[ContrastKind, Material], Iterator[Contrast]]] = {
    "merger": _merger,
    "absorbed": _absorbed,
    "link merger": _link_merger,
    "shift": _shift,
    "suffixes": _suffixes,
    "pairs": _pairs,
    "ending": _ending,
    "boundary": _boundary,
}
"""How contrasts are found, by the name that ``contrasts.csv`` uses."""
