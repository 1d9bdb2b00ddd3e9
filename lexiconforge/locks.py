"""One holder at a time, across processes and systems. Room: wraps ``filelock``; knows folders and no words."""

from __future__ import annotations

import contextlib
import hashlib
import os
from collections.abc import Iterator
from pathlib import Path

FOLDER_VARIABLE = "LEXICONFORGE_CACHE"


def cache_folder() -> Path:
    """The user's folder for what can be made again; ``LEXICONFORGE_CACHE`` names another."""
    named = os.environ.get(FOLDER_VARIABLE)
    if named:
        return Path(named)
    from platformdirs import user_cache_path

    return user_cache_path("lexiconforge", appauthor=False)


@contextlib.contextmanager
def alone(thing: Path, *, wait: float = -1) -> Iterator[bool]:
    """Hold the lock of a file or folder while the block runs; the value says whether it is held.

    The lock stands in the cache folder, not beside the thing. ``wait`` is the most seconds to wait, -1 for no limit.
    Where no lock can be had the block runs without.
    """
    from filelock import FileLock, Timeout

    name = hashlib.sha256(str(thing.resolve()).encode("utf-8", "surrogateescape")).hexdigest()[:32]
    folder = cache_folder() / "locks"
    lock = FileLock(folder / f"{name}.lock", timeout=wait)
    held = False
    with contextlib.suppress(OSError, NotImplementedError, Timeout):
        folder.mkdir(parents=True, exist_ok=True)
        lock.acquire()
        held = True
    try:
        yield held
    finally:
        if held:
            lock.release()
