"""Which pronunciation stands for a word, in one system of stress and vowels, and why.

Room: takes the dictionary as it is shipped, gives one with every reading rewritten (:mod:`lexiconforge.phonology.rewriting`)
and the one that stands for the word first. Homographs (``data/homographs.csv``: two readings, by part of speech, the
commoner first) and plain errors of the dictionary (``data/corrections.csv``) were judged by reading; of all other words
with several readings the one with most points stands first (``data/evidence.csv`` has the points). Nothing here reads a
reference against which the result is checked.
"""

from __future__ import annotations

from collections.abc import Callable, Collection, Iterator, Mapping, Sequence
from functools import cache
from typing import NamedTuple

from lexiconforge import data
from lexiconforge.phonology.inflection import bases
from lexiconforge.phonology.rewriting import rewritten
from lexiconforge.phonology.spelling import unspelled
from lexiconforge.sources.pronunciations import Pronunciations

_ENDINGS = ("s", "ed", "d", "ing", "er", "ers", "ly", "ment", "able")
_WEAK = ("IH0", "AH0", "IH2")


class Chosen(NamedTuple):
    """The dictionary with the chosen reading of every word first. ``notes`` say of a word why that is not the first
    listed; ``parts`` are the parts of speech of the readings of a homograph, in their order; ``settled`` are the words
    whose first reading stands for them whatever sound is looked at."""

    pronunciations: Pronunciations
    notes: dict[str, str]
    parts: dict[str, tuple[str, ...]]
    settled: Collection[str]


class Homograph(NamedTuple):
    """One reading of a word that has two, by part of speech."""

    part: str
    phones: str
    note: str


@cache
def homographs() -> dict[str, tuple[Homograph, ...]]:
    """Words with two readings, the commoner first, from ``data/homographs.csv``."""
    found: dict[str, tuple[Homograph, ...]] = {}
    for row in data.rows("homographs"):
        one = Homograph(row["part_of_speech"], row["phones"], row["note"])
        found[row["word"]] = (*found.get(row["word"], ()), one)
    return found


@cache
def corrections() -> dict[str, tuple[str, str]]:
    """Phones and reason by word, from ``data/corrections.csv``."""
    return {
        row["word"]: (row["phones"], f"{row['reason']} ({row['evidence']})")
        for row in data.rows("corrections")
    }


@cache
def _points() -> dict[str, int]:
    return {row["evidence"]: int(row["points"]) for row in data.rows("evidence")}


class Evidence:
    """What the dictionary itself tells about a word, for the conditions of the rewrites; ``known`` says whether it is a word
    and not a name."""

    def __init__(
        self, listed: Mapping[str, str], parts: Collection[str], known: Callable[[str], bool]
    ) -> None:
        self._listed, self._parts, self.known = listed, parts, known
        self._seams: dict[str, bool] = {}

    def seam(self, word: str, phones: str) -> bool:
        """Is the word two common words side by side, in spelling and sound?"""
        found = self._seams.get(word)
        if found is None:
            found = self._seams[word] = self._seam(word, phones)
        return found

    def _seam(self, word: str, phones: str) -> bool:
        parts, listed = self._parts, self._listed
        for cut in range(3, len(word) - 2):
            left, right = word[:cut], word[cut:]
            if left not in parts or right not in parts:
                continue
            whole = phones.translate(_NO_DIGITS)
            for first in listed[left].split("\n"):
                start = " " + first.translate(_NO_DIGITS)
                if not whole.startswith(start + " "):
                    continue
                rest = phones.split()[first.count(" ") + 1 :]
                if not any(phone[-1] in "12" for phone in rest):
                    continue
                for second in listed[right].split("\n"):
                    if whole == f"{start} {second.translate(_NO_DIGITS)}":
                        if self.known(left) and self.known(right):
                            return True
                        break
        return False

    def weak_relative(self, word: str, onset: str) -> bool:
        """Has a variant or a relative of the word a weak vowel after these first phones?"""
        starts = tuple(f"{onset[1:]} {weak} ".lstrip() for weak in _WEAK)
        return any(
            phones.startswith(starts)
            for form in (word, *_relatives(word))
            if form in self._listed
            for phones in self._listed[form].split("\n")
        )


_NO_DIGITS = str.maketrans("", "", "012")


def _relatives(word: str) -> Iterator[str]:
    for ending in _ENDINGS:
        yield word + ending
        if word.endswith("e") and ending[0] in "ei":
            yield word[:-1] + ending
        if word.endswith(ending) and len(word) > len(ending) + 3:
            yield word[: -len(ending)]
            yield word[: -len(ending)] + "e"


def in_one_system(words: Sequence[str], listed: Mapping[str, str], evidence: Evidence) -> list[str]:
    """The readings of each of these words, a line each, in one system of stress and vowels; what became alike once."""
    found = []
    for word in words:
        lines = listed[word]
        if "\n" in lines:
            each = dict.fromkeys(rewritten(word, one, evidence) for one in lines.split("\n"))
            found.append("\n".join(each))
        else:
            found.append(rewritten(word, lines, evidence))
    return found


def choose(made: dict[str, str], listed: Mapping[str, str], evidence: Evidence) -> Chosen:
    """The words of :func:`in_one_system` with the reading first that stands for each; ``listed`` is the dictionary as it is
    shipped."""
    notes: dict[str, str] = {}
    classes: dict[str, tuple[str, ...]] = {}
    for word, judged in homographs().items():
        if word in made:
            said = [rewritten(word, one.phones, evidence, "vowels") for one in judged]
            classes[word] = tuple(one.part for one in judged)
            others = "; ".join(
                f"{one.part} {phones}" for one, phones in zip(judged[1:], said[1:], strict=True)
            )
            remark = f" ({judged[0].note})" if judged[0].note else ""
            notes[word] = f"read as {classes[word][0]}; also {others}{remark}"
            made[word] = "\n".join(dict.fromkeys([*said, *made[word].split("\n")]))
    for word, (phones, reason) in corrections().items():
        if word in made and word not in classes:
            said_so = rewritten(word, phones, evidence, "vowels")
            if said_so != made[word].partition("\n")[0]:
                notes[word] = f"listed first: {listed[word].partition(chr(10))[0]}; not taken: {reason}"
            made[word] = "\n".join(dict.fromkeys([said_so, *made[word].split("\n")]))
    settled = frozenset((*classes, *corrections().keys() & made.keys()))
    several = [word for word, lines in made.items() if "\n" in lines and word not in settled]
    _weigh([word for word in several if evidence.known(word)], made, listed, notes, evidence.known)
    _one_stem(
        [word for word in made if word not in settled and evidence.known(word)],
        made,
        evidence.known,
        classes,
    )
    return Chosen(Pronunciations(made), notes, classes, settled)


def _weigh(
    several: list[str],
    made: dict[str, str],
    listed: Mapping[str, str],
    notes: dict[str, str],
    known: Callable[[str], bool],
) -> None:
    """Put the reading with most points first where that is not the first already."""
    points = _points()
    readings = [(word, one) for word in several for one in made[word].split("\n")]
    missing = unspelled([word for word, _ in readings], [one.split() for _, one in readings])
    lost = {pair: count for pair, count in zip(readings, missing, strict=True) if count > 1}
    for word in several:
        choices = made[word].split("\n")
        agreeing = _agreeing(word, choices, listed, made, known)
        scores = []
        for place, one in enumerate(choices):
            score = points["listed first"] if place == 0 else 0
            score += points["relatives"] if one in agreeing else 0
            score += points["letters"] if (word, one) in lost else 0
            scores.append(score)
        best = scores.index(max(scores))
        if best:
            reasons = [f"its relative {agreeing[choices[best]]}"] if choices[best] in agreeing else []
            reasons += ["sounds without letters"] if (word, choices[0]) in lost else []
            notes[word] = f"listed first: {choices[0]}; not taken: {', '.join(reasons)}"
            made[word] = "\n".join([choices.pop(best), *choices])


def _one_stem(
    words: list[str], made: dict[str, str], known: Callable[[str], bool], homographs: Collection[str]
) -> None:
    """Give a form the stem of its base where the two differ in nothing but how weak a vowel is written, in cot and
    caught or in a secondary stress: *delicacies* as *delicacy*."""
    for word in words:
        for base in _bases(word):
            if base in homographs or base not in made or not known(base):
                continue
            long, *others = made[word].split("\n")
            short = made[base].partition("\n")[0].split()
            size = len(short) - (short[-1][-1] in "012")
            phones = long.split()
            if 2 < size < len(phones) and [*map(_alike, phones[:size])] == [*map(_alike, short[:size])]:
                made[word] = "\n".join(
                    dict.fromkeys([" ".join([*short[:size], *phones[size:]]), *others])
                )
                break


def _bases(word: str) -> Iterator[str]:
    if word.endswith(("s", "ed", "ing")):
        yield from bases(word)
    elif word.endswith("ly"):
        yield word.removesuffix("ly")
        yield word.removesuffix("ally")


_LOW, _FAINT = ("AA", "AO"), ("AH0", "IH0", "UH0", "UW0", "IY0", "OW0")


def _alike(phone: str) -> str:
    if phone in _FAINT:
        return "@"
    if phone[:2] in _LOW:
        return "AA" + phone[2:].replace("2", "0")
    return phone[:-1] + "0" if phone[-1] == "2" else phone


def _agreeing(
    word: str,
    choices: list[str],
    listed: Mapping[str, str],
    made: Mapping[str, str],
    known: Callable[[str], bool],
) -> dict[str, str]:
    """The one reading that relatives with a single reading have the stem of, with the first of these; none if they
    have two."""
    found: dict[str, str] = {}
    for other in (*bases(word), word + "s"):
        if other == word or other not in made or "\n" in listed[other] or not known(other):
            continue
        longer, shorter = (other, word) if len(other) > len(word) else (word, other)
        for one in choices:
            long, short = (made[other], one) if longer == other else (one, made[other])
            size = len(short) - (len(short.split()[-1]) + 1 if short[-1] in "012" else 0)
            if size > 4 and long[:size] == short[:size] and _begins(longer, shorter):
                found.setdefault(one, other)
    return found if len(found) == 1 else {}


def _begins(longer: str, shorter: str) -> bool:
    return longer.startswith(shorter.rstrip("ey"))
