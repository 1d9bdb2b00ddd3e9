"""Mining under load: many different words, many files, a line without end; and beside Polars' streaming engine.

    python benchmarks/load.py            # print; some minutes
    python benchmarks/load.py --short    # a tenth of the sizes
    python benchmarks/load.py --write    # and put the tables into docs/safety.md

Every case runs in a process of its own. Times are given as the rate, of that of the plain text of the same run.
"""

from __future__ import annotations

import json
import os
import random
import re
import resource
import subprocess
import sys
import tempfile
import time
from collections.abc import Callable
from importlib.util import find_spec
from pathlib import Path

from mining import MEGABYTE, write_text

PAGE = Path(__file__).parent.parent / "docs" / "safety.md"
LETTERS = "etaoinshrdlcumwfgypbvk"


def plain(folder: Path, scale: float) -> None:
    write_text(folder / "plain.txt", int(154 * MEGABYTE * scale))


def small(folder: Path, scale: float) -> None:
    write_text(folder / "small.txt", int(40 * MEGABYTE * scale))


def different(folder: Path, scale: float) -> None:
    """Each of a million words about as often as the others, which is worse than any language."""
    draw = random.Random(7)
    words = sorted(
        {"".join(draw.choices(LETTERS, k=draw.randint(4, 9))) for _ in range(int(1_040_000 * scale))}
    )
    with (folder / "different.txt").open("w", encoding="ascii") as file:
        written = 0
        while written < 300 * MEGABYTE * scale:
            draw.shuffle(words)
            for at in range(0, len(words), 12):
                written += file.write(" ".join(words[at : at + 12]) + ".\n")


def many(folder: Path, scale: float) -> None:
    write_text(folder / "source", 4 * MEGABYTE)
    lines = (folder / "source").read_text(encoding="utf-8").splitlines(keepends=True)
    (folder / "source").unlink()
    for number in range(int(10_000 * scale)):
        at = number * 7 % (len(lines) - 10)
        (folder / f"{number:05}.txt").write_text("".join(lines[at : at + 10]), encoding="utf-8")


def line(folder: Path, scale: float) -> None:
    (folder / "line.txt").write_bytes(
        b"put it on the table and get it out " * int(100 * MEGABYTE * scale / 35)
    )


CASES: dict[str, tuple[str, Callable[[Path, float], None]]] = {
    "plain": ("154 MB of plain text", plain),
    "small": ("40 MB of plain text", small),
    "different": ("300 MB with a million different words", different),
    "many": ("10,000 files", many),
    "line": ("a line of 100 MB", line),
}


def ours(folder: Path) -> int:
    from lexiconforge.mining.counting import mine

    return mine([str(folder)], folder / "counts.parquet").words


def polars(folder: Path) -> int:
    """Bare pairs of words: no ends of sentences, no words alone, no order, nothing written."""
    import polars as pl

    words = pl.col("words")
    lines = pl.scan_csv(
        folder / "*.txt", has_header=False, new_columns=["line"], separator="\x01", quote_char=None,
        schema={"line": pl.String},
    )  # fmt: skip
    split = lines.select(pl.col("line").str.to_lowercase().str.extract_all(r"[a-z']+").alias("words"))
    pairs = split.select(
        words.list.head(words.list.len() - 1).alias("first"), words.list.slice(1).alias("second")
    )
    counted = (
        pairs.filter(pl.col("first").list.len() > 0)
        .explode(["first", "second"])
        .group_by("first", "second")
    )
    return counted.len().collect(engine="streaming").height


def one(counter: str, folder: str) -> None:
    start, used = time.perf_counter(), time.process_time()
    {"ours": ours, "polars": polars}[counter](Path(folder))
    seconds, processor = time.perf_counter() - start, time.process_time() - used
    memory = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024
    print(json.dumps({"seconds": seconds, "processor": processor, "memory": memory}))


def run(counter: str, folder: Path) -> dict[str, float]:
    command = [sys.executable, __file__, "--one", counter, str(folder)]
    result = subprocess.run(command, capture_output=True, text=True, check=True)
    found: dict[str, float] = json.loads(result.stdout.splitlines()[-1])
    return found


def main() -> None:
    scale = 0.1 if "--short" in sys.argv else 1.0
    rows, beside = [], []
    base = 0.0
    for name, (title, make) in CASES.items():
        with tempfile.TemporaryDirectory() as place:
            folder = Path(place)
            make(folder, scale)
            size = sum(path.stat().st_size for path in folder.iterdir()) / MEGABYTE
            found = run("ours", folder)
            base = base or size / found["seconds"]
            rate = size / found["seconds"] / base
            rows.append(f"| {title} | {size:,.0f} | {rate:.2f} | {found['memory']:,.0f} |")
            if name in ("plain", "small") and find_spec("polars"):
                (folder / "counts.parquet").unlink()
                # In turn, and the better of two: other work of the machine hits one as well as the other.
                ran = [found, run("ours", folder)]
                other = [run("polars", folder), run("polars", folder)]
                ratios = [
                    min(o[key] for o in other) / min(m[key] for m in ran)
                    for key in ("seconds", "processor")
                ]
                beside.append(f"| {title} | {size:,.0f} | {ratios[0]:.2f} | {ratios[1]:.2f} |")
    text = "\n".join(
        ["| case | MB | rate, of plain text | peak memory, MB |", "|---|---|---|---|", *rows]
        + (
            ["", "| text | MB | speed, Polars = 1 | by processor time |", "|---|---|---|---|", *beside]
            if beside
            else []
        )
    )
    text = f"Sizes times {scale:g}, on {os.cpu_count()} cores.\n\n{text}"
    print(text)
    if "--write" in sys.argv:
        page = PAGE.read_text(encoding="utf-8")
        marked = r"(<!-- load -->\n).*?(<!-- end -->)"
        PAGE.write_text(
            re.sub(marked, lambda m: f"{m[1]}{text}\n{m[2]}", page, flags=re.S), encoding="utf-8"
        )


if __name__ == "__main__":
    if "--one" in sys.argv:
        one(*sys.argv[2:])
    else:
        main()
