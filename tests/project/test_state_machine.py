"""Commands in one folder in any order, with killed runs, full disks and locked places in between.

What always holds: no file of the user's changes that was not named by --out, and each file of a delivery is whole.
"""

from __future__ import annotations

import contextlib
import errno
import os
import shutil
import tempfile
from collections.abc import Iterator
from pathlib import Path
from unittest import mock

import pytest
from hypothesis import settings
from hypothesis import strategies as st
from hypothesis.stateful import RuleBasedStateMachine, invariant, rule

from lexiconforge.building import _Maker
from lexiconforge.cli import main
from lexiconforge.export import folder as folder_module
from lexiconforge.tables import Table
from lexiconforge.teaching.planning import PLAN_COLUMNS, PlanOptions

pytestmark = pytest.mark.usefixtures("few_only")

NAMES = (
    "list.csv", "list.xlsx", "page.html", "counts.parquet", "plan.csv", "lesson-01.csv", "lesson-02.csv", "words.csv",
    "manifest.json", "lists/tap.csv", "plan/plan.csv", "plan/lesson-02.csv", "out/words.csv", "out/lists/tap.csv",
    "out/.lexiconforge-complete-x/words.csv", ".lexiconforge-unfinished-x/list.csv", ".complete-x/list.csv", "notes.txt",
)  # fmt: skip
FAULTS = st.sampled_from(["", "", "full", "killed", "killed", "refused"])
PLACES = st.sampled_from([".", "plan", "out"])


def few_tables(maker: _Maker) -> Iterator[tuple[str, str, Table]]:
    """Where files go does not depend on what is in them."""
    yield "words.csv", "Words", Table.of_rows("words", ("word",), [("water",)])
    yield "lists/tap.csv", "Taps", Table.of_rows("list", ("word",), [("water",)])


def few_lessons(lexicon: object, pairs: object, options: PlanOptions) -> Table:
    rows = [[number, *[""] * (len(PLAN_COLUMNS) - 1)] for number in range(1, options.lessons + 1)]
    return Table.of_rows("plan", PLAN_COLUMNS, rows)


class KilledError(BaseException):
    """The process is gone: nothing is cleared up."""


@contextlib.contextmanager
def fault(kind: str, at: int) -> Iterator[None]:
    """Something that happens at the n-th file that is written or moved."""
    counts = {"written": 0, "moved": 0}
    write, move, clear = folder_module.write_file, folder_module._replace, shutil.rmtree
    dead = False

    def written(path: Path, content: bytes) -> None:
        counts["written"] += 1
        if kind == "full" and counts["written"] > at:
            path.write_bytes(content[: len(content) // 2])
            raise OSError(errno.ENOSPC, os.strerror(errno.ENOSPC), str(path))
        write(path, content)

    def moved(path: Path, target: Path) -> None:
        nonlocal dead
        counts["moved"] += 1
        if kind == "killed" and counts["moved"] > at:
            dead = True
            raise KilledError
        if kind == "refused" and counts["moved"] == at + 1:
            raise PermissionError(errno.EACCES, os.strerror(errno.EACCES), str(target))
        move(path, target)

    def cleared(path: Path, **options: object) -> None:
        if not dead:
            clear(path, ignore_errors=True)

    with (
        mock.patch.object(folder_module, "write_file", written),
        mock.patch("lexiconforge.building.write_file", written),
        mock.patch.object(folder_module, "_replace", moved),
        mock.patch.object(shutil, "rmtree", cleared),
        mock.patch.object(_Maker, "tables", few_tables),
        mock.patch("lexiconforge.building._graded", lambda lexicon, options: (lexicon, None)),
        mock.patch("lexiconforge.teaching.planning.plan_table", few_lessons),
    ):
        yield


class OneFolder(RuleBasedStateMachine):
    def __init__(self) -> None:
        super().__init__()
        self.folder = Path(tempfile.mkdtemp(prefix="one-folder-"))
        self.before = Path.cwd()
        os.chdir(self.folder)
        (self.folder / "a.txt").write_text("Put it on the table. Get it out!\n", encoding="utf-8")
        self.users = {"a.txt": (self.folder / "a.txt").read_bytes()}

    def teardown(self) -> None:
        os.chdir(self.before)
        for path in [self.folder, *self.folder.rglob("*")]:
            if path.is_dir():
                path.chmod(0o755)
        shutil.rmtree(self.folder)

    def command(self, arguments: list[str], kind: str, at: int, named: str = "") -> None:
        with fault(kind, at):
            code = main(arguments)
        assert code in ((70,) if kind == "killed" else ()) + (0, 1, 2), (arguments, code)
        # A file that --out names is the program's from then on, unless the command said that it did nothing.
        if code != 2:
            for name in (named, f"{named}-metadata.json"):
                self.users.pop(name, None)

    @rule(name=st.sampled_from(NAMES), content=st.binary(max_size=8))
    def write_a_file(self, name: str, content: bytes) -> None:
        path = self.folder / name
        if path.is_dir() or any(above.is_file() for above in path.parents):
            return
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_bytes(content)
        self.users[name] = content

    @rule(name=st.sampled_from(["list.csv", "list.xlsx"]), kind=FAULTS, at=st.integers(0, 1))
    def words(self, name: str, kind: str, at: int) -> None:
        self.command(["words", "--limit", "3", "--out", name], kind, at, name)

    @rule(kind=FAULTS)
    def handout(self, kind: str) -> None:
        self.command(["handout", "list.csv", "--out", "page.html"], kind, 0, "page.html")

    @rule(
        place=PLACES, lessons=st.integers(1, 2), kind=FAULTS, at=st.integers(0, 5), reads=st.booleans()
    )
    def plan(self, place: str, lessons: int, kind: str, at: int, reads: bool) -> None:
        own = ["--frequencies", "words.csv"] if reads else []
        self.command(["plan", "--lessons", str(lessons), "--words", "3", "--out", place, *own], kind, at)

    @rule(place=PLACES, kind=FAULTS, at=st.integers(0, 40))
    def build(self, place: str, kind: str, at: int) -> None:
        self.command(["build", "--size", "3", "--out", place], kind, at)

    @rule()
    def mine(self) -> None:
        self.command(["mine", "a.txt", "--out", "counts.parquet"], "", 0, "counts.parquet")

    @rule(arguments=st.sampled_from([
        ["mine", "a.txt", "--out", "a.txt"], ["words", "--starting-after", "list.csv", "--out", "list.csv"],
        ["tag-text", "a.txt", "--out", "a.txt"],
        ["practice", "--words", "list.csv", "--texts", "a.txt", "--out", "list.csv"],
    ]))  # fmt: skip
    def write_over_an_input(self, arguments: list[str]) -> None:
        assert main(arguments) == 2

    @rule(place=PLACES, mode=st.sampled_from([0o555, 0o755]))
    def chmod(self, place: str, mode: int) -> None:
        if (self.folder / place).is_dir():
            (self.folder / place).chmod(mode)

    @invariant()
    def nothing_of_the_users_has_changed(self) -> None:
        for name, content in self.users.items():
            assert (self.folder / name).read_bytes() == content, name


EXAMPLES = int(os.environ.get("LEXICONFORGE_EXAMPLES", "12"))
"""How many histories of a folder are tried; the campaigns ask for more."""
OneFolder.TestCase.settings = settings(max_examples=EXAMPLES, stateful_step_count=10, deadline=None)
TestOneFolder = pytest.mark.campaign(OneFolder.TestCase)
