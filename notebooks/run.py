"""Runs the notebooks beside this file as Jupyter does and compares what their cells give with what is kept in them.

    python notebooks/run.py            # one line for each cell that gives something else
    python notebooks/run.py --write    # keep what they give

A picture is compared by its title, as its bytes change with the version of matplotlib.
"""

from __future__ import annotations

import ast
import contextlib
import io
import json
import sys
from collections.abc import Iterator
from pathlib import Path
from typing import Any

HERE = Path(__file__).parent
MIMES = {"text/html": "_repr_html_", "image/svg+xml": "_repr_svg_"}


def outputs(source: str, names: dict[str, Any], count: int) -> list[dict[str, Any]]:
    """What a cell prints, and what its last expression is, in the form of a notebook (nbformat 4)."""
    body = ast.parse(source).body
    last = body.pop() if body and isinstance(body[-1], ast.Expr) else None
    printed, value = io.StringIO(), None
    with contextlib.redirect_stdout(printed):
        exec(compile(ast.Module(body, []), "cell", "exec"), names)
        if isinstance(last, ast.Expr):
            value = eval(compile(ast.Expression(last.value), "cell", "eval"), names)
    found: list[dict[str, Any]] = []
    if printed.getvalue():
        found.append({"output_type": "stream", "name": "stdout", "text": lines(printed.getvalue())})
    if value is not None:
        data: dict[str, list[str]] = {"text/plain": lines(plain(value))}
        for mime, method in MIMES.items():
            text = getattr(value, method, lambda: None)()
            if text:
                data[mime] = lines(text)
        metadata = {"image/svg+xml": {"alt": plain(value)}} if "image/svg+xml" in data else {}
        found.append(
            {
                "output_type": "execute_result",
                "execution_count": count,
                "metadata": metadata,
                "data": data,
            }
        )
    return found


def plain(value: Any) -> str:
    """A picture by the title of its axes, everything else by its own words."""
    axes = getattr(value, "axes", None)
    if isinstance(axes, list) and hasattr(value, "savefig"):
        return " / ".join(one.get_title() for one in axes)
    return repr(value)


def lines(text: str) -> list[str]:
    """Text as a notebook keeps it."""
    return text.splitlines(keepends=True)


def told(kept: list[dict[str, Any]]) -> list[str]:
    """What is compared of outputs."""
    return ["".join(one.get("text") or one["data"]["text/plain"]) for one in kept]


def run(path: Path) -> tuple[dict[str, Any], list[str]]:
    """The notebook with its outputs anew, and a line for each cell that gives something else than was kept."""
    book = json.loads(path.read_text(encoding="utf-8"))
    names: dict[str, Any] = {"__name__": "__main__"}
    differences, count = [], 0
    for cell in book["cells"]:
        if cell["cell_type"] == "code":
            count += 1
            made = outputs("".join(cell["source"]), names, count)
            if told(made) != told(cell["outputs"]):
                differences.append(
                    f"{path.name}, cell {count}: {told(made)} is not {told(cell['outputs'])}"
                )
            cell["outputs"], cell["execution_count"] = made, count
    return book, differences


def notebooks() -> Iterator[Path]:
    """The notebooks, in order."""
    yield from sorted(HERE.glob("*.ipynb"))


if __name__ == "__main__":
    wrong = []
    for notebook in notebooks():
        again, found = run(notebook)
        wrong += found
        if "--write" in sys.argv:
            notebook.write_text(json.dumps(again, indent=1, ensure_ascii=False) + "\n", encoding="utf-8")
    print("\n".join(wrong) or "as kept")
    sys.exit(bool(wrong) and "--write" not in sys.argv)
