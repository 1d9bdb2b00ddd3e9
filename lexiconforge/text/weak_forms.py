"""Where a weak form is used: the conditions of ``weak_forms.csv``, by a light rule over the neighbours of a word.

Room: sees the words of a phrase and what the dictionaries call them, no syntax. It cannot see whether *work* in
*going to work*
is the verb (it takes it for one), whether *had mixed results* has a main verb (it takes it for an auxiliary), or that
*my dad used to say* is no *knife used to cut* (only a pronoun before *used* counts as its subject). The words it
asks for stand in ``word_classes.csv``.
"""

from __future__ import annotations

from collections.abc import Sequence
from fnmatch import fnmatchcase

from lexiconforge.lexicon import Lexicon

VERB = "verb"
"""What the lexicon's parts of speech call one."""


class Neighbours:
    """Answers whether the conditions of a weak form hold in its place.

    >>> from lexiconforge.lexicon import load_lexicon
    >>> near = Neighbours(load_lexicon())
    >>> words = "that had been the plan".split()
    >>> near.hold(("as an auxiliary",), words, words, 1, 1)
    True
    >>> words = "it has a lid".split()
    >>> near.hold(("as an auxiliary",), words, words, 1, 1)
    False
    """

    def __init__(self, lexicon: Lexicon) -> None:
        self._lexicon = lexicon
        self._classes = lexicon.sound.word_classes
        self._bases: dict[str, bool] = {}
        self._participles: dict[str, bool] = {}

    def hold(
        self, conditions: Sequence[str], words: Sequence[str], plain: Sequence[str], n: int, length: int
    ) -> bool:
        """Do all conditions hold for the words from ``n``, so many of them? ``words`` are those of a line, ``""``
        for a pause; ``plain`` the same without names."""
        return all(self._holds(one, words, plain, n, n + length) for one in conditions)

    def _holds(
        self, condition: str, words: Sequence[str], plain: Sequence[str], n: int, after: int
    ) -> bool:
        follows = n > 0 and bool(words[n - 1])
        if condition == "after a word":
            return follows
        if condition == "between words":
            return follows and after < len(words) and bool(words[after])
        if condition == "before a verb":
            return self._is_base(self._past_adverbs(plain, after, 1))
        if condition == "after a subject":
            return self._past_adverbs(plain, n - 1, -1) in self._class("subject")
        if condition == "as an auxiliary":
            return follows and self._is_auxiliary(plain, after)
        return False

    def _class(self, name: str) -> frozenset[str]:
        return self._classes.get(name, frozenset())

    def _past_adverbs(self, words: Sequence[str], at: int, step: int) -> str:
        """The first word from here on, in this direction, that is no adverb which may stand between."""
        between = self._class("adverb between")
        while 0 <= at < len(words) and words[at] in between:
            at += step
        return words[at] if 0 <= at < len(words) else ""

    def _is_auxiliary(self, words: Sequence[str], after: int) -> bool:
        follower = words[after] if after < len(words) else ""
        if follower in self._class("before a participle"):
            return True
        if follower in self._class("subject"):
            # What have you done: the subject stands after it, then the participle.
            return self._is_participle(self._past_adverbs(words, after + 1, 1))
        return self._is_participle(self._past_adverbs(words, after, 1))

    def _is_participle(self, word: str) -> bool:
        if word not in self._participles:
            self._participles[word] = word in self._class("before a participle") or any(
                fnmatchcase(word, one) and ("*" not in one or self._lexicon.lemma(word) != word)
                for one in self._class("participle")
            )
        return self._participles[word]

    def _is_base(self, word: str) -> bool:
        if word not in self._bases:
            row = self._lexicon.row(word) if word else None
            self._bases[word] = (
                row is not None
                and word not in self._class("not a verb")
                and VERB in self._lexicon.parts_at(row)
                and self._lexicon.lemma_at(row) == word
            )
        return self._bases[word]
