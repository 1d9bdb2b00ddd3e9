"""Counts of texts in memory are those of the same texts in files, and need no more memory for more of them."""

from __future__ import annotations

import itertools
import json
import subprocess
import sys
from collections import Counter
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pandas as pd
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from lexiconforge import BuildOptions, build, links
from lexiconforge.errors import MiningError, OptionError, SourceError
from lexiconforge.lexicon import Lexicon
from lexiconforge.mining.counting import mine
from lexiconforge.mining.memory import count_sentences, count_texts
from lexiconforge.sources.own_counts import OwnCounts, load_own_counts, own_counts
from lexiconforge.text import normalising
from lexiconforge.text.normalising import as_said, sentences

CORPUS = sorted((Path(__file__).parents[2] / "lexiconforge" / "data" / "corpus").glob("*.txt"))
TEXTS = [path.read_text(encoding="utf-8") for path in CORPUS]


def same(one: OwnCounts, other: OwnCounts) -> None:
    assert one.words == other.words
    pd.testing.assert_frame_equal(one.pairs, other.pairs)


def mined(paths: list[Path], folder: Path) -> OwnCounts:
    mine(paths, folder / "counts.parquet")
    return load_own_counts(folder / "counts.parquet")


def test_texts_count_as_the_files_they_stand_in(tmp_path: Path) -> None:
    by_file = mined(CORPUS, tmp_path)
    same(count_texts(TEXTS), by_file)
    same(count_texts(text for text in TEXTS), by_file)
    same(count_texts(pd.Series([*TEXTS, None])), by_file)
    same(count_texts(pd.Series(TEXTS, dtype=object)), by_file)


def test_records_count_as_lines_of_json_do(tmp_path: Path) -> None:
    records = [{"id": n, "body": text} for n, text in enumerate(TEXTS)]
    path = tmp_path / "records.jsonl"
    path.write_text("".join(json.dumps(record) + "\n" for record in records), encoding="utf-8")
    mine(path, tmp_path / "counts.parquet", column="body")
    same(count_texts(iter(records), field="body"), load_own_counts(tmp_path / "counts.parquet"))


@settings(max_examples=15)
@given(st.lists(st.text(max_size=60), min_size=1, max_size=6))
def test_any_text_counts_as_the_plain_definition_has_it(texts: list[str]) -> None:
    """The definition is that of :mod:`lexiconforge.text.normalising`, counted here word by word."""
    words: Counter[str] = Counter()
    pairs: Counter[tuple[str, str]] = Counter()
    for text in texts:
        for sentence in sentences(text.replace("\0", " ")):
            words.update(sentence)
            pairs.update(itertools.pairwise(sentence))
    if not words:
        with pytest.raises(MiningError, match="no words were found"):
            count_texts(texts)
        return
    found = count_texts(texts)
    assert found.words == words
    assert {(a, b): n for a, b, n in found.pairs.itertuples(index=False)} == pairs


def test_an_nltk_corpus_reader_gives_the_counts_of_its_files(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    nltk_data = pytest.importorskip("nltk.data")
    nltk_reader = pytest.importorskip("nltk.corpus.reader")
    tokenize = pytest.importorskip("nltk.tokenize")
    # NLTK reads only below the folders of its own path.
    monkeypatch.setattr(nltk_data, "path", [*nltk_data.path, str(tmp_path)])
    lines = ["Don't put it on the water.", "It's hot, isn't it? She's at Otto's."]
    (tmp_path / "town.txt").write_text("\n".join(lines), encoding="utf-8")
    reader = nltk_reader.PlaintextCorpusReader(
        str(tmp_path),
        r".*\.txt",
        word_tokenizer=tokenize.TreebankWordTokenizer(),
        sent_tokenizer=tokenize.LineTokenizer(),
    )
    assert list(reader.sents()[0])[:2] == ["Do", "n't"]
    same(count_sentences(reader.sents()), mined([tmp_path / "town.txt"], tmp_path))


def test_tokens_of_sentences_count_as_the_text() -> None:
    tokens = [["put", "it", ";", "get", "it", ","], ["water"], [], ["'", "hot", "'"]]
    found = count_sentences(tokens)
    assert found.words == {"it": 2, "put": 1, "get": 1, "water": 1, "hot": 1}
    assert sorted(found.pairs["first"] + " " + found.pairs["second"]) == ["get it", "put it"]


@pytest.mark.parametrize(
    ("call", "said"),
    [
        (lambda: count_texts("put it on"), r"one text is \[text\]"),
        (lambda: count_texts(Path("a.txt")), "files are counted by mine"),
        (lambda: count_texts({"text": "put"}), "iterable of strings, not dict"),
        (lambda: count_texts(3), "not int"),  # type: ignore[arg-type]
        (lambda: count_texts(pd.DataFrame({"text": ["put"]})), "one column of a data frame"),
        (lambda: count_texts(["put", 3]), "text 2 must be a string, not int"),
        (lambda: count_texts([{"body": "put"}]), "text 1 is a mapping; name its text with field: body"),
        (lambda: count_texts([{"body": "put"}], field="text"), "no field 'text'; it has: body"),
        (lambda: count_texts(["put"], field="text"), "text 1 is str; field takes mappings"),
        (lambda: count_sentences("put it"), "iterable of token lists, not str"),
        (lambda: count_sentences(["put it"]), "sentence 1 must be a list of tokens"),
        (lambda: count_sentences([[("put", "VB")]]), "of tagged words give the words alone"),  # type: ignore[list-item]
    ],
)
def test_what_is_no_text_is_refused_in_one_line(call: Any, said: str) -> None:
    with pytest.raises(OptionError, match=said):
        call()


@pytest.mark.parametrize(
    ("texts", "said"), [([], "no texts"), (["", "12 %"], "no words were found in 2")]
)
def test_nothing_to_count_is_said(texts: list[str], said: str) -> None:
    with pytest.raises(MiningError, match=said):
        count_texts(texts)


_GROWTH = """
import resource, sys
from lexiconforge.mining.memory import count_texts
line = "put it on the water, get it out of the city and let it sit. " * 20
count_texts(line for _ in range(200))
before = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss
count_texts(line for _ in range(int(sys.argv[1])))
print(resource.getrusage(resource.RUSAGE_SELF).ru_maxrss - before)
"""


@pytest.mark.campaign
def test_memory_stays_flat() -> None:
    """A hundred megabytes of text raise the peak by less than half as much as they would if kept."""
    lines = 100_000_000 // 1200
    result = subprocess.run(
        [sys.executable, "-c", _GROWTH, str(lines)], capture_output=True, text=True, check=True
    )
    assert int(result.stdout) * 1024 < 50_000_000 + 80_000_000


@pytest.mark.campaign
@pytest.mark.usefixtures("few_words")
def test_counts_from_memory_grade_a_build_and_its_links(few: Lexicon, tmp_path: Path) -> None:
    found = count_texts(TEXTS)
    build(tmp_path / "memory", BuildOptions(size=20, counts=found), few)
    mine(CORPUS, tmp_path / "counts.parquet")
    build(tmp_path / "file", BuildOptions(size=20, counts=tmp_path / "counts.parquet"), few)
    build(tmp_path / "frame", BuildOptions(size=20, counts=found.counts), few)
    manifest = json.loads((tmp_path / "memory" / "manifest.json").read_text(encoding="utf-8"))
    assert manifest["options"]["counts"] == "memory"
    for name in ("lists/tap.csv", "words.csv", "links.csv"):
        content = (tmp_path / "file" / name).read_bytes()
        assert (tmp_path / "memory" / name).read_bytes() == content
        assert (tmp_path / "frame" / name).read_bytes() == content
    table = links(few, found.pairs)
    assert len(table)
    assert set(table["count"]) <= set(found.pairs["count"])


def test_a_frame_that_is_no_counts_is_refused() -> None:
    with pytest.raises(SourceError, match="columns first, second, count"):
        own_counts(pd.DataFrame({"word": ["put"]}))


def test_one_path_is_one_path(tmp_path: Path) -> None:
    (tmp_path / "a.txt").write_text("Put it on.\n", encoding="utf-8")
    for path in (tmp_path / "a.txt", str(tmp_path / "a.txt")):
        assert mine(path, str(tmp_path / "counts.parquet")).files == 1
    with pytest.raises(MiningError, match="no-such: no such file"):
        mine("no-such", tmp_path / "counts.parquet")


def _stream() -> Iterator[str]:
    yield from TEXTS


def test_a_stream_is_read_once() -> None:
    stream = _stream()
    count_texts(stream)
    assert next(stream, None) is None


TALK = """Etta: It's 8:15, uh, put it on.
[laughs] I- I got it at St. Mary's, didn't I?
Mr. Otto said put it off, put it on.
"""


def test_spoken_texts_are_counted_as_they_are_said(tmp_path: Path) -> None:
    """Words and pairs of the lines above, by hand."""
    (tmp_path / "talk.txt").write_text(TALK, encoding="utf-8")
    mine([tmp_path / "talk.txt"], tmp_path / "talk.parquet", spoken=True)
    for found in (load_own_counts(tmp_path / "talk.parquet"), count_texts([TALK], spoken=True)):
        pairs = {(one, two): n for one, two, n in found.pairs.itertuples(index=False)}
        assert pairs[("put", "it")] == 3
        assert pairs[("eight", "fifteen")] == 1
        assert pairs[("saint", "mary's")] == 1
        assert pairs[("mr", "otto")] == 1
        assert ("fifteen", "put") not in pairs
        assert ("off", "put") not in pairs
        assert not {"etta", "uh", "laughs", "st"} & found.words.keys()


def said(pieces: list[str]) -> list[list[bytes]]:
    """The words of each phrase."""
    return [line.split() for line in b"".join(as_said(pieces)).splitlines() if line.strip()]


@given(st.lists(st.text("ab .,'\n:81-[]", max_size=12), max_size=6))
def test_pieces_of_a_spoken_text_are_the_text(pieces: list[str]) -> None:
    assert said(pieces) == said(["".join(pieces)])


def test_a_spoken_line_without_end_is_cut_at_a_space(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(normalising, "LONGEST", 20)
    words = b"put it on the table and get it out".split()
    line = b" ".join(words * 30).decode()
    for pieces in ([line], [line[:7], line[7:]], [line + "\n"]):
        found = said(pieces)
        assert [word for phrase in found for word in phrase] == words * 30
        assert max(sum(map(len, phrase)) for phrase in found) <= 20


def test_any_end_of_a_line_ends_a_phrase() -> None:
    for end in ("\n", "\r", "\r\n"):
        assert said([f"Etta: put it{end}Otto: off{end}"]) == [[b"put", b"it"], [b"off"]]
