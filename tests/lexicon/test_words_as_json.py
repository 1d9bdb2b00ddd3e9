"""A word as a light object: complete, plain, and quick once it is known."""

from __future__ import annotations

import json
import time
from pathlib import Path

import pytest

from lexiconforge.lexicon import Lexicon
from lexiconforge.lexicon.catalog import sound_tokens

EXAMPLE = Path(__file__).parents[2] / "examples" / "service.py"


@pytest.mark.parametrize("word", ["water", "attention", "get", "thirty", "it's", "cat"])
def test_it_says_what_the_tables_say(lexicon: Lexicon, word: str) -> None:
    entry = lexicon.word(word.upper().replace("'", "’"))
    assert entry is not None
    given = json.loads(json.dumps(entry.to_dict(), ensure_ascii=False))
    assert given["word"] == word
    assert sum(reading["main"] for reading in given["readings"]) == 1
    rows = sound_tokens(lexicon, word)
    tokens = [(reading, token) for reading in given["readings"] for token in reading["tokens"]]
    assert len(tokens) == len(rows)
    for (reading, token), row in zip(tokens, rows.itertuples(), strict=True):
        assert (reading["number"], reading["phones"]) == (row.pronunciation_no, row.phones)
        assert word[token["start"] : token["end"]] == token["letters"] == row.letters
        assert (token["allophone"], token["environment"]) == (row.allophone, row.environment)
        assert "; ".join(token["also_heard"]) == row.also_heard
        assert (token["rule"], token["source"]) == (row.rule, row.source)


def test_why_lists_leave_it_out(lexicon: Lexicon) -> None:
    peter = lexicon.word("Peter")
    assert peter is not None
    assert "names" in peter.to_dict()["left_out"]  # type: ignore[operator]


def test_what_is_no_word_is_none(lexicon: Lexicon) -> None:
    assert lexicon.word("zzzz") is None


def test_it_is_quick_once_known(lexicon: Lexicon) -> None:
    """Under a tenth of a millisecond; here against a JSON dump of the same, so that a slow machine is no failure."""
    entry = lexicon.word("water")
    assert entry is not None

    def cost(call: object) -> float:
        best = 1.0
        for _ in range(5):
            begun = time.perf_counter()
            for _ in range(300):
                call()  # type: ignore[operator]
            best = min(best, (time.perf_counter() - begun) / 300)
        return best

    made = entry.to_dict()
    found = cost(lambda: lexicon.word("water").to_dict())  # type: ignore[union-attr]
    assert found < 3 * cost(lambda: json.dumps(made))


def test_the_service_answers(lexicon: Lexicon, monkeypatch: pytest.MonkeyPatch) -> None:
    pytest.importorskip("fastapi")
    client = pytest.importorskip("fastapi.testclient")
    names: dict[str, object] = {}
    exec(compile(EXAMPLE.read_text(encoding="utf-8"), str(EXAMPLE), "exec"), names)
    asked = client.TestClient(names["app"])
    assert asked.get("/words/Water").json()["readings"][0]["tokens"][0]["allophone"] == "tap"
    assert asked.get("/words/zzzz").status_code == 404
