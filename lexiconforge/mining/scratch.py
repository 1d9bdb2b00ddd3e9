"""Scratch folders that do not outlive the next run, even of a process that was killed."""

from __future__ import annotations

import contextlib
import os
import shutil
import tempfile
from collections.abc import Iterator
from pathlib import Path

from filelock import FileLock, Timeout

from lexiconforge.beside import uninterrupted
from lexiconforge.errors import MiningError
from lexiconforge.places import MARKER, is_own, is_own_file

PREFIX, LOCK = "lexiconforge-scratch-", ".lock"


@contextlib.contextmanager
def scratch_folder() -> Iterator[Path]:
    """A folder in the system's place for temporary files, gone when the block ends.

    A lock file beside it is held while it is used. Folders with our marker, of the same user, whose lock nobody holds
    are what killed processes left, and are cleared first. Raises :class:`~lexiconforge.errors.MiningError`.
    """
    try:
        # Python finds the place by writing a file into it.
        with uninterrupted():
            place = Path(tempfile.gettempdir())
    except OSError as error:
        raise MiningError(
            f"no place for scratch files: {error.strerror}; name one with TMPDIR"
        ) from None
    with contextlib.ExitStack() as made:
        try:
            for left in place.glob(f"{PREFIX}*{LOCK}"):
                _clear(left)
            # An interrupt comes before there is anything, or when all that there is will be cleared.
            with uninterrupted():
                folder = _make(place, made)
        except OSError as error:
            raise MiningError(
                f"cannot make scratch files in {place}: {error.strerror}; choose another place with TMPDIR"
            ) from None
        yield folder


def _make(place: Path, made: contextlib.ExitStack) -> Path:
    """A locked folder of ours, what clears it on the stack as it is made."""
    # The lock comes first: a run that clears never meets the folder without it.
    handle, name = tempfile.mkstemp(prefix=PREFIX, suffix=LOCK, dir=place)
    made.callback(Path(name).unlink, missing_ok=True)
    os.close(handle)
    lock = FileLock(name)
    lock.acquire()
    made.callback(lock.release)
    folder = Path(name).with_suffix("")
    made.callback(shutil.rmtree, folder, ignore_errors=True)
    folder.mkdir(mode=0o700)
    (folder / MARKER).write_bytes(b"")
    return folder


def _clear(left: Path) -> None:
    """Remove a lock file that nobody holds, and its folder; whatever is not ours stays."""
    folder = left.with_suffix("")
    if not is_own_file(left) or (os.path.lexists(folder) and not is_own(folder)):
        return
    with contextlib.suppress(OSError, Timeout):
        with FileLock(left, timeout=0):
            shutil.rmtree(folder, ignore_errors=True)
        left.unlink(missing_ok=True)
