"""What fuzzing found, and the seeds it started from, keep the promises that ``fuzz_readers`` states."""

from __future__ import annotations

from pathlib import Path

import pytest
from fuzz_readers import CASES, SEEDS, TARGETS
from hypothesis import given, settings
from hypothesis import strategies as st

FOUND = sorted(CASES.glob("*-*"))


@pytest.mark.parametrize("name", TARGETS)
def test_seeds(name: str) -> None:
    TARGETS[name](SEEDS[name])


@pytest.mark.parametrize("path", FOUND, ids=lambda path: path.name)
def test_what_fuzzing_found(path: Path) -> None:
    TARGETS[path.name.partition("-")[0]](path.read_bytes())


@given(st.sampled_from(sorted(TARGETS)), st.binary(max_size=200))
@settings(max_examples=120)
def test_any_bytes(name: str, data: bytes) -> None:
    TARGETS[name](data)


@given(st.sampled_from(sorted(TARGETS)), st.data())
@settings(max_examples=120)
def test_a_seed_with_a_piece_replaced(name: str, draw: st.DataObject) -> None:
    """Nearer to what people write than any bytes: most of the file is right."""
    seed = SEEDS[name]
    start = draw.draw(st.integers(0, len(seed)))
    end = draw.draw(st.integers(start, min(len(seed), start + 40)))
    piece = st.binary(max_size=4) | st.sampled_from([b",", b";", b'"', b"\r", b"\n", b"1", b"any", b"T"])
    TARGETS[name](seed[:start] + draw.draw(piece) + seed[end:])
