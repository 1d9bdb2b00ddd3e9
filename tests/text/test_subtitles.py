"""Subtitles keep everything but the text of their cues; other programs read what is written."""

from __future__ import annotations

import re
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from lexiconforge.cli import main
from lexiconforge.errors import ReadError
from lexiconforge.export.textgrid import textgrid_text
from lexiconforge.lexicon import Lexicon
from lexiconforge.text.readers import read_text
from lexiconforge.text.subtitles import annotated, cues, tag_cues
from lexiconforge.text.tagger import Tagger

SRT = """1
00:00:01,000 --> 00:00:02,500
Put it on the <i>water</i>
at eight.

2
00:00:02,400 --> 00:00:05,000 X1:10
- It's hot, isn't it?
- Get two of them &amp; wait.

3
01:00:05,250 --> 01:00:06,000
Harbor
"""
VTT = """WEBVTT - Port Tillery

STYLE
::cue { color: white }

NOTE put it here

opening
00:01.000 --> 00:02.500 align:start
<v Rita>Put it on the <b>water</b>.</v>

00:02.500 --> 00:03.000
A bottle.
"""


@pytest.fixture(scope="module")
def tagger(lexicon: Lexicon) -> Tagger:
    return Tagger(lexicon)


def marks_off(text: str) -> str:
    """The text before it was marked: the letters stay, what is read out goes."""
    return re.sub(r"\[[^\]]*\]", "", re.sub(r" \{\w+(?: \w+)*\}", "", text))


@pytest.mark.parametrize(
    "text", [SRT, VTT, SRT.replace("\n", "\r\n"), "\ufeff" + SRT], ids=["srt", "vtt", "crlf", "bom"]
)
def test_all_but_the_cues_stays_as_it_was(tagger: Tagger, text: str) -> None:
    tagged, _ = tag_cues(cues(text), tagger)
    out = annotated(text, tagged)
    assert out != text
    assert marks_off(out) == text


def test_words_link_over_the_lines_of_a_cue_only(lexicon: Lexicon, tagger: Tagger) -> None:
    tap = lexicon.sound.allophones["tap"].ipa
    times = [f"00:00:0{n},000 --> 00:00:0{n + 1},000" for n in (1, 2, 3)]
    said = ("Get\nit", "Get", "it")
    two = "\n\n".join(f"{time}\n{words}" for time, words in zip(times, said, strict=True))
    (first, second, third), _ = tag_cues(cues(two), tagger)
    assert tap in first.marked.split("\n")[0]
    assert tap not in second.marked + third.marked


def test_another_reader_finds_the_cues(tagger: Tagger, tmp_path: Path) -> None:
    webvtt = pytest.importorskip("webvtt")
    for name, text in (("a.srt", SRT), ("a.vtt", VTT)):
        tagged, _ = tag_cues(cues(text), tagger)
        (tmp_path / name).write_text(annotated(text, tagged), encoding="utf-8")
        read = webvtt.from_srt if name.endswith("srt") else webvtt.read
        captions = list(read(str(tmp_path / name)))
        assert len(captions) == len(tagged)
        for caption, cue in zip(captions, cues(text), strict=True):
            assert caption.start_in_seconds == int(cue.start)
            assert caption.end_in_seconds == int(cue.end)
            assert marks_off(caption.text).split()[-1] in cue.plain


def test_the_text_of_cues_is_what_is_read_for_counting(tmp_path: Path) -> None:
    (tmp_path / "a.srt").write_text(SRT, encoding="utf-8")
    read = "".join(read_text(tmp_path / "a.srt")).split()
    assert " ".join(cue.plain for cue in cues(SRT)).split() == read


def test_a_textgrid_is_read_by_another_program(lexicon: Lexicon, tagger: Tagger, tmp_path: Path) -> None:
    textgrid = pytest.importorskip("praatio.textgrid")
    tagged, passage = tag_cues(cues(SRT), tagger)
    (tmp_path / "a.TextGrid").write_text(textgrid_text(tagged, passage, lexicon.sound), encoding="utf-8")
    grid = textgrid.openTextgrid(str(tmp_path / "a.TextGrid"), includeEmptyIntervals=False)
    assert grid.maxTimestamp == 3606
    plain, marked, points = (grid.getTier(name) for name in grid.tierNames)
    assert [(i.start, i.end, i.label) for i in plain.entries] == [
        # The first cue runs into the second, whose time rules from there.
        (1, 2.4, "Put it on the water at eight."),
        (2.4, 5, "- It's hot, isn't it? - Get two of them & wait."),
        (3605.25, 3606, "Harbor"),
    ]
    assert [marks_off(i.label) for i in marked.entries] == [i.label for i in plain.entries]
    assert len(points.entries) == len(passage.table)
    for point in points.entries:
        symbol, word = point.label.split(" ")
        inside = next(i for i in plain.entries if i.start <= point.time <= i.end)
        assert word in inside.label
        assert symbol in {a.symbol for a in lexicon.sound.allophones.values()}


@given(st.text(alphabet="ab t<>&;{}\\/i\n-[]'1", max_size=60))
def test_any_cue_keeps_its_text(text: str) -> None:
    lines = "\n".join(line for line in text.split("\n") if line.strip() and "-->" not in line)
    if not lines or "[" in lines or "&" in lines or "{" in lines or any(c.isdigit() for c in lines):
        return
    srt = f"1\n00:00:01,000 --> 00:00:02,000\n{lines}\n"
    tagged, _ = tag_cues(cues(srt), _shared())
    assert marks_off(annotated(srt, tagged)) == srt


def _shared() -> Tagger:
    from lexiconforge.lexicon import load_lexicon

    return Tagger(load_lexicon())


def test_a_text_without_cues_is_refused() -> None:
    with pytest.raises(ReadError, match="no cues in it"):
        cues("Put it on.\n")


@pytest.mark.parametrize("name", ["talk.tagged.srt", "talk.TextGrid"])
def test_the_command_writes_it(tmp_path: Path, name: str) -> None:
    (tmp_path / "talk.srt").write_text(SRT, encoding="utf-8")
    assert main(["tag-text", str(tmp_path / "talk.srt"), "--out", str(tmp_path / name)]) == 0
    assert "ɾ" in (tmp_path / name).read_text(encoding="utf-8")


@pytest.mark.parametrize(
    ("text", "out", "said"),
    [
        ("talk.srt", "talk.srt", "is the text itself"),
        ("talk.srt", "talk.vtt", "must end in .srt"),
        ("talk.txt", "talk.TextGrid", "this needs times"),
        ("empty.srt", "b.srt", "no cues in it"),
    ],
)
def test_what_has_no_times_is_refused(
    tmp_path: Path, capsys: pytest.CaptureFixture[str], text: str, out: str, said: str
) -> None:
    (tmp_path / "talk.srt").write_text(SRT, encoding="utf-8")
    (tmp_path / "talk.txt").write_text("Put it on.", encoding="utf-8")
    (tmp_path / "empty.srt").write_text("Put it on.", encoding="utf-8")
    assert main(["tag-text", str(tmp_path / text), "--out", str(tmp_path / out)]) == 2
    assert said in capsys.readouterr().err
