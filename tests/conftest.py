from __future__ import annotations

import csv
import gc
import os
import pickle
import signal
import sys
from array import array
from collections.abc import Callable, Iterator
from contextlib import AbstractContextManager, contextmanager
from functools import cache
from importlib import import_module
from itertools import accumulate
from pathlib import Path
from typing import Any

HERE = Path(__file__).parent
ROOT = HERE.parent
# The compiled dictionary is shared by the processes that run tests, and kept from run to run; never the user's own.
os.environ.setdefault("LEXICONFORGE_CACHE", str(ROOT / ".pytest_cache" / "lexicon"))
sys.path.insert(0, str(ROOT / "benchmarks"))

import pandas as pd  # noqa: E402
import pytest  # noqa: E402
from filelock import FileLock  # noqa: E402
from hypothesis import settings  # noqa: E402

import lexiconforge.lexicon as room  # noqa: E402
from lexiconforge import building  # noqa: E402
from lexiconforge.lexicon import Lexicon, load_lexicon  # noqa: E402
from lexiconforge.lexicon import cache as caching  # noqa: E402
from lexiconforge.lexicon.catalog import sound_tokens  # noqa: E402
from lexiconforge.lexicon.columns import Columns, write_columns_file  # noqa: E402
from lexiconforge.sources import word_pairs  # noqa: E402
from lexiconforge.sources.word_pairs import load_word_pairs  # noqa: E402
from lexiconforge.teaching.planning import PlanOptions, plan  # noqa: E402

# The dictionary is millions of objects that stay: looking through them all for rubbish, often, is a fifth of the time.
gc.set_threshold(200_000, 50, 100)
# Hundreds of processes would compile the package again, and each that runs tests everything that it imports.
os.environ.pop("PYTHONDONTWRITEBYTECODE", None)
sys.dont_write_bytecode = False
# How long an example may take depends on the machine; each run draws other examples, in CI too.
settings.register_profile(
    "machines-differ", deadline=None, derandomize=False, print_blob=True, max_examples=50
)
settings.load_profile("machines-differ")


def cases(name: str) -> list[dict[str, str]]:
    with (HERE / "data" / f"{name}.csv").open(encoding="utf-8", newline="") as file:
        return list(csv.DictReader(file))


def pytest_sessionstart(session: pytest.Session) -> None:
    """Where nothing is in the cache, each of two processes compiles one of the sounds, before both collect the tests."""
    compiled = {"gw0": "t", "gw1": "d"}.get(os.environ.get("PYTEST_XDIST_WORKER", ""))
    if compiled:
        load_lexicon(compiled)


def pytest_sessionfinish(session: pytest.Session) -> None:
    """pytest looks for rubbish five times at the end, which the dictionary makes long; the process ends anyway."""
    gc.freeze()


@pytest.fixture(scope="session")
def all_words() -> dict[str, Lexicon]:
    """Both sounds, loaded before anything gives the few words instead, whichever test comes first."""
    return {sound: load_lexicon(sound) for sound in ("t", "d")}


@pytest.fixture(scope="session")
def lexicon(all_words: dict[str, Lexicon]) -> Lexicon:
    return all_words["t"]


@pytest.fixture(scope="session")
def d_lexicon(all_words: dict[str, Lexicon]) -> Lexicon:
    return all_words["d"]


MOST_RANK, MOST_PAIRS = 12_000, 40_000
"""Of the words and pairs that are enough where a test asks what is written and when, not which words."""


@cache
def few_of(lexicon: Lexicon) -> Lexicon:
    """The same with only the commonest words: the columns of their rows, readings and tokens."""
    columns = lexicon._columns
    firsts, starts = columns.numbers("first_reading"), columns.numbers("first_token")
    words = columns.text("word")
    rows = [row for row in range(len(words)) if 0 < lexicon.rank_at(row) <= MOST_RANK]
    readings = [n for row in rows for n in range(firsts[row], firsts[row + 1])]
    tokens = [n for reading in readings for n in range(starts[reading], starts[reading + 1])]
    place = {reading: n for n, reading in enumerate(readings)}
    chosen = {
        len(words): rows,
        len(columns.text("phones")): readings,
        len(columns.numbers("rule")): tokens,
    }
    made: dict[str, Any] = {}
    for name in [name for name in columns._head or columns._made if not name.endswith(" ends")]:
        column = columns._column(name)
        of = chosen.get(len(column))
        cells = list(column) if of is None else [column[n] for n in of]
        if name == "first_reading":
            cells = list(accumulate((firsts[row + 1] - firsts[row] for row in rows), initial=0))
        elif name == "first_token":
            cells = list(accumulate((starts[n + 1] - starts[n] for n in readings), initial=0))
        elif name == "main":
            cells = [place[n] for n in cells]
        made[name] = cells if isinstance(column, list) else array(column.typecode, cells)
    return Lexicon(lexicon.sound, Columns(made))


@pytest.fixture(scope="session")
def few(all_words: dict[str, Lexicon]) -> Lexicon:
    # A build makes its links in a process of its own, which would import NLTK, three seconds of work, each time anew.
    import_module("nltk.metrics.association")
    return few_of(all_words["t"])


@pytest.fixture(scope="session")
def few_d(all_words: dict[str, Lexicon]) -> Lexicon:
    return few_of(all_words["d"])


@contextmanager
def mypy_alone() -> Iterator[None]:
    """Two checks share what mypy keeps."""
    folder = ROOT / ".mypy_cache"
    folder.mkdir(exist_ok=True)
    with FileLock(folder / "lock"):
        yield


@pytest.fixture(scope="session")
def heeded_signals() -> Iterator[None]:
    """Who runs the tests in the background may have had them ignore signals, which the commands they start would too."""
    before = {
        number: signal.signal(number, signal.SIG_DFL)
        for number in (signal.SIGINT, getattr(signal, "SIGHUP", signal.SIGINT))
        if signal.getsignal(number) is signal.SIG_IGN
    }
    yield
    for number, handler in before.items():
        signal.signal(number, handler)


Once = Callable[[str, Callable[[], Any]], Any]


@pytest.fixture(scope="session")
def once(tmp_path_factory: pytest.TempPathFactory) -> Once:
    """What is dear and never changed, by a name: made by the process that first asks for it, read by the others."""
    folder = tmp_path_factory.getbasetemp()
    if "PYTEST_XDIST_WORKER" in os.environ:
        folder = folder.parent
    made: dict[str, Any] = {}

    def get(name: str, make: Callable[[], Any]) -> Any:
        if name not in made:
            path = folder / f"{name}.pickle"
            with FileLock(f"{path}.lock"):
                if not path.exists():
                    path.write_bytes(pickle.dumps(make()))
                made[name] = pickle.loads(path.read_bytes())
        return made[name]

    return get


@pytest.fixture(scope="session")
def course(
    few: Lexicon, few_d: Lexicon, all_pairs: pd.DataFrame, once: Once
) -> Callable[[str], pd.DataFrame]:
    """The plan of a sound for beginners, at the defaults, with all pairs."""

    def of(sound: str) -> Any:
        lexicon = {"t": few, "d": few_d}[sound]
        return once(f"course-{sound}", lambda: plan(lexicon, all_pairs, PlanOptions(levels="A1-A2")))

    return of


@pytest.fixture(scope="session")
def few_pairs(all_pairs: pd.DataFrame) -> pd.DataFrame:
    return all_pairs.nlargest(MOST_PAIRS, "count").sort_index().reset_index(drop=True)


@pytest.fixture(scope="session")
def fewer(
    few: Lexicon, few_d: Lexicon, few_pairs: pd.DataFrame
) -> Callable[[], AbstractContextManager[None]]:
    """Within it, commands and functions that load a lexicon or pairs get the few."""

    @contextmanager
    def loaded() -> Iterator[None]:
        with pytest.MonkeyPatch.context() as patch:
            for one in (few, few_d):
                patch.setitem(room._loaded, (one.sound.name, one.sound.fingerprint), one)
            for module in (word_pairs, building):
                patch.setattr(module, "load_word_pairs", few_pairs.copy)
            yield

    return loaded


@pytest.fixture(scope="session")
def few_beside(few: Lexicon, few_d: Lexicon, tmp_path_factory: pytest.TempPathFactory) -> dict[str, str]:
    """The environment of commands in processes of their own, which find the few words as those that were compiled."""
    folder = tmp_path_factory.mktemp("cache")
    for one in (few, few_d):
        name = f"{one.sound.name}-{caching._digest(one.sound)}{caching.ENDING}"
        write_columns_file(folder / name, one._columns)
    return os.environ | {"LEXICONFORGE_CACHE": str(folder)}


@pytest.fixture(scope="module")
def few_only(fewer: Callable[[], AbstractContextManager[None]]) -> Iterator[None]:
    """For modules whose tests all ask what is written and when."""
    with fewer():
        yield


@pytest.fixture
def few_words(fewer: Callable[[], AbstractContextManager[None]]) -> Iterator[None]:
    with fewer():
        yield


@pytest.fixture(scope="session")
def tokens(lexicon: Lexicon) -> pd.DataFrame:
    return sound_tokens(lexicon)


@pytest.fixture(scope="session")
def all_pairs() -> pd.DataFrame:
    return load_word_pairs()


@pytest.fixture(scope="session")
def pairs(all_pairs: pd.DataFrame) -> pd.DataFrame:
    """All of them, but in modules that say which are enough."""
    return all_pairs
