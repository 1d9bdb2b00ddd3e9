"""Exit codes, and that whatever happens is one line and never a traceback.

Codes by common practice: 2 as argparse and GNU tools have it for wrong use, 70 is EX_SOFTWARE of BSD's sysexits.h,
128 and the number of the signal as POSIX shells report it.
"""

from __future__ import annotations

import contextlib
import os
import signal
import subprocess
import sys
import time
from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from lexiconforge.cli import COMMANDS, DEBUG_VARIABLE, FAULT, Ended, _end, common, main
from lexiconforge.cli import words as words_command
from lexiconforge.places import MARKER

pytestmark = pytest.mark.usefixtures("few_only")

LEXICONFORGE = [sys.executable, "-m", "lexiconforge"]


@pytest.fixture(autouse=True)
def few_there_too(few_beside: dict[str, str], monkeypatch: pytest.MonkeyPatch) -> None:
    """What a process ends with does not depend on how many words there are."""
    monkeypatch.setenv("LEXICONFORGE_CACHE", few_beside["LEXICONFORGE_CACHE"])


def one_line(capsys: pytest.CaptureFixture[str]) -> str:
    err = capsys.readouterr().err
    assert len(err.splitlines()) == 1, err
    return err


@pytest.mark.parametrize(
    ("arguments", "code"),
    [
        (["--version"], 0), (["words", "--help"], 0), (["tag", "water"], 0),
        (["tag", "nosuchword"], 1), (["links", "--first", "nosuchword"], 1),
        (["words", "--syllables", "9", "--level", "A1"], 1),
        ([], 2), (["nothing"], 2), (["--nothing"], 2), (["words", "--level", "Z9"], 2),
        (["words", "--limit=--"], 2), (["words", "--level=--"], 2), (["tag", "\udcff"], 1),
        (["words", "--limit", "9" * 5000], 2), (["words", "--syllables", "9" * 5000], 2),
        (["plan", "--review=9223372036854775808"], 2), (["plan", "--lessons=9223372036854775808"], 2),
        (["words", "--limit=1e3"], 2), (["words", "--max-rank=-9223372036854775809"], 2),
        (["handout", "nosuch.csv"], 2), (["tag-text", "nosuch.txt"], 2), (["build", "--out="], 2),
        (["mine", "nosuch.txt", "--out", "c.parquet"], 2), (["mine", "", "--out", "c.parquet"], 2),
    ],
    ids=lambda value: " ".join(value)[:40] if isinstance(value, list) else str(value),
)  # fmt: skip
def test_codes(
    arguments: list[str],
    code: int,
    tmp_path: Path,
    monkeypatch: pytest.MonkeyPatch,
    capsys: pytest.CaptureFixture[str],
) -> None:
    monkeypatch.chdir(tmp_path)
    assert main(arguments) == code
    assert list(tmp_path.iterdir()) == []
    if code == 2:
        assert one_line(capsys).startswith("lexiconforge: ")


@pytest.mark.parametrize("level", ["", "A1 ", " a1", "A1-B1"])
def test_levels_with_blanks_are_levels(level: str) -> None:
    assert main(["words", "--limit", "1", f"--level={level}"]) == 0


@pytest.mark.parametrize("level", [" ", "-", "--", "A1-", "-A1", "A1-B1-C1", "B1-A1", "\0", "\udcff"])
def test_levels_that_are_none(level: str, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["words", "--limit", "1", f"--level={level}"]) == 2
    assert "level" in one_line(capsys)


ERRORS = [
    (ValueError("oops"), FAULT), (RecursionError("deep"), FAULT), (KeyError("x"), FAULT), (AssertionError(), FAULT),
    (MemoryError(), 2), (UnicodeEncodeError("utf-8", "\udcff", 0, 1, "surrogates"), 2),
    (OSError(28, "No space left on device"), 2), (PermissionError(13, "Permission denied", "x.csv"), 2),
    (KeyboardInterrupt(), 130), (BrokenPipeError(), 0), (SystemExit(), 0), (SystemExit(3), 3),
]  # fmt: skip


@pytest.mark.parametrize(("error", "code"), ERRORS, ids=lambda value: repr(value)[:30])
def test_one_boundary(
    error: BaseException, code: int, monkeypatch: pytest.MonkeyPatch, capfd: pytest.CaptureFixture[str]
) -> None:
    def run(options: object) -> int:
        raise error

    # What cannot be written is sent nowhere, once for the process.
    monkeypatch.setattr("lexiconforge.cli._let_go_of_output", lambda: None)
    monkeypatch.setattr(words_command, "run", run)
    assert main(["words"]) == code
    err = capfd.readouterr().err
    assert "Traceback" not in err
    assert len(err.splitlines()) == (code not in (0, 3))
    if code == FAULT:
        assert type(error).__name__ in err
        assert "report" in err
        assert f"{DEBUG_VARIABLE}=1" in err
        monkeypatch.setenv(DEBUG_VARIABLE, "1")
        assert main(["words"]) == code
        assert "Traceback" in capfd.readouterr().err


@pytest.mark.parametrize("lost", ["turned into another error", "forgotten"])
def test_a_signal_that_native_code_lost_still_ends_the_run(
    lost: str, monkeypatch: pytest.MonkeyPatch, capfd: pytest.CaptureFixture[str]
) -> None:
    def run(options: object) -> int:
        with common.bar("work") as advance:
            with contextlib.suppress(Ended):
                _end(signal.SIGTERM, None)
            if lost == "forgotten":
                advance(1, 2)
            raise RuntimeError("Query interrupted")

    monkeypatch.setattr(words_command, "run", run)
    assert main(["words"]) == 143
    assert "interrupted" in capfd.readouterr().err


def run_with(code: str, *arguments: str, **settings: object) -> subprocess.CompletedProcess[str]:
    """The installed command, after some lines of preparation."""
    program = (
        f"import sys\n{code}\nfrom lexiconforge.cli import entry\nsys.argv[0] = 'lexiconforge'\nentry()"
    )
    return subprocess.run(
        [sys.executable, "-c", program, *arguments], text=True, check=False, timeout=60, **settings
    )  # type: ignore[call-overload, no-any-return]


@pytest.mark.usefixtures("heeded_signals")
@pytest.mark.parametrize(
    "module", ["lexiconforge.cli.words", "lexiconforge.tables", "lexiconforge.lexicon"]
)
def test_ctrl_c_in_the_first_moments(module: str) -> None:
    """While the modules of a command are imported."""
    code = f"""
import importlib.abc, signal, os
class Interrupt(importlib.abc.MetaPathFinder):
    def find_spec(self, name, path, target=None):
        if name == {module!r}:
            os.kill(os.getpid(), signal.SIGINT)
sys.meta_path.insert(0, Interrupt())
"""
    found = run_with(code, "words", "--limit", "1", capture_output=True)
    assert found.returncode == 130
    assert "Traceback" not in found.stderr
    assert "interrupted" in found.stderr


@pytest.mark.parametrize(
    ("closed", "arguments", "code"),
    [
        (1, ["words", "--limit", "1"], 2), (1, ["words", "--limit", "1", "--out", "x.csv"], 0),
        (2, ["words", "--limit", "1"], 0), (2, ["words", "--level", "Z9"], 2), (2, ["tag", "nosuchword"], 1),
        (0, ["words", "--limit", "1"], 0), (0, ["tag-text", "-"], 2),
    ],
    ids=lambda value: " ".join(value) if isinstance(value, list) else str(value),
)  # fmt: skip
def test_closed_streams(closed: int, arguments: list[str], code: int, tmp_path: Path) -> None:
    command = " ".join([*LEXICONFORGE, *arguments, f"{closed}{'<' if closed == 0 else '>'}&-"])
    found = subprocess.run(
        ["sh", "-c", command], cwd=tmp_path, capture_output=True, text=True, check=False, timeout=60,
        env=os.environ | {"PYTHONPATH": os.pathsep.join(sys.path)},
    )  # fmt: skip
    assert found.returncode == code, found.stderr
    assert "Traceback" not in found.stderr
    if code == 2 and closed != 2:
        assert "Bad file descriptor" in found.stderr


@pytest.mark.skipif(not Path("/dev/full").exists(), reason="no /dev/full here")
def test_streams_that_are_full() -> None:
    with Path("/dev/full").open("w") as full:
        for arguments, code in ((["tag", "nosuchword"], 1), (["words", "--level", "Z9"], 2)):
            assert (
                subprocess.run(
                    [*LEXICONFORGE, *arguments], stderr=full, check=False, timeout=60
                ).returncode
                == code
            )


@pytest.mark.parametrize(
    ("number", "code"),
    [
        (signal.SIGINT, 130),
        (signal.SIGTERM, 143),
        (signal.SIGHUP, 129),
    ],
)
@pytest.mark.parametrize(
    ("command", "inside"),
    [("build", False), ("mine", False), ("mine", True)],
    ids=["build", "mine", "counting"],
)
@pytest.mark.usefixtures("heeded_signals")
def test_a_signal_clears_up(
    number: signal.Signals, code: int, command: str, inside: bool, tmp_path: Path
) -> None:
    """As soon as there is anything to clear up, or something inside of it."""
    scratch, out = tmp_path / "tmp", tmp_path / "out"
    scratch.mkdir()
    out.mkdir()
    (tmp_path / "long.txt").write_text(
        "Put it on the table. Get it out!\n" * 1_500_000, encoding="utf-8"
    )
    arguments = {"build": ["build", "--out", str(out)],
                 "mine": ["mine", str(tmp_path / "long.txt"), "--out", str(out / "c.parquet")]}[command]  # fmt: skip
    process = subprocess.Popen([*LEXICONFORGE, *arguments], stdout=subprocess.DEVNULL, stderr=subprocess.PIPE, text=True,
                               env=os.environ | {"TMPDIR": str(scratch)}, start_new_session=True)  # fmt: skip
    until = time.monotonic() + 60
    while not (
        [path for path in scratch.glob("*/*") if path.name == MARKER]
        if inside
        else [*out.iterdir(), *scratch.iterdir()]
    ):
        assert process.poll() is None, process.communicate()
        assert time.monotonic() < until
        time.sleep(0.0005)
    process.send_signal(number)
    _, err = process.communicate(timeout=60)
    assert process.returncode == code, err
    assert "interrupted" in err
    assert len(err.splitlines()) == 1
    assert list(out.iterdir()) == []
    assert list(scratch.iterdir()) == []


def test_a_signal_that_is_to_be_ignored_is(tmp_path: Path) -> None:
    """As nohup asks for."""
    code = "import os, signal\nsignal.signal(signal.SIGHUP, signal.SIG_IGN)\nos.kill(os.getpid(), signal.SIGHUP)"
    found = run_with(code + "\nimport atexit", "words", "--limit", "1", capture_output=True)
    assert found.returncode == 0, found.stderr


words = st.one_of(
    st.sampled_from(
        [
            "",
            " ",
            "-",
            "--",
            "a.txt",
            "A1",
            "tap",
            "10",
            "0",
            "-1",
            "1-2",
            "t",
            "d",
            "\udcff",
            "*",
            "$x",
            "'",
        ]
    ),
    st.text(max_size=6),
    st.integers().map(str),
)
OPTIONS = {
    "words": ("--allophone", "--environment", "--syllables", "--stress", "--max-rank", "--level", "--pos", "--limit",
              "--include", "--sound", "--starting-after", "--frequencies", "--pronunciations", "--sounds"),
    "links": ("--first", "--second", "--limit", "--include", "--sound"),
    "contrasts": ("--kind", "--limit", "--include"),
    "plan": ("--lessons", "--words", "--order", "--level", "--review", "--include"),
    "tag-text": ("--style", "--target", "--level", "--max-rank", "--show"),
    "tag": ("--sound",),
    "practice": ("--words", "--links", "--texts", "--limit", "--longest", "--syllables", "--level", "--style"),
    "handout": ("--paper", "--seed", "--title", "--parts", "--words", "--out"),
    "rules": ("--check", "--sound"),
    "cards": ("--header", "--limit", "--out"), "completion": (),
    "why": ("--sound", "--sounds"), "changes": ("--file", "--only"),
    "rhymes": ("--near", "--stress", "--least", "--most", "--limit", "--from", "--level", "--syllables"),
}  # fmt: skip


@st.composite
def command_lines(draw: st.DrawFn) -> list[str]:
    command = draw(st.sampled_from(sorted(OPTIONS)))
    given_ = [command]
    for option in (
        draw(st.lists(st.sampled_from(OPTIONS[command]), max_size=3)) if OPTIONS[command] else ()
    ):
        value = draw(words)
        given_ += [f"{option}={value}"] if draw(st.booleans()) else [option, value]
    return [*given_, *draw(st.lists(words, max_size=2))]


@pytest.mark.campaign
@given(command_lines())
@settings(max_examples=60, suppress_health_check=[HealthCheck.function_scoped_fixture])
def test_any_words_on_the_command_line(
    tmp_path_factory: pytest.TempPathFactory, monkeypatch: pytest.MonkeyPatch, arguments: list[str]
) -> None:
    folder = tmp_path_factory.getbasetemp() / "any"
    folder.mkdir(exist_ok=True)
    monkeypatch.chdir(folder)
    (folder / "a.txt").write_text("Put it on.\n", encoding="utf-8")
    assert main(arguments) in (0, 1, 2), arguments
    assert (folder / "a.txt").read_text(encoding="utf-8") == "Put it on.\n"


def test_every_command_is_tried() -> None:
    assert set(COMMANDS) - set(OPTIONS) == {"build", "mine", "plot"}, "slow ones have tests of their own"
