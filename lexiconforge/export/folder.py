"""Files that appear whole or not at all: written beside their place, moved in when all are complete."""

from __future__ import annotations

import contextlib
import shutil
import signal
import tempfile
from collections.abc import Collection, Iterator, Mapping
from pathlib import Path

from lexiconforge.errors import WriteError
from lexiconforge.locks import alone

_UNFINISHED = ".unfinished-"
_COMPLETE = ".complete-"


@contextlib.contextmanager
def delivery(folder: Path, replacing: Collection[str] = ()) -> Iterator[Path]:
    """A scratch folder whose files move into ``folder`` when the block ends well.

    Files named in ``replacing`` that the block does not make are then removed.

    The folder is made if it is missing. If the block raises, nothing of it stays. One delivery at a time: a
    second one into the same folder waits for the first. What a killed process left is cleared, or, where it
    was complete and on its way, moved in. Raises :class:`~lexiconforge.errors.WriteError`.
    """
    try:
        folder.mkdir(parents=True, exist_ok=True)
    except (FileExistsError, NotADirectoryError):
        raise WriteError(f"{folder} is a file, not a folder; choose another place with --out") from None
    except OSError as error:
        raise WriteError(f"cannot make the folder {folder}: {error.strerror}") from None
    with alone(folder):
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
                made = {path.relative_to(scratch).as_posix() for path in scratch.rglob("*")}
                _move_in(scratch.rename(complete), folder)
                _remove(folder, set(replacing) - made)
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


def _remove(folder: Path, names: Collection[str]) -> None:
    """Remove files of this folder, and folders that are then empty."""
    for name in names:
        path = folder / name
        if ".." not in path.parts and not Path(name).is_absolute():
            path.unlink(missing_ok=True)
            with contextlib.suppress(OSError):
                path.parent.rmdir()


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


def write_whole(files: Mapping[Path, bytes]) -> None:
    """Write files of one folder, which must be there: all of them or none.

    Raises :class:`~lexiconforge.errors.WriteError`.
    """
    first = next(iter(files))
    for path in files:
        if path.is_dir():
            raise WriteError(f"{path} is a folder; name a file")
    if not first.parent.is_dir():
        raise WriteError(f"cannot write {first}: there is no folder {first.parent}")
    with delivery(first.parent) as scratch:
        for path, content in files.items():
            write_file(scratch / path.name, content)


def write_file(path: Path, content: bytes) -> None:
    """Write one file of a delivery. Raises OSError that names it, which Python's own does not when a disk is full."""
    try:
        path.write_bytes(content)
    except OSError as error:
        raise OSError(error.errno, error.strerror, str(path)) from None
