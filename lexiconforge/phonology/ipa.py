"""Broad General American IPA of a pronunciation, with stress marks and the allophones it is given.

The equivalents follow the ARPAbet table of the CMU Pronouncing Dictionary and the Handbook of the IPA (1999).
Room: imports the ARPAbet.
"""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence

from lexiconforge.phonology.arpabet import stress_pattern, syllable_starts

VOWEL_IPA = {
    "AA": "ɑ", "AE": "æ", "AH": "ʌ", "AO": "ɔ", "AW": "aʊ", "AY": "aɪ", "EH": "ɛ", "ER": "ɝ",
    "EY": "eɪ", "IH": "ɪ", "IY": "i", "OW": "oʊ", "OY": "ɔɪ", "UH": "ʊ", "UW": "u",
}  # fmt: skip
UNSTRESSED_VOWEL_IPA = {"AH": "ə", "ER": "ɚ"}
_R_COLOURED = UNSTRESSED_VOWEL_IPA["ER"]
CONSONANT_IPA = {
    "B": "b", "CH": "tʃ", "D": "d", "DH": "ð", "F": "f", "G": "ɡ", "HH": "h", "JH": "dʒ",
    "K": "k", "L": "l", "M": "m", "N": "n", "NG": "ŋ", "P": "p", "R": "r", "S": "s", "SH": "ʃ",
    "T": "t", "TH": "θ", "V": "v", "W": "w", "Y": "j", "Z": "z", "ZH": "ʒ",
}  # fmt: skip
PRIMARY, SECONDARY, SYLLABIC = "ˈ", "ˌ", "\u0329"
_NO_ALLOPHONES: Mapping[int, str] = {}
CARRY_SYLLABIC = ("T", "D")
"""After these a schwa before l or n is heard as a syllabic consonant."""
NASAL = "\u0303"
"""The mark of a nasal tap, which is the n and the consonant in one: the n before it is not written."""


def ipa(
    phones: Sequence[str],
    heard: Mapping[int, str] = _NO_ALLOPHONES,
    boundaries: Collection[int] = (),
    ending: int | None = None,
) -> str:
    """Broad General American IPA in the house style (``docs/house-style.md``), with stress marks in words of more than
    one syllable.

    ``heard`` gives the symbol of an allophone by the index of its phone; a symbol may be empty, as what is not heard
    is not written, and an n before a nasal tap is in it. An r-coloured schwa before a vowel is a schwa and an r that opens
    the next syllable. A schwa between t or d and l or n is written as the syllabic consonant it stands for, but before a
    vowel only where an ``ending`` begins there, by the index of its phone. ``boundaries`` as in
    :func:`~lexiconforge.phonology.arpabet.syllable_starts`.

    >>> ipa("W AO1 T ER0".split(), {2: "ɾ"})
    'ˈwɔɾɚ'
    >>> ipa("B AH1 T AH0 N".split(), {2: "ʔ"})
    'ˈbʌʔn̩'
    >>> ipa("V ER0 AY1 AH0 T IY0".split(), {4: "ɾ"})
    'vəˈraɪəɾi'
    """
    marks = _stress_marks(phones, boundaries)
    out: list[str] = []
    last = len(phones) - 1
    syllabic = False
    previous = ""
    for index, phone in enumerate(phones):
        symbol = heard.get(index)
        if symbol is not None:
            if symbol.endswith(NASAL) and out and out[-1] == CONSONANT_IPA["N"]:
                out.pop()
            out.append(marks.get(index, "") + symbol)
        elif (
            index < last
            and phone[-1] == "0"
            and previous in CARRY_SYLLABIC
            and _is_syllabic(phones, index, ending)
        ):
            syllabic = True
        else:
            shown = _PHONE_IPA[phone]
            if previous == "ER0" and phone[-1] in "012":
                # The r opens this syllable, so the mark stands before it.
                out[-1] = out[-1][: -len(_R_COLOURED)] + UNSTRESSED_VOWEL_IPA["AH"]
                shown = CONSONANT_IPA["R"] + shown
            out.append(marks.get(index, "") + shown + (SYLLABIC if syllabic else ""))
            syllabic = False
        previous = phone
    return "".join(out)


def _stress_marks(phones: Sequence[str], boundaries: Collection[int]) -> dict[int, str]:
    """The mark before each phone that opens a stressed syllable of a longer word."""
    digits = stress_pattern(phones)
    marks: dict[int, str] = {}
    if len(digits) > 1:
        starts = syllable_starts(phones, boundaries)
        for digit, start in zip(digits, starts, strict=True):
            if digit != "0":
                marks[start] = PRIMARY if digit == "1" else SECONDARY
    return marks


def _is_syllabic(phones: Sequence[str], index: int, ending: int | None) -> bool:
    """Does the schwa at this index only carry the l or n behind it?"""
    following = phones[index + 1]
    carried = (following == "L" and phones[index] == "AH0") or (
        following == "N" and phones[index] in ("AH0", "IH0")
    )
    after = index + 2
    return carried and (after == len(phones) or phones[after][-1] not in "012" or after == ending)


_PHONE_IPA = {
    **CONSONANT_IPA,
    **{f"{vowel}{digit}": symbol for vowel, symbol in VOWEL_IPA.items() for digit in "012"},
    **{f"{vowel}0": symbol for vowel, symbol in UNSTRESSED_VOWEL_IPA.items()},
}
