"""How strongly two words belong together: NLTK's association measures.

Room: takes counts, gives numbers. NLTK is imported where they are asked for, which in a build is beside the rest.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import NamedTuple

Counts = tuple[int, int, int]
"""Occurrences of a pair, of its first word as a first, of its second as a second."""


class Association(NamedTuple):
    """Of one pair: pointwise mutual information in bits, Dunning's log-likelihood ratio (times two, natural logarithms),
    Student's t."""

    pmi: float
    log_likelihood: float
    t_score: float


def associations(counts: Sequence[Counts], total: int) -> list[Association]:
    """The measures of each pair among ``total`` pairs (Manning and Schuetze 1999, chapter 5, as NLTK computes them).

    Raises :class:`~lexiconforge.errors.SourceError` where NLTK is not installed.

    >>> associations([(8, 16, 16)], 64)[0].pmi
    1.0
    """
    try:
        from nltk.metrics.association import BigramAssocMeasures as Measures
    except ImportError:
        from lexiconforge.errors import SourceError

        raise SourceError(
            "the package nltk is not installed; install it with: pip install nltk"
        ) from None
    found = []
    for together, first, second in counts:
        asked = (together, (first, second), total)
        found.append(
            Association(
                # With 0.0 added, since a small negative number rounds to -0.0.
                round(Measures.pmi(*asked), 2) + 0.0,
                round(Measures.likelihood_ratio(*asked), 1) + 0.0,
                round(Measures.student_t(*asked), 2) + 0.0,
            )
        )
    return found
