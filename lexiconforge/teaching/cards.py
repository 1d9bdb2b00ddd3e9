"""Cards to learn from: one for each word, link and contrast of a list.

Room: takes rows of any list of this program; the words beside the IPA are the sound's own labels.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from lexiconforge import options
from lexiconforge.errors import OptionError
from lexiconforge.lexicon import Lexicon
from lexiconforge.lexicon.records import bracketed
from lexiconforge.lists.examples import SEPARATOR, Examples
from lexiconforge.tables import Table
from lexiconforge.teaching.handout_items import Item, Maker, Pair, lesson_rows
from lexiconforge.teaching.targets import Target

DECK_COLUMNS = ("front", "back", "ipa", "example")
ON_CARDS = ("new", "exception", "link", "contrast")
"""Rows of a lesson that become cards: the words of earlier lessons have theirs."""


def cards_of_rows(
    lexicon: Lexicon, rows: Sequence[Mapping[str, str]], *, limit: int | None = None
) -> Table:
    """Cards of a list of words, links or contrasts, or of a lesson, each once.

    Columns (:data:`DECK_COLUMNS`): ``front``, the word, pair or both sides of a contrast; ``back``, the same with the sound
    in brackets, and what it is; ``ipa``; ``example``, a line to say. Raises :class:`~lexiconforge.errors.OptionError` for
    rows of another kind and where none makes a card.

    >>> from lexiconforge.lexicon import load_lexicon
    >>> row = {"word": "water", "marked": "wat[ɾ]er", "ipa": "ˈwɔɾɚ", "allophone": "tap", "example": "Hot water?"}
    >>> list(cards_of_rows(load_lexicon(), [row]).rows())
    [('water', 'wat[ɾ]er: tap', 'ˈwɔɾɚ', 'Hot water?')]
    """
    options.whole_or_none("limit", limit)
    maker, lines = Maker(lexicon), Examples(lexicon)
    found: dict[str, tuple[str, ...]] = {}
    for row in lesson_rows(rows):
        if row["role"] not in ON_CARDS or row["item"] in found:
            continue
        made = maker.stock([row])
        example = row.get("example") or SEPARATOR.join(
            filter(None, (row.get("first_line"), row.get("second_line")))
        )
        words = row["item"].lower().split()
        if not example and len(words) <= 2 and row["role"] != "contrast":
            example = lines.of_word(words[0]) if len(words) == 1 else lines.of_link(words[0], words[1])
        if made.pairs:
            back = _both(lexicon, made.pairs[0])
        else:
            (item,) = (*made.words, *made.exceptions, *made.phrases)
            back = f"{_marked(lexicon, item)}: {_labels(lexicon, item)}"
        found[row["item"]] = (row["item"], back, row["ipa"], example)
    if not found:
        raise OptionError("this list has no words, links or contrasts, so it makes no cards")
    return Table.of_rows("deck", DECK_COLUMNS, list(found.values())[:limit])


def cards_of_targets(
    lexicon: Lexicon, targets: Sequence[Target], *, limit: int | None = None
) -> tuple[Table, list[str]]:
    """Cards of a teacher's own words and pairs, and those of them that make none: the dictionary does not have them, or the
    sound is not in them. Raises :class:`~lexiconforge.errors.OptionError` where none makes a card."""
    rows, unknown = Maker(lexicon).rows_of(targets)
    if not rows:
        raise OptionError(f"none of these words is in the dictionary and has a {lexicon.sound.letters}")
    return cards_of_rows(lexicon, rows, limit=limit), unknown


def _marked(lexicon: Lexicon, item: Item) -> str:
    return bracketed(
        item.text, [((m.start, m.end), lexicon.sound.symbol(m.allophone)) for m in item.marks]
    )


def _labels(lexicon: Lexicon, item: Item) -> str:
    return "; ".join(dict.fromkeys(lexicon.sound.allophones[name].label for name in item.allophones))


def _both(lexicon: Lexicon, pair: Pair) -> str:
    shown = SEPARATOR.join(_marked(lexicon, side) for side in (pair.first, pair.second))
    return f"{shown}: {pair.note}" if pair.note else shown
