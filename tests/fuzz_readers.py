"""Coverage-guided fuzzing of everything that reads a user's file, with atheris (``pip install -e '.[fuzz]'``).

    python tests/fuzz_readers.py subtitles -runs=100000
    python tests/fuzz_readers.py all -runs=60000          # each target in a process of its own: a million inputs

Targets: see :data:`TARGETS`. A file that breaks a promise is kept in ``tests/data/fuzzed`` as ``TARGET-name``, and is
from then on a case of ``tests/sources/test_fuzzed.py``, which promises the same of all cases that are kept.
"""

from __future__ import annotations

import contextlib
import gzip
import re
import subprocess
import sys
import tempfile
from collections import Counter
from collections.abc import Callable
from functools import partial
from importlib import import_module
from itertools import pairwise
from pathlib import Path

CASES = Path(__file__).parent / "data" / "fuzzed"
_SCRATCH = Path(tempfile.mkdtemp(prefix="fuzz-"))
_CLEAN = re.compile(rb"[^A-Z\x00]*")


def read(data: bytes, ending: str) -> None:
    """A text reader gives clean text or refuses; what it gives holds no half of anything."""
    from lexiconforge.errors import ReadError
    from lexiconforge.text.normalising import normalise
    from lexiconforge.text.readers import read_text

    path = _SCRATCH / f"case{ending}"
    path.write_bytes(data)
    with contextlib.suppress(ReadError):
        for piece in read_text(path, "text", lambda note: None):
            assert isinstance(piece, str)
            clean = normalise(piece)
            clean.decode("utf-8")
            assert _CLEAN.fullmatch(clean)
            assert len(re.findall(rb"\r", clean)) == 0


def read_list(data: bytes) -> None:
    """A list is read whole, each row with all columns, or refused."""
    from lexiconforge.errors import TableError
    from lexiconforge.export.texts import read_rows

    path = _SCRATCH / "case.csv"
    path.write_bytes(data)
    with contextlib.suppress(TableError):
        rows = read_rows(path)
        assert len({tuple(row) for row in rows}) <= 1


def read_own_pronunciations(data: bytes) -> None:
    """A supplement is phones of the inventory, or every bad line is named."""
    from lexiconforge.errors import SourceError
    from lexiconforge.phonology.arpabet import INVENTORY
    from lexiconforge.sources.supplements import read_pronunciations

    path = _SCRATCH / "case.dict"
    path.write_bytes(data)
    try:
        for phones in read_pronunciations(path).values():
            assert INVENTORY.issuperset(phones.split())
    except SourceError as problem:
        if str(path) not in str(problem):
            raise


def read_own_frequencies(data: bytes) -> None:
    """A supplement is shares above 0 and at most 1, or every bad line is named."""
    from lexiconforge.errors import SourceError
    from lexiconforge.sources.supplements import read_frequencies

    path = _SCRATCH / "case.csv"
    path.write_bytes(data)
    try:
        assert all(0 < share <= 1 for share in read_frequencies(path).values())
    except SourceError as problem:
        if str(path) not in str(problem):
            raise


def read_sound_table(data: bytes, stem: str) -> None:
    """A table of a sound is a sound that decides every phone, or every problem is named by file and line."""
    from lexiconforge.sounds.check import read_sound

    folder = _SCRATCH / stem
    path = folder / ("t" if stem != "contexts" else "") / f"{stem}.csv"
    path.parent.mkdir(parents=True, exist_ok=True)
    path.write_bytes(data)
    sound, problems = read_sound("t", folder)
    if sound is None:
        assert problems
        for problem in problems:
            assert problem.file.endswith(".csv")
            assert problem.line >= 1
            assert problem.what
    else:
        assert not problems
        assert len(sound.matcher.tag(["T", "AE1", "T", "AH0", "N", "T", "=", "T", "+", "T"])) == 5


def read_compiled(data: bytes) -> None:
    """A compiled file is read as it was written, or not at all."""
    from lexiconforge.lexicon.columns import read_columns_file

    path = _SCRATCH / "case.lexicon"
    path.write_bytes(data)
    columns = read_columns_file(path)
    assert columns is None or columns.text("word") == ["at", "all"]


def read_counts(data: bytes) -> None:
    """A counts file is words and pairs with whole numbers from 1 up, each once, or refused by name."""
    from lexiconforge.errors import SourceError
    from lexiconforge.sources.own_counts import load_own_counts

    path = _SCRATCH / "case.parquet"
    path.write_bytes(data)
    try:
        own = load_own_counts(path)
    except SourceError as problem:
        if str(path) not in str(problem):
            raise
        return
    assert own.words
    assert all(word and type(word) is str and count > 0 for word, count in own.words.items())
    assert (own.pairs["count"] > 0).all()
    assert not own.pairs.duplicated(["first", "second"]).any()


def count_pairs(data: bytes) -> None:
    """Counting with numbers gives what counting with words gives, wherever the text is cut between words."""
    from lexiconforge.mining import counting
    from lexiconforge.mining.vocabulary import Vocabulary, pair_counts
    from lexiconforge.text.normalising import normalise, sentences

    text = data.decode("utf-8", errors="replace")
    vocabulary, waiting = Vocabulary(), counting._Text()
    found: Counter[tuple[bytes, bytes]] = Counter()

    def count(blocks: list[bytes], unfinished: bool) -> None:
        for code, times in zip(*pair_counts(vocabulary, blocks, unfinished=unfinished), strict=True):
            pair = (vocabulary.words[int(code) >> 32], vocabulary.words[int(code) & 0xFFFFFFFF])
            found[pair] += int(times)

    whole, counting.BLOCK = counting.BLOCK, 8
    try:
        for at in range(0, len(text), 5):
            waiting.add(normalise(text[at : at + 5]))
            blocks, goes_on = waiting.take()
            if blocks:
                count(blocks, goes_on)
        count(waiting.take_all(), False)
    finally:
        counting.BLOCK = whole
    expected: Counter[tuple[bytes, bytes]] = Counter()
    for words in sentences(text):
        expected.update(pairwise([word.encode() for word in words] + [b""]))
    assert found == expected, (found - expected, expected - found)


def counts_seed() -> bytes:
    import duckdb

    path = _SCRATCH / "seed.parquet"
    rows = "('on', NULL, 2), ('put', NULL, 2), ('put', 'on', 1)"
    duckdb.sql(
        f"COPY (SELECT * FROM (VALUES {rows}) t(first, second, count)) TO '{path}' (FORMAT parquet)"
    )
    return path.read_bytes()


def compiled_seed() -> bytes:
    from array import array

    from lexiconforge.lexicon.columns import Columns

    return Columns({"word": ["at", "all"], "rank": array("i", [1, 2])}).to_bytes()


def sound_seed(stem: str) -> bytes:
    from lexiconforge.sounds import OURS

    return (OURS / ("t" if stem != "contexts" else "") / f"{stem}.csv").read_bytes()


SOUND_TABLES = ("agreement", "allophones", "contexts", "contrasts", "exceptions", "rules", "sound")
TARGETS: dict[str, Callable[[bytes], None]] = {
    "text": lambda data: read(data, ".txt"),
    "subtitles": lambda data: read(data, ".vtt"),
    "csv": lambda data: read(data, ".csv"),
    "jsonl": lambda data: read(data, ".jsonl"),
    "gzip": lambda data: read(data, ".txt.gz"),
    "gzipped": lambda data: read(gzip.compress(data, 1), ".srt.gz"),
    "list": read_list,
    "pronunciations": read_own_pronunciations,
    "frequencies": read_own_frequencies,
    "compiled": read_compiled,
    "counts": read_counts,
    "pairs": count_pairs,
    **{stem: partial(read_sound_table, stem=stem) for stem in SOUND_TABLES},
}
SEEDS = {
    "text": b"Put it on.\r\nNot now\xe2\x80\xa6\n",
    "subtitles": b"WEBVTT\n\n1\n00:00:01.000 --> 00:00:02.000\nPut <b>it</b> on.\n\nNOTE no\n",
    "csv": b'id,text\n1,"Put it, on"\n',
    "jsonl": b'{"text": "Put it on"}\n',
    "gzip": gzip.compress(b"Put it on.\n"),
    "gzipped": b"1\n00:00:01,000 --> 00:00:02,000\nPut it on.\n",
    "list": b"\xef\xbb\xbfword;marked\r\nwater;\"wa[t]er\"\r\n'=1;'@\r\n",
    "pronunciations": b"grotto  G R AA1 T OW0 # mine\ngrotto(2) G R AA1 T AH0\n",
    "frequencies": b"word,zipf\ngrotto,3.5\n",
    "compiled": compiled_seed(),
    "counts": counts_seed(),
    "pairs": "Don’t ' put ''it'' on. Pneumonoultramicroscopic internationally caf\u00e9s, it's 'hot'!\n".encode(),
    **{stem: sound_seed(stem) for stem in SOUND_TABLES},
}


INSTRUMENTED = (
    "text.readers", "text.normalising", "export.texts", "sources.supplements", "sources.own_counts",
    "lexicon.columns", "sounds.check", "mining.counting", "mining.vocabulary",
)  # fmt: skip


def _run_apart(target: str, arguments: list[str]) -> int:
    """Fuzz one target in a process of its own; what it says is shown if it fails."""
    command = [sys.executable, __file__, target, *arguments]
    found = subprocess.run(command, capture_output=True, text=True, check=False)
    lines = found.stderr.splitlines()
    done = next((line for line in reversed(lines) if line.startswith("Done ")), "")
    print(f"{target}: {done or 'failed'}", *([] if done else lines[-30:]), sep="\n", flush=True)
    return found.returncode


def fuzz() -> None:
    """Run one target; findings go where the tests look for them."""
    import atheris

    name = sys.argv.pop(1)
    if name == "all":
        sys.exit(max(_run_apart(target, sys.argv[1:]) for target in TARGETS))
    with atheris.instrument_imports(include=["lexiconforge", "csv", "json", "gzip", "codecs"]):
        for module in INSTRUMENTED:
            import_module(f"lexiconforge.{module}")
    seeds = _SCRATCH / "seeds"
    seeds.mkdir()
    (seeds / "seed").write_bytes(SEEDS[name])
    CASES.mkdir(exist_ok=True)
    atheris.Setup([*sys.argv, f"-artifact_prefix={CASES}/{name}-", str(seeds)], TARGETS[name])
    atheris.Fuzz()


if __name__ == "__main__":
    fuzz()
