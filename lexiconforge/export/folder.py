"""Files that appear whole or not at all: written beside their place, moved in when all are complete.

Room: writes; knows bytes and names, no tables.
"""

from __future__ import annotations

import contextlib
import errno
import os
import shutil
import tempfile
from collections.abc import Callable, Collection, Iterator, Mapping
from pathlib import Path

from lexiconforge.beside import uninterrupted
from lexiconforge.errors import WriteError
from lexiconforge.locks import alone, holder
from lexiconforge.places import MARKER, check_folder, check_target, is_own, not_a_file, own_folder, real

_UNFINISHED = ".lexiconforge-unfinished-"
_COMPLETE = ".lexiconforge-complete-"
_BEFORE = ".before"
LONGEST_WAIT = 600
"""Seconds to wait for another run that writes into the same folder."""


@contextlib.contextmanager
def delivery(
    folder: Path,
    replacing: Collection[str] = (),
    reading: Collection[Path] = (),
    over: Callable[[], Collection[str]] | None = None,
) -> Iterator[Path]:
    """A scratch folder whose files move into ``folder`` when the block ends well: all of them or none.

    Files named in ``replacing`` that the block does not make are then removed. ``reading`` are files that must not be
    written over; if ``over`` is given, only files that it names may be,
    asked when no other delivery is at work. The folder is made if it is missing; a link is
    left, and the file that it leads to is written. If the block raises, nothing of it stays. One delivery at a time: a
    second one into the same folder waits for the first. What a killed process of the same user left is cleared, or, where
    it was complete and on its way, moved in, but not over files that are newer. Raises
    :class:`~lexiconforge.errors.WriteError`.
    """
    _make(folder)
    with alone(folder, wait=LONGEST_WAIT) as held:
        if held is False:
            raise WriteError(
                f"{folder}: {holder(folder)} has been writing here for {LONGEST_WAIT // 60} minutes; "
                "end it, or choose another place with --out"
            )
        _recover(folder)
        ours: list[Path] = []
        try:
            try:
                # An interrupt waits until the folder is one that is cleared up.
                with uninterrupted():
                    scratch = own_folder(folder, _UNFINISHED)
                    complete = scratch.with_name(scratch.name.replace(_UNFINISHED, _COMPLETE, 1))
                    ours += [scratch, complete]
            except OSError as error:
                raise WriteError(f"cannot write in {folder}: {error.strerror}") from None
            yield scratch
            made = _files(scratch)
            _check(folder, scratch, made, reading)
            if over is not None:
                _check_foreign(folder, over(), made)
            with uninterrupted():
                _move_in(scratch.rename(complete), folder, made)
                _remove(folder, set(replacing) - set(made))
        except OSError as error:
            place = Path(error.filename) if error.filename else folder
            for inside in ours:
                if place.is_relative_to(inside):
                    place = folder / place.relative_to(inside)
            raise WriteError(f"cannot write {place}: {error.strerror}") from None
        finally:
            for inside in ours:
                shutil.rmtree(inside, ignore_errors=True)


def _make(folder: Path) -> None:
    try:
        folder.mkdir(parents=True, exist_ok=True)
    except (FileExistsError, NotADirectoryError):
        raise WriteError(f"{folder} is a file, not a folder; choose another place with --out") from None
    except (OSError, ValueError) as error:
        reason = error.strerror if isinstance(error, OSError) else error
        raise WriteError(f"cannot make the folder {folder}: {reason}") from None


def _files(scratch: Path) -> list[str]:
    """The files of a scratch folder by their names in it, without what is ours."""
    found = (path.relative_to(scratch) for path in sorted(scratch.rglob("*")) if not path.is_dir())
    return [name.as_posix() for name in found if name.name != MARKER and name.parts[0] != _BEFORE]


def _check(folder: Path, scratch: Path, made: Collection[str], reading: Collection[Path]) -> None:
    """Raises WriteError for a place where a file or folder of a delivery cannot go."""
    for path in scratch.rglob("*"):
        target = folder / path.relative_to(scratch)
        if path.is_dir() and target.exists() and not target.is_dir():
            raise WriteError(f"cannot write {target}: there is a file of that name")
    for name in made:
        kind = not_a_file(folder / name)
        if kind:
            raise WriteError(f"cannot write {folder / name}: there is {kind} of that name")
        for one in reading:
            with contextlib.suppress(OSError):
                if (folder / name).samefile(one):
                    raise WriteError(
                        f"{folder / name} is read in this run; write to another place with --out"
                    )


def _check_foreign(folder: Path, over: Collection[str], made: Collection[str]) -> None:
    """Raises WriteError for a file of somebody else's."""
    for name in made:
        if name not in over and (folder / name).exists():
            raise WriteError(
                f"{folder / name} is not as this program wrote it, or not of its making; choose another place with "
                "--out, or replace it with --force"
            )


def _recover(folder: Path) -> None:
    """Move in, or clear, what killed processes of this user left. What is not ours, or cannot be moved, stays."""
    with contextlib.suppress(OSError):
        for complete in filter(is_own, folder.glob(f"{_COMPLETE}*")):
            with contextlib.suppress(OSError):
                _move_in(
                    complete, folder, [name for name in _files(complete) if _may_come(complete, name)]
                )
            shutil.rmtree(complete, ignore_errors=True)
        for stale in filter(is_own, folder.glob(f"{_UNFINISHED}*")):
            shutil.rmtree(stale, ignore_errors=True)


def _may_come(complete: Path, name: str) -> bool:
    """May a file that was left take its place, where nothing newer stands and no link leads elsewhere?"""
    target = complete.parent / name
    with contextlib.suppress(OSError):
        if target.exists() and target.stat().st_mtime_ns > (complete / name).stat().st_mtime_ns:
            return False
        above = [complete.parent / one for one in Path(name).parents if one.name]
        return not not_a_file(target) and not any(one.is_symlink() for one in (target, *above))
    return False


def _move_in(complete: Path, folder: Path, names: Collection[str]) -> None:
    """Move files of a complete scratch folder to their places: all, or none and OSError; then remove it."""
    done: list[tuple[Path, Path | None]] = []
    before = complete / _BEFORE
    before.mkdir(exist_ok=True)
    try:
        for number, name in enumerate(names):
            target = real(folder / name)
            target.parent.mkdir(parents=True, exist_ok=True)
            kept = None
            if target.exists():
                kept = before / str(number)
                _copy(target, kept)
            done.append((target, kept))
            _replace(complete / name, target)
    except OSError:
        for target, kept in reversed(done):
            with contextlib.suppress(OSError):
                if kept is None:
                    target.unlink(missing_ok=True)
                elif kept.exists():
                    _replace(kept, target)
        raise
    shutil.rmtree(complete, ignore_errors=True)


def _copy(path: Path, to: Path) -> None:
    """A second name of a file, or a copy where the file system has no second names."""
    try:
        to.hardlink_to(path)
    except OSError:
        shutil.copy2(path, to)


def _replace(path: Path, target: Path) -> None:
    """Move a file to its place, whole, also where a link has led to another file system."""
    try:
        path.replace(target)
    except OSError as error:
        if error.errno != errno.EXDEV:
            raise OSError(error.errno, error.strerror, str(target)) from None
        handle, name = tempfile.mkstemp(prefix=_UNFINISHED, dir=target.parent)
        os.close(handle)
        try:
            shutil.copyfile(path, name)
            Path(name).replace(target)
        finally:
            Path(name).unlink(missing_ok=True)


def _remove(folder: Path, names: Collection[str]) -> None:
    """Remove files of this folder, and folders that are then empty."""
    for name in names:
        path = folder / name
        if ".." not in path.parts and not Path(name).is_absolute():
            path.unlink(missing_ok=True)
            if path.parent != folder:
                with contextlib.suppress(OSError):
                    path.parent.rmdir()


def check_build_folder(folder: Path) -> None:
    """Raises :class:`~lexiconforge.errors.WriteError` unless files can be written in this folder, which may be missing."""
    kind = not_a_file(folder)
    if kind not in ("", "a folder") or folder.is_file():
        raise WriteError(
            f"{folder} is {kind or 'a file'}, not a folder; choose another place with --out"
        )
    try:
        check_folder(folder, folder)
    except (OSError, ValueError) as error:
        reason = error.strerror if isinstance(error, OSError) else error
        raise WriteError(f"cannot write {folder}: {reason}") from None


def write_whole(files: Mapping[Path, bytes], reading: Collection[Path] = ()) -> None:
    """Write files of one folder, which must be there: all of them or none.

    Raises :class:`~lexiconforge.errors.WriteError`, also for a file that is ``reading``.
    """
    for path in files:
        check_target(path, reading)
    with delivery(next(iter(files)).parent) as scratch:
        for path, content in files.items():
            write_file(scratch / path.name, content)


def write_file(path: Path, content: bytes) -> None:
    """Write one file of a delivery. Raises OSError that names it, which Python's own does not when a disk is full."""
    try:
        path.write_bytes(content)
    except OSError as error:
        raise OSError(error.errno, error.strerror, str(path)) from None
