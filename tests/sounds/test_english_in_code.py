"""What is about English stands in tables: the code names no allophone, no environment and no word."""

from __future__ import annotations

import ast
import re
from collections.abc import Iterator
from pathlib import Path

import pytest

import lexiconforge
from lexiconforge.sounds import OURS, load_sound, plain

PACKAGE = Path(lexiconforge.__file__).parent
SOUNDS = tuple(load_sound(name) for name in ("t", "d"))
IDS = {
    *(name for sound in SOUNDS for name in (*sound.allophones, *sound.environments)),
    *(context.name for sound in SOUNDS for context in sound.contexts),
    *(rule.name for sound in SOUNDS for rule in sound.rules),
}
LABELS = {a.label for sound in SOUNDS for a in sound.allophones.values()} | {
    label for sound in SOUNDS for label in sound.environments.values()
}
KINDS = {kind.kind for sound in SOUNDS for kind in sound.contrasts}
LISTS = {target.name for sound in SOUNDS for target in sound.lists}
WORDS = {word for sound in SOUNDS for word in (*sound.exceptions, *sound.weak_forms)}
NAMES = IDS | LABELS | KINDS | LISTS

EXAMPLE = "help: an example of what to type"
ALLOWED = {
    ("cli/words.py", "glottal stop"): EXAMPLE,
    ("cli/words.py", "aspirated stop"): EXAMPLE,
    ("cli/words.py", "between vowels"): EXAMPLE,
    ("cli/words.py", "after r"): EXAMPLE,
    ("cli/rhymes.py", "glottal stop"): EXAMPLE,
    ("cli/rhymes.py", "aspirated stop"): EXAMPLE,
    ("cli/rhymes.py", "between vowels"): EXAMPLE,
    ("cli/rhymes.py", "after r"): EXAMPLE,
    ("cli/plan.py", "between vowels"): EXAMPLE,
    ("cli/plan.py", "after r"): EXAMPLE,
}
"""Strings that may stand in a file all the same, with the reason."""


def docstrings(tree: ast.AST) -> set[int]:
    """The nodes of strings that stand alone: of modules, classes and functions, and below constants."""
    return {
        id(node.value)
        for node in ast.walk(tree)
        if isinstance(node, ast.Expr) and isinstance(node.value, ast.Constant)
    }


def strings(path: Path) -> Iterator[tuple[int, str]]:
    """Every string of a file that is no docstring, with its line."""
    tree = ast.parse(path.read_text(encoding="utf-8"))
    left_out = docstrings(tree)
    for node in ast.walk(tree):
        if isinstance(node, ast.Constant) and isinstance(node.value, str) and id(node) not in left_out:
            yield node.lineno, node.value


def compared(path: Path) -> Iterator[tuple[int, str]]:
    """Every string that decides something: compared, looked up, a case, a value to be found among others."""
    tree = ast.parse(path.read_text(encoding="utf-8"))
    for node in ast.walk(tree):
        parts: list[ast.AST] = []
        if isinstance(node, ast.Compare):
            parts = [node.left, *node.comparators]
        elif isinstance(node, ast.Subscript):
            parts = [node.slice]
        elif isinstance(node, ast.MatchValue):
            parts = [node.value]
        elif isinstance(node, ast.Dict):
            parts = [key for key in node.keys if key is not None]
        elif isinstance(node, ast.Call) and isinstance(node.func, ast.Attribute):
            parts = list(node.args) if node.func.attr in ("get", "index", "count", "startswith") else []
        for part in parts:
            for inner in ast.walk(part):
                if isinstance(inner, ast.Constant) and isinstance(inner.value, str):
                    yield inner.lineno, inner.value


FILES = sorted(PACKAGE.rglob("*.py"))


def names(paths: list[Path]) -> list[str]:
    return [path.relative_to(PACKAGE).as_posix() for path in paths]


@pytest.mark.parametrize("path", FILES, ids=names(FILES))
def test_no_name_of_several_words(path: Path) -> None:
    # However it is typed: with spaces, hyphens or underscores, in any case (sounds.plain).
    several = sorted((name for name in map(plain, NAMES) if " " in name), key=len, reverse=True)
    wanted = re.compile("|".join(rf"(?<!\w){re.escape(name)}(?!\w)" for name in several))
    shown = path.relative_to(PACKAGE).as_posix()
    found = [(line, match[0]) for line, text in strings(path) for match in wanted.finditer(plain(text))]
    assert [one for one in found if (shown, one[1]) not in ALLOWED] == []


@pytest.mark.parametrize("path", FILES, ids=names(FILES))
def test_nothing_hangs_on_a_name_or_a_word(path: Path) -> None:
    shown = path.relative_to(PACKAGE).as_posix()
    # A context of one letter, as l, is a letter to the code of spelling.
    known = {name for name in NAMES | WORDS if len(name) > 1}
    found = [(line, text) for line, text in compared(path) if text in known]
    assert [one for one in found if (shown, one[1]) not in ALLOWED] == []


def test_what_is_allowed_is_there_and_is_a_name() -> None:
    for file, text in ALLOWED:
        assert text in NAMES, text
        assert any(text in plain(inner) for _, inner in strings(PACKAGE / file)), (file, text)


def test_the_scan_sees_what_it_looks_for(tmp_path: Path) -> None:
    path = tmp_path / "code.py"
    path.write_text(
        '"""A tap between vowels."""\n'
        'x = "the glottal stop of it"\n'
        'if y == "tap" or y in ("elided", 1) or table["stop"] or table.get("to"): pass\n'
        'z = f"{x} after r {y}"\n',
        encoding="utf-8",
    )
    assert (2, "the glottal stop of it") in strings(path)
    assert " after r " in [text for _, text in strings(path)]
    assert sorted(text for _, text in compared(path)) == ["elided", "stop", "tap", "to"]
    assert {"tap", "glottal stop", "elided", "after r"} <= NAMES
    assert "to" in WORDS
    assert OURS.is_relative_to(PACKAGE)
