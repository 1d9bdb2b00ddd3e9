"""Counting one's own texts: the counts against an independent count, the cluster, a build by them."""

from __future__ import annotations

import gzip
import json
import tempfile
import time
from collections import Counter
from itertools import pairwise
from pathlib import Path

import pandas as pd
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from sklearn.feature_extraction.text import CountVectorizer

from lexiconforge.building import BuildOptions, build
from lexiconforge.errors import MiningError, SourceError
from lexiconforge.lexicon import Lexicon
from lexiconforge.mining import cluster as cluster_module
from lexiconforge.mining import counting as counting_module
from lexiconforge.mining.cluster import Part, count_files, merge, mine_on_cluster
from lexiconforge.mining.counting import Report, mine
from lexiconforge.sources.own_counts import load_own_counts
from lexiconforge.text.normalising import sentences

CORPUS = Path(__file__).parents[2] / "lexiconforge" / "data" / "corpus"


def counted(texts: list[str]) -> Counter[tuple[str, ...]]:
    """Words and pairs by plain Python on the same tokens."""
    found: Counter[tuple[str, ...]] = Counter()
    for text in texts:
        for line in text.split("\n"):
            for words in sentences(line):
                found.update((word,) for word in words)
                found.update(pairwise(words))
    return found


def as_counter(path: Path) -> Counter[tuple[str, ...]]:
    own = load_own_counts(path)
    pairs = {(a, b): int(n) for a, b, n in own.pairs.itertuples(index=False, name=None)}
    return Counter({(word,): count for word, count in own.words.items()} | pairs)


@pytest.mark.parametrize(
    ("name", "data", "said"),
    [
        ("empty.txt", b"", "empty"),
        ("binary.txt", b"abc\0def", "NUL"),
        ("cut.txt.gz", gzip.compress(b"some text " * 1000, mtime=0)[:60], "damaged gzip"),
        ("not.gz.txt.gz", b"plain text", "damaged gzip"),
        ("bad.jsonl", b'{"text": "a"}\n{oops\n', "line 2: not JSON"),
        ("field.jsonl", b'{"body": "a"}\n', "no text field 'text'"),
        ("column.csv", b"a,b\n1,2\n", "no column 'text'"),
        ("quote.csv", b'text\n"open', "line"),
    ],
)
def test_files_that_cannot_be_read(tmp_path: Path, name: str, data: bytes, said: str) -> None:
    path = tmp_path / name
    path.write_bytes(data)
    good = tmp_path / "good.txt"
    good.write_text("Put it on.", encoding="utf-8")
    out = tmp_path / "counts.parquet"
    report = mine([str(path), str(good)], out)
    assert said in report.skipped[str(path)]
    assert as_counter(out) == counted(["Put it on."])
    with pytest.raises(MiningError, match=name):
        mine([str(path), str(good)], tmp_path / "strict.parquet", strict=True)
    assert not (tmp_path / "strict.parquet").exists()


def test_a_file_that_vanishes(tmp_path: Path) -> None:
    part = count_files([str(tmp_path / "gone.txt")], "text", strict=False)
    assert "vanished" in part.report.skipped[str(tmp_path / "gone.txt")]


def test_paths_that_name_nothing(tmp_path: Path) -> None:
    for name in ("no-such.txt", "*.nothing", str(tmp_path)):
        with pytest.raises(MiningError, match="no "):
            mine([name], tmp_path / "out.parquet")


def test_counts_are_those_of_an_independent_counter(tmp_path: Path) -> None:
    report = mine([str(CORPUS)], tmp_path / "counts.parquet")
    texts = [path.read_text(encoding="utf-8") for path in sorted(CORPUS.glob("*.txt"))]
    assert as_counter(tmp_path / "counts.parquet") == counted(texts)
    # scikit-learn's own counting of pairs on the same tokens.
    units = [" ".join(words) for text in texts for line in text.split("\n") for words in sentences(line)]
    vectorizer = CountVectorizer(
        ngram_range=(2, 2), tokenizer=str.split, token_pattern=None, lowercase=False
    )
    totals = vectorizer.fit_transform(units).sum(axis=0).A1
    theirs = dict(zip(vectorizer.get_feature_names_out(), totals.tolist(), strict=True))
    own = load_own_counts(tmp_path / "counts.parquet")
    ours = {f"{a} {b}": n for a, b, n in own.pairs.itertuples(index=False, name=None)}
    assert ours == theirs
    assert report.pairs == len(theirs)


def test_a_large_file_counts_chunk_by_chunk(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(counting_module, "CHUNK", 2000)
    texts = ["Put it on, and get it out. " * 400 + "\n", "Not at all!\n" * 300]
    for number, text in enumerate(texts):
        (tmp_path / f"{number}.txt").write_text(text, encoding="utf-8")
    (tmp_path / "3.txt").write_bytes(("Not this. " * 2000).encode() + b"\0")
    report = mine([str(tmp_path)], tmp_path / "counts.parquet")
    assert list(report.skipped) == [str(tmp_path / "3.txt")]
    assert as_counter(tmp_path / "counts.parquet") == counted(texts)


def test_the_output_is_whole_or_not_there(tmp_path: Path) -> None:
    (tmp_path / "folder.parquet").mkdir()
    with pytest.raises(MiningError, match="is a folder"):
        mine([str(CORPUS)], tmp_path / "folder.parquet")
    (tmp_path / "folder.parquet").rmdir()
    with pytest.raises(MiningError, match=r"must end in \.parquet"):
        mine([str(CORPUS)], tmp_path / "counts.txt")
    with pytest.raises(MiningError, match="cannot write"):
        mine([str(CORPUS)], tmp_path / "no" / "such" / "counts.parquet")
    assert list(tmp_path.iterdir()) == []


texts = st.text(st.sampled_from("abtTé' ’.,!?;-—3\n\tß\"İ"), max_size=60)


@settings(max_examples=15)
@given(st.lists(texts, min_size=1, max_size=4))
def test_any_text_counts_as_plain_python_does(chosen: list[str]) -> None:
    with tempfile.TemporaryDirectory() as folder:
        for number, text in enumerate(chosen):
            Path(folder, f"{number}.txt").write_text(f"at all\n{text}", encoding="utf-8", newline="")
        out = Path(folder, "counts.parquet")
        mine([folder], out)
        assert as_counter(out) == counted([f"at all\n{text}" for text in chosen])


def test_merging_sums() -> None:
    frame = pd.DataFrame({"first": ["at", "at"], "second": ["all", ""], "count": [2, 3]})
    merged = merge([Part(frame, Report(files=1)), Part(frame, Report(files=2))])
    assert merged.counts["count"].tolist() == [4, 6]
    assert merged.report.files == 3


@pytest.mark.campaign
def test_a_cluster_counts_the_same_and_survives_a_dead_worker(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    from distributed import LocalCluster

    monkeypatch.setattr(cluster_module, "GROUP", 15_000)

    alone, together = tmp_path / "alone.parquet", tmp_path / "together.parquet"
    mine([str(CORPUS)], alone)
    with LocalCluster(
        n_workers=2, threads_per_worker=1, processes=True, dashboard_address=None
    ) as cluster:
        killed: list[int] = []

        def kill_one(text: str) -> None:
            if not killed:
                worker = next(iter(cluster.workers.values()))
                killed.append(1)
                cluster.loop.add_callback(worker.process.process.kill)
                time.sleep(0.3)

        report = mine_on_cluster([str(CORPUS)], together, cluster.scheduler_address, progress=kill_one)
        assert killed
    assert report.files == len(list(CORPUS.glob("*.txt")))
    assert as_counter(together) == as_counter(alone)
    rows = [list(map(tuple, pd_rows(path))) for path in (alone, together)]
    assert rows[0] == rows[1]


def pd_rows(path: Path) -> list[tuple[object, ...]]:
    import duckdb

    return duckdb.sql(f"SELECT * FROM read_parquet('{path}')").fetchall()


@pytest.mark.campaign
def test_a_large_file_is_split_over_the_cluster(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    from distributed import LocalCluster

    monkeypatch.setattr(cluster_module, "GROUP", 9_000)
    good, old = tmp_path / "good.txt", tmp_path / "old.txt"
    good.write_text("Put it on, and get it out. Not at all!\n" * 900, encoding="utf-8")
    old.write_bytes("The café is at the water.\n".encode() * 500 + "The café\n".encode("cp1252") * 500)
    (tmp_path / "bad.txt").write_bytes(b"Not this.\n" * 1500 + b"\0")
    alone, together = tmp_path / "alone.parquet", tmp_path / "together.parquet"
    files = [str(path) for path in sorted(tmp_path.glob("*.txt"))]
    expected = mine(files, alone)
    with LocalCluster(
        n_workers=2, threads_per_worker=1, processes=True, dashboard_address=None
    ) as cluster:
        report = mine_on_cluster(files, together, cluster.scheduler_address)
    assert pd_rows(alone) == pd_rows(together)
    assert (report.files, set(report.skipped)) == (expected.files, set(expected.skipped))


def test_no_cluster_there(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    import distributed

    client = distributed.Client
    monkeypatch.setattr(distributed, "Client", lambda address, timeout: client(address, timeout=0.5))
    with pytest.raises(MiningError, match="no Dask scheduler answers"):
        mine_on_cluster([str(CORPUS)], tmp_path / "c.parquet", "tcp://127.0.0.1:9")


@pytest.mark.campaign
@pytest.mark.usefixtures("few_words")
def test_a_build_by_own_counts(tmp_path: Path, few: Lexicon) -> None:
    counts = tmp_path / "counts.parquet"
    mine([str(CORPUS)], counts)
    build(tmp_path / "own", BuildOptions(counts=counts, size=9999), few)
    build(tmp_path / "general", BuildOptions(size=5), few)
    # Whose texts were counted changes the order of words, not what their t's are.
    tables = [(tmp_path / name / "t_tokens.csv").read_bytes() for name in ("own", "general")]
    assert tables[0] == tables[1]
    own = pd.read_csv(tmp_path / "own" / "lists" / "tap.csv", keep_default_na=False)
    texts = [path.read_text(encoding="utf-8") for path in CORPUS.glob("*.txt")]
    by_word = counted(texts)
    # A row stands where the commonest word in it does; the second row of a homograph by its first.
    rows = zip(own["word"], own["family_members"], strict=True)
    ordered = [
        max(by_word[one.lower(),] for one in [word, *members.split(", ")]) for word, members in rows
    ]
    assert ordered == sorted(ordered, reverse=True)
    build(tmp_path / "blend", BuildOptions(counts=counts, blend=True, size=9999), few)
    blend = pd.read_csv(tmp_path / "blend" / "lists" / "tap.csv", keep_default_na=False)
    assert len(blend) > len(own)
    manifest = json.loads((tmp_path / "own" / "manifest.json").read_text(encoding="utf-8"))
    assert manifest["options"]["counts"] == "counts.parquet"


def test_files_that_are_no_counts(tmp_path: Path) -> None:
    wrong = tmp_path / "wrong.parquet"
    wrong.write_text("no", encoding="utf-8")
    with pytest.raises(SourceError, match="not a counts file"):
        load_own_counts(wrong)
    with pytest.raises(SourceError, match="no such counts file"):
        load_own_counts(tmp_path / "none.parquet")
