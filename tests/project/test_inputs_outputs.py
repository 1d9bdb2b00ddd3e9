"""What a user has is never lost: no input is written over, outputs are looked at first, only what is ours is cleared."""

from __future__ import annotations

import os
import shutil
import threading
import time
from pathlib import Path

import pytest

from lexiconforge import places
from lexiconforge.cli import main
from lexiconforge.errors import ReadError, WriteError
from lexiconforge.export import folder as folder_module
from lexiconforge.export.folder import delivery, write_whole
from lexiconforge.locks import alone
from lexiconforge.mining import scratch as scratch_module
from lexiconforge.mining.scratch import scratch_folder
from lexiconforge.places import MARKER, is_own, own_folder, read_whole

pytestmark = pytest.mark.usefixtures("few_only")

TEXT = "Put it on the table. Get it out!\n"
OWN = {"own.dict": "grotto G R AA1 T OW0\n", "own.csv": "word,zipf\ngrotto,3\n"}
WORDS = ["words", "--allophone", "tap", "--limit", "20"]


@pytest.fixture
def here(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.chdir(tmp_path)
    (tmp_path / "a.txt").write_text(TEXT, encoding="utf-8")
    for name, content in OWN.items():
        (tmp_path / name).write_text(content, encoding="utf-8")
    return tmp_path


def snapshot(folder: Path) -> dict[str, bytes | str]:
    """Every file of a folder by its name; links by where they lead."""
    return {
        path.relative_to(folder).as_posix(): str(path.readlink())
        if path.is_symlink()
        else path.read_bytes()
        for path in folder.rglob("*")
        if path.is_symlink() or path.is_file()
    }


INPUTS = [
    (["mine", "a.txt", "--out", "a.txt"], ".parquet"),
    (["mine", "a.txt", "b.csv", "--out", "c.csv"], ".parquet"),
    (["mine", "c.parquet", "--out", "c.parquet"], "is one of the files"),
    (["mine", ".", "c.parquet", "--out", "./c.parquet"], "is one of the files"),
    (["practice", "--words", "tap.csv", "--texts", "a.txt", "--out", "tap.csv"], "is read in this run"),
    (["practice", "--words", "tap.csv", "--texts", ".", "--out", "own.csv"], "is read in this run"),
    (["practice", "--words", "tap.csv", "--texts", "*.csv", "--out", "own.csv"], "is read in this run"),
    (["tag-text", "a.txt", "--out", "a.txt"], "must end in"),
    (["tag-text", "b.csv", "--out", "b.csv"], "is read in this run"),
    (["tag-text", "b.csv", "--out", "linked.csv"], "is read in this run"),
    (["tag-text", "b.csv", "--out", "c.csv"], "is a table, not a text"),
    (["words", "--starting-after", "tap.csv", "--out", "tap.csv"], "is read in this run"),
    (["words", "--frequencies", "own.csv", "--out", "own.csv"], "is read in this run"),
    (["tag", "water", "b.csv", "--out", "own.csv"], "is no word"),
    (["links", "--frequencies", "own.csv", "--out", "own.csv"], "is read in this run"),
    (["handout", "page.html", "--out", "page.html"], "is read in this run"),
    (["plot", "text", "a.svg", "--out", "a.svg"], "is read in this run"),
    (["plan", "--frequencies", "plan.csv", "--out", "."], "is not a plan"),
    (["build", "--frequencies", "words.csv", "--out", "."], "is read in this run"),
]


@pytest.mark.parametrize(
    ("arguments", "said"), INPUTS, ids=lambda value: " ".join(value) if isinstance(value, list) else ""
)
def test_no_command_writes_over_what_it_reads(
    arguments: list[str], said: str, here: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    for name in ("b.csv", "c.csv", "tap.csv", "plan.csv", "words.csv"):
        (here / name).write_text("word,zipf\nwater,5\n", encoding="utf-8")
    for name in ("c.parquet", "page.html", "a.svg"):
        (here / name).write_text(TEXT, encoding="utf-8")
    (here / "linked.csv").symlink_to("b.csv")
    before = snapshot(here)
    assert main(arguments) == 2
    err = capsys.readouterr().err
    assert said in err
    assert len(err.splitlines()) == 1
    assert snapshot(here) == before


OUTPUTS = [
    ("no/such/folder/x{}", "there is no folder"),
    ("a.txt/x{}", "not a folder"),
    ("folder{}", "is a folder"),
    ("pipe{}", "is a pipe"),
    ("loop{}", "Too many levels of symbolic links"),
]


@pytest.mark.parametrize(("place", "said"), OUTPUTS)
@pytest.mark.parametrize(
    ("arguments", "ending"),
    [(["words"], ".csv"), (["words"], ".xlsx"), (["tag-text", "a.txt"], ".csv"), (["plan"], ".xlsx"),
     (["mine", "a.txt"], ".parquet"), (["handout", "own.csv"], ".html"), (["plot", "environments"], ".svg")],
    ids=lambda value: " ".join(value) if isinstance(value, list) else value,
)  # fmt: skip
def test_a_place_that_cannot_be_written_is_said_before_any_work(
    place: str, said: str, arguments: list[str], ending: str, here: Path,
    capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch,
) -> None:  # fmt: skip
    def worked(*arguments: object, **options: object) -> None:
        raise AssertionError("work has begun")

    for name in ("lexiconforge.lexicon.load_lexicon", "lexiconforge.mining.counting.Counter"):
        monkeypatch.setattr(name, worked)
    (here / f"folder{ending}").mkdir()
    os.mkfifo(here / f"pipe{ending}")
    (here / f"loop{ending}").symlink_to(f"loop{ending}")
    assert main([*arguments, "--out", place.format(ending)]) == 2
    err = capsys.readouterr().err
    assert said in err
    assert place.format(ending) in err
    assert len(err.splitlines()) == 1


@pytest.mark.skipif(os.geteuid() == 0, reason="root may write everywhere")
def test_what_is_protected_is_left(here: Path, capsys: pytest.CaptureFixture[str]) -> None:
    (here / "words.csv").write_text("mine", encoding="utf-8")
    (here / "words.csv").chmod(0o444)
    assert main([*WORDS, "--out", "words.csv"]) == 2
    assert "protected" in capsys.readouterr().err


def test_a_disk_without_room_is_said_before_any_work(
    here: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(places, "LEAST_ROOM", 1 << 60)
    for arguments in (
        [*WORDS, "--out", "x.csv"],
        ["build", "--out", "out"],
        ["mine", "a.txt", "--out", "x.parquet"],
    ):
        assert main(arguments) == 2
        assert "No space left on device" in capsys.readouterr().err
    assert not (here / "out").exists()


def test_a_link_stays_and_what_it_leads_to_is_written(here: Path) -> None:
    (here / "real").mkdir()
    for name in ("list.csv", "counts.parquet"):
        (here / name).symlink_to(here / "real" / name)
    assert main([*WORDS, "--out", "list.csv"]) == 0
    assert main(["mine", "a.txt", "--out", "counts.parquet"]) == 0
    assert main([*WORDS, "--out", "list.csv"]) == 0
    for name in ("list.csv", "counts.parquet"):
        assert (here / name).is_symlink()
        assert (here / "real" / name).stat().st_size > 200


def test_a_link_into_another_file_system(here: Path) -> None:
    other = Path("/dev/shm")
    if not other.is_dir() or other.stat().st_dev == here.stat().st_dev:
        pytest.skip("no other file system here")
    place = other / f"lexiconforge-test-{os.getpid()}.csv"
    try:
        (here / "list.csv").symlink_to(place)
        assert main([*WORDS, "--out", "list.csv"]) == 0
        assert place.read_text(encoding="utf-8").startswith("place,word")
    finally:
        place.unlink(missing_ok=True)


def test_a_plan_that_gets_shorter_and_one_that_is_not_ours(
    here: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    short = ["plan", "--words", "4", "--out", "plan", "--lessons"]
    (here / "plan").mkdir()
    (here / "plan" / "lesson-notes.csv").write_text("mine", encoding="utf-8")
    (here / "plan" / "lesson-09.csv").write_text("mine", encoding="utf-8")
    assert main([*short, "4"]) == 0
    assert main([*short, "2"]) == 0
    assert {path.name for path in (here / "plan").glob("*.csv")} == {
        "plan.csv", "lesson-01.csv", "lesson-02.csv", "lesson-notes.csv", "lesson-09.csv",
    }  # fmt: skip
    (here / "plan" / "plan.csv").write_text("what,when\ntap,Monday\n", encoding="utf-8")
    before = snapshot(here)
    capsys.readouterr()
    assert main([*short, "2"]) == 2
    assert "--force" in capsys.readouterr().err
    assert snapshot(here) == before
    assert main([*short, "2", "--force"]) == 0
    assert "Monday" not in (here / "plan" / "plan.csv").read_text(encoding="utf-8")


def test_a_run_that_cannot_move_everything_in_moves_nothing(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    for name in "abc":
        (tmp_path / name).write_text(f"old {name}", encoding="utf-8")
    real = folder_module._replace

    def refused(path: Path, target: Path) -> None:
        if target.name == "c" and "new" in path.read_text(encoding="utf-8"):
            raise PermissionError(13, "Permission denied", str(target))
        real(path, target)

    monkeypatch.setattr(folder_module, "_replace", refused)
    with pytest.raises(WriteError, match=f"cannot write {tmp_path / 'c'}: Permission denied"):
        write_whole({tmp_path / name: f"new {name}".encode() for name in "abcd"})
    assert snapshot(tmp_path) == {name: f"old {name}".encode() for name in "abc"}
    assert len(list(tmp_path.iterdir())) == 3
    # It is over: the next run has nothing of it to move in.
    monkeypatch.undo()
    write_whole({tmp_path / "e": b"new e"})
    assert (tmp_path / "a").read_text(encoding="utf-8") == "old a"


def left_behind(folder: Path, name: str = ".lexiconforge-complete-x") -> Path:
    """What a killed run leaves."""
    left = folder / name
    left.mkdir()
    (left / MARKER).touch()
    return left


def write_something(folder: Path) -> None:
    write_whole({folder / "next.csv": b"next"})


def test_what_was_complete_is_moved_in_but_not_over_what_is_newer(tmp_path: Path) -> None:
    left = left_behind(tmp_path)
    for name in ("old", "new", "none"):
        (left / name).write_text("left", encoding="utf-8")
    for name, age in (("old", 100), ("new", -100)):
        (tmp_path / name).write_text("there", encoding="utf-8")
        os.utime(tmp_path / name, (time.time() - age,) * 2)
    write_something(tmp_path)
    assert snapshot(tmp_path) == {"old": b"left", "new": b"there", "none": b"left", "next.csv": b"next"}


@pytest.mark.parametrize("kind", [".lexiconforge-complete-x", ".lexiconforge-unfinished-x"])
def test_folders_without_our_marker_are_not_touched(kind: str, tmp_path: Path) -> None:
    (tmp_path / kind).mkdir()
    (tmp_path / kind / "thesis.txt").write_text("mine", encoding="utf-8")
    (tmp_path / ".complete-old").mkdir()
    (tmp_path / ".complete-old" / "next.csv").write_text("mine", encoding="utf-8")
    before = snapshot(tmp_path)
    write_something(tmp_path)
    assert snapshot(tmp_path) == before | {"next.csv": b"next"}


@pytest.mark.parametrize("kind", [".lexiconforge-complete-x", ".lexiconforge-unfinished-x"])
def test_folders_with_links_in_them_are_not_touched(kind: str, tmp_path: Path) -> None:
    outside = tmp_path / "outside"
    outside.mkdir()
    (outside / "thesis.txt").write_text("mine", encoding="utf-8")
    folder = tmp_path / "out"
    folder.mkdir()
    (left_behind(folder, kind) / "link").symlink_to(outside)
    (folder / ".lexiconforge-unfinished-y").symlink_to(outside)
    write_something(folder)
    assert (outside / "thesis.txt").read_text(encoding="utf-8") == "mine"
    assert (folder / kind / "link").is_symlink()
    assert (folder / "next.csv").exists()


def test_nothing_is_moved_in_through_a_link(tmp_path: Path) -> None:
    outside, folder = tmp_path / "outside", tmp_path / "out"
    outside.mkdir()
    folder.mkdir()
    (outside / "tap.csv").write_text("mine", encoding="utf-8")
    os.utime(outside / "tap.csv", (0, 0))
    left = left_behind(folder)
    (left / "lists").mkdir()
    (left / "lists" / "tap.csv").write_text("left", encoding="utf-8")
    (folder / "lists").symlink_to(outside)
    write_something(folder)
    assert (outside / "tap.csv").read_text(encoding="utf-8") == "mine"


def test_somebody_elses_folder_is_not_ours(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    folder = own_folder(tmp_path, "x-")
    assert is_own(folder)
    monkeypatch.setattr(os, "geteuid", lambda: folder.stat().st_uid + 1)
    assert not is_own(folder)


def test_what_cannot_be_cleared_stops_nobody(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """As a file that another program holds, on systems where that cannot be removed."""
    left = left_behind(tmp_path, ".lexiconforge-unfinished-x")
    remove = shutil.rmtree

    def refused(path: Path, **options: object) -> None:
        if path == left and not options.get("ignore_errors"):
            raise PermissionError(13, "Permission denied", str(path))
        if path != left:
            remove(path, ignore_errors=True)

    monkeypatch.setattr(shutil, "rmtree", refused)
    write_something(tmp_path)
    assert left.exists()
    assert (tmp_path / "next.csv").exists()


def test_who_waits_is_told_for_whom(
    tmp_path: Path, caplog: pytest.LogCaptureFixture, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(folder_module, "LONGEST_WAIT", 1.5)
    with (
        alone(tmp_path),
        pytest.raises(WriteError, match=f"process {os.getpid()} on .* has been writing here"),
    ):
        write_something(tmp_path)
    assert f"waiting for process {os.getpid()}" in caplog.text
    write_something(tmp_path)


def test_a_pipe_in_the_place_of_a_lock(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("LEXICONFORGE_CACHE", str(tmp_path / "cache"))
    folder = tmp_path / "out"
    folder.mkdir()
    with alone(folder):
        pass
    (lock,) = [path for path in (tmp_path / "cache" / "locks").iterdir() if path.suffix != ".holder"]
    lock.unlink()
    os.mkfifo(lock)
    write_something(folder)
    assert (folder / "next.csv").exists()


def test_scratch_that_is_not_ours_is_left_and_pipes_hold_nobody_up(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(scratch_module.tempfile, "tempdir", str(tmp_path))
    prefix = tmp_path / scratch_module.PREFIX
    os.mkfifo(f"{prefix}pipe.lock")
    Path(f"{prefix}foreign").mkdir()
    Path(f"{prefix}foreign.lock").touch()
    Path(f"{prefix}foreign", "thesis.txt").write_text("mine", encoding="utf-8")
    Path(f"{prefix}link.lock").touch()
    Path(f"{prefix}link").symlink_to(tmp_path)
    ours = Path(f"{prefix}ours")
    ours.mkdir()
    (ours / MARKER).touch()
    Path(f"{ours}.lock").touch()
    with scratch_folder() as folder:
        assert folder.is_dir()
    assert {path.name.removeprefix(scratch_module.PREFIX) for path in tmp_path.iterdir()} == {
        "pipe.lock", "foreign", "foreign.lock", "link", "link.lock",
    }  # fmt: skip


@pytest.mark.parametrize(
    "arguments",
    [["tag-text", "{}"], ["mine", "{}", "--out", "c.parquet"], ["words", "--pronunciations", "{}"],
     ["words", "--frequencies", "{}"], ["words", "--starting-after", "{}"], ["handout", "{}"],
     ["plot", "coverage", "{}", "--out", "c.svg"], ["plot", "text", "{}", "--out", "c.svg"],
     ["build", "--counts", "{}", "--out", "out"], ["practice", "--words", "{}", "--texts", "a.txt"],
     ["practice", "--links", "{}"], ["practice", "--words", "{}"], ["words", "--never", "{}"],
     ["words", "--lines", "{}"], ["rhymes", "--from", "{}"]],
    ids=lambda value: " ".join(value[:2]),
)  # fmt: skip
@pytest.mark.parametrize(
    ("thing", "said"), [("pipe", "a pipe"), ("/dev/zero", "a device"), (".", "folder")]
)
def test_pipes_and_devices_are_refused(
    arguments: list[str], thing: str, said: str, here: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    os.mkfifo(here / "pipe")
    if arguments[0] == "mine" and thing == ".":
        pytest.skip("a folder of texts")
    assert main([argument.format(thing) for argument in arguments]) == 2
    err = capsys.readouterr().err
    assert said in err.lower() or "Is a directory" in err
    assert thing in err


def test_a_pipe_among_the_texts_of_a_list_is_named(
    here: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    os.mkfifo(here / "pipe")
    assert main(["mine", "a.txt", "pipe", "--out", "c.parquet"]) == 0
    assert "skipped pipe: a pipe, not a file" in capsys.readouterr().err


def test_a_file_is_read_up_to_a_limit(tmp_path: Path) -> None:
    path = tmp_path / "x"
    path.write_bytes(b"12345")
    assert read_whole(path, 5) == b"12345"
    with pytest.raises(ReadError, match="larger than"):
        read_whole(path, 4)


def test_no_words_come_with_the_reason(here: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["mine", "own.csv", "--out", "c.parquet"]) == 2
    err = capsys.readouterr().err
    assert "no words were found" in err
    assert "own.csv: no column 'text'; it has: word, zipf" in err
    assert not (here / "c.parquet").exists()


def test_messages_never_name_a_scratch_file(
    here: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    import lexiconforge.export.folder as module

    def full(path: Path, content: bytes) -> None:
        raise OSError(28, "No space left on device", str(path))

    monkeypatch.setattr("lexiconforge.building.write_file", full)
    monkeypatch.setattr(module, "write_file", full)
    for arguments in ([*WORDS, "--out", "x.csv"], ["build", "--out", "out"]):
        assert main(arguments) == 2
        err = capsys.readouterr().err
        assert "No space left on device" in err
        assert "lexiconforge-" not in err


def test_two_deliveries_follow_one_another(tmp_path: Path) -> None:
    order: list[str] = []

    def first() -> None:
        with delivery(tmp_path) as scratch:
            order.append("first begins")
            time.sleep(0.3)
            (scratch / "a").write_text("first", encoding="utf-8")
            order.append("first ends")

    thread = threading.Thread(target=first)
    thread.start()
    while not order:
        time.sleep(0.01)
    with delivery(tmp_path) as scratch:
        order.append("second begins")
        (scratch / "a").write_text("second", encoding="utf-8")
    thread.join()
    assert order == ["first begins", "first ends", "second begins"]
    assert (tmp_path / "a").read_text(encoding="utf-8") == "second"
