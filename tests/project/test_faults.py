"""Killed, crowded, out of space and fed nonsense: what was there stays, and one line says what happened."""

from __future__ import annotations

import contextlib
import gzip
import hashlib
import json
import os
import random
import resource
import signal
import subprocess
import sys
import tempfile
import time
import traceback
from collections.abc import Callable, Iterator
from pathlib import Path

import pandas as pd
import pytest
from conftest import ROOT

from lexiconforge.cli import main
from lexiconforge.errors import ReadError
from lexiconforge.sources.own_counts import load_own_counts
from lexiconforge.text.readers import read_text

CORPUS = ROOT / "lexiconforge" / "data" / "corpus"
KILLS = int(os.environ.get("LEXICONFORGE_KILLS", "3"))
"""How often a command is killed at a random moment."""
TRIES = 5
"""How often it may have ended before the one moment that there is."""
LEXICONFORGE = [sys.executable, "-m", "lexiconforge"]


def run(*arguments: object, **settings: object) -> subprocess.CompletedProcess[str]:
    command = [*LEXICONFORGE, *map(str, arguments)]
    return subprocess.run(command, capture_output=True, text=True, check=False, **settings)  # type: ignore[call-overload, no-any-return]


def is_whole(folder: Path) -> bool:
    """Do all files of a build belong to the one manifest?"""
    manifest = json.loads((folder / "manifest.json").read_text(encoding="utf-8"))
    return all(
        hashlib.sha256((folder / name).read_bytes()).hexdigest() == entry["sha256"]
        for name, entry in manifest["files"].items()
    )


def left_over(folder: Path) -> list[Path]:
    return [path for path in folder.rglob("*") if path.name.startswith((".", "lexiconforge-"))]


def forked(arguments: list[object], scratch: Path) -> int:
    """Start a command in a process that has the few words and all modules; a group of its own, by its number."""
    process = os.fork()
    # Said on both sides, so that the group is there whichever comes first.
    with contextlib.suppress(OSError):
        os.setpgid(process, process)
    if not process:
        tempfile.tempdir = str(scratch)
        code = 70
        try:
            code = main([str(argument) for argument in arguments])
        except BaseException:
            traceback.print_exc()
        finally:
            os._exit(code)
    return process


def spawned(arguments: list[object], scratch: Path) -> int:
    """The same as a shell does it: DuckDB has threads, which a fork would lose."""
    command = [*LEXICONFORGE, *map(str, arguments)]
    return subprocess.Popen(
        command, stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL, start_new_session=True,
        env=os.environ | {"TMPDIR": str(scratch)},
    ).pid  # fmt: skip


def ended(process: int, seconds: float = 120) -> int | None:
    """The exit code, None of a process that is still at work after so long."""
    until = time.monotonic() + seconds
    while True:
        found, status = os.waitpid(process, os.WNOHANG)
        if found:
            return os.waitstatus_to_exitcode(status)
        if time.monotonic() > until:
            return None
        time.sleep(0.005)


def kill_at_random(start: Callable[[], int], check: Callable[[], None]) -> None:
    """Let a command end once, then kill it, with all its processes, at random moments, most of them before it had ended."""
    begun = time.monotonic()
    assert ended(start()) == 0
    whole = time.monotonic() - begun
    seed = random.SystemRandom().randrange(10**6)
    print(f"the moments of seed {seed}")
    moments = random.Random(seed)
    killed = 0
    for tried in range(KILLS + TRIES):
        if tried >= KILLS and killed:
            break
        process = start()
        if ended(process, moments.uniform(0, whole)) is None:
            killed += 1
            os.killpg(process, signal.SIGKILL)
            ended(process)
        check()
    assert killed >= max(1, KILLS // 4)


@pytest.mark.campaign
@pytest.mark.skipif(not hasattr(os, "killpg"), reason="no process groups here")
@pytest.mark.usefixtures("few_words")
def test_a_build_killed_at_random_moments(tmp_path: Path) -> None:
    folder, scratch = tmp_path / "out", tmp_path / "tmp"
    scratch.mkdir()

    def check() -> None:
        # Files that were on their way when the end came are moved by the next run.
        assert is_whole(folder) or list(folder.glob(".lexiconforge-complete-*"))

    kill_at_random(lambda: forked(["build", "--size", 20, "--out", folder], scratch), check)
    assert ended(forked(["build", "--size", 21, "--out", folder], scratch)) == 0
    assert is_whole(folder)
    assert len(pd.read_csv(folder / "lists" / "tap.csv")) == 21
    assert left_over(tmp_path) == []


@pytest.mark.campaign
@pytest.mark.skipif(not hasattr(os, "killpg"), reason="no process groups here")
def test_mining_killed_at_random_moments(tmp_path: Path) -> None:
    scratch, out = tmp_path / "tmp", tmp_path / "counts.parquet"
    scratch.mkdir()
    lines = "".join(path.read_text(encoding="utf-8") for path in sorted(CORPUS.glob("*.txt")))
    (tmp_path / "long.txt").write_text(lines * 100, encoding="utf-8")
    main(["mine", str(tmp_path / "long.txt"), "--out", str(out)])
    content = out.read_bytes()

    def check() -> None:
        assert out.read_bytes() == content

    command = ["mine", tmp_path / "long.txt", "--out", out]
    kill_at_random(lambda: spawned(command, scratch), check)
    assert ended(spawned(command, scratch)) == 0
    assert out.read_bytes() == content
    assert left_over(tmp_path) == []


@pytest.mark.skipif(not hasattr(os, "fork"), reason="no processes to fork here")
@pytest.mark.usefixtures("few_words")
def test_two_builds_in_one_folder(tmp_path: Path) -> None:
    """One after the other, in whichever order: at the end all files are of one of them."""
    scratch, folder = tmp_path / "tmp", tmp_path / "out"
    scratch.mkdir()
    builds = [forked(["build", "--size", size, "--out", folder], scratch) for size in (20, 30)]
    assert [ended(build) for build in builds] == [0, 0]
    assert is_whole(folder)
    assert len(pd.read_csv(folder / "lists" / "tap.csv")) in (20, 30)
    assert left_over(tmp_path) == []


@pytest.fixture
def small_disk(tmp_path: Path) -> Iterator[Path]:
    """A file system of 1 MB."""
    place = tmp_path / "disk"
    place.mkdir()
    command = ["mount", "-t", "tmpfs", "-o", "size=1m", "tmpfs", str(place)]
    try:
        made = subprocess.run(command, capture_output=True, check=False).returncode == 0
    except FileNotFoundError:
        made = False
    if not made:
        pytest.skip("no file system can be mounted here")
    yield place
    subprocess.run(["umount", "-l", str(place)], check=True)


@pytest.mark.usefixtures("few_words")
def test_a_full_disk_and_one_that_cannot_be_written(
    small_disk: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    def refused(*arguments: object) -> str:
        """The one line that a command says when it cannot write."""
        assert main([str(argument) for argument in arguments]) == 2
        err = capsys.readouterr().err
        assert len(err.splitlines()) == 1, err
        return err

    out = small_disk / "out"
    assert main(["words", "--limit", "5", "--out", str(small_disk / "words.csv")]) == 0
    capsys.readouterr()
    content = (small_disk / "words.csv").read_bytes()
    full = refused("build", "--out", out)
    assert f"cannot write {out}" in full
    assert ".csv: No space left on device" in full
    assert list(out.iterdir()) == []
    fill = os.statvfs(small_disk)
    (small_disk / "fill").write_bytes(b"x" * (fill.f_bavail * fill.f_bsize))
    words = small_disk / "words.csv"
    for command in (["words", "--limit", 300, "--out", words],
                    ["words", "--limit", 300, "--out", small_disk / "words.xlsx"],
                    ["handout", words, "--out", small_disk / "page.html"]):  # fmt: skip
        assert "No space left on device" in refused(*command)
    counts = small_disk / "counts.parquet"
    assert str(counts) in refused("mine", CORPUS, "--out", counts)
    subprocess.run(["mount", "-o", "remount,ro", str(small_disk)], check=True)
    for command in (["build", "--out", out], ["words", "--limit", 5, "--out", words],
                    ["mine", CORPUS, "--out", counts]):  # fmt: skip
        told = refused(*command)
        assert "Read-only file system" in told
        assert str(small_disk) in told
    monkeypatch.setattr(tempfile, "tempdir", str(small_disk))
    told = refused("mine", CORPUS, "--out", small_disk.parent / "counts.parquet")
    assert f"cannot make scratch files in {small_disk}" in told
    assert (small_disk / "words.csv").read_bytes() == content
    assert {path.name for path in small_disk.iterdir()} == {
        "out", "words.csv", "words.csv-metadata.json", "fill",
    }  # fmt: skip


@pytest.mark.skipif(not Path("/dev/full").exists(), reason="no /dev/full here")
@pytest.mark.parametrize(
    # Two hundred rows are more than any buffer holds.
    "arguments",
    [["words", "--limit", "200", "--out", "-"], ["tag", "water"], ["rules", "--json"]],
)
def test_output_that_cannot_be_written(arguments: list[str], few_beside: dict[str, str]) -> None:
    with Path("/dev/full").open("w") as full:
        command = [*LEXICONFORGE, *arguments]
        found = subprocess.run(
            command, stdout=full, stderr=subprocess.PIPE, text=True, check=False, env=few_beside
        )
    assert found.returncode == 2
    assert "cannot write standard output: No space left on device" in found.stderr
    assert "Traceback" not in found.stderr


@pytest.mark.campaign
def test_a_gzip_bomb_is_refused_early_and_in_little_memory(tmp_path: Path) -> None:
    """RFC 1951: deflate can pack to about a thousandth."""
    bomb = tmp_path / "bomb.txt.gz"
    with gzip.open(bomb, "wb") as file:
        for _ in range(400):
            file.write(b"a b " * (1 << 18))
    before = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss
    with pytest.raises(ReadError, match="unpacks to more than 200 times its size"):
        list(read_text(bomb))
    grown = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss - before
    assert grown < 64 << 10, "kilobytes of memory"
    tail = tmp_path / "cut.txt.gz"
    tail.write_bytes(bomb.read_bytes()[:1000])
    with pytest.raises(ReadError, match="damaged gzip"):
        list(read_text(tail))


@pytest.mark.campaign
def test_lines_of_a_hundred_megabytes(tmp_path: Path) -> None:
    long = tmp_path / "long.txt"
    long.write_bytes(b"put it on " * (10 << 20))
    unbroken = tmp_path / "unbroken.txt"
    unbroken.write_bytes(b"t" * (100 << 20))
    record = tmp_path / "record.jsonl"
    record.write_bytes(b'{"text": "' + b"put it on " * (10 << 20) + b'"}\n')
    cell = tmp_path / "cell.csv"
    cell.write_bytes(b"text\n" + b"put it on " * (10 << 20) + b"\n")
    out = tmp_path / "counts.parquet"
    found = run("mine", long, unbroken, record, cell, "--out", out)
    assert found.returncode == 0
    assert "1 files" in found.stdout
    assert "unbroken.txt: a run of" in found.stderr
    assert "record.jsonl: line 1: longer than" in found.stderr
    assert "cell.csv: line 2: field larger than" in found.stderr
    counts = load_own_counts(out)
    assert counts.words == {"put": 10 << 20, "it": 10 << 20, "on": 10 << 20}
    # However long the sentence, every two neighbours are a pair.
    assert sum(counts.pairs["count"]) == (30 << 20) - 1


@pytest.mark.parametrize(
    ("name", "content", "said"),
    [
        ("nul.txt", b"put\0it", "NUL"),
        ("mixed.txt", "caf\u00e9 ".encode() * 9 + "na\u00efve".encode("cp1252"), "Windows-1252"),
        ("utf16.txt", "put it on".encode("utf-16"), "UTF-16"),
        ("odd.txt", b"\xff\xfea", "decoded"),
        ("broken.jsonl", b'{"text": "put it on"}\n{"text"', "line 2: not JSON"),
        ("deep.jsonl", b"[" * 100_000, "line 1: not JSON"),
        ("quotes.csv", b'text\n"put it', "line 2: unexpected end"),
        ("empty.txt", b"", "empty"),
    ],
)
def test_files_that_are_not_what_they_should_be(
    name: str, content: bytes, said: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    (tmp_path / name).write_bytes(content)
    (tmp_path / "good.txt").write_text("put it on", encoding="utf-8")
    code = main(["mine", str(tmp_path), "--out", str(tmp_path / "counts.parquet")])
    out, err = capsys.readouterr()
    assert code == 0
    assert said in err
    assert f"{name}:" in err
    assert "files" in out


def test_a_file_that_grows_while_it_is_read(tmp_path: Path) -> None:
    path = tmp_path / "log.txt"
    path.write_text("put it on\n" * 200_000, encoding="utf-8")
    pieces = read_text(path)
    next(pieces)
    with path.open("a", encoding="utf-8") as file:
        file.write("and on\n")
    with pytest.raises(ReadError, match="changed while it was read"):
        list(pieces)
