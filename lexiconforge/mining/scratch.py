"""Scratch folders that do not outlive the next run, even of a process that was killed."""

from __future__ import annotations

import contextlib
import os
import shutil
import tempfile
from collections.abc import Iterator
from pathlib import Path

from filelock import FileLock, Timeout

from lexiconforge.errors import MiningError

PREFIX, LOCK = "lexiconforge-scratch-", ".lock"


@contextlib.contextmanager
def scratch_folder() -> Iterator[Path]:
    """A folder in the system's place for temporary files, gone when the block ends.

    A lock file beside it is held while it is used; folders whose lock nobody holds are what killed processes left, and
    are cleared first. Raises :class:`~lexiconforge.errors.MiningError`.
    """
    place = Path(tempfile.gettempdir())
    try:
        for left in place.glob(f"{PREFIX}*"):
            if left.suffix != LOCK:
                _clear(left)
        # The lock comes first: a run that clears never meets the folder without it.
        handle, name = tempfile.mkstemp(prefix=PREFIX, suffix=LOCK, dir=place)
        os.close(handle)
        lock = FileLock(name)
        lock.acquire()
        folder = Path(name).with_suffix("")
        folder.mkdir(mode=0o700)
    except OSError as error:
        raise MiningError(
            f"cannot make scratch files in {place}: {error.strerror}; choose another place with TMPDIR"
        ) from None
    try:
        yield folder
    finally:
        shutil.rmtree(folder, ignore_errors=True)
        lock.release()
        Path(name).unlink(missing_ok=True)


def _clear(folder: Path) -> None:
    lock = FileLock(folder.with_suffix(LOCK), timeout=0)
    with contextlib.suppress(OSError, Timeout):
        with lock:
            shutil.rmtree(folder, ignore_errors=True)
        folder.with_suffix(LOCK).unlink(missing_ok=True)
