"""Broad General American IPA of a pronunciation, with stress marks and the allophones it is given.

The equivalents follow the ARPAbet table of the CMU Pronouncing Dictionary and the Handbook of the IPA (1999).
Room: imports the ARPAbet.
"""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence

from lexiconforge.phonology.arpabet import UNSTRESSED_AT_THE_END, stress_pattern, syllable_starts

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
PRIMARY, SECONDARY, SYLLABIC = "ˈ", "ˌ", "\u0329"
_NO_ALLOPHONES: Mapping[int, str] = {}
_CARRY_SYLLABIC = ("T", "D")
"""After these a schwa before l or n is heard as a syllabic consonant."""


def ipa(
    phones: Sequence[str],
    heard: Mapping[int, str] = _NO_ALLOPHONES,
    boundaries: Collection[int] = (),
) -> str:
    """Broad General American IPA, with stress marks in words of more than one syllable.

    ``heard`` gives the symbol of an allophone by the index of its phone; a symbol may be empty, as what is not heard
    is not written. The dictionary marks many weak syllables beside the main stress as IH2 (*important*); they get no
    mark here. Of two main stresses (*thirteen*) the last is written as the main one. A schwa between t or d and l
    or a closing n is written as the syllabic consonant it stands for. ``boundaries`` as in
    :func:`~lexiconforge.phonology.arpabet.syllable_starts`.

    >>> ipa("W AO1 T ER0".split(), {2: "ɾ"})
    'ˈwɔɾɚ'
    >>> ipa("B AH1 T AH0 N".split(), {2: "ʔ"})
    'ˈbʌʔn̩'
    """
    marks = _stress_marks(phones, boundaries)
    out = []
    last = len(phones) - 1
    syllabic = False
    previous = ""
    for index, phone in enumerate(phones):
        if index in marks:
            out.append(marks[index])
        if index in heard:
            out.append(heard[index])
        elif previous in _CARRY_SYLLABIC and index < last and _is_syllabic(phones, index):
            syllabic = True
        else:
            out.append(_PHONE_IPA[phone])
            if syllabic:
                out.append(SYLLABIC)
                syllabic = False
        previous = phone
    return "".join(out)


def _stress_marks(phones: Sequence[str], boundaries: Collection[int]) -> dict[int, str]:
    """The mark before each phone that opens a stressed syllable of a longer word."""
    digits = stress_pattern(phones)
    marks: dict[int, str] = {}
    if len(digits) < 2:
        return marks
    starts = syllable_starts(phones, boundaries)
    for n, digit in enumerate(digits):
        if digit == "1":
            marks[starts[n]] = SECONDARY if "1" in digits[n + 1 :] else PRIMARY
        elif digit == "2":
            vowel = [phone for phone in phones if phone[-1] in "012"][n]
            if vowel != "IH2" or "1" not in digits[max(0, n - 1) : n + 2]:
                marks[starts[n]] = SECONDARY
    if phones[-1] in UNSTRESSED_AT_THE_END:
        marks.pop(starts[-1], None)
    return marks


def _is_syllabic(phones: Sequence[str], index: int) -> bool:
    """Does the schwa at this index only carry the l or n behind it?"""
    vowel_next = index + 2 < len(phones) and phones[index + 2][-1] in "012"
    following = phones[index + 1]
    return not vowel_next and (
        (phones[index] == "AH0" and following == "L")
        or (phones[index] in ("AH0", "IH0") and following == "N")
    )


_PHONE_IPA = {
    **CONSONANT_IPA,
    **{f"{vowel}{digit}": symbol for vowel, symbol in VOWEL_IPA.items() for digit in "012"},
    **{f"{vowel}0": symbol for vowel, symbol in UNSTRESSED_VOWEL_IPA.items()},
}
