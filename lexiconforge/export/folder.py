"""Files that appear whole or not at all: written beside their place, moved in when all are complete."""

from __future__ import annotations

import contextlib
import json
import os
import shutil
import signal
import tempfile
from collections.abc import Callable, Iterator, Mapping
from pathlib import Path

_UNFINISHED = ".unfinished-"
_COMPLETE = ".complete-"


class WriteError(Exception):
    """A place that cannot be written; the message names it and the way out."""


@contextlib.contextmanager
def delivery(folder: Path) -> Iterator[Path]:
    """A scratch folder whose files move into ``folder`` when the block ends well.

    The folder is made if it is missing. If the block raises, nothing of it stays. One delivery at a time: a
    second one into the same folder waits for the first. What a killed process left is cleared, or, where it
    was complete and on its way, moved in. Raises :class:`WriteError`.
    """
    try:
        folder.mkdir(parents=True, exist_ok=True)
    except (FileExistsError, NotADirectoryError):
        raise WriteError(f"{folder} is a file, not a folder; choose another place with --out") from None
    except OSError as error:
        raise WriteError(f"cannot make the folder {folder}: {error.strerror}") from None
    with _alone_in(folder):
        try:
            for complete in folder.glob(f"{_COMPLETE}*"):
                _move_in(complete, folder)
            for stale in folder.glob(f"{_UNFINISHED}*"):
                shutil.rmtree(stale, ignore_errors=True)
            scratch = Path(tempfile.mkdtemp(prefix=_UNFINISHED, dir=folder))
        except OSError as error:
            raise WriteError(f"cannot write in {folder}: {error.strerror}") from None
        try:
            yield scratch
            for path in scratch.rglob("*"):
                target = folder / path.relative_to(scratch)
                if target.exists() and target.is_dir() != path.is_dir():
                    kind = "a folder" if target.is_dir() else "a file"
                    raise WriteError(f"cannot write {target}: there is {kind} of that name")
            with _uninterrupted():
                complete = scratch.with_name(scratch.name.replace(_UNFINISHED, _COMPLETE, 1))
                _move_in(scratch.rename(complete), folder)
        except OSError as error:
            place = Path(error.filename) if error.filename else folder
            if place.is_relative_to(scratch):
                place = folder / place.relative_to(scratch)
            raise WriteError(f"cannot write {place}: {error.strerror}") from None
        finally:
            shutil.rmtree(scratch, ignore_errors=True)


def _move_in(complete: Path, folder: Path) -> None:
    """Move the files of a complete scratch folder to their places and remove it."""
    for path in sorted(complete.rglob("*")):
        target = folder / path.relative_to(complete)
        if path.is_dir():
            target.mkdir(exist_ok=True)
        else:
            path.replace(target)
    shutil.rmtree(complete)


@contextlib.contextmanager
def _uninterrupted() -> Iterator[None]:
    """Hold an interrupt back until the block has ended, where the system can."""
    if not hasattr(signal, "pthread_sigmask"):
        yield
        return
    before = signal.pthread_sigmask(signal.SIG_BLOCK, {signal.SIGINT, signal.SIGTERM})
    try:
        yield
    finally:
        signal.pthread_sigmask(signal.SIG_SETMASK, before)


@contextlib.contextmanager
def _alone_in(folder: Path) -> Iterator[None]:
    """Hold a lock on the folder itself, where the system has such locks (not on Windows)."""
    try:
        import fcntl
    except ImportError:
        yield
        return
    handle = os.open(folder, os.O_RDONLY)
    try:
        fcntl.flock(handle, fcntl.LOCK_EX)
        yield
    finally:
        os.close(handle)


@contextlib.contextmanager
def beside(job: Callable[[], dict[str, int]]) -> Iterator[Callable[[], dict[str, int]]]:
    """Run a job that writes files in a copy of this process while the block goes on.

    The value is a function that waits for the job and gives its result, numbers by name. Where the system
    cannot copy a process, or the copy fails, the job runs when that function is called. A block that raises
    ends the copy.
    """
    if not hasattr(os, "fork"):
        yield job
        return
    reader, writer = os.pipe()
    child = os.fork()
    if child == 0:
        # Nothing of the parent may be undone here: leave without cleaning up, whatever happens.
        with contextlib.suppress(BaseException):
            os.write(writer, json.dumps(job()).encode())
        os._exit(0)
    os.close(writer)
    running = True

    def finish() -> dict[str, int]:
        nonlocal running
        with os.fdopen(os.dup(reader)) as pipe:
            answer = pipe.read()
        os.waitpid(child, 0)
        running = False
        if not answer:
            return job()
        result: dict[str, int] = json.loads(answer)
        return result

    try:
        yield finish
    finally:
        if running:
            os.kill(child, signal.SIGKILL)
            os.waitpid(child, 0)
        os.close(reader)


def write_whole(files: Mapping[Path, bytes]) -> None:
    """Write files of one folder, which must be there: all of them or none. Raises :class:`WriteError`."""
    first = next(iter(files))
    for path in files:
        if path.is_dir():
            raise WriteError(f"{path} is a folder; name a file")
    if not first.parent.is_dir():
        raise WriteError(f"cannot write {first}: there is no folder {first.parent}")
    with delivery(first.parent) as scratch:
        for path, content in files.items():
            put(scratch / path.name, content)


def put(path: Path, content: bytes) -> None:
    """Write one file of a delivery. Raises OSError that names it, which Python's own does not when a disk is full."""
    try:
        path.write_bytes(content)
    except OSError as error:
        raise OSError(error.errno, error.strerror, str(path)) from None
