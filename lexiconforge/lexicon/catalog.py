"""The two tables of the whole vocabulary, and the rule table with what it decides.

Room: reads the lexicon; every row comes from its records.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from functools import lru_cache
from itertools import pairwise
from typing import TYPE_CHECKING, Any

from lexiconforge.lexicon import Lexicon
from lexiconforge.lexicon.records import Reading, SoundToken, Span
from lexiconforge.phonology.matcher import (
    CLITIC,
    PAUSE,
    RUN_TOGETHER,
    WORD_BOUNDARY,
    Rule,
    nearest_stress,
)
from lexiconforge.phonology.rates import NOT_COUNTED, Heard
from lexiconforge.sounds import Sound
from lexiconforge.tables import Table

if TYPE_CHECKING:
    import pandas as pd

TOKEN_COLUMNS = (
    "word", "pronunciation_no", "phones", "phone_index", "letters", "letters_start", "position",
    "environment", "before", "after", "stress_before", "stress_after", "allophone", "ipa",
    "also_heard", "heard", "heard_source", "rule", "source", "note",
)  # fmt: skip
WORD_COLUMNS = (
    "word", "rank", "zipf", "per_million", "syllables", "stress", "phones", "ipa",
    "allophones", "lemma", "family", "proper_name", "abbreviation",
    "spelling", "sensitive", "in_dictionary", "reading_note",
)  # fmt: skip
RULE_COLUMNS = (
    "rule", "before", "after", "environment", "allophone", "also_heard", "heard", "heard_source", "share", "slots", "misaki",
    "espeak_ng", "source", "example",
)  # fmt: skip


def sound_tokens(lexicon: Lexicon, words: Sequence[str] | str | None = None) -> pd.DataFrame:
    """Every occurrence of the sound in every pronunciation: one row for each.

    ``words`` restricts the table to these spellings, in their order (a string is one word, letter case does not
    matter); without it the whole dictionary in its own order. Columns (:data:`TOKEN_COLUMNS`): ``word``;
    ``pronunciation_no``, 1 = first listed; ``phones``, ARPAbet with spaces; ``phone_index``, 0-based place of the
    sound; ``letters`` and ``letters_start``, the letters that spell it and their 0-based place (empty and missing where
    none were found); ``position``, initial, medial or final; ``environment``; ``before`` and ``after``, the
    neighbouring phones, ``#`` at an edge; ``stress_before`` and ``stress_after``, stress of the nearest vowels;
    ``allophone``, the usual one; ``ipa``, its symbol; ``also_heard``, others that are common, ``; `` between;
    ``heard``, how often each variant is heard there in conversation, ``tap 96; glottal stop 2; stop 2`` in percent
    by the labels of the counts, a final sound before a pause, empty where nobody counted, and ``heard_source``;
    ``rule`` and ``source``, the row of the rule table that decided; ``note``, why a single word is read otherwise
    than its phones.

    >>> from lexiconforge.lexicon import load_lexicon
    >>> sound_tokens(load_lexicon(), "water")[["letters", "allophone"]].values.tolist()
    [['t', 'tap']]
    """
    from lexiconforge.options import words as checked

    return token_table(lexicon, None if words is None else checked("words", words)).frame()


def token_table(lexicon: Lexicon, words: Sequence[str] | None = None) -> Table:
    """As :func:`sound_tokens`, as a plain table."""
    if words is None:
        made = [row for spelled in lexicon.spellings() for row in token_rows(lexicon.sound, *spelled)]
    else:
        made = [row for reading in lexicon.sounding(words) for row in reading_rows(lexicon, reading)]
    return Table.of_rows("tokens", TOKEN_COLUMNS, made)


def reading_rows(
    lexicon: Lexicon, reading: Reading, tokens: Sequence[SoundToken] | None = None
) -> list[tuple[object, ...]]:
    """The cells of :data:`TOKEN_COLUMNS` for each token of a pronunciation, or for these in their place."""
    return [
        token_cells(lexicon.sound, reading, token, token.rule.allophone, token.rule.also_heard)
        for token in (reading.tokens if tokens is None else tokens)
    ]


def token_cells(
    sound: Sound, reading: Reading, token: SoundToken, allophone: str, also_heard: Sequence[str]
) -> tuple[object, ...]:
    """The cells of :data:`TOKEN_COLUMNS` of one token, said as this allophone and heard as these as well."""
    rule = token.rule
    decided = (allophone, sound.allophones[allophone].symbol, "; ".join(also_heard))
    return _cells(
        *(reading.word, reading.number, " ".join(reading.phones), reading.phones),
        *(token.phone_index, token.span, rule.environment, decided),
        (token.heard.text, token.heard.source, rule.name, rule.source, reading.note),
    )


def token_rows(
    sound: Sound, word: str, number: int, phones: str, note: str, tokens: Sequence[tuple[int, int, Span]]
) -> list[tuple[object, ...]]:
    """The cells of :data:`TOKEN_COLUMNS` for each of these tokens: index of the phone, number of the rule, letters."""
    split = tuple(phones.split())
    of_rule = _cells_of_rules(sound)
    rows: list[tuple[object, ...]] = []
    for index, number_of_rule, span in tokens:
        rule, decided = sound.rules[number_of_rule], of_rule[number_of_rule]
        heard = sound.heard(word, split, index, rule)
        rest = (heard.text, heard.source, rule.name, rule.source, note)
        rows.append(_cells(word, number, phones, split, index, span, rule.environment, decided, rest))
    return rows


def _cells(
    word: str,
    number: int,
    phones: str,
    split: Sequence[str],
    index: int,
    span: Span,
    environment: str,
    decided: tuple[str, str, str],
    rest: tuple[str, ...],
) -> tuple[object, ...]:
    start, end = span
    last = len(split) - 1
    before, after = nearest_stress(split, index)
    return (
        word,
        number,
        phones,
        index,
        word[start:end],
        start if end > start else None,
        "initial" if index == 0 else "final" if index == last else "medial",
        environment,
        split[index - 1] if index else PAUSE,
        split[index + 1] if index < last else PAUSE,
        int(before) if before else None,
        int(after) if after else None,
        *decided,
        *rest,
    )


@lru_cache(maxsize=8)
def _cells_of_rules(sound: Sound) -> list[tuple[str, str, str]]:
    """Allophone, symbol and what is heard as well, by the number of the rule that decides."""
    return [
        (rule.allophone, sound.allophones[rule.allophone].symbol, "; ".join(rule.also_heard))
        for rule in sound.rules
    ]


def words(lexicon: Lexicon, only: Sequence[str] | str | None = None) -> pd.DataFrame:
    """Every dictionary word that has the sound and a frequency, the commonest first.

    ``only`` restricts the table to these words, in their order; those that the dictionary or the frequencies lack are
    left out. Columns (:data:`WORD_COLUMNS`): ``rank``, place among all words of the frequency list, 1 = commonest;
    ``zipf``, Zipf scale; ``per_million``, occurrences per million words; ``syllables``; ``stress``, the digits of the
    vowels in order; ``phones``, ARPAbet of the pronunciation that stands for the word; ``ipa``, broad, with the usual
    allophones; ``allophones``, the usual one of each occurrence in order; ``lemma`` and ``family``
    (:mod:`lexiconforge.lexicon.families`); the screening (:mod:`lexiconforge.lexicon.screening`): ``proper_name``,
    ``abbreviation``, ``spelling``, ``sensitive``, ``in_dictionary``; ``reading_note``, why the pronunciation is not the
    first that the dictionary lists (:mod:`lexiconforge.lexicon.choosing`).

    >>> from lexiconforge.lexicon import load_lexicon
    >>> words(load_lexicon(), ["water"])[["stress", "ipa", "allophones"]].values.tolist()
    [['10', 'ˈwɔɾɚ', 'tap']]
    """
    from lexiconforge.options import words as checked

    if only is None:
        return word_table(lexicon).frame()
    found = (lexicon.row(word) for word in checked("words", only))
    return word_table(
        lexicon, [row for row in found if row is not None and lexicon.rank_at(row)]
    ).frame()


def word_table(lexicon: Lexicon, rows: Sequence[int] | None = None) -> Table:
    """As :func:`words`, of these rows of the lexicon, as a plain table."""
    from lexiconforge.sources.frequencies import per_million

    chosen = lexicon.graded if rows is None else rows
    phones, shown = (lexicon.main_cells(name, chosen) for name in ("phones", "ipa"))
    stress = [one.translate(_DIGITS_ONLY) for one in phones]
    zipf = [lexicon.zipf_at(row) or 0.0 for row in chosen]
    heard = [rule.allophone for rule in lexicon.sound.rules]
    verdicts = lexicon.verdicts_at(chosen)
    columns: dict[str, list[Any]] = {
        "word": [lexicon.word_at(row) for row in chosen],
        "rank": [lexicon.rank_at(row) for row in chosen],
        "zipf": zipf,
        "per_million": list(map(per_million, zipf)),
        "syllables": list(map(len, stress)),
        "stress": stress,
        "phones": phones,
        "ipa": shown,
        "allophones": ["; ".join([heard[n] for n in decided]) for decided in lexicon.main_rules(chosen)],
        "lemma": [lexicon.lemma_at(row) for row in chosen],
        "family": [lexicon.family_at(row) for row in chosen],
        "proper_name": [verdict.proper_name for verdict in verdicts],
        "abbreviation": [verdict.abbreviation for verdict in verdicts],
        "spelling": [verdict.spelling for verdict in verdicts],
        "sensitive": [verdict.sensitive for verdict in verdicts],
        "in_dictionary": [verdict.in_dictionary for verdict in verdicts],
        "reading_note": [lexicon.reading_note_at(row) for row in chosen],
    }
    return Table("words", columns)


_DIGITS_ONLY = {code: None for code in range(128) if chr(code) not in "012"}


def rules(sound: Sound) -> tuple[Rule, ...]:
    """The rules of a sound, in the order in which they are tried.

    >>> from lexiconforge.sounds import load_sound
    >>> any(rule.allophone == "tap" for rule in rules(load_sound()))
    True
    """
    return sound.rules


def rule_table(lexicon: Lexicon) -> pd.DataFrame:
    """The rule table with the share of the dictionary's occurrences of the sound that each rule decides.

    Columns (:data:`RULE_COLUMNS`): ``rule``, ``before``, ``after`` (context names, ``any`` where all fit),
    ``environment``, ``allophone``, ``also_heard``, ``heard`` and ``heard_source`` (the shares in conversation of the rule's
    example, and whose count they are), ``share`` (0 to 1, of all pronunciations; rules of the edge
    between words decide few inside them), ``slots``, ``misaki``, ``espeak_ng`` (of the occurrences on which the
    rule was scored against two references, their number and the share, 0 to 1, at which each reference
    agrees; ``docs/accuracy.md`` says how), ``source``, ``example``. Rows in the order of the rules.

    >>> from lexiconforge.lexicon import load_lexicon
    >>> rule_table(load_lexicon())["share"].sum().round(2).item()
    1.0
    """
    return rules_as_table(lexicon).frame()


def _heard_in_example(lexicon: Lexicon, rule: Rule) -> Heard:
    """The shares of the occurrence in the example of a rule, one word or two, that the rule decides."""
    sound = lexicon.sound
    words = rule.example.split()
    for pair in pairwise(words):
        if together := sound.weak_forms.get(" ".join(pair)):
            symbols = together[0].phones
            edge = symbols.index(RUN_TOGETHER)
            decided = {token.at: sound.rules[token.rule] for token in sound.matcher.tag(symbols)}
            return sound.rates.run_together(*pair) if decided.get(edge - 1) == rule else NOT_COUNTED
    readings = [lexicon.main(word) for word in words]
    first = readings[0]
    if first is None:
        return NOT_COUNTED
    if len(words) == 1 or readings[1] is None or first.phones[-1] != sound.phone:
        return next((token.heard for token in first.tokens if token.rule == rule), NOT_COUNTED)
    leaning = [form.phones for form in sound.weak_forms.get(words[1], ()) if form.phones[0] == CLITIC]
    after = leaning[0] if leaning else (WORD_BOUNDARY, *readings[1].phones)
    number = sound.matcher.between((PAUSE, *first.phones[:-1]), (*after, PAUSE))
    if sound.rules[number] != rule:
        return NOT_COUNTED
    return sound.rates.final(words[0], first.phones[-2], after[1], words[1])


def rules_as_table(lexicon: Lexicon) -> Table:
    """As :func:`rule_table`, as a plain table."""
    sound = lexicon.sound
    decided: Counter[str] = Counter(
        token.rule.name for reading in lexicon.sounding() for token in reading.tokens
    )
    whole = decided.total()
    rows = []
    for rule in sound.rules:
        measured = sound.agreement.get(rule.name)
        heard = _heard_in_example(lexicon, rule)
        shares = (measured.misaki, measured.espeak) if measured else (None, None)
        rows.append(
            (
                rule.name,
                "; ".join(rule.before) or "any",
                "; ".join(rule.after) or "any",
                rule.environment,
                rule.allophone,
                "; ".join(rule.also_heard),
                heard.text,
                heard.source,
                round(decided[rule.name] / whole, 5),
                measured.slots if measured else 0,
                *(None if share is None or share != share else share for share in shares),
                rule.source,
                rule.example,
            )
        )
    return Table.of_rows("rules", RULE_COLUMNS, rows)
