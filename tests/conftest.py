from __future__ import annotations

import csv
import sys
from pathlib import Path

import pandas as pd
import pytest
from hypothesis import settings

from lexiconforge.lexicon import Lexicon, load_lexicon, t_tokens
from lexiconforge.sources.word_pairs import load_word_pairs

# How long an example may take depends on the machine.
settings.register_profile("machines-differ", deadline=None)
settings.load_profile("machines-differ")

HERE = Path(__file__).parent
ROOT = HERE.parent
sys.path.insert(0, str(ROOT / "benchmarks"))


def cases(name: str) -> list[dict[str, str]]:
    with (HERE / "data" / f"{name}.csv").open(encoding="utf-8", newline="") as file:
        return list(csv.DictReader(file))


@pytest.fixture(scope="session")
def lexicon() -> Lexicon:
    return load_lexicon()


@pytest.fixture(scope="session")
def tokens(lexicon: Lexicon) -> pd.DataFrame:
    return t_tokens(lexicon)


@pytest.fixture(scope="session")
def pairs() -> pd.DataFrame:
    return load_word_pairs()
