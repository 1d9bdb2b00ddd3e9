"""Work in a second process beside the first, where the system can fork one.

Room: knows processes, nothing of words; imports nothing of ours.
"""

from __future__ import annotations

import contextlib
import multiprocessing
import signal
import threading
from collections.abc import Callable, Collection, Iterator
from typing import TYPE_CHECKING, TypeVar

if TYPE_CHECKING:
    from multiprocessing.connection import Connection

Result = TypeVar("Result")
_STOPPING = {signal.SIGINT, signal.SIGTERM} | ({signal.SIGHUP} if hasattr(signal, "SIGHUP") else set())


@contextlib.contextmanager
def uninterrupted() -> Iterator[Collection[int]]:
    """Hold an interrupt back until the block has ended, where the system can and no other thread takes it; gives what was
    held back before."""
    if not hasattr(signal, "pthread_sigmask"):
        yield ()
        return
    before = signal.pthread_sigmask(signal.SIG_BLOCK, _STOPPING)
    try:
        yield before
    finally:
        signal.pthread_sigmask(signal.SIG_SETMASK, before)


@contextlib.contextmanager
def beside(work: Callable[[], Result]) -> Iterator[Callable[[], Result]]:
    """Start some work in a process that shares what is loaded, and give a function that waits for its result.

    The result must pickle; what the work raises is raised by the function. Where the system cannot fork, or threads
    run that a fork would lose, the function does the work itself. The process ends with the block.

    >>> with beside(lambda: sum(range(5))) as result:
    ...     result()
    10
    """
    if "fork" not in multiprocessing.get_all_start_methods() or threading.active_count() > 1:
        yield work
        return
    context = multiprocessing.get_context("fork")
    receiver, sender = context.Pipe(duplex=False)

    def result() -> Result:
        try:
            problem, made = receiver.recv()
        except EOFError:  # the system has ended the process
            return work()
        if problem is not None:
            raise problem
        found: Result = made
        return found

    started = []
    try:
        # An interrupt that falls into the functions around a fork would be printed and forgotten.
        with uninterrupted() as before:
            process = context.Process(target=_work, args=(work, receiver, sender, before), daemon=True)
            process.start()
            started.append(process)
        sender.close()
        yield result
    finally:
        for process in started:
            process.kill()
            process.join()
        receiver.close()


def _work(
    work: Callable[[], object], receiver: Connection, sender: Connection, before: Collection[int]
) -> None:
    # With an end of its own it would never learn that nobody reads any more.
    receiver.close()
    # An interrupt is the first process's to answer: it ends this one.
    signal.signal(signal.SIGINT, signal.SIG_IGN)
    for number in _STOPPING - {signal.SIGINT}:
        signal.signal(number, signal.SIG_DFL)
    if hasattr(signal, "pthread_sigmask"):
        signal.pthread_sigmask(signal.SIG_SETMASK, before)
    try:
        answer: tuple[Exception | None, object] = None, work()
    except Exception as problem:  # told to the first process
        answer = problem, None
    with contextlib.suppress(OSError):
        sender.send(answer)
