"""Work in a second process: the same results, the same errors, no process left."""

from __future__ import annotations

import multiprocessing
import os
import threading

import pytest

from lexiconforge.beside import beside
from lexiconforge.errors import WriteError

forks = pytest.mark.skipif(
    "fork" not in multiprocessing.get_all_start_methods(), reason="this system cannot fork"
)


@pytest.fixture
def alone(monkeypatch: pytest.MonkeyPatch) -> None:
    """As in a command, where no other threads run; those of the test runner are in the way."""
    monkeypatch.setattr(threading, "active_count", lambda: 1)


@forks
@pytest.mark.usefixtures("alone")
def test_work_is_done_in_another_process() -> None:
    with beside(os.getpid) as result:
        assert result() != os.getpid()
    assert not multiprocessing.active_children()


@pytest.mark.usefixtures("alone")
def test_what_it_raises_is_raised_here() -> None:
    def fails() -> None:
        raise WriteError("no room")

    with beside(fails) as result, pytest.raises(WriteError, match="no room"):
        result()


@forks
@pytest.mark.usefixtures("alone")
def test_a_process_that_the_system_ended_is_done_without() -> None:
    here = os.getpid()

    def ends() -> str:
        if os.getpid() != here:
            os._exit(9)
        return "done"

    with beside(ends) as result:
        assert result() == "done"


@forks
@pytest.mark.usefixtures("alone")
def test_work_that_nobody_waits_for_ends_with_the_block() -> None:
    with pytest.raises(KeyboardInterrupt), beside(threading.Event().wait):
        raise KeyboardInterrupt
    assert not multiprocessing.active_children()


def test_where_threads_run_the_work_is_done_here() -> None:
    stop = threading.Event()
    thread = threading.Thread(target=stop.wait)
    thread.start()
    with beside(os.getpid) as result:
        assert result() == os.getpid()
    stop.set()
    thread.join()
