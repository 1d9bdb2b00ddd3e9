"""One holder at a time, across processes and systems. Room: wraps ``filelock``; knows folders and no words."""

from __future__ import annotations

import contextlib
import hashlib
import logging
import os
import platform
from collections.abc import Iterator
from pathlib import Path

FOLDER_VARIABLE = "LEXICONFORGE_CACHE"
PATIENCE = 1
"""Seconds after which somebody who waits is told for whom."""


def cache_folder() -> Path:
    """The user's folder for what can be made again; ``LEXICONFORGE_CACHE`` names another."""
    named = os.environ.get(FOLDER_VARIABLE)
    if named:
        return Path(named)
    from platformdirs import user_cache_path

    return user_cache_path("lexiconforge", appauthor=False)


@contextlib.contextmanager
def alone(thing: Path, *, wait: float = -1) -> Iterator[bool | None]:
    """Hold the lock of a file or folder while the block runs.

    The lock stands in the cache folder, not beside the thing. ``wait`` is the most seconds to wait, -1 for no limit; who
    waits is told for whom, through ``logging``. The value is True where the lock is held, False where ``wait`` was not
    enough, and None where no lock can be had; the block runs all the same.
    """
    from filelock import FileLock, Timeout

    path = _lock_of(thing)
    held: bool | None = None
    with contextlib.suppress(OSError, NotImplementedError):
        path.parent.mkdir(parents=True, exist_ok=True)
        if path.is_file() or not path.exists():
            lock = FileLock(path)
            held = False
            patience = PATIENCE if wait < 0 else min(wait, PATIENCE)
            with contextlib.suppress(Timeout):
                held = _acquired(lock, patience)
            if not held and wait != patience:
                logging.getLogger(__name__).warning(
                    "waiting for %s, which works on %s", holder(thing), thing
                )
                with contextlib.suppress(Timeout):
                    held = _acquired(lock, wait - patience if wait >= 0 else -1)
    if held:
        with contextlib.suppress(OSError):
            path.with_suffix(".holder").write_text(
                f"process {os.getpid()} on {platform.node()}", "utf-8"
            )
    try:
        yield held
    finally:
        if held:
            lock.release()


def _acquired(lock: object, wait: float) -> bool:
    lock.acquire(timeout=wait)  # type: ignore[attr-defined]
    return True


def _lock_of(thing: Path) -> Path:
    name = hashlib.sha256(str(thing.resolve()).encode("utf-8", "surrogateescape")).hexdigest()[:32]
    return cache_folder() / "locks" / f"{name}.lock"


def holder(thing: Path) -> str:
    """Who holds the lock of a file or folder, or held it last."""
    with contextlib.suppress(OSError, UnicodeDecodeError):
        return _lock_of(thing).with_suffix(".holder").read_text("utf-8")
    return "another process"
