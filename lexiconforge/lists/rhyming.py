"""Words that rhyme, in sets for drills: *better, letter, sweater*.

Room: takes the words of a list from the lexicon and groups them. Which part of a word rhymes is what the package
``pronouncing`` says of its phones; it is imported only here.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable, Sequence
from dataclasses import dataclass, replace
from functools import cache
from typing import TYPE_CHECKING, NamedTuple

from lexiconforge import data, options
from lexiconforge.errors import OptionError, SourceError
from lexiconforge.lexicon import Lexicon
from lexiconforge.lexicon.records import Entry, Reading, SoundToken, bracketed
from lexiconforge.lists.wordlists import WordFilter, joined, select
from lexiconforge.phonology.ipa import PRIMARY, UNSTRESSED_VOWEL_IPA, VOWEL_IPA
from lexiconforge.tables import Table

if TYPE_CHECKING:
    import pandas as pd

RHYME_COLUMNS = (
    "set", "kind", "rhyme", "place", "word", "marked", "ipa", "syllables", "stress", "rank", "zipf", "level",
    "environment", "allophone",
)  # fmt: skip
PERFECT, NEAR = "perfect", "near"
DRILL = 3
"""Words that make a drill: sets are ordered by how common their first three are."""


@dataclass(frozen=True, kw_only=True)
class RhymeFilter:
    """Which sets: ``words`` narrows them to those that rhyme with one of these; ``near`` adds words whose rhyme differs
    from the set's only within the classes of ``data/rhyme_classes.csv`` (*letter, header*); ``same_stress`` keeps words
    of one stress pattern together (*letter* apart from *forgetter*); ``least`` is the fewest words of a set; ``stress`` the
    digits of the vowels in order, ``?`` for any one and ``*`` for any number (``*10``: the last but one is stressed);
    ``limit`` the most sets, ``most`` the most words of one.

    Raises :class:`~lexiconforge.errors.OptionError`.

    >>> RhymeFilter(words="Letter").words
    ('letter',)
    """

    words: Collection[str] | str = ()
    near: bool = False
    same_stress: bool = False
    stress: str = ""
    least: int = 2
    most: int | None = None
    limit: int | None = None

    def __post_init__(self) -> None:
        object.__setattr__(self, "words", options.words("words", self.words))
        if options.text("stress", self.stress).strip("012?*"):
            raise OptionError(
                f"stress {self.stress!r}: write the digits 0, 1 and 2, ? for any one, * for any number; 10 is water"
            )
        options.whole("least", self.least, least=2)
        options.whole_or_none("most", self.most, least=2)
        options.whole_or_none("limit", self.limit)


class _Rhyming(NamedTuple):
    entry: Entry
    said: Reading
    tokens: list[SoundToken]
    tapped: bool
    part: str
    stress: str


def rhymes(
    lexicon: Lexicon,
    wanted: RhymeFilter | None = None,
    of: WordFilter | Iterable[str] | None = None,
) -> pd.DataFrame:
    """Sets of words that rhyme, one row a word.

    Two words rhyme where all is the same from their last main-stressed vowel on, and what stands before it differs
    (*Merriam-Webster's* "perfect rhyme"; by ``pronouncing.rhyming_part``, the secondary stress of the dictionary counted
    as none); each is taken in the pronunciation that stands for it. ``of`` says which words: a
    :class:`~lexiconforge.lists.wordlists.WordFilter`, or the words of a list themselves; without it all words with the
    sound that lists let through.

    Columns (:data:`RHYME_COLUMNS`): ``set`` from 1; ``kind``, perfect, or near for a word that rhymes only nearly with the
    first of its set; ``rhyme``, IPA of the part that rhymes; ``place`` in the set from 1; the word with its sound in
    brackets, IPA and rank; ``environment`` and ``allophone`` of the sounds that are meant, ``; `` between. Within a set
    words with a tap come first, then the commoner; sets in which three words are tapped come first, the one whose third
    word is the commonest at the head.

    Raises :class:`~lexiconforge.errors.OptionError` for a word that the dictionary does not have, and
    :class:`~lexiconforge.errors.SourceError` if ``pronouncing`` is not installed.

    >>> from lexiconforge.lexicon import load_lexicon
    >>> found = rhymes(load_lexicon(), RhymeFilter(words="letter"), WordFilter(max_rank=10000))
    >>> {"better", "sweater"} <= set(found["word"])
    True
    """
    return rhyme_table(lexicon, wanted or RhymeFilter(), of).frame()


def rhyme_table(
    lexicon: Lexicon, wanted: RhymeFilter, of: WordFilter | Iterable[str] | None = None
) -> Table:
    """As :func:`rhymes`, as a plain table."""
    from fnmatch import fnmatchcase

    asked = {_key(_asked_about(lexicon, word), wanted) for word in wanted.words}
    found = [
        word
        for word in _words(lexicon, of)
        if not wanted.stress or fnmatchcase(word.stress, wanted.stress)
    ]
    groups = [g for g in _sets(found, wanted) if len(g) >= wanted.least]
    if wanted.words:
        groups = [g for g in groups if any(_key(word, wanted) in asked for word in g)]
    groups.sort(key=_order)
    rows = []
    for number, group in enumerate(groups[: wanted.limit], start=1):
        for place, word in enumerate(group[: wanted.most], start=1):
            entry, main = word.entry, word.said
            rows.append(
                (
                    number,
                    PERFECT if word.part == group[0].part else NEAR,
                    _rhyme_ipa(main.ipa),
                    place,
                    entry.word,
                    bracketed(
                        entry.written,
                        ((t.span, lexicon.sound.symbol(t.rule.allophone)) for t in word.tokens),
                    ),
                    main.ipa,
                    len(main.stress),
                    main.stress,
                    entry.rank,
                    entry.zipf,
                    entry.level,
                    joined(token.rule.environment for token in word.tokens),
                    joined(token.rule.allophone for token in word.tokens),
                )
            )
    return Table.of_rows("rhymes", RHYME_COLUMNS, rows)


def _order(group: list[_Rhyming]) -> tuple[object, ...]:
    """Sets with a drill's worth of tapped words before others, then those whose third word is the commoner."""
    drill = group[:DRILL]
    return -sum(word.tapped for word in drill), -len(drill), _rank(drill[-1]), drill[-1].entry.word


def _words(lexicon: Lexicon, of: WordFilter | Iterable[str] | None) -> list[_Rhyming]:
    if of is None or isinstance(of, WordFilter):
        found = select(lexicon, replace(of or WordFilter(), examples=0))
        meant = [
            (
                entry,
                lexicon.said(candidate),
                [lexicon.said(candidate).tokens[n] for n in candidate.tokens],
            )
            for entry, candidate in zip(found.entries, found.candidates, strict=True)
        ]
    else:
        entries = map(lexicon.entry, dict.fromkeys(options.words("of", of)))
        meant = [(entry, entry.main, list(entry.main.tokens)) for entry in entries if entry is not None]
    return [_rhyming(lexicon, *one) for one in meant]


def _asked_about(lexicon: Lexicon, word: str) -> _Rhyming:
    entry = lexicon.entry(word)
    if entry is None:
        raise OptionError(f"not in the dictionary: {word}")
    return _rhyming(lexicon, entry, entry.main, list(entry.main.tokens))


def _rhyming(lexicon: Lexicon, entry: Entry, said: Reading, tokens: list[SoundToken]) -> _Rhyming:
    tapped = any(token.rule.allophone in lexicon.sound.tapped for token in tokens)
    return _Rhyming(entry, said, tokens, tapped, rhyming_part(said.phones), said.stress)


def rhyming_part(phones: Sequence[str]) -> str:
    """The phones from the last main-stressed vowel on, with spaces between. Raises SourceError.

    >>> rhyming_part("F OW1 T OW2".split()), rhyming_part("HH EH1 Z AH0 T EY2 T".split())
    ('OW1 T OW0', 'EH1 Z AH0 T EY0 T')
    """
    try:
        import pronouncing
    except ImportError:
        raise SourceError(
            "the package pronouncing is not installed; install it with: pip install pronouncing"
        ) from None
    part: str = pronouncing.rhyming_part(" ".join(phones).replace("2", "0"))
    # A word that opens with its stressed vowel, and one without any, comes back whole.
    return part


@cache
def _classes() -> dict[str, str]:
    return {
        phone: row["phones"] for row in data.rows("rhyme_classes") for phone in row["phones"].split()
    }


def _near_part(part: str) -> str:
    return "|".join(_classes().get(phone, phone) for phone in part.split())


def _key(word: _Rhyming, wanted: RhymeFilter) -> tuple[str, str]:
    return (
        _near_part(word.part) if wanted.near else word.part,
        word.stress if wanted.same_stress else "",
    )


def _rank(word: _Rhyming) -> int:
    return word.entry.rank or 10**9


def _sets(found: list[_Rhyming], wanted: RhymeFilter) -> list[list[_Rhyming]]:
    """The words by what rhymes: tapped first, then the commoner; one word of those said alike (*write, right*), and of
    those whose rhyme begins alike too (*late, relate*: the same syllable is no rhyme)."""
    groups: dict[tuple[str, str], list[_Rhyming]] = {}
    for word in sorted(found, key=lambda word: (not word.tapped, _rank(word))):
        groups.setdefault(_key(word, wanted), []).append(word)
    made = []
    for group in groups.values():
        heads: set[tuple[str, str]] = set()
        kept = []
        first = group[0].part
        for word in sorted(group, key=lambda word: word.part != first):
            head = (_onset(word), word.part)
            if head not in heads:
                heads.add(head)
                kept.append(word)
        made.append(kept)
    return made


def _onset(word: _Rhyming) -> str:
    """The consonants right before the part that rhymes."""
    phones = word.said.phones
    at = len(phones) - len(word.part.split())
    start = at
    while start and phones[start - 1][-1] not in "012":
        start -= 1
    return " ".join(phones[start:at])


def _rhyme_ipa(shown: str) -> str:
    """The part of the IPA that rhymes, cut from that of the word, so that both are written alike."""
    stressed = shown.rpartition(PRIMARY)[2]
    vowels = {sign[0] for sign in (*VOWEL_IPA.values(), *UNSTRESSED_VOWEL_IPA.values())}
    onset = next((n for n, sign in enumerate(stressed) if sign in vowels), 0)
    return f"-{stressed[onset:]}"
