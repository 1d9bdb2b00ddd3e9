"""Tagged subtitles as a TextGrid, the interval tiers that phoneticians annotate recordings in.

Source of the format: the manual of Praat, *TextGrid file formats* (the long text format).
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import NamedTuple

from lexiconforge.sounds import Sound
from lexiconforge.text.subtitles import Cue, TaggedCue
from lexiconforge.text.subtitles import plain as plain_text
from lexiconforge.text.tagger import Passage


class Interval(NamedTuple):
    """A stretch of time in seconds with its label."""

    start: float
    end: float
    label: str


class Point(NamedTuple):
    """A moment in seconds with its label."""

    time: float
    label: str


def textgrid_text(tagged: Sequence[TaggedCue], passage: Passage, sound: Sound) -> str:
    """A TextGrid with three tiers: ``cues``, their plain text; ``marked``, the same with every sound marked; and a point
    tier of the sound, a point for each occurrence with its IPA and the word.

    The times of the cues are those of the subtitles. Where a point stands within its cue is an estimate: as far along as
    its letters are in the text of the cue. Cues that overlap are cut where the next begins, as intervals may not.
    """
    texts = [plain_text(one.marked) for one in tagged]
    times = _apart([one.cue for one in tagged])
    end = max((interval.end for interval in times if interval), default=0.0)
    plain = [i._replace(label=one.cue.plain) for i, one in zip(times, tagged, strict=True) if i]
    marked = [i._replace(label=text) for i, text in zip(times, texts, strict=True) if i]
    points = _points(times, passage)
    tiers = [
        _intervals("cues", plain, end),
        _intervals("marked", marked, end),
        _point_tier(f"{sound.letters} (places estimated)", points, end),
    ]
    head = [
        'File type = "ooTextFile"',
        'Object class = "TextGrid"',
        "",
        "xmin = 0",
        f"xmax = {_number(end)}",
        "tiers? <exists>",
        f"size = {len(tiers)}",
        "item []:",
    ]
    body = []
    for number, tier in enumerate(tiers, start=1):
        body += [f"    item [{number}]:", *(f"        {line}" for line in tier)]
    return "\n".join([*head, *body]) + "\n"


def _apart(cues: Sequence[Cue]) -> list[Interval | None]:
    """The time of each cue, ended where the next in time begins; None for one that has no time left."""
    order = sorted(range(len(cues)), key=lambda n: (cues[n].start, n))
    found: list[Interval | None] = [None] * len(cues)
    for n, following in zip(order, [*order[1:], None], strict=True):
        end = cues[n].end if following is None else min(cues[n].end, cues[following].start)
        if end > cues[n].start:
            found[n] = Interval(cues[n].start, end, "")
    return found


def _points(times: Sequence[Interval | None], passage: Passage) -> list[Point]:
    starts, at = [], 0
    lines = passage.text.split("\n")
    for line in lines:
        starts.append(at)
        at += len(line) + 1
    table = passage.table
    points: dict[float, str] = {}
    columns = (table[name] for name in ("line", "start", "ipa", "text"))
    for line, start, ipa, text in zip(*columns, strict=True):
        time = times[line - 1]
        if time is not None:
            share = (start - starts[line - 1] + 0.5) / max(len(lines[line - 1]), 1)
            moment = round(time.start + min(share, 1.0) * (time.end - time.start), 6)
            label = f"{ipa} {text}"
            # Two points may not stand at one moment: those of a number that is read out do.
            points[moment] = f"{points[moment]}; {label}" if moment in points else label
    return [Point(moment, label) for moment, label in sorted(points.items())]


def _intervals(name: str, given: Iterable[Interval], end: float) -> list[str]:
    """The lines of an interval tier, which has no gaps: what lies between is empty."""
    filled: list[Interval] = []
    done = 0.0
    for interval in sorted(given):
        if interval.start > done:
            filled.append(Interval(done, interval.start, ""))
        filled.append(interval)
        done = interval.end
    if not filled:
        filled.append(Interval(0.0, end, ""))
    lines = [
        'class = "IntervalTier"', f"name = {_text(name)}", "xmin = 0", f"xmax = {_number(end)}",
        f"intervals: size = {len(filled)}",
    ]  # fmt: skip
    for number, interval in enumerate(filled, start=1):
        lines += [
            f"intervals [{number}]:",
            f"    xmin = {_number(interval.start)}",
            f"    xmax = {_number(interval.end)}",
            f"    text = {_text(interval.label)}",
        ]
    return lines


def _point_tier(name: str, points: Sequence[Point], end: float) -> list[str]:
    lines = [
        'class = "TextTier"', f"name = {_text(name)}", "xmin = 0", f"xmax = {_number(end)}",
        f"points: size = {len(points)}",
    ]  # fmt: skip
    for number, point in enumerate(points, start=1):
        lines += [
            f"points [{number}]:",
            f"    number = {_number(point.time)}",
            f"    mark = {_text(point.label)}",
        ]
    return lines


def _text(label: str) -> str:
    return '"' + label.replace('"', '""') + '"'


def _number(value: float) -> str:
    return f"{value:.6f}".rstrip("0").rstrip(".")
