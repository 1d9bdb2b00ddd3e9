"""The ARPAbet as CMUdict writes it: vowels, stress, syllables, IPA.

Facts of the alphabet only; nothing here knows what happens to a t.

The inventory and the stress digits (0 none, 1 primary, 2 secondary) follow the
documentation of the CMU Pronouncing Dictionary; the IPA equivalents follow the
ARPAbet table in the same place and the Handbook of the IPA (1999).
"""

from __future__ import annotations

from collections.abc import Collection, Sequence

VOWEL_IPA = {
    "AA": "ɑ", "AE": "æ", "AH": "ʌ", "AO": "ɔ", "AW": "aʊ", "AY": "aɪ", "EH": "ɛ", "ER": "ɝ",
    "EY": "eɪ", "IH": "ɪ", "IY": "i", "OW": "oʊ", "OY": "ɔɪ", "UH": "ʊ", "UW": "u",
}  # fmt: skip
UNSTRESSED_VOWEL_IPA = {"AH": "ə", "ER": "ɚ"}
CONSONANT_IPA = {
    "B": "b", "CH": "tʃ", "D": "d", "DH": "ð", "F": "f", "G": "ɡ", "HH": "h", "JH": "dʒ",
    "K": "k", "L": "l", "M": "m", "N": "n", "NG": "ŋ", "P": "p", "R": "r", "S": "s", "SH": "ʃ",
    "T": "t", "TH": "θ", "V": "v", "W": "w", "Y": "j", "Z": "z", "ZH": "ʒ",
}  # fmt: skip
_UNSTRESSED_AT_THE_END = ("IY2", "OW2")
"""How the dictionary writes the last vowel of *ability* and *photo*, which has no stress."""
PRIMARY, SECONDARY, SYLLABIC = "ˈ", "ˌ", "\u0329"

VOWELS = frozenset(VOWEL_IPA)
CONSONANTS = frozenset(CONSONANT_IPA)
INVENTORY = frozenset(f"{vowel}{stress}" for vowel in VOWELS for stress in "012") | CONSONANTS

# Two- and three-consonant onsets of English (common practice). Single consonants but NG are
# always onsets; the maximal onset goes to the following vowel.
ONSETS = frozenset(
    tuple(cluster.split())
    for cluster in [
        "P R",
        "P L",
        "P Y",
        "B R",
        "B L",
        "B Y",
        "T R",
        "T W",
        "D R",
        "D W",
        "K R",
        "K L",
        "K W",
        "K Y",
        "G R",
        "G L",
        "G W",
        "F R",
        "F L",
        "F Y",
        "V Y",
        "TH R",
        "TH W",
        "SH R",
        "S P",
        "S T",
        "S K",
        "S M",
        "S N",
        "S L",
        "S W",
        "S F",
        "HH Y",
        "HH W",
        "M Y",
        "S P R",
        "S P L",
        "S P Y",
        "S T R",
        "S K R",
        "S K W",
        "S K Y",
        "S K L",
    ]
)


def is_vowel(phone: str) -> bool:
    """Is this phone a vowel, with or without its stress digit?

    >>> is_vowel("AH0"), is_vowel("ER"), is_vowel("T")
    (True, True, False)
    """
    return phone.rstrip("012") in VOWELS


def stress_pattern(phones: Sequence[str]) -> str:
    """The stress digits of the vowels, in order.

    >>> stress_pattern("W AO1 T ER0".split())
    '10'
    """
    return "".join(phone[-1] for phone in phones if phone[-1] in "012")


def plain_stress_pattern(phones: Sequence[str]) -> str:
    """As :func:`stress_pattern`, a final vowel that only the dictionary marks as secondary counted as 0.

    >>> stress_pattern("F OW1 T OW2".split()), plain_stress_pattern("F OW1 T OW2".split())
    ('12', '10')
    """
    digits = stress_pattern(phones)
    return digits[:-1] + "0" if phones[-1] in _UNSTRESSED_AT_THE_END else digits


def is_onset(cluster: Sequence[str]) -> bool:
    """Can these consonants begin an English syllable?

    >>> is_onset(["S", "T", "R"]), is_onset(["T", "L"]), is_onset([])
    (True, False, True)
    """
    if len(cluster) < 2:
        return list(cluster) != ["NG"]
    return tuple(cluster) in ONSETS


def syllable_starts(phones: Sequence[str], junctures: Collection[int] = ()) -> list[int]:
    """Index of the first phone of every syllable, by maximal onset.

    ``junctures`` are indexes at which a new part of the word begins, and with it a syllable.

    >>> syllable_starts("M IH0 S T EY1 K".split())   # mi-stake
    [0, 2]
    >>> syllable_starts("S EH1 T AH2 P".split(), [3])   # set-up
    [0, 3]
    """
    starts: list[int] = []
    previous_vowel = -1
    for place, phone in enumerate(phones):
        if phone[-1] not in "012":
            continue
        if not starts:
            starts.append(0)
        else:
            onset = previous_vowel + 1
            for juncture in junctures:
                if previous_vowel < juncture <= place:
                    onset = juncture
                    break
            else:
                while not is_onset(phones[onset:place]):
                    onset += 1
            starts.append(onset)
        previous_vowel = place
    return starts


def ipa(
    phones: Sequence[str],
    t_symbols: Sequence[str] | None = None,
    junctures: Collection[int] = (),
) -> str:
    """Broad General American IPA, with stress marks in words of more than one syllable.

    ``t_symbols`` gives, in order, the symbol of each T (the allophone heard); without it every T is a
    plain ``t``. A symbol may be empty: an elided t is not written. The dictionary marks many weak syllables
    beside the main stress as IH2 (*important*); they get no mark here. Of two main stresses (*thirteen*) the last
    is written as the main one. A schwa between t or d and l or a closing n
    is written as the syllabic consonant it stands for. ``junctures`` as in :func:`syllable_starts`.

    >>> ipa("W AO1 T ER0".split(), ["ɾ"])
    'ˈwɔɾɚ'
    >>> ipa("B AH1 T AH0 N".split(), ["ʔ"])
    'ˈbʌʔn̩'
    """
    marks = _stress_marks(phones, junctures)
    symbols = iter(t_symbols) if t_symbols is not None else None
    out = []
    last = len(phones) - 1
    syllabic = False
    previous = ""
    for place, phone in enumerate(phones):
        if place in marks:
            out.append(marks[place])
        if phone == "T":
            out.append("t" if symbols is None else next(symbols))
        elif previous in ("T", "D") and place < last and _is_syllabic(phones, place):
            syllabic = True
        else:
            out.append(_PHONE_IPA[phone])
            if syllabic:
                out.append(SYLLABIC)
                syllabic = False
        previous = phone
    return "".join(out)


def _stress_marks(phones: Sequence[str], junctures: Collection[int]) -> dict[int, str]:
    """The mark before each phone that opens a stressed syllable of a longer word."""
    digits = stress_pattern(phones)
    marks: dict[int, str] = {}
    if len(digits) < 2:
        return marks
    starts = syllable_starts(phones, junctures)
    for n, digit in enumerate(digits):
        if digit == "1":
            marks[starts[n]] = SECONDARY if "1" in digits[n + 1 :] else PRIMARY
        elif digit == "2":
            vowel = [phone for phone in phones if phone[-1] in "012"][n]
            if vowel != "IH2" or "1" not in digits[max(0, n - 1) : n + 2]:
                marks[starts[n]] = SECONDARY
    if phones[-1] in _UNSTRESSED_AT_THE_END:
        marks.pop(starts[-1], None)
    return marks


def _is_syllabic(phones: Sequence[str], place: int) -> bool:
    """Does the schwa at this place only carry the l or n behind it?"""
    vowel_next = place + 2 < len(phones) and phones[place + 2][-1] in "012"
    following = phones[place + 1]
    return not vowel_next and (
        (phones[place] == "AH0" and following == "L")
        or (phones[place] in ("AH0", "IH0") and following == "N")
    )


_PHONE_IPA = {
    **CONSONANT_IPA,
    **{f"{vowel}{digit}": symbol for vowel, symbol in VOWEL_IPA.items() for digit in "012"},
    **{f"{vowel}0": symbol for vowel, symbol in UNSTRESSED_VOWEL_IPA.items()},
}
