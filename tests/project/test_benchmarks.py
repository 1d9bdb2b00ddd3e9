"""What is measured is what is promised: the floor of a build has its size, and each part does what it is named for."""

from __future__ import annotations

from itertools import pairwise
from pathlib import Path

import floor_build
import mining
import pytest
import speed

from lexiconforge.building import build
from lexiconforge.lexicon import Lexicon
from lexiconforge.text.normalising import sentences


@pytest.mark.campaign
def test_the_floor_writes_as_much_as_a_build(tmp_path: Path) -> None:
    result = build(tmp_path)
    sizes = {}
    for name, rows in result.rows.items():
        head = (tmp_path / name).open(encoding="utf-8").readline()
        sizes[name.removesuffix(".csv")] = (rows, len(head.split(",")))
    assert sizes == floor_build.TABLES


def test_a_passage_is_as_long_as_it_says(tmp_path: Path) -> None:
    written = speed.write_passage(tmp_path / "text.txt", 2_000)
    text = (tmp_path / "text.txt").read_text(encoding="utf-8")
    assert written == len(text.split())
    assert 2_000 <= written < 2_100


def test_the_text_to_mine_is_of_its_size_and_every_counter_finds_the_same(tmp_path: Path) -> None:
    path = tmp_path / "text.txt"
    mining.write_text(path, 20_000)
    assert 20_000 <= path.stat().st_size < 21_000
    different = {
        pair
        for line in path.read_text(encoding="utf-8").splitlines()
        for words in sentences(line)
        for pair in pairwise(words)
    }
    assert {name: counter(str(path)) for name, counter in mining.COUNTERS.items()} == dict.fromkeys(
        mining.COUNTERS, len(different)
    )


def test_words_to_work_out_are_the_share_of_the_dictionary(lexicon: Lexicon) -> None:
    words = speed._sample("0.001")
    assert words == speed._sample("0.001")
    assert len(words) == pytest.approx(len(lexicon) / 1000, abs=1)
    assert all(word in lexicon for word in words)


def test_a_run_costs_time_and_memory_and_a_cold_one_finds_no_cache(tmp_path: Path) -> None:
    seen = tmp_path / "seen"
    code = "import os, pathlib, sys, time; time.sleep(0.2); data = b'x' * 60_000_000; "
    code += "pathlib.Path(sys.argv[1]).write_text(os.environ['LEXICONFORGE_CACHE'])"
    cost = speed.run([*speed.PYTHON, "-c", code, str(seen)], cold=True)
    assert cost.seconds > 0.2
    assert cost.memory > 60
    assert not Path(seen.read_text()).exists(), "a folder of its own, gone with it"


def test_the_exponent_is_the_power() -> None:
    assert speed.exponent([1, 4, 16], [3, 12, 48]) == pytest.approx(1)
    assert speed.exponent([1, 4, 16], [1, 2, 4]) == pytest.approx(0.5)
