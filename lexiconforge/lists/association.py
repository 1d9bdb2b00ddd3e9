"""How strongly two words belong together: NLTK's association measures, worked out beside the rest.

Room: takes counts, gives numbers. NLTK takes seconds to import, and what is asked of it is known long before it is
needed; a child process imports it meanwhile. Where no child can be had the measures are worked out here.
"""

from __future__ import annotations

import contextlib
import json
import subprocess
import sys
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


class Beside:
    """The same in a child process, started when this is made and read when :meth:`associations` is called."""

    def __init__(self) -> None:
        self._child: subprocess.Popen[str] | None = None
        with contextlib.suppress(OSError):
            self._child = subprocess.Popen(
                [sys.executable, "-m", __name__],
                stdin=subprocess.PIPE,
                stdout=subprocess.PIPE,
                stderr=subprocess.DEVNULL,
                text=True,
            )

    def __enter__(self) -> Beside:
        return self

    def __exit__(self, *problem: object) -> None:
        if self._child is not None:
            self._child.kill()
            self._child.communicate()

    def associations(self, counts: Sequence[Counts], total: int) -> list[Association]:
        """As :func:`associations`."""
        if self._child is not None:
            answer = self._child.communicate(json.dumps([counts, total]))[0]
            done, self._child = self._child, None
            if done.returncode == 0:
                return [Association(*row) for row in json.loads(answer)]
        return associations(counts, total)


def _answer() -> None:
    # Imported while the question is not yet there: the point of the process.
    associations([], 1)

    counts, total = json.loads(sys.stdin.read())
    json.dump(associations(counts, total), sys.stdout)


if __name__ == "__main__":
    _answer()
