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
@settings(max_examples=300)
def test_any_bytes(name: str, data: bytes) -> None:
    TARGETS[name](data)
