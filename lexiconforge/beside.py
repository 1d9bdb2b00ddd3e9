"""Work in a second process beside the first, where the system can fork one.

Room: knows processes, nothing of words; imports nothing of ours.
"""

from __future__ import annotations

import contextlib
import multiprocessing
import signal
import threading
from collections.abc import Callable, Iterator
from typing import TYPE_CHECKING, TypeVar

if TYPE_CHECKING:
    from multiprocessing.connection import Connection

Result = TypeVar("Result")


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
    process = context.Process(target=_work, args=(work, sender), daemon=True)
    process.start()
    sender.close()

    def result() -> Result:
        try:
            problem, made = receiver.recv()
        except EOFError:  # the system has ended the process
            return work()
        if problem is not None:
            raise problem
        found: Result = made
        return found

    try:
        yield result
    finally:
        process.kill()
        process.join()
        receiver.close()


def _work(work: Callable[[], object], sender: Connection) -> None:
    # An interrupt is the first process's to answer: it ends this one.
    signal.signal(signal.SIGINT, signal.SIG_IGN)
    signal.signal(signal.SIGTERM, signal.SIG_DFL)
    try:
        answer: tuple[Exception | None, object] = None, work()
    except Exception as problem:  # told to the first process
        answer = problem, None
    with contextlib.suppress(OSError):
        sender.send(answer)
