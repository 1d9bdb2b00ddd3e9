"""Sets that teach by difference: pairs that a t makes alike, and pairs that a t tells apart.

Room: takes the lexicon and the counts of word pairs; gives one table. Each kind is one function with the same
shape; :data:`KINDS` is their registry.
"""

from __future__ import annotations

from collections.abc import Callable, Collection, Iterator
from typing import TYPE_CHECKING, NamedTuple

from lexiconforge import phones as arpabet
from lexiconforge.allophones import ALLOPHONE_IPA, Rule
from lexiconforge.lexicon import Lexicon, Phones
from lexiconforge.linking import LINKING, phrase_ipa, rule_across
from lexiconforge.screening import EXCLUSIONS
from lexiconforge.wordlists import ChoiceError

if TYPE_CHECKING:
    import pandas as pd

CONTRAST_COLUMNS = (
    "kind", "place", "first", "second", "first_ipa", "second_ipa", "first_rank", "second_rank",
    "rarer", "note",
)  # fmt: skip

LENGTH_NOTE = "alike when tapped; for some speakers the vowel before d is a little longer"
QUALITY_NOTE = "alike when tapped for many; others have a higher, shorter vowel before t"
WEAK_FORMS: dict[str, Phones] = {"at": ("AH0", "T"), "that": ("DH", "AH0", "T")}
"""Function words as they are said without stress (common practice); in their listed forms they would never
sound like the end of another word."""


class Contrast(NamedTuple):
    """``first`` and ``second`` are words or phrases; ``ranks`` their places by frequency (of phrases, by the
    count of the pair), so that the larger is the rarer member."""

    first: str
    second: str
    first_ipa: str
    second_ipa: str
    ranks: tuple[int, int]
    note: str


class _Word(NamedTuple):
    word: str
    phones: Phones
    rules: tuple[Rule, ...]
    places: tuple[int, ...]
    """Phone indexes of the T's, as many as ``rules``."""


def contrasts(
    lexicon: Lexicon,
    pairs: pd.DataFrame,
    kinds: Collection[str] = (),
    *,
    limit: int | None = None,
    include: Collection[str] = (),
    all_forms: bool = False,
) -> pd.DataFrame:
    """Contrast sets of these kinds (all of :data:`KINDS` if none is named), ``limit`` rows of each at most.

    Columns (:data:`CONTRAST_COLUMNS`): ``place`` within the kind, the pair whose rarer member is commonest
    first; ``first_rank``, ``second_rank``, ranks of the words, of phrases their rank among all pairs of the
    source; ``rarer``, the larger of the two. Screened words are left out but for the kinds named in
    ``include``; of two families the commonest pair stands for all (*metal, medal* for *metals, medals*)
    unless ``all_forms``.

    Raises :class:`~lexiconforge.wordlists.ChoiceError` for a kind that does not exist.

    >>> import pandas as pd
    >>> from lexiconforge.lexicon import load_lexicon
    >>> no_pairs = pd.DataFrame({"first": [], "second": [], "count": []})
    >>> table = contrasts(load_lexicon(), no_pairs, ["homophones"])
    >>> ["metal", "medal"] in table[["first", "second"]].values.tolist()
    True
    """
    import pandas as pd

    if unknown := [kind for kind in kinds if kind not in KINDS]:
        raise ChoiceError(f"no contrast {unknown[0]!r}; there are: {', '.join(KINDS)}")
    if limit is not None and limit < 1:
        raise ChoiceError(f"limit {limit}: must be 1 or more")
    for name in include:
        if name not in EXCLUSIONS:
            raise ChoiceError(f"no left-out kind {name!r}; there are: {', '.join(EXCLUSIONS)}")
    vocabulary = _vocabulary(lexicon, include)
    family = lexicon.families.family
    rows = []
    for kind in kinds or KINDS:
        found = sorted(set(KINDS[kind](lexicon, vocabulary, pairs)), key=lambda c: (max(c.ranks), c))
        if not all_forms:
            seen: dict[tuple[str, str], Contrast] = {}
            for contrast in found:
                seen.setdefault((family(contrast.first), family(contrast.second)), contrast)
            found = list(seen.values())
        for place, contrast in enumerate(found[:limit], start=1):
            first, second, first_ipa, second_ipa, ranks, note = contrast
            rows.append((kind, place, first, second, first_ipa, second_ipa, *ranks, max(ranks), note))
    return pd.DataFrame(rows, columns=list(CONTRAST_COLUMNS))


def _vocabulary(lexicon: Lexicon, include: Collection[str]) -> list[_Word]:
    """Every word fit for class, the commonest first."""
    rank = lexicon.frequencies.rank
    words = sorted(
        (word for word in lexicon.pronunciations.keys() & rank.keys() if "'" not in word),
        key=rank.__getitem__,
    )
    if "unknown" not in include and "names" not in include:
        words = [word for word in words if lexicon.american.in_lower_case(word)]
    kept = []
    for word, verdict in zip(words, lexicon.verdicts(words), strict=True):
        if not set(verdict.reasons) - set(include):
            phones = lexicon.main_phones(word)
            tokens = lexicon.tag_phones(word, phones).tokens if "T" in phones else []
            kept.append(
                _Word(
                    word,
                    phones,
                    tuple(token.rule for token in tokens),
                    tuple(token.phone_index for token in tokens),
                )
            )
    return kept


def _contrast(lexicon: Lexicon, first: _Word, second: _Word, note: str) -> Contrast:
    rank = lexicon.frequencies.rank
    return Contrast(
        first.word,
        second.word,
        lexicon.ipa(first.word, first.phones),
        lexicon.ipa(second.word, second.phones),
        (rank[first.word], rank[second.word]),
        note,
    )


def _sound(phones: Phones) -> Phones:
    """Phones without what two entries of the dictionary can differ in by chance: the mark of the final
    vowel, and schwa against short i without stress."""
    return tuple(
        "IH0" if phone == "AH0" else f"{phone[:-1]}0" if phone in ("IY2", "OW2") else phone
        for phone in phones
    )


def _homophones(lexicon: Lexicon, vocabulary: list[_Word], pairs: pd.DataFrame) -> Iterator[Contrast]:
    """Pairs with t and d whose whole pronunciations the tap makes alike: metal, medal."""
    by_sound: dict[Phones, list[_Word]] = {}
    for entry in vocabulary:
        if "D" in entry.phones:
            by_sound.setdefault(_sound(entry.phones), []).append(entry)
    for entry in vocabulary:
        tapped = [
            p for p, rule in zip(entry.places, entry.rules, strict=True) if rule.allophone == "tap"
        ]
        if not tapped:
            continue
        voiced = tuple("D" if n in tapped else phone for n, phone in enumerate(entry.phones))
        for other in by_sound.get(_sound(voiced), ()):
            raised = any(entry.phones[n - 1][:2] in ("AY", "AW") for n in tapped)
            yield _contrast(lexicon, entry, other, QUALITY_NOTE if raised else LENGTH_NOTE)


def _stress_shift(lexicon: Lexicon, vocabulary: list[_Word], pairs: pd.DataFrame) -> Iterator[Contrast]:
    """Relatives with a tap in one and an aspirated t in the other, because the stress moved: atom, atomic."""
    stems: dict[tuple[str, int, str], _Word] = {}
    for entry in vocabulary:
        for n, rule in enumerate(entry.rules):
            if rule.allophone == "tap" and len(entry.word) >= 4:
                for stem in {entry.word, entry.word.rstrip("aeioy")}:
                    stems.setdefault((stem, n, _consonants(entry.phones[: entry.places[n]])), entry)
    for entry in vocabulary:
        for n, rule in enumerate(entry.rules):
            if rule.environment != "stressed vowel after":
                continue
            before = _consonants(entry.phones[: entry.places[n]])
            for ending in _SHIFTING:
                if not entry.word.endswith(ending):
                    continue
                stem = entry.word[: -len(ending)]
                for form in (stem, stem.rstrip("aeioy")):
                    base = stems.get((form, n, before))
                    if base is not None and base.word != entry.word and len(form) >= 4:
                        yield _contrast(
                            lexicon, base, entry, "the stress moves onto the vowel after the t"
                        )


_SHIFTING = [
    *("ic", "ics", "ical", "ically", "lic", "astic", "ity", "ities", "lity", "y"),
    *("ial", "ian", "ians", "ion", "ious", "ence", "ese", "er", "ist", "ize", "ized"),
]
"""Endings that draw the stress to the syllable before them or carry it (common practice), as they stand on
a stem with a tapped t; *y* is that of *photography*."""


def _consonants(phones: Phones) -> str:
    return " ".join(phone for phone in phones if phone[-1] not in "012")


def _numerals(lexicon: Lexicon, vocabulary: list[_Word], pairs: pd.DataFrame) -> Iterator[Contrast]:
    """-teen against -ty: the t of thirteen is aspirated, that of thirty tapped."""
    by_word = {entry.word: entry for entry in vocabulary}
    for teen, tens in _NUMERALS:
        if teen in by_word and tens in by_word:
            allophones = [by_word[word].rules[-1].allophone for word in (teen, tens)]
            note = f"{allophones[0]} in -teen, {allophones[1]} in -ty"
            yield _contrast(lexicon, by_word[teen], by_word[tens], note)


_NUMERALS = (
    ("thirteen", "thirty"), ("fourteen", "forty"), ("fifteen", "fifty"), ("sixteen", "sixty"),
    ("seventeen", "seventy"), ("eighteen", "eighty"), ("nineteen", "ninety"),
)  # fmt: skip


def _tap_or_glottal(
    lexicon: Lexicon, vocabulary: list[_Word], pairs: pd.DataFrame
) -> Iterator[Contrast]:
    """Pairs that differ only after the t, a tap in one and a glottal stop in the other: batter, batten."""
    glottal: dict[Phones, list[_Word]] = {}
    for entry in vocabulary:
        last = entry.rules[-1].allophone if entry.rules else ""
        if last == "glottal stop" and entry.phones[entry.places[-1] + 2 :] == ("N",):
            glottal.setdefault(entry.phones[:-2], []).append(entry)
    for entry in vocabulary:
        if not entry.rules or entry.rules[-1].allophone != "tap":
            continue
        at = entry.places[-1]
        ending = entry.phones[at + 1 :]
        if len(ending) > 2 or sum(phone[-1] in "012" for phone in ending) != 1:
            continue
        for other in glottal.get(entry.phones[: at + 1], ()):
            yield _contrast(lexicon, entry, other, "tap in the first, glottal stop in the second")


def _across(lexicon: Lexicon, vocabulary: list[_Word], pairs: pd.DataFrame) -> Iterator[Contrast]:
    """The same sounds with the boundary on the other side of the t: at all, a tall."""
    if pairs.empty:
        return
    known = {entry.word: entry for entry in vocabulary}
    ordered = pairs.sort_values(["count", "first", "second"], ascending=[False, True, True])
    columns = (ordered["first"].tolist(), ordered["second"].tolist())
    opening: dict[Phones, list[tuple[str, str, int]]] = {}
    closing: list[tuple[Phones, str, str, int, Rule]] = []
    for place, (first, second) in enumerate(zip(*columns, strict=True), start=1):
        if first not in known or second not in known:
            continue
        before, after = known[first].phones, known[second].phones
        if after[0] == "T" and before[-1] != "T":
            opening.setdefault(before + after, []).append((first, second, place))
        elif before[-1] == "T" and after[0][-1] in "012":
            rule = rule_across(before, after)
            if rule.allophone in LINKING:
                closing.append((WEAK_FORMS.get(first, before) + after, first, second, place, rule))
    for sound, first, second, place, rule in closing:
        for left, right, other in opening.get(sound, ()):
            yield Contrast(
                f"{first} {second}",
                f"{left} {right}",
                _weak_ipa(lexicon, first, second, rule),
                f"{lexicon.ipa(left, known[left].phones)} {lexicon.ipa(right, known[right].phones)}",
                (place, other),
                f"{ALLOPHONE_IPA[rule.allophone]} at the end of a word, tʰ at the start of one",
            )


def _weak_ipa(lexicon: Lexicon, first: str, second: str, rule: Rule) -> str:
    """IPA of the phrase, its first word in the weak form that makes it sound like the other."""
    if first not in WEAK_FORMS:
        return phrase_ipa(lexicon, first, second, rule)
    weak = arpabet.ipa(WEAK_FORMS[first], [ALLOPHONE_IPA[rule.allophone]])
    return f"{weak}‿{lexicon.ipa(second, lexicon.main_phones(second))}"


KINDS: dict[str, Callable[[Lexicon, list[_Word], pd.DataFrame], Iterator[Contrast]]] = {
    "homophones": _homophones,
    "stress-shift": _stress_shift,
    "teen-ty": _numerals,
    "tap-or-glottal": _tap_or_glottal,
    "across-words": _across,
}
"""The kinds of contrast, by the name that the command line takes."""
