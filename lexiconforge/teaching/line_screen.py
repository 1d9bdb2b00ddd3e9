"""Which sentences of a text a class can say as they stand, and how well.

Room: takes a sentence and the lexicon, gives what is wrong with it or how fit it is. Closed classes of words come from
``data/line_words.csv``; a sentence is not parsed, so that some good ones are lost: what is kept has to be usable.
"""

from __future__ import annotations

import re
from collections.abc import Collection
from typing import NamedTuple

from lexiconforge.lexicon import Lexicon
from lexiconforge.lexicon.codes import NEVER, exclusion_bits
from lexiconforge.lists.examples import LONG, SHORT, Examples
from lexiconforge.lists.examples import line_words as _words
from lexiconforge.lists.spoken import is_a
from lexiconforge.text.corpus import Line

UNFIT = ("sensitive", "abbreviations")
_PLAIN = re.compile(r"^[A-Z][A-Za-z',.!? -]*[A-Za-z'][.!?]$")
LEAST = 0.55
"""The least fitness of a line of somebody's text. Found by reading 200 lines of open written texts by falling fitness: below
it most were long, told of matters of state or spoke in hard words."""
_STRAY = re.compile(r"\.\.|-|\bi\b|[!?][.!?]|[.!?] ?[a-z]|,,|' | '|\b[A-Za-z]\.")
_QUOTING = re.compile(r"\b(?:said|asked|thought) (?:the|a|my) |\b(?:say|says|said)\b,? (?:\w+ing|and)\b")
"""What stands beside the words of somebody else, which the sentence has lost."""
_TWICE = re.compile(r"\b(\w+ \w+), \1\b", re.IGNORECASE)
_SHOUT = re.compile(r"\b[A-Z]{2,}\b")
_WORD = re.compile(r"[A-Za-z]+(?:['-][A-Za-z]+)*")


class Fitness(NamedTuple):
    """``value`` from 0 to 1, ``reasons`` in plain words."""

    value: float
    reasons: tuple[str, ...]


class LineScreen:
    """Judges sentences of others' texts. ``targets`` are words that are always allowed."""

    def __init__(self, lexicon: Lexicon, targets: Collection[str]) -> None:
        self._lexicon, self._targets = lexicon, targets
        self._examples = Examples(lexicon)

    def problem(self, text: str, words: tuple[str, ...], held: Collection[str] = ()) -> str:
        """What is wrong with a sentence, ``""`` if nothing is; ``held`` are the words that it practises."""
        text = text.replace("’", "'")
        if not _PLAIN.match(text) or _STRAY.search(text) or _TWICE.search(text):
            return "stray marks"
        if _SHOUT.search(text.replace("TV", "").replace("OK", "")):
            return "shouting"
        if words[0] in _words("leaning") and not (text.endswith("?") and words[0] in _words("asking")):
            return "leans on the line before"
        if words[0] in _words("quantity") and self._finite(words, 1):
            return "leans on the line before"
        if not _words("pointing").isdisjoint(words):
            return "leans on the line before"
        if any(word.partition("'")[0] in _words("third") and word not in held for word in words):
            return "somebody it does not name"
        if any(word.partition("'")[0] in _words("topic") for word in words):
            return "a sensitive subject"
        if self._has_name(text):
            return "a name"
        if not self._complete(text, words):
            return "no whole sentence"
        return ""

    def _has_name(self, text: str) -> bool:
        """Whether a word has a capital that neither its place nor the calendar gives it, or opens with what is a name."""
        for match in _WORD.finditer(text):
            word = match[0]
            if not word[0].isupper() or word == "I" or word.startswith("I'"):
                continue
            small = word.lower()
            opens = match.start() == 0 or text[match.start() - 2] in ".!?"
            if not opens and small not in _words("calendar"):
                return True
            row = self._lexicon.row(small)
            named = row is not None and self._lexicon.reasons_at(row) & exclusion_bits(("names",))
            if opens and "'" not in small and (row is None or named):
                return True
        return False

    def _complete(self, text: str, words: tuple[str, ...]) -> bool:
        """Whether there is a finite verb that is not inside a clause that depends on another."""
        if _QUOTING.search(text):
            return False
        if words[0] in _words("imperative"):
            return len(words) > 2 and not self._finite(words, 1)
        if words[0] in _words("finite") and not (text.endswith("?") or "'" in words[0]):
            return False
        finite = [n for n, word in enumerate(words) if self._finite(words, n)]
        if not finite:
            return False
        if words[-1] in _words("finite") | _words("open end"):
            return False
        if (
            len(finite) == 1
            and is_a(words[0], "determiner")
            and words[finite[0] - 1] in _words("subject")
        ):
            # The thing I will love: a noun and what is said of it, no more.
            return False
        if words[0] in _words("dependent") and "," not in text and not text.endswith("?"):
            return False
        if text.endswith("?"):
            if words[0] not in _words("finite") | _words("asking") | _words("wh") and "," not in text:
                return False
            asked = words[0].endswith("n't") and len(words) > 1
            return not asked or words[1] in _words("subject") | _words("determiner")
        opened = [n for n, word in enumerate(words) if word in _words("subordinator")]
        inside = sum(any(o < f for o in opened) for f in finite)
        return len(finite) > inside or len(finite) > len(opened)

    def _finite(self, words: tuple[str, ...], n: int) -> bool:
        word = words[n]
        if word in _words("finite"):
            # A form of have or be before -ing alone, as in "having been", is not in the table.
            return n > 0 or word.endswith("'re") or "'" in word or word in _words("alone")
        if (
            n
            and words[n - 1] in _words("subject")
            and (n == 1 or words[n - 2] in _words("subordinator"))
        ):
            row = self._lexicon.row(word)
            return row is not None and "verb" in self._lexicon.parts_at(row) and not word.endswith("ing")
        return False

    def fitness(self, line: Line) -> Fitness:
        """How fit a line is for a class; its reasons say why, good and bad."""
        cost = self._examples.cost(line, self._targets)
        reasons = []
        if SHORT <= len(line.words) <= LONG:
            reasons.append("short")
        elif len(line.words) > LONG:
            reasons.append("long")
        hard = [w for w in line.words if w not in self._targets and self._examples.cost_of(w) >= 0.8]
        reasons.append("hard: " + ", ".join(dict.fromkeys(hard)) if hard else "easy words")
        if line.text.endswith("?"):
            reasons.append("question")
        elif not _words("person").isdisjoint(line.words) or any("'" in word for word in line.words):
            reasons.append("said to somebody")
        else:
            cost += 0.7
            reasons.append("told")
        return Fitness(round(1 / (1 + cost), 2), tuple(reasons))

    def never(self, word: str) -> bool:
        """Whether the user struck the word out."""
        row = self._lexicon.row(word)
        return row is not None and bool(self._lexicon.reasons_at(row) & NEVER)

    def allowed(self, word: str) -> bool:
        """Whether a word may stand in a line at all: it is known, and not unfit unless it is what is practised."""
        row = self._lexicon.row(word)
        if row is None:
            return self._lexicon.derived(word) is not None
        keeping_out = NEVER if word in self._targets else exclusion_bits(UNFIT) | NEVER
        return not self._lexicon.reasons_at(row) & keeping_out
