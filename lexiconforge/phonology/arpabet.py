"""The ARPAbet as CMUdict writes it: vowels, consonants, stress, syllables.

The inventory and the stress digits (0 none, 1 primary, 2 secondary) follow the
documentation of the CMU Pronouncing Dictionary.
"""

from __future__ import annotations

from collections.abc import Collection, Sequence

Phones = tuple[str, ...]
"""A pronunciation: ARPAbet phones, each vowel with its stress digit."""

VOWELS = frozenset(
    ["AA", "AE", "AH", "AO", "AW", "AY", "EH", "ER", "EY", "IH", "IY", "OW", "OY", "UH", "UW"]
)
CONSONANTS = frozenset(
    [
        *("B", "CH", "D", "DH", "F", "G", "HH", "JH", "K", "L", "M", "N", "NG", "P", "R"),
        *("S", "SH", "T", "TH", "V", "W", "Y", "Z", "ZH"),
    ]
)
INVENTORY = frozenset(f"{vowel}{stress}" for vowel in VOWELS for stress in "012") | CONSONANTS

# Two- and three-consonant onsets of English (common practice). Single consonants but NG are
# always onsets; the maximal onset goes to the following vowel.
_ONSETS = """
    _ P_R P_L P_Y B_R B_L B_Y T_R T_W D_R D_W K_R K_L K_W K_Y G_R G_L G_W F_R F_L F_Y V_Y
    TH_R TH_W SH_R S_P S_T S_K S_M S_N S_L S_W S_F HH_Y HH_W M_Y S_P_R S_P_L S_P_Y S_T_R
    S_K_R S_K_W S_K_Y S_K_L
"""
ONSETS = frozenset(tuple(cluster.split("_")) for cluster in _ONSETS.split())


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


def is_onset(cluster: Sequence[str]) -> bool:
    """Can these consonants begin an English syllable?

    >>> is_onset(["S", "T", "R"]), is_onset(["T", "L"]), is_onset([])
    (True, False, True)
    """
    if len(cluster) < 2:
        return list(cluster) != ["NG"]
    return tuple(cluster) in ONSETS


def syllable_starts(phones: Sequence[str], boundaries: Collection[int] = ()) -> list[int]:
    """Index of the first phone of every syllable, by maximal onset.

    ``boundaries`` are indexes at which a new part of the word begins, and with it a syllable.

    >>> syllable_starts("M IH0 S T EY1 K".split())   # mi-stake
    [0, 2]
    >>> syllable_starts("S EH1 T AH2 P".split(), [3])   # set-up
    [0, 3]
    """
    starts: list[int] = []
    previous_vowel = -1
    for index, phone in enumerate(phones):
        if phone[-1] not in "012":
            continue
        if not starts:
            starts.append(0)
        else:
            onset = previous_vowel + 1
            for boundary in boundaries:
                if previous_vowel < boundary <= index:
                    onset = boundary
                    break
            else:
                while not is_onset(phones[onset:index]):
                    onset += 1
            starts.append(onset)
        previous_vowel = index
    return starts
