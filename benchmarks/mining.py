"""Mining against what a user would otherwise run, on the same text and the same tokens, in one run.

    python benchmarks/mining.py            # print; some minutes
    python benchmarks/mining.py --small    # the same with little text, to see that it runs
    python benchmarks/mining.py --write    # and write docs/mining.md

The text is the project's corpus and sentences made from its words, repeated and shuffled to the size wanted, so that
the number of different pairs is that of real text. Every counter runs in a process of its own.
"""

from __future__ import annotations

import json
import math
import pickle
import platform
import random
import resource
import subprocess
import sys
import tempfile
import time
from collections.abc import Sequence
from importlib.metadata import version
from pathlib import Path

from lexiconforge import mine
from lexiconforge.mining.cluster import count_files
from lexiconforge.sources.frequencies import load_frequencies
from lexiconforge.text.normalising import sentences

PAGE = Path(__file__).parent.parent / "docs" / "mining.md"
MEGABYTE = 1_000_000
SIZES, COMPARED_SIZE = (25, 100, 400, 1000), 100


def commonest(count: int) -> tuple[list[str], list[float]]:
    """Words of the first so many ranks, with their shares of all text."""
    frequencies = load_frequencies()
    words = [word for word, rank in frequencies.rank.items() if rank <= count and word.isalpha()]
    return words, [frequencies.share(word) for word in words]


def write_text(path: Path, size: int) -> None:
    """Sentences of six to eighteen words drawn by frequency from the 20,000 commonest."""
    words, weights = commonest(20_000)
    draw = random.Random(5)
    pool = draw.choices(words, weights, k=400_000)
    lines = []
    at = 0
    while at < len(pool) - 18:
        length = draw.randint(6, 18)
        lines.append(" ".join(pool[at : at + length]).capitalize() + ".")
        at += length
    with path.open("w", encoding="utf-8") as file:
        written = 0
        while written < size:
            draw.shuffle(lines)
            for first in range(0, len(lines), 5):
                paragraph = " ".join(lines[first : first + 5]) + "\n"
                written += file.write(paragraph)
                if written >= size:
                    break


def ours(path: str) -> int:
    report = mine([path], Path(path).with_suffix(".parquet"))
    return report.pairs


def sentences_of(path: str) -> list[list[str]]:
    with Path(path).open(encoding="utf-8") as file:
        return [words for line in file for words in sentences(line)]


def vectorizer(path: str) -> int:
    from sklearn.feature_extraction.text import CountVectorizer

    units = [" ".join(words) for words in sentences_of(path)]
    counter = CountVectorizer(
        ngram_range=(2, 2), tokenizer=str.split, token_pattern=None, lowercase=False
    )
    return int(counter.fit_transform(units).sum(axis=0).shape[1])


def finder(path: str) -> int:
    from nltk.collocations import BigramCollocationFinder

    units = sentences_of(path)
    return BigramCollocationFinder.from_documents(units).ngram_fd.B()


COUNTERS = {"lexiconforge": ours, "scikit-learn": vectorizer, "NLTK": finder}


def run(name: str, path: Path) -> dict[str, float]:
    """Seconds, pairs and peak memory in megabytes of one counter in a process of its own."""
    command = [sys.executable, __file__, "--one", name, str(path)]
    result = subprocess.run(command, capture_output=True, text=True, check=True)
    return json.loads(result.stdout.splitlines()[-1])


def one(name: str, path: str) -> None:
    start = time.perf_counter()
    pairs = COUNTERS[name](path)
    seconds = time.perf_counter() - start
    memory = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024
    print(json.dumps({"seconds": seconds, "pairs": pairs, "memory": memory}))


def main(sizes: Sequence[int] = SIZES, compared_size: int = COMPARED_SIZE) -> None:
    lines = []
    with tempfile.TemporaryDirectory() as folder:
        growth = []
        for size in sizes:
            path = Path(folder, f"{size}.txt")
            write_text(path, size * MEGABYTE)
            own = run("lexiconforge", path)
            growth.append((size, own))
            if size == compared_size:
                part = count_files([str(path)], "text", strict=True)
                travels = len(pickle.dumps(part.counts)) / MEGABYTE
                different = len(part.counts)
                others = {name: run(name, path) for name in COUNTERS if name != "lexiconforge"}
                lines += [
                    "| counter | ratio of throughput to lexiconforge's | peak memory, MB |",
                    "|---|---|---|",
                ]
                lines.append(f"| lexiconforge | 1 | {own['memory']:.0f} |")
                for name, other in others.items():
                    assert other["pairs"] == own["pairs"], (name, other, own)
                    ratio = other["seconds"] / own["seconds"]
                    lines.append(
                        f"| {name} {version(name.lower())} | 1 : {ratio:.1f} | {other['memory']:.0f} |"
                    )
            path.unlink()
    lines += [
        "",
        f"| text, MB | time, of that for {compared_size} MB | peak memory, MB |",
        "|---|---|---|",
    ]
    base = dict(growth)[compared_size]["seconds"]
    for size, own in growth:
        lines.append(f"| {size:,} | {own['seconds'] / base:.2f} | {own['memory']:.0f} |")
    first, last = growth[1], growth[-1]
    exponent = math.log(last[1]["seconds"] / first[1]["seconds"]) / math.log(last[0] / first[0])
    rate = last[0] / last[1]["seconds"]
    lines += [
        "",
        f"Fitted between {first[0]} and {last[0]:,} MB: time grows as size to the power {exponent:.2f}.",
    ]
    text = PAGE_TEXT.format(
        table="\n".join(lines),
        machine=f"{platform.machine()}, {platform.system()}, Python {platform.python_version()}, two cores",
        duckdb=version("duckdb"),
        rate=rate,
        hours=1_000_000 / rate / 3600,
        workers=math.ceil(1_000_000 / rate / 3600),
        travels=travels,
        different=different,
        per_gigabyte=different / travels * 1000 / 1e6,
        tasks=round(1_000_000 / 100),
        first_level=travels * 10_000 / 1000,
        size=compared_size,
    )
    print(text)
    if "--write" in sys.argv:
        PAGE.write_text(text, encoding="utf-8")


PAGE_TEXT = """# Counting texts of any size

Written by `python benchmarks/mining.py --write` on {machine}, DuckDB {duckdb}. Times are ratios within that one run.

The same text of {size} MB, the same tokens, one run, each counter in a process of its own; reading and splitting into
words is part of each:

{table}

## What a terabyte would take

From the rate of the largest text above, {rate:.1f} MB a second on two cores:

- one machine of two cores: {hours:.0f} hours. Memory does not grow with the text, only the scratch database does,
  with the number of different pairs; it goes to disk when it is over its limit.
- a cluster, `lexiconforge mine … --cluster tcp://…`: {workers} such machines do it in an hour, since files are counted
  where they are read and nothing but counts travels.
- what travels: the counts of a task. Measured on the {size} MB above, {different:,} different pairs and ends of sentences
  are {travels:.0f} MB as they are sent. A terabyte in {tasks:,} such parts sends at most {first_level:.0f} GB into the
  first level of the tree, where eight parts meet, and an eighth or less of that into each further one when the same
  pairs come again; real text brings new pairs all the time, so the later levels shrink less.
- the last merge holds all different pairs at once, in the memory of one worker: at the size measured here, one GB for
  every {per_gigabyte:.0f} million of them. That is the limit of this layout; beyond it the last levels would have to be
  split by the first letters of the words.

Files that one machine cannot open in one piece, such as a gzipped file, are counted by one worker each: split very
large ones before.
"""


if __name__ == "__main__":
    if "--one" in sys.argv:
        one(*sys.argv[2:])
    elif "--small" in sys.argv and "--write" not in sys.argv:
        main((1, 2, 4), 2)
    else:
        main()
