"""The compiled file: used again, made anew when it is old or damaged, never half there, and not needed at all."""

from __future__ import annotations

import os
import random
import subprocess
import sys
import time
from array import array
from collections.abc import Callable
from pathlib import Path

import pytest

from lexiconforge import lexicon as room
from lexiconforge.cli import main
from lexiconforge.lexicon import Lexicon, cache, compiling
from lexiconforge.lexicon.columns import Columns, read_columns_file, write_columns_file
from lexiconforge.locks import FOLDER_VARIABLE
from lexiconforge.sounds import Sound, load_sound
from lexiconforge.sources import pronunciations

CONTENT = {
    "word": ["at", "", "ʔáll"],
    "rank": array("i", [1, 2, -3]),
    "none": [""],
    "big": array("H", [65_535]),
}


def same(columns: Columns | None) -> bool:
    return columns is not None and all(
        (columns.text if isinstance(cells, list) else columns.numbers)(name) == cells
        for name, cells in CONTENT.items()
    )


class Compiler:
    """Stands in for the compiler, which takes seconds; counts how often it is asked."""

    def __init__(self) -> None:
        self.asked = 0

    def __call__(self, sound: Sound) -> Columns:
        self.asked += 1
        return Columns(CONTENT)


@pytest.fixture
def compiler(monkeypatch: pytest.MonkeyPatch) -> Compiler:
    made = Compiler()
    monkeypatch.setattr(compiling, "compile_lexicon", made)
    return made


@pytest.fixture
def folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """The user's cache folder of one test, not there yet."""
    monkeypatch.setenv(FOLDER_VARIABLE, str(tmp_path / "cache"))
    return tmp_path / "cache"


def kept(folder: Path) -> list[Path]:
    return sorted(path for path in folder.iterdir() if path.name != "locks")


def only_file(folder: Path) -> Path:
    (path,) = kept(folder)
    assert path.name.endswith(cache.ENDING)
    return path


def with_changed_rule(tmp_path: Path, note: str) -> Sound:
    """The sound t with tables of other content."""
    ours = load_sound()
    tables = tmp_path / "tables" / "t"
    tables.mkdir(parents=True, exist_ok=True)
    rules = ours.files["t/rules.csv"].replace(b",common practice,party", f",{note},party".encode())
    (tables / "rules.csv").write_bytes(rules)
    return load_sound("t", tables.parent)


def test_it_is_made_once_and_used_again(folder: Path, compiler: Compiler) -> None:
    for _ in range(3):
        assert same(cache.compiled(load_sound()))
    assert compiler.asked == 1
    assert only_file(folder).name.startswith("t-")


def test_each_sound_has_its_own(folder: Path, compiler: Compiler) -> None:
    for name in ("t", "d", "t", "d"):
        assert same(cache.compiled(load_sound(name)))
    assert compiler.asked == 2
    assert [path.name[:2] for path in kept(folder)] == ["d-", "t-"]


def test_it_is_made_anew_when_tables_change(folder: Path, compiler: Compiler, tmp_path: Path) -> None:
    cache.compiled(load_sound())
    cache.compiled(with_changed_rule(tmp_path, "made up"))
    assert compiler.asked == 2
    cache.compiled(with_changed_rule(tmp_path, "made up again"))
    assert compiler.asked == 3
    # What was there before is still good.
    cache.compiled(load_sound())
    cache.compiled(with_changed_rule(tmp_path, "made up"))
    assert compiler.asked == 3


def test_it_is_made_anew_when_the_program_or_a_source_changes(
    folder: Path, compiler: Compiler, monkeypatch: pytest.MonkeyPatch
) -> None:
    cache.compiled(load_sound())
    with monkeypatch.context() as change:
        change.setattr(cache, "__version__", "999")
        cache.compiled(load_sound())
    assert compiler.asked == 2
    source = type(cache.SOURCES[0])
    with monkeypatch.context() as change:
        change.setattr(source, "version", property(lambda self: "999"))
        cache.compiled(load_sound())
    assert compiler.asked == 3
    cache.compiled(load_sound())
    assert compiler.asked == 3


def flipped(content: bytes, at: int) -> bytes:
    return content[:at] + bytes([content[at] ^ 1]) + content[at + 1 :]


DAMAGES: dict[str, Callable[[bytes], bytes]] = {
    "emptied": lambda content: b"",
    "cut in the middle": lambda content: content[: len(content) // 2],
    "its last byte gone": lambda content: content[:-1],
    "a byte added": lambda content: content + b"\0",
    "a byte of the cells flipped": lambda content: flipped(content, len(content) - 9),
    "the last byte flipped": lambda content: flipped(content, len(content) - 1),
    "the first byte flipped": lambda content: flipped(content, 0),
    "of another program": lambda content: b"SQLite format 3\0" + content,
    "zeros": lambda content: bytes(len(content)),
    "twice": lambda content: content * 2,
}


@pytest.mark.parametrize("damage", DAMAGES)
def test_a_damaged_file_is_made_anew(damage: str, folder: Path, compiler: Compiler) -> None:
    cache.compiled(load_sound())
    path = only_file(folder)
    whole = path.read_bytes()
    path.write_bytes(DAMAGES[damage](whole))
    assert same(cache.compiled(load_sound()))
    assert compiler.asked == 2
    assert path.read_bytes() == whole
    assert same(cache.compiled(load_sound()))
    assert compiler.asked == 2


def test_any_byte_that_is_flipped_is_noticed(tmp_path: Path) -> None:
    path = tmp_path / "columns"
    whole = Columns(CONTENT).to_bytes()
    unnoticed = []
    for at in range(len(whole)):
        path.write_bytes(flipped(whole, at))
        if read_columns_file(path) is not None:
            unnoticed.append(whole[max(0, at - 8) : at + 1])
    assert unnoticed == []


def test_any_length_it_is_cut_to_is_noticed(tmp_path: Path) -> None:
    path = tmp_path / "columns"
    whole = Columns(CONTENT).to_bytes()
    for size in range(len(whole)):
        path.write_bytes(whole[:size])
        assert read_columns_file(path) is None, size
    path.write_bytes(whole)
    assert same(read_columns_file(path))


def test_nothing_is_written_where_nothing_is_to_be_kept(
    folder: Path, compiler: Compiler, monkeypatch: pytest.MonkeyPatch
) -> None:
    assert same(cache.compiled(load_sound(), keep=False))
    assert compiler.asked == 1
    assert not folder.exists()
    # Nor is what is there looked at.
    cache.compiled(load_sound())
    before = only_file(folder).stat().st_mtime_ns
    cache.compiled(load_sound(), keep=False)
    assert compiler.asked == 3
    assert only_file(folder).stat().st_mtime_ns == before


def test_the_option_no_cache_writes_nothing(
    folder: Path, monkeypatch: pytest.MonkeyPatch, lexicon: Lexicon, capsys: pytest.CaptureFixture[str]
) -> None:
    asked = []

    def compile_(sound: Sound) -> Columns:
        asked.append(sound.name)
        return lexicon._columns

    monkeypatch.setattr(compiling, "compile_lexicon", compile_)
    monkeypatch.setattr(room, "_loaded", {})
    assert main(["tag", "water", "--no-cache"]) == 0
    assert "wat[ɾ]er" in capsys.readouterr().out
    assert asked == ["t"]
    assert not folder.exists()


@pytest.mark.parametrize(
    "place", ["a file", "inside a file", "not to be made", "a name too long", "a link to nowhere"]
)
def test_a_folder_that_cannot_be_written(
    place: str, compiler: Compiler, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    (tmp_path / "file").write_text("mine", encoding="utf-8")
    (tmp_path / "link").symlink_to(tmp_path / "nowhere" / "at all")
    named = {
        "a file": tmp_path / "file",
        "inside a file": tmp_path / "file" / "cache",
        "not to be made": Path("/proc/nowhere/cache"),
        "a name too long": tmp_path / ("x" * 5000),
        "a link to nowhere": tmp_path / "link",
    }[place]
    monkeypatch.setenv(FOLDER_VARIABLE, str(named))
    for asked in (1, 2):
        assert same(cache.compiled(load_sound()))
        assert compiler.asked == asked
    assert (tmp_path / "file").read_text(encoding="utf-8") == "mine"


def test_a_place_that_is_taken_by_a_folder(folder: Path, compiler: Compiler) -> None:
    cache.compiled(load_sound())
    path = only_file(folder)
    path.unlink()
    path.mkdir()
    assert same(cache.compiled(load_sound()))
    assert kept(folder) == [path]


def test_a_full_disk_leaves_nothing(
    folder: Path, compiler: Compiler, monkeypatch: pytest.MonkeyPatch
) -> None:
    def full(self: Path, target: Path) -> None:
        raise OSError(28, "No space left on device")

    with monkeypatch.context() as change:
        change.setattr(Path, "replace", full)
        assert same(cache.compiled(load_sound()))
    assert kept(folder) == []
    assert same(cache.compiled(load_sound()))
    assert same(read_columns_file(only_file(folder)))


def test_only_the_latest_files_stay(folder: Path, compiler: Compiler, tmp_path: Path) -> None:
    for n in range(cache.KEPT + 3):
        cache.compiled(with_changed_rule(tmp_path, f"made up {n}"))
        # Time stamps of files can be coarse.
        for age, path in enumerate(
            sorted(kept(folder), key=lambda p: p.stat().st_mtime_ns, reverse=True)
        ):
            os.utime(path, (time.time() - 10 * age,) * 2)
    assert len(kept(folder)) == cache.KEPT
    asked = compiler.asked
    cache.compiled(with_changed_rule(tmp_path, f"made up {n}"))
    assert compiler.asked == asked


STARTED = """
import sys, time
from lexiconforge.lexicon import cache, compiling
from lexiconforge.lexicon.columns import Columns
from lexiconforge.sounds import load_sound

def compile_(sound):
    with open(sys.argv[1], "a") as log:
        log.write("made\\n")
    time.sleep(0.6)
    return Columns({"word": ["at"] * 100_000})

compiling.compile_lexicon = compile_
print(len(cache.compiled(load_sound()).text("word")), flush=True)
"""


def test_several_that_start_at_once_make_it_once(folder: Path, tmp_path: Path) -> None:
    log = tmp_path / "log"
    processes = [
        subprocess.Popen(
            [sys.executable, "-c", STARTED, str(log)],
            stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True,
        )
        for _ in range(4)
    ]  # fmt: skip
    for process in processes:
        out, err = process.communicate(timeout=60)
        assert (process.returncode, out, err) == (0, "100000\n", "")
    assert log.read_text(encoding="utf-8") == "made\n"
    found = read_columns_file(only_file(folder))
    assert found is not None
    assert found.text("word") == ["at"] * 100_000


def test_one_that_is_killed_while_it_compiles_does_not_block_the_next(
    folder: Path, tmp_path: Path, compiler: Compiler
) -> None:
    log = tmp_path / "log"
    process = subprocess.Popen([sys.executable, "-c", STARTED, str(log)])
    while not log.exists():
        assert process.poll() is None
        time.sleep(0.01)
    process.kill()
    process.wait()
    start = time.monotonic()
    assert same(cache.compiled(load_sound()))
    assert time.monotonic() - start < 5


WRITING = """
import sys
from array import array
from pathlib import Path
from lexiconforge.lexicon.columns import Columns, write_columns_file

columns = Columns({"big": array("i", range(2_000_000))})
print("ready", flush=True)
while True:
    write_columns_file(Path(sys.argv[1]), columns)
"""


@pytest.fixture(scope="module")
def killed(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A cache folder where writers of a file have been killed at random moments."""
    folder = tmp_path_factory.mktemp("killed")
    path = folder / f"t-x{cache.ENDING}"
    moments = random.Random(20261125)
    for _ in range(4):
        process = subprocess.Popen(
            [sys.executable, "-c", WRITING, str(path)], stdout=subprocess.PIPE, text=True
        )
        assert process.stdout is not None
        assert process.stdout.readline() == "ready\n"
        time.sleep(moments.uniform(0, 0.05))
        process.kill()
        process.wait()
        process.stdout.close()
        found = read_columns_file(path)
        assert (found is not None) == path.exists()
        assert found is None or found.numbers("big") == array("i", range(2_000_000))
    return folder


def test_a_killed_writer_leaves_no_broken_file(killed: Path) -> None:
    path = killed / f"t-y{cache.ENDING}"
    write_columns_file(path, Columns(CONTENT))
    assert same(read_columns_file(path))


def test_what_a_killed_writer_leaves_is_cleared_by_the_next(
    killed: Path, compiler: Compiler, monkeypatch: pytest.MonkeyPatch
) -> None:
    """In its time: a file of today may be one that another process is about to finish."""
    monkeypatch.setenv(FOLDER_VARIABLE, str(killed))
    old = time.time() - 24 * 3600
    for path in kept(killed):
        os.utime(path, (old, old))
    cache.compiled(load_sound())
    assert [path.name for path in kept(killed) if not path.name.endswith(cache.ENDING)] == []


def test_what_is_read_back_is_what_was_made(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Every answer about some hundred words, those that are read in a way of their own among them."""
    listed = pronunciations.load_pronunciations().lines()
    special = [
        "battle",
        "battling",
        "to",
        "today",
        "o'clock",
        "setup",
        "set",
        "up",
        "data",
        "the",
        "habitat",
    ]
    words = list(dict.fromkeys([*special, *random.Random(5).sample(sorted(listed), 300)]))
    few = pronunciations.Pronunciations({word: listed[word] for word in words})
    monkeypatch.setattr(pronunciations, "load_pronunciations", lambda: few)
    sound = load_sound()
    columns = compiling.compile_lexicon(sound)
    made = Lexicon(sound, columns)
    write_columns_file(tmp_path / "file", columns)
    read = read_columns_file(tmp_path / "file")
    assert read is not None
    stored = Lexicon(sound, read)
    for word in words:
        first, second = made.entry(word), stored.entry(word)
        assert first is not None
        assert second is not None
        facts = set(vars(first)) - {"readings", "main", "others"}
        assert len(facts) == 13
        for name in facts:
            assert getattr(first, name) == getattr(second, name), (word, name)
        for one, other in zip(first.readings, second.readings, strict=True):
            for name in (slot.removeprefix("_") for slot in type(one).__slots__):
                assert getattr(one, name) == getattr(other, name), (word, name)
    assert list(stored) == list(made) == words
    assert stored.graded == made.graded
    assert stored.having("tap") == made.having("tap") != []
    special_readings = [made.main(word) for word in ("battling", "setup", "today")]
    assert all(reading and -1 in reading.indexes for reading in special_readings)
