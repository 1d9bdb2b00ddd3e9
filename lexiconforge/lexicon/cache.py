"""The compiled lexicon as a file of the user's cache folder: found, made, kept, cleared.

Room: decides where the file is and whether it is of today; imports the columns and the compiler. ``LEXICONFORGE_CACHE``
names another folder. A file is known by a digest of the sources' versions, the sound's tables and this program; it
is written whole or not at all, and of several processes that start at once one compiles and the others wait.
"""

from __future__ import annotations

import contextlib
import hashlib
import time
from array import array
from pathlib import Path

from lexiconforge.lexicon.columns import (
    UNFINISHED,
    Columns,
    Numbers,
    read_columns_file,
    write_columns_file,
)
from lexiconforge.locks import alone, cache_folder
from lexiconforge.sounds import Sound
from lexiconforge.sources import SOURCES
from lexiconforge.version import __version__

ENDING = ".lexicon"
KEPT = 6
"""Compiled files that stay, the latest used: sounds and tables that are tried in turn."""
ABANDONED = 3600
"""Seconds after which an unfinished file is nobody's."""
WAIT = 120
"""Seconds to wait for another process that compiles; then it is done here too."""
_ROOMS = ("phonology", "lexicon", "sources", "data")


def compiled(sound: Sound, *, keep: bool = True) -> Columns:
    """The columns of a sound: from the cache folder, or made and, if ``keep``, written there."""
    if not keep:
        return _made(sound)
    folder = cache_folder()
    path = folder / f"{sound.name}-{_digest(sound)}{ENDING}"
    found = read_columns_file(path)
    if found is not None:
        return found
    with contextlib.suppress(OSError):
        folder.mkdir(parents=True, exist_ok=True)
    with alone(path, wait=WAIT):
        found = read_columns_file(path)
        if found is None:
            found = _made(sound)
            write_columns_file(path, found)
            _clear(folder, path)
    return found


def _made(sound: Sound) -> Columns:
    # The compiler and the sources are for those who find no file.
    from lexiconforge.lexicon.compiling import compile_lexicon

    return compile_lexicon(sound)


def _digest(sound: Sound) -> str:
    digest = hashlib.sha256()
    for source in SOURCES:
        digest.update(f"{source.package} {source.version}\n".encode())
    digest.update(f"{__version__} {sound.fingerprint}\n".encode())
    home = Path(__file__).parent.parent
    for room in _ROOMS:
        for path in sorted((home / room).glob("*.*")):
            if path.suffix in (".py", ".csv"):
                digest.update(path.name.encode() + path.read_bytes())
    return digest.hexdigest()[:24]


def _clear(folder: Path, newest: Path) -> None:
    """Remove compiled files that have not been made lately."""
    with contextlib.suppress(OSError):
        files = sorted(folder.glob(f"*{ENDING}"), key=lambda path: path.stat().st_mtime, reverse=True)
        for old in [path for path in files if path != newest][KEPT - 1 :]:
            old.unlink()
        # What a killed process was writing; one that is at work has had its name for minutes at most.
        for left in folder.glob(f"{UNFINISHED}*"):
            if time.time() - left.stat().st_mtime > ABANDONED:
                left.unlink()


def joined(columns: Columns, made: dict[str, list[str] | Numbers]) -> Columns:
    """The columns with those of more words behind them."""
    both: dict[str, list[str] | Numbers] = {}
    readings, tokens = len(columns.text("phones")), len(columns.numbers("rule"))
    shifted = {"first_reading": readings, "main": readings, "first_token": tokens}
    names = columns.text("part_names") + [n for n in made["part_names"] if isinstance(n, str)]
    parts = array(
        "H", [n + len(columns.text("part_names")) for n in made["parts"] if isinstance(n, int)]
    )
    for name, column in made.items():
        if name == "part_names":
            both[name] = names
        elif name == "parts":
            both[name] = columns.numbers(name) + parts
        elif isinstance(column, list):
            both[name] = columns.text(name) + column
        else:
            moved = array(column.typecode, [n + shifted.get(name, 0) for n in column])
            # The first of a column of starts is the end of the one before.
            kept = columns.numbers(name)
            both[name] = (kept[:-1] if name.startswith("first_") else kept) + moved
    return Columns(both)
