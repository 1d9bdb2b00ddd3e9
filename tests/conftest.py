from __future__ import annotations

import csv
import os
import sys
from pathlib import Path

HERE = Path(__file__).parent
ROOT = HERE.parent
# The compiled dictionary is shared by the processes that run tests, and kept from run to run; never the user's own.
os.environ.setdefault("LEXICONFORGE_CACHE", str(ROOT / ".pytest_cache" / "lexicon"))
sys.path.insert(0, str(ROOT / "benchmarks"))

import pandas as pd  # noqa: E402
import pytest  # noqa: E402
from hypothesis import settings  # noqa: E402

from lexiconforge.lexicon import Lexicon, load_lexicon  # noqa: E402
from lexiconforge.lexicon.catalog import sound_tokens  # noqa: E402
from lexiconforge.sources.word_pairs import load_word_pairs  # noqa: E402

# How long an example may take depends on the machine.
settings.register_profile("machines-differ", deadline=None)
settings.load_profile("machines-differ")


def cases(name: str) -> list[dict[str, str]]:
    with (HERE / "data" / f"{name}.csv").open(encoding="utf-8", newline="") as file:
        return list(csv.DictReader(file))


@pytest.fixture(scope="session")
def lexicon() -> Lexicon:
    return load_lexicon()


@pytest.fixture(scope="session")
def d_lexicon() -> Lexicon:
    return load_lexicon("d")


@pytest.fixture(scope="session")
def tokens(lexicon: Lexicon) -> pd.DataFrame:
    return sound_tokens(lexicon)


@pytest.fixture(scope="session")
def pairs() -> pd.DataFrame:
    return load_word_pairs()


def pytest_collection_modifyitems(items: list[pytest.Item]) -> None:
    """What is promised and not yet reached is known by name, with what falls short; it is no failure of a change."""
    unmet = {row["test"]: row["falls_short"] for row in cases("unmet")}
    for item in items:
        names = (item.nodeid, item.nodeid.partition("[")[0], item.nodeid.partition("::")[0])
        reason = next((unmet[name] for name in names if name in unmet), "")
        if reason:
            item.add_marker(pytest.mark.xfail(reason=reason, strict=False))
