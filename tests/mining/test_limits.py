"""Counting where memory, sentences and clusters come to their limits: the same counts, or one line."""

from __future__ import annotations

import time
from collections import Counter
from collections.abc import Iterator
from itertools import pairwise
from pathlib import Path

import pytest
from fuzz_readers import count_pairs
from hypothesis import given, settings
from hypothesis import strategies as st

from lexiconforge.errors import MiningError
from lexiconforge.mining import cluster as cluster_module
from lexiconforge.mining import counting, vocabulary
from lexiconforge.mining.cluster import Part, mine_on_cluster
from lexiconforge.mining.counting import Report, mine
from lexiconforge.sources.own_counts import load_own_counts
from lexiconforge.text.normalising import sentences

LETTERS = st.sampled_from(
    [*"abt'’ .\n", "internationally", "pneumonoultramicroscopic", "é", "ß", "  ", "''"]
)


@given(st.lists(LETTERS, max_size=60).map("".join))
@settings(max_examples=80)
def test_numbers_count_as_words_do(text: str) -> None:
    count_pairs(text.encode())


def test_a_table_with_few_slots_gives_the_same_counts(monkeypatch: pytest.MonkeyPatch) -> None:
    """Words whose slot is taken go through the dictionary."""
    monkeypatch.setattr(vocabulary, "SLOT_BITS", 1)
    import numpy as np

    monkeypatch.setattr(vocabulary, "_SHIFT", np.uint64(63))
    count_pairs(
        b"put it on the table internationally, get internationalised out of interdisciplinary water " * 3
    )


@pytest.mark.parametrize(("name", "word"), [("_short", b"water"), ("_long", b"waterfront")])
def test_a_word_that_another_thread_adds_meanwhile(name: str, word: bytes) -> None:
    """It comes in while the keys are looked up, the moment before they are given."""
    import numpy as np

    words = vocabulary.Vocabulary()
    waiting = [word]

    class Late(np.ndarray):
        def __getitem__(self, at: object) -> object:
            if waiting:
                words.read(waiting.pop())
            return np.asarray(self)[at]  # type: ignore[index]

    setattr(words, name, getattr(words, name).view(Late))
    numbers, _ = words.read(word)
    assert [words.words[number] for number in numbers.tolist()] == [word]


def test_a_vocabulary_that_starts_anew_gives_the_same_counts(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(counting, "VOCABULARY", 40)
    monkeypatch.setattr(counting, "CHUNK", 600)
    monkeypatch.setattr(counting, "BLOCK", 100)
    text = "".join(
        f"word{'abcdefghij'[n % 10]}{'klmnopqrst'[n // 10 % 10]} " + ("end. " if n % 17 == 0 else "")
        for n in range(900)
    )
    (tmp_path / "a.txt").write_text(text, encoding="utf-8")
    mine([str(tmp_path / "a.txt")], tmp_path / "c.parquet")
    own = load_own_counts(tmp_path / "c.parquet")
    words, pairs = Counter[str](), Counter[tuple[str, str]]()
    for sentence in sentences(text):
        words.update(sentence)
        pairs.update(pairwise(sentence))
    assert own.words == words
    assert {(a, b): n for a, b, n in own.pairs.itertuples(index=False, name=None)} == pairs


@pytest.fixture
def address(request: pytest.FixtureRequest) -> Iterator[str]:
    from distributed import LocalCluster

    with LocalCluster(n_workers=request.param, threads_per_worker=1, processes=False, dashboard_address=None,
                      protocol="tcp://") as cluster:  # fmt: skip
        yield cluster.scheduler_address


@pytest.mark.parametrize("address", [0], indirect=True)
def test_a_cluster_without_a_worker_is_given_up(
    address: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(cluster_module, "WITHOUT_WORKER", 0.5)
    (tmp_path / "a.txt").write_text("put it on", encoding="utf-8")
    with pytest.raises(MiningError, match="the cluster has no worker"):
        mine_on_cluster([str(tmp_path / "a.txt")], tmp_path / "c.parquet", address)
    assert not (tmp_path / "c.parquet").exists()


def slow(*arguments: object) -> Part:
    time.sleep(3)
    return Part(None, Report())  # type: ignore[arg-type]


@pytest.mark.parametrize("address", [1], indirect=True)
def test_a_worker_that_is_stuck_is_given_up(
    address: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(cluster_module, "count_files", slow)
    (tmp_path / "a.txt").write_text("put it on", encoding="utf-8")
    with pytest.raises(MiningError, match=r"finished nothing for 1 seconds.*--cluster-limit"):
        mine_on_cluster([str(tmp_path / "a.txt")], tmp_path / "c.parquet", address, limit=1)


def test_what_was_lost_with_its_worker_is_done_again() -> None:
    """Or, where no other worker comes, given up as anything else is."""
    from distributed import Client, LocalCluster

    with (
        LocalCluster(n_workers=1, threads_per_worker=1, processes=False, dashboard_address=None,
                     protocol="tcp://") as cluster,
        Client(cluster.scheduler_address) as client,
    ):  # fmt: skip
        future = client.submit(sum, [2, 3], pure=False)
        assert future.result(timeout=30) == 5
        cluster.scale(0)
        until = time.monotonic() + 30
        while future.status != "lost":
            assert time.monotonic() < until
            time.sleep(0.05)
        with pytest.raises(MiningError, match="no worker"):
            list(cluster_module._finished(client, [future], limit=1))
        cluster.scale(1)
        assert [one.result(timeout=30) for one in cluster_module._finished(client, [future], 60)] == [5]


@pytest.mark.parametrize(
    "address",
    ["nonsense", "tcp://", "tcp://127.0.0.1:99999", "tcp://127.0.0.1:0", "http://127.0.0.1:1", ""],
)
def test_addresses_that_are_none(address: str, tmp_path: Path) -> None:
    (tmp_path / "a.txt").write_text("put it on", encoding="utf-8")
    with pytest.raises(MiningError, match="no address of a Dask scheduler"):
        mine_on_cluster([str(tmp_path / "a.txt")], tmp_path / "c.parquet", address)
