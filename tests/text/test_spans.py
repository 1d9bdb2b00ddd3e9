"""The places of tokens in a text: always the letters of the word, or the number that is read out."""

from __future__ import annotations

from functools import cache
from itertools import islice, pairwise

from hypothesis import given, settings
from hypothesis import strategies as st

from lexiconforge.lexicon import load_lexicon
from lexiconforge.text.phrases import READ_OUT, items
from lexiconforge.text.tagger import Passage, Tagger

SOUNDS = {"t": "T", "d": "D"}
"""The sounds by their folders, with the phones that ARPAbet has for them."""


@cache
def tagger(sound: str, style: str = "casual") -> Tagger:
    return Tagger(load_lexicon(sound), style)


WORDS = (
    "at", "all", "Butter", "CITY", "it’s", "don't", "cats'", "to", "had", "her", "thirty", "yacht", "pizza",
    "add", "ladder", "walked", "Wednesday", "retexted", "Tottlebury", "İt", "ßt", "naïveté", "e", "x",
)  # fmt: skip
NUMBERS = (
    "13", "30", "8:15", "10:00", "$2.50", "£40", "20th", "1st", "1999", "2010s", "80%", "1,218", "3.14", "0",
)  # fmt: skip
MARKS = (
    " ",
    "  ",
    ", ",
    ". ",
    "\n",
    "\n\n",
    " - ",
    "—",
    "-",
    "[",
    "]",
    "{",
    "}",
    "|",
    "\r\n",
    "\t",
    "\u2028",
)
real = st.lists(st.sampled_from(WORDS + NUMBERS + MARKS), max_size=14).map("".join)
texts = st.text() | st.text(st.sampled_from("tTdD ae'’-[]{}|$13,.:8%\nşİ")) | real
sounds = st.sampled_from(sorted(SOUNDS))
styles = st.sampled_from(["casual", "careful"])


def read_out(passage: Passage) -> set[tuple[int, int]]:
    """The places of what is read out."""
    return {(said.start, said.end) for said in passage.said if said.item.kind == READ_OUT}


def number_words(written: str) -> list[str]:
    return [item.text for item in items(written) if item is not None]


def plain(written: str) -> str:
    return written.lower().replace("’", "'")


@settings(max_examples=60)
@given(texts, sounds, styles)
def test_a_span_is_the_letters_of_the_word(text: str, sound: str, style: str) -> None:
    passage = tagger(sound, style).tag_text(text)
    places = read_out(passage)
    for row in passage.tokens.itertuples():
        found = text[row.start : row.end]
        if (row.start, row.end) in places:
            assert not text[row.end : row.end + 1].isdecimal()
            continue
        assert plain(found) == row.letters
        if row.letters:
            first = row.start - row.letters_start
            assert text[first : first + len(row.text)] == row.text
        assert row.line == text.count("\n", 0, row.start) + 1


@settings(max_examples=60)
@given(texts, sounds, styles)
def test_spans_are_in_order_and_inside_the_text(text: str, sound: str, style: str) -> None:
    passage = tagger(sound, style).tag_text(text)
    spans = list(zip(passage.tokens["start"], passage.tokens["end"], strict=True))
    assert all(0 <= start <= end <= len(text) for start, end in spans)
    for (start, end), (next_start, next_end) in pairwise(spans):
        assert start <= next_start
        assert end <= next_end
        # One number has several words; the letters of words never overlap.
        assert end <= next_start or (
            (start, end) == (next_start, next_end) and (start, end) in read_out(passage)
        )


def put_in(passage: Passage) -> list[tuple[int, str]]:
    """What the marked text has beside the text, and where, by the spans and the words of numbers alone."""
    found = []
    rows = passage.tokens.itertuples()
    for n, said in enumerate(passage.said):
        mine = list(islice(rows, len(said.tagged.tokens) if said.tagged else 0))
        if said.item.kind != READ_OUT:
            found += [(row.end, f"[{row.ipa}]") for row in mine if row.end > row.start]
            continue
        word, done = "", 0
        for row in mine:
            first, last = row.letters_start, row.letters_start + len(row.letters)
            word += f"{said.item.text[done:last]}[{row.ipa}]" if last > first else ""
            done = last if last > first else done
        before = passage.said[n - 1] if n else None
        after = passage.said[n + 1] if n + 1 < len(passage.said) else None
        goes_on = before is not None and before.item.kind == READ_OUT and before.end == said.end
        more = after is not None and after.item.kind == READ_OUT and after.end == said.end
        opening, closing = " " if goes_on else " {", "" if more else "}"
        found.append((said.end, f"{opening}{word}{said.item.text[done:]}{closing}"))
    return found


@settings(max_examples=80)
@given(texts, sounds, styles)
def test_taking_the_marks_away_by_spans_gives_the_text(text: str, sound: str, style: str) -> None:
    passage = tagger(sound, style).tag_text(text)
    marked, out, at, done = passage.marked, "", 0, 0
    for place, added in put_in(passage):
        out += marked[at : at + place - done]
        at += place - done
        assert marked.startswith(added, at)
        at, done = at + len(added), place
    assert out + marked[at:] == text


@settings(max_examples=60)
@given(st.lists(st.sampled_from(WORDS + NUMBERS), max_size=10), sounds)
def test_the_spans_of_a_number_cover_the_number(pieces: list[str], sound: str) -> None:
    text = " ".join(pieces)
    starts = [len(" ".join([*pieces[:n], ""])) for n in range(len(pieces))]
    places = {(start, start + len(piece)): piece for start, piece in zip(starts, pieces, strict=True)}
    rows = list(tagger(sound).tag_text(text).tokens.itertuples())
    for row in rows:
        inside = [span for span in places if span[0] <= row.start and row.end <= span[1]]
        assert len(inside) == 1
        if places[inside[0]] in NUMBERS:
            assert (row.start, row.end) == inside[0]
    for span, piece in places.items():
        if piece in NUMBERS:
            # As many rows as the words of the number have such sounds, each the number's own.
            main = [load_lexicon(sound).main(word) for word in number_words(piece)]
            spoken = sum(reading.phones.count(SOUNDS[sound]) for reading in main if reading is not None)
            assert sum((row.start, row.end) == span for row in rows) == spoken


@settings(max_examples=50)
@given(texts, sounds, styles)
def test_every_sound_counts_once(text: str, sound: str, style: str) -> None:
    passage = tagger(sound, style).tag_text(text)
    lexicon, phone = load_lexicon(sound), SOUNDS[sound]
    rows = passage.tokens.itertuples()
    for said in passage.said:
        mine = list(islice(rows, len(said.tagged.tokens) if said.tagged else 0))
        assert all(row.phones.split()[row.phone_index] == phone for row in mine)
        assert len({row.phone_index for row in mine}) == len(mine)
        # Weak forms lose vowels and an h, never this sound.
        reading = lexicon.main(plain(said.item.text))
        if reading is not None:
            assert len(mine) == reading.phones.count(phone)
        if plain(said.item.text) in passage.unknown:
            assert not mine
    assert next(rows, None) is None
