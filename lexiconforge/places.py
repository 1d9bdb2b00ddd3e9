"""Files and folders of the user's: read with a limit, looked at before they are written, told from our own.

Room: knows the file system and no words. A pipe or device never holds a run up, a folder of ours carries a marker,
and what has none is never cleared.
"""

from __future__ import annotations

import contextlib
import errno
import os
import shutil
import stat
import tempfile
from collections.abc import Iterable
from pathlib import Path

from lexiconforge.errors import ReadError, WriteError

MARKER = ".made-by-lexiconforge"
MOST_BYTES = 64 << 20
"""Of a file that is read whole: a list, a supplement, a text to tag."""
LEAST_ROOM = 64 << 10
"""Bytes that a disk must have left before work starts."""


def kind_of(mode: int) -> str:
    """What a file is, by its ``st_mode``, as in *a pipe*; ``""`` for a regular file."""
    kinds = (
        (stat.S_ISDIR, "a folder"),
        (stat.S_ISFIFO, "a pipe"),
        (stat.S_ISSOCK, "a socket"),
        (stat.S_ISCHR, "a device"),
        (stat.S_ISBLK, "a device"),
    )
    return next((kind for test, kind in kinds if test(mode)), "")


def not_a_file(path: Path) -> str:
    """What stands where a file should, as in *a pipe*; ``""`` for a regular file, or where there is nothing."""
    with contextlib.suppress(OSError):
        return kind_of(path.stat().st_mode)
    return ""


def read_whole(path: Path, most: int = MOST_BYTES) -> bytes:
    """The bytes of a regular file. Raises :class:`~lexiconforge.errors.ReadError` for one that is missing, may not be
    read, is larger than ``most`` or no regular file; the message has no name in it."""
    # Opening a pipe would wait for its other end.
    try:
        handle = os.open(path, os.O_RDONLY | getattr(os, "O_NONBLOCK", 0) | getattr(os, "O_BINARY", 0))
    except OSError as error:
        kind = not_a_file(path)
        raise ReadError(f"{kind}, not a file" if kind else error.strerror or str(error)) from None
    except ValueError as error:  # a NUL in the name
        raise ReadError(str(error)) from None
    kind = kind_of(os.fstat(handle).st_mode)
    if kind:
        os.close(handle)
        raise ReadError(f"{kind}, not a file")
    try:
        with open(handle, "rb") as file:  # noqa: PTH123 - a descriptor, not a path
            content = file.read(most + 1)
    except OSError as error:
        raise ReadError(error.strerror or str(error)) from None
    if len(content) > most:
        raise ReadError(f"larger than {most >> 20} MB")
    return content


def check_target(path: Path, reading: Iterable[Path] = ()) -> None:
    """Raises :class:`~lexiconforge.errors.WriteError` unless a file may be written here, before any work: the folder is
    there, may be written and has room left, and nothing stands here but a file that may be replaced and is not ``reading``.
    """
    try:
        kind = not_a_file(path)
        if kind:
            raise WriteError(f"{path} is {kind}; name a file with --out")
        for one in reading:
            with contextlib.suppress(OSError):
                if path.samefile(one):
                    raise WriteError(f"{path} is read in this run; write to another place with --out")
        # A link stays, and the file it leads to is written.
        folder = real(path).parent
        if not folder.is_dir():
            what = "a file, not a folder" if folder.exists() else "no folder"
            raise WriteError(f"cannot write {path}: there is {what} {folder}")
        check_folder(folder, path)
        if path.exists() and not os.access(path, os.W_OK):
            raise WriteError(f"cannot write {path}: it is protected against writing")
    except (OSError, ValueError) as error:
        reason = error.strerror if isinstance(error, OSError) else error
        raise WriteError(f"cannot write {path}: {reason}") from None


def check_folder(folder: Path, thing: Path) -> None:
    """Raises WriteError that names the thing, unless files can be made in this folder, or in the nearest above that is
    there."""
    there = next((one for one in (folder, *folder.absolute().parents) if one.exists()), None)
    if there is None:
        return
    if not there.is_dir():
        raise WriteError(f"{there} is a file, not a folder; choose another place with --out")
    if not os.access(there, os.W_OK | os.X_OK):
        read_only = hasattr(os, "statvfs") and os.statvfs(there).f_flag & getattr(os, "ST_RDONLY", 0)
        raise WriteError(
            f"cannot write {thing}: {os.strerror(errno.EROFS if read_only else errno.EACCES)}"
        )
    if shutil.disk_usage(there).free < LEAST_ROOM:
        raise WriteError(f"cannot write {thing}: {os.strerror(errno.ENOSPC)}")


def real(path: Path) -> Path:
    """The file that a link leads to, at whatever it ends; other paths as they are. Raises OSError for a circle."""
    if not path.is_symlink():
        return path
    try:
        found = path.resolve(strict=False)
    except RuntimeError:  # what Python before 3.13 says of a circle; later ones give a link of it
        found = path
    if found.is_symlink():
        raise OSError(errno.ELOOP, os.strerror(errno.ELOOP), str(path))
    return found


def own_folder(parent: Path, prefix: str) -> Path:
    """A new folder with our marker. Raises OSError."""
    folder = Path(tempfile.mkdtemp(prefix=prefix, dir=parent))
    try:
        (folder / MARKER).write_bytes(b"")
    except OSError:
        shutil.rmtree(folder, ignore_errors=True)
        raise
    return folder


def is_own(folder: Path) -> bool:
    """Is this a folder that :func:`own_folder` made for this user, and without links in it?"""
    try:
        inside = [folder / MARKER, *folder.rglob("*")]
        return stat.S_ISDIR(folder.lstat().st_mode) and all(
            _is_users(path.lstat()) for path in (folder, *inside)
        )
    except OSError:
        return False


def is_own_file(path: Path) -> bool:
    """Is this a regular file of this user's, and no link?"""
    with contextlib.suppress(OSError):
        status = path.lstat()
        return stat.S_ISREG(status.st_mode) and _is_users(status)
    return False


def _is_users(status: os.stat_result) -> bool:
    """A folder or file, no link, of the user who runs this."""
    kind = stat.S_ISDIR(status.st_mode) or stat.S_ISREG(status.st_mode)
    return kind and (not hasattr(os, "geteuid") or status.st_uid == os.geteuid())
