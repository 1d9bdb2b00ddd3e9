"""Text out of files: every kind that is read, what is no text, blocks of a large file."""

from __future__ import annotations

import gzip
import json
import tempfile
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from lexiconforge.errors import ReadError
from lexiconforge.text.normalising import normalise, sentences
from lexiconforge.text.readers import find_files, read_block, read_text


def text_of(path: Path, column: str = "text", notes: list[str] | None = None) -> str:
    return "".join(read_text(path, column, note=(notes if notes is not None else []).append))


# The examples of the WebVTT standard, W3C, sections 1.1 to 1.4, in its structure with words of our own.
VTT = """WEBVTT - a title

NOTE
a comment --> is no cue

STYLE
::cue { color: peachpuff }

1
00:00.500 --> 00:02.000 align:start position:10%
<v Etta>Put it <i>on</i> the table

intro
01:02:03.250 --> 01:02:05.000
- Is it hot &amp; ready?
- It is.

NOTE one more
"""
SRT = """1
00:00:01,000 --> 00:00:02,500
Get <b>it</b>
out!

2
00:00:03,000 --> 00:00:04,000
{\\an8}Not yet
""".replace("\n", "\r\n")


def test_subtitle_timings_never_become_words(tmp_path: Path) -> None:
    vtt, srt = tmp_path / "a.vtt", tmp_path / "b.srt"
    vtt.write_text(VTT, encoding="utf-8")
    srt.write_bytes(SRT.encode())
    assert sentences(text_of(vtt)) == [
        ["put", "it", "on", "the", "table"], ["is", "it", "hot", "ready"], ["it", "is"],
    ]  # fmt: skip
    assert sentences(text_of(srt)) == [["get", "it", "out"], ["not", "yet"]]


def test_every_kind_of_file(tmp_path: Path) -> None:
    (tmp_path / "a.txt").write_bytes(b"\xef\xbb\xbfPut it on.\n")
    (tmp_path / "b.csv").write_text('id,text\n1,"Get it, now"\n', encoding="utf-8")
    (tmp_path / "c.jsonl").write_text(json.dumps({"text": "Not at all"}) + "\n", encoding="utf-8")
    with gzip.open(tmp_path / "d.txt.gz", "wt", encoding="utf-8") as file:
        file.write("What about it?\n")
    files = find_files([str(tmp_path)])
    assert [sentences(text_of(path)) for path in files] == [
        [["put", "it", "on"]], [["get", "it", "now"]], [["not", "at", "all"]], [["what", "about", "it"]],
    ]  # fmt: skip
    assert find_files([str(tmp_path / "*.csv")]) == [tmp_path / "b.csv"]


def test_other_encodings_are_read_and_said(tmp_path: Path) -> None:
    notes: list[str] = []
    old, wide = tmp_path / "old.txt", tmp_path / "wide.txt"
    old.write_bytes("the café’s tea".encode("cp1252"))
    wide.write_bytes("put it on".encode("utf-16"))
    assert sentences(text_of(old, notes=notes)) == [["the", "café's", "tea"]]
    assert sentences(text_of(wide, notes=notes)) == [["put", "it", "on"]]
    assert notes == ["not UTF-8: read as Windows-1252", "read as UTF-16"]


def test_a_file_that_changes_while_it_is_read(tmp_path: Path) -> None:
    path = tmp_path / "a.txt"
    path.write_text("put it on\n" * 10, encoding="utf-8")

    def read_while_it_grows() -> None:
        for _ in read_text(path, note=print):
            with path.open("a", encoding="utf-8") as file:
                file.write("more\n")

    with pytest.raises(ReadError, match="changed while it was read"):
        read_while_it_grows()


def test_paths_that_name_nothing(tmp_path: Path) -> None:
    for name in ("no-such.txt", "*.nothing", str(tmp_path)):
        with pytest.raises(ReadError, match="no "):
            find_files([name])


@given(st.text())
def test_normalising_never_fails(text: str) -> None:
    assert b"\0" not in normalise(text)


lines = st.lists(st.text(st.sampled_from("abtTé' ’.,!?;-—3\tß\"İ"), max_size=60), min_size=1, max_size=8)


@settings(max_examples=40)
@given(lines, st.integers(1, 40))
def test_blocks_side_by_side_give_every_line_once(lines: list[str], size: int) -> None:
    text = "\n".join(lines)
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder, "a.txt")
        path.write_text(text, encoding="utf-8", newline="")
        whole = path.stat().st_size
        blocks = ["".join(read_block(path, at, min(at + size, whole))) for at in range(0, whole, size)]
    assert "".join(blocks) == text
