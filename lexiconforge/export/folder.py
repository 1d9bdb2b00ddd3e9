"""Files that appear whole or not at all: written beside their place, moved in when all are complete."""

from __future__ import annotations

import contextlib
import json
import os
import shutil
import signal
import tempfile
from collections.abc import Callable, Iterator
from pathlib import Path

_UNFINISHED = ".unfinished-"


class WriteError(Exception):
    """A place that cannot be written; the message names it and the way out."""


@contextlib.contextmanager
def delivery(folder: Path) -> Iterator[Path]:
    """A scratch folder whose files move into ``folder`` when the block ends well.

    The folder is made if it is missing. If the block raises, nothing of it stays. One delivery at a time: a
    second one into the same folder waits for the first. Scratch that a killed process left is cleared.
    Raises :class:`WriteError`.
    """
    try:
        folder.mkdir(parents=True, exist_ok=True)
    except (FileExistsError, NotADirectoryError):
        raise WriteError(f"{folder} is a file, not a folder; choose another place with --out") from None
    except OSError as error:
        raise WriteError(f"cannot make the folder {folder}: {error.strerror}") from None
    with _alone_in(folder):
        for stale in folder.glob(f"{_UNFINISHED}*"):
            shutil.rmtree(stale, ignore_errors=True)
        try:
            scratch = Path(tempfile.mkdtemp(prefix=_UNFINISHED, dir=folder))
        except OSError as error:
            raise WriteError(f"cannot write in {folder}: {error.strerror}") from None
        try:
            yield scratch
            for path in sorted(scratch.rglob("*")):
                target = folder / path.relative_to(scratch)
                if path.is_dir():
                    target.mkdir(exist_ok=True)
                else:
                    path.replace(target)
        except OSError as error:
            raise WriteError(f"cannot write {error.filename or folder}: {error.strerror}") from None
        finally:
            shutil.rmtree(scratch, ignore_errors=True)


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


def write_whole(path: Path, text: str) -> None:
    """Write one file, whole or not at all. Raises :class:`WriteError`."""
    if path.is_dir():
        raise WriteError(f"{path} is a folder; name a file")
    try:
        handle, name = tempfile.mkstemp(prefix=_UNFINISHED, dir=path.parent or Path())
        scratch = Path(name)
        try:
            with os.fdopen(handle, "w", encoding="utf-8", newline="") as file:
                file.write(text)
            scratch.chmod(0o644)
            scratch.replace(path)
        except BaseException:
            scratch.unlink(missing_ok=True)
            raise
    except OSError as error:
        raise WriteError(f"cannot write {path}: {error.strerror}") from None
