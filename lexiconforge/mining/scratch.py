"""Scratch folders that do not outlive the next run, even of a process that was killed."""

from __future__ import annotations

import contextlib
import os
import shutil
import tempfile
from collections.abc import Iterator
from pathlib import Path

from lexiconforge.mining import MiningError

PREFIX, UNLOCKED = "lexiconforge-scratch-", "lexiconforge-new-"


@contextlib.contextmanager
def scratch_folder() -> Iterator[Path]:
    """A folder in the system's place for temporary files, gone when the block ends.

    It is locked while it is used; folders that nobody holds are what killed processes left, and are cleared first.
    Where the system has no such locks (Windows) they stay. Raises :class:`~lexiconforge.mining.MiningError`.
    """
    place = Path(tempfile.gettempdir())
    try:
        for left in place.glob(f"{PREFIX}*"):
            _clear(left)
        # It takes its name when it has its lock: a run that clears never meets it without.
        folder = Path(tempfile.mkdtemp(prefix=UNLOCKED, dir=place))
        handle = _lock(folder)
        folder = folder.rename(folder.with_name(folder.name.replace(UNLOCKED, PREFIX, 1)))
    except OSError as error:
        raise MiningError(
            f"cannot make scratch files in {place}: {error.strerror}; choose another place with TMPDIR"
        ) from None
    try:
        yield folder
    finally:
        shutil.rmtree(folder, ignore_errors=True)
        if handle is not None:
            os.close(handle)


def _clear(folder: Path) -> None:
    with contextlib.suppress(OSError):
        handle = _lock(folder)
        if handle is not None:
            shutil.rmtree(folder, ignore_errors=True)
            os.close(handle)


def _lock(folder: Path) -> int | None:
    """A locked handle of a folder, None if another process holds it or there are no such locks."""
    try:
        import fcntl
    except ImportError:
        return None
    handle = os.open(folder, os.O_RDONLY)
    try:
        fcntl.flock(handle, fcntl.LOCK_EX | fcntl.LOCK_NB)
    except OSError:
        os.close(handle)
        return None
    return handle
