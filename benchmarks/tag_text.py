"""Time of tag-text for a million words, and its growth; run by hand: python benchmarks/tag_text.py"""

from __future__ import annotations

import math
import random
import time
from pathlib import Path

from lexiconforge.lexicon import load_lexicon
from lexiconforge.passages import Tagger

CORPUS = Path(__file__).parent.parent / "lexiconforge" / "data" / "corpus"
WORDS = 1_000_000


def text_of(words: int) -> str:
    """The corpus with other words put in, so that the vocabulary grows with the text."""
    frequencies = load_lexicon().frequencies
    vocabulary = [word for word, rank in frequencies.rank.items() if rank <= 30_000 and word.isalpha()]
    weights = [frequencies.share(word) for word in vocabulary]
    draw = random.Random(3)
    lines = [
        line for path in sorted(CORPUS.glob("*.txt")) for line in path.read_text("utf-8").splitlines()
    ]
    out, count = [], 0
    while count < words:
        line = f"{draw.choice(lines)} {' '.join(draw.choices(vocabulary, weights, k=8))}."
        out.append(line)
        count += len(line.split())
    return "\n".join(out)


def main() -> None:
    lexicon = load_lexicon()
    Tagger(lexicon).tag_text("Put it on.")
    times = []
    for words in (WORDS // 16, WORDS // 4, WORDS):
        text = text_of(words)
        start = time.perf_counter()
        passage = Tagger(lexicon).tag_text(text)
        times.append((passage.words, time.perf_counter() - start))
        print(
            f"{passage.words:>9,} words  {times[-1][1]:6.2f} s  {1e6 * times[-1][1] / passage.words:6.2f} s a million"
        )
    (few, short), (many, long) = times[0], times[-1]
    print(f"grows as words to the power {math.log(long / short) / math.log(many / few):.2f}")


if __name__ == "__main__":
    main()
