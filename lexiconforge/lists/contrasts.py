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
from lexiconforge.lists.linking import LINK, phrase_ipa, rule_across
from lexiconforge.lists.options import included
from lexiconforge.phonology.arpabet import Phones
from lexiconforge.phonology.ipa import ipa
from lexiconforge.phonology.matcher import Rule
from lexiconforge.sounds import ContrastKind, load_sound
from lexiconforge.tables import Table

if TYPE_CHECKING:
    import pandas as pd

CONTRAST_COLUMNS = (
    "kind", "place", "first", "second", "first_ipa", "second_ipa", "first_rank", "second_rank",
    "rarer", "note",
)  # fmt: skip
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


class Material(NamedTuple):
    """What a method works on: the lexicon, the words fit for class by falling frequency, the counts of pairs."""

    lexicon: Lexicon
    words: list[Reading]
    pairs: pd.DataFrame

    def contrast(self, first: Reading, second: Reading, note: str) -> Contrast:
        """Two words as a contrast."""
        ranks = tuple(self.lexicon.rank(reading.word) or 0 for reading in (first, second))
        return Contrast(first.word, second.word, first.ipa, second.ipa, (ranks[0], ranks[1]), note)


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
    source; ``rarer``, the larger of the two. Screened words are left out but for the kinds named in
    ``include``; of two families the commonest pair stands for all (*metal, medal* for *metals, medals*)
    unless ``all_forms``.

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
    rows = []
    for kind in kinds:
        found = sorted(set(METHODS[kind.method](kind, material)), key=lambda c: (max(c.ranks), c))
        if not all_forms:
            seen: dict[tuple[str, str], Contrast] = {}
            for contrast in found:
                families = (lexicon.family(contrast.first), lexicon.family(contrast.second))
                seen.setdefault(families, contrast)
            found = list(seen.values())
        for place, contrast in enumerate(found[:limit], start=1):
            *shown, ranks, note = contrast
            rows.append((kind.kind, place, *shown, *ranks, max(ranks), note))
    return Table.of_rows("contrasts", CONTRAST_COLUMNS, rows)


def _vocabulary(lexicon: Lexicon, include: Collection[str]) -> list[Reading]:
    """Every word fit for class, the commonest first."""
    keeping_out = ~exclusion_bits(include)
    rows = [row for word in lexicon if "'" not in word and (row := lexicon.row(word)) is not None]
    fit = [row for row in rows if lexicon.rank_at(row) and not lexicon.reasons_at(row) & keeping_out]
    return [lexicon.main_at(row) for row in sorted(fit, key=lexicon.rank_at)]


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
    by_sound: dict[Phones, list[Reading]] = {}
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


def _shift(kind: ContrastKind, material: Material) -> Iterator[Contrast]:
    """Relatives with the allophone in one and another environment in the other, as the stress moved: atom, atomic."""
    endings = tuple(row["ending"] for row in data.rows("shifting_endings"))
    stems: dict[tuple[str, int, str], Reading] = {}
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
    others: dict[Phones, list[Reading]] = {}
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
    known = {reading.word: reading for reading in material.words}
    weak = {
        word: form.phones
        for word, forms in sound.weak_forms.items()
        for form in forms
        if form.where == "in contrasts"
    }
    ordered = pairs.sort_values(["count", "first", "second"], ascending=[False, True, True])
    opening: dict[Phones, list[tuple[Reading, Reading, int]]] = {}
    closing: list[tuple[Phones, Reading, Reading, int, Rule]] = []
    for place, (one, two) in enumerate(
        zip(ordered["first"].tolist(), ordered["second"].tolist(), strict=True), start=1
    ):
        if one not in known or two not in known:
            continue
        first, second = known[one], known[two]
        before, after = first.phones, second.phones
        if after[0] == sound.phone and before[-1] != sound.phone:
            opening.setdefault(before + after, []).append((first, second, place))
        elif before[-1] == sound.phone and after[0][-1] in "012":
            rule = rule_across(sound, before, after)
            if rule.allophone in sound.tapped:
                closing.append((weak.get(one, before) + after, first, second, place, rule))
    for heard, first, second, place, rule in closing:
        shown = phrase_ipa(sound, first, second, rule)
        symbol = sound.allophones[rule.allophone].ipa
        if first.word in weak:
            # The first word in the weak form that makes it sound like the other.
            phones = weak[first.word]
            shown = f"{ipa(phones, {len(phones) - 1: symbol})}{LINK}{second.ipa}"
        for left, right, other in opening.get(heard, ()):
            yield Contrast(
                f"{first.word} {second.word}",
                f"{left.word} {right.word}",
                shown,
                f"{left.ipa} {right.ipa}",
                (place, other),
                kind.note.replace("{ipa}", symbol),
            )


METHODS: dict[str, Callable[[ContrastKind, Material], Iterator[Contrast]]] = {
    "merger": _merger,
    "shift": _shift,
    "pairs": _pairs,
    "ending": _ending,
    "boundary": _boundary,
}
"""How contrasts are found, by the name that ``contrasts.csv`` uses."""
