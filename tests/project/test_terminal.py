"""What a terminal gets that a file does not, and what a shell gets to complete commands with."""

from __future__ import annotations

import subprocess
import threading

import pytest

from lexiconforge.cli import COMMANDS, common, main


@pytest.mark.parametrize("shell", ["bash", "zsh", "tcsh"])
def test_completion_names_every_command(shell: str, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["completion", shell]) == 0
    script = capsys.readouterr().out
    assert [command for command in COMMANDS if command not in script] == []


def test_completion_is_a_script_the_shell_takes(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["completion", "bash"]) == 0
    script = capsys.readouterr().out
    assert subprocess.run(["bash", "-n"], input=script, text=True, check=False).returncode == 0


def test_a_terminal_has_bold_and_a_file_has_not(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.delenv("NO_COLOR", raising=False)
    monkeypatch.setenv("TERM", "xterm")
    assert main(["tag", "water"]) == 0
    assert "\x1b" not in capsys.readouterr().out
    monkeypatch.setattr("sys.stdout.isatty", lambda: True)
    assert main(["tag", "water"]) == 0
    assert "\x1b[1m[ɾ]\x1b[22m" in capsys.readouterr().out
    monkeypatch.setenv("NO_COLOR", "1")
    assert main(["tag", "water"]) == 0
    assert "\x1b" not in capsys.readouterr().out


def test_a_bar_leaves_no_thread_that_would_keep_a_process_from_being_forked(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    monkeypatch.setattr(common, "on_terminal", lambda: True)
    before = threading.active_count()
    with common.bar("work") as advance:
        advance(1, 2)
        assert threading.active_count() == before
