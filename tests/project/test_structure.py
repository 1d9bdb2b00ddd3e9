"""How the package is built: public names, docstrings, the length of functions, and which room may import which."""

from __future__ import annotations

import ast
import subprocess
import sys
from collections.abc import Iterator
from importlib import import_module
from pathlib import Path
from types import ModuleType

import pytest
from conftest import ROOT

import lexiconforge
from lexiconforge.lexicon import Lexicon

PACKAGE = ROOT / "lexiconforge"
MODULES = sorted(PACKAGE.rglob("*.py"))
NAMES = sorted(lexiconforge.__all__)
HOMES = {name: room for room, names in lexiconforge._ROOMS.items() for name in names}

ROOMS = (
    *(
        "version",
        "beside",
        "errors",
        "options",
        "data",
        "tables",
        "places",
        "locks",
        "phonology",
        "sounds",
        "sources",
        "lexicon",
    ),
    *("text", "lists", "teaching", "mining", "export", "building", "cli"),
)
"""Each imports from those before it."""
APART = {("teaching", "mining")}
"""And these do not meet, though their order would let them."""

MOST_LINES = 50
LONGER = {
    "phonology/spelling.py:_align_batch": "one dynamic programme, there and back, over arrays that all its steps share",
    "sounds/check.py:_made": "one constructor call: a field a table",
}
"""Functions of more lines, with why they are not taken apart."""


def tree(path: Path) -> ast.Module:
    return ast.parse(path.read_text(encoding="utf-8"))


def name_of(path: Path) -> str:
    return path.relative_to(PACKAGE).as_posix()


def test_what_is_public_is_said_once() -> None:
    assert sorted(HOMES) == NAMES
    assert len(lexiconforge.__all__) == len(set(NAMES))
    assert sum(map(len, lexiconforge._ROOMS.values())) == len(HOMES)
    assert set(NAMES) <= set(dir(lexiconforge))


def test_type_checkers_are_told_the_same_names() -> None:
    """The imports that only they read are those that are made at run time."""
    (block,) = (
        node
        for node in tree(PACKAGE / "__init__.py").body
        if isinstance(node, ast.If) and ast.unparse(node.test) == "TYPE_CHECKING"
    )
    told = {}
    for node in block.body:
        assert isinstance(node, ast.ImportFrom)
        for alias in node.names:
            told[alias.asname or alias.name] = node.module
    assert told == {name: f"lexiconforge.{room}" for name, room in HOMES.items()}


@pytest.mark.parametrize("name", NAMES)
def test_a_public_name_is_always_the_same_object(name: str) -> None:
    home = import_module(f"lexiconforge.{HOMES[name]}")
    first = getattr(lexiconforge, name)
    assert getattr(lexiconforge, name) is first is getattr(home, name)
    imported: dict[str, object] = {}
    exec(f"from lexiconforge import {name}", imported)
    assert imported[name] is first
    assert not isinstance(first, ModuleType)


def test_public_names_stay_when_every_module_is_imported() -> None:
    """An import of a module sets its name in its package, so a function of that name would be gone. In a process of
    its own: first the names, then the modules, then the names again."""
    code = """
import importlib, pkgutil, lexiconforge
before = {name: getattr(lexiconforge, name) for name in lexiconforge.__all__}
for module in pkgutil.walk_packages(lexiconforge.__path__, "lexiconforge."):
    if not module.name.endswith("__main__"):
        importlib.import_module(module.name)
changed = [name for name, thing in before.items() if getattr(lexiconforge, name) is not thing]
assert len(before) > 40 and not changed, changed
"""
    result = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=False)
    assert result.returncode == 0, result.stderr


def test_no_public_function_has_the_name_of_a_module() -> None:
    """Whoever reads ``words`` should know which. The files of commands alone are named by what they run."""
    modules = {path.stem if path.name != "__init__.py" else path.parent.name: path for path in MODULES
               if "cli" not in path.relative_to(PACKAGE).parts}  # fmt: skip
    assert {name: name_of(modules[name]) for name in NAMES if name in modules} == {}


def test_what_is_not_public_is_an_attribute_error() -> None:
    with pytest.raises(AttributeError, match="'lexiconforge' has no attribute 'word_lists'"):
        lexiconforge.word_lists  # noqa: B018


def assigned_with_docstring(module: ast.Module, name: str) -> bool:
    """Is this name assigned in the module, and the next statement a string?"""
    for statement, after in zip(module.body, module.body[1:], strict=False):
        targets = statement.targets if isinstance(statement, ast.Assign) else []
        if isinstance(statement, ast.AnnAssign):
            targets = [statement.target]
        if any(isinstance(target, ast.Name) and target.id == name for target in targets):
            return isinstance(after, ast.Expr) and isinstance(after.value, ast.Constant)
    return False


@pytest.mark.parametrize("name", NAMES)
def test_public_names_are_explained(name: str) -> None:
    """With a docstring of their own, not one that a base class or the machinery of dataclasses lends them."""
    thing = getattr(lexiconforge, name)
    home = Path(import_module(f"lexiconforge.{HOMES[name]}").__file__ or "")
    if not callable(thing):
        assert assigned_with_docstring(tree(home), name)
        return
    (written,) = (
        node
        for node in tree(home).body
        if isinstance(node, ast.FunctionDef | ast.ClassDef) and node.name == name
    )
    docstring = ast.get_docstring(written)
    assert docstring
    assert docstring.splitlines()[0].strip()


@pytest.mark.parametrize("path", MODULES, ids=name_of)
def test_every_module_says_in_one_line_what_it_is(path: Path) -> None:
    docstring = ast.get_docstring(tree(path))
    assert docstring, "no docstring"
    assert len(docstring.splitlines()[0]) > 20


def functions(path: Path) -> Iterator[tuple[str, int]]:
    """Functions of a module, with their lines, those of the docstring not counted."""
    for node in ast.walk(tree(path)):
        if isinstance(node, ast.FunctionDef | ast.AsyncFunctionDef):
            lines = (node.end_lineno or 0) - node.lineno + 1
            if ast.get_docstring(node) is not None:
                lines -= (node.body[0].end_lineno or 0) - node.body[0].lineno + 1
            yield f"{name_of(path)}:{node.name}", lines


def test_no_function_is_too_long_to_take_in() -> None:
    found = {name: lines for path in MODULES for name, lines in functions(path)}
    assert len(found) > 400
    long = {name: lines for name, lines in found.items() if lines > MOST_LINES}
    assert {name: lines for name, lines in long.items() if name not in LONGER} == {}
    assert LONGER.keys() <= long.keys(), "an exception that is not needed any more"


def imported(path: Path) -> Iterator[tuple[int, str]]:
    """Modules of ours that a module imports anywhere in it, also late and for types alone, with the line."""
    for node in ast.walk(tree(path)):
        if isinstance(node, ast.ImportFrom):
            assert node.level == 0, "a relative import"
            if node.module == "lexiconforge":
                yield from ((node.lineno, f"lexiconforge.{alias.name}") for alias in node.names)
            else:
                yield node.lineno, node.module or ""
        elif isinstance(node, ast.Import):
            yield from ((node.lineno, alias.name) for alias in node.names)


def room(parts: str) -> str:
    return parts.split(".")[0]


def test_rooms_import_only_downwards() -> None:
    here = {room(name_of(path).replace("/", ".")) for path in MODULES} - {"__init__", "__main__"}
    assert here == set(ROOMS)
    wrong = []
    seen = 0
    for path in MODULES:
        importer = room(name_of(path).replace("/", "."))
        if importer in ("__init__", "__main__"):
            continue
        for line, module in imported(path):
            if module != "lexiconforge" and not module.startswith("lexiconforge."):
                continue
            target = room(module.partition(".")[2])
            seen += 1
            if target not in ROOMS:
                wrong.append(f"{name_of(path)}:{line}: {module}, which is no room")
            elif ROOMS.index(target) > ROOMS.index(importer) or (importer, target) in APART:
                wrong.append(f"{name_of(path)}:{line}: {importer} imports {target}")
    assert seen > 150
    assert wrong == []


def test_what_needs_no_data_frame_loads_no_pandas(tmp_path: Path, lexicon: Lexicon) -> None:
    """In a process of its own, since this one has long loaded it; the compiled dictionary is at hand. ``tag`` and
    ``rules`` do without numpy too."""
    (tmp_path / "text.txt").write_text("Put it on.\n", encoding="utf-8")
    code = """
import sys, lexiconforge
from lexiconforge.cli import main
heavy = {"pandas", "numpy", "duckdb", "matplotlib", "scipy"}
words = ["words", "--allophone", "tap", "--limit", "3"]
for command in (None, ["tag", "water"], ["rules"], words, ["tag-text", sys.argv[1]]):
    assert command is None or main(command) == 0
    print("loaded", *sorted(heavy & sys.modules.keys()), file=sys.stderr)
"""
    command = [sys.executable, "-c", code, str(tmp_path / "text.txt")]
    result = subprocess.run(command, capture_output=True, text=True, check=False)
    assert result.returncode == 0, result.stderr
    loaded = [line.split()[1:] for line in result.stderr.splitlines() if line.startswith("loaded")]
    assert loaded[:3] == [[]] * 3
    assert [set(names) - {"numpy"} for names in loaded[3:]] == [set()] * 2
