"""Why a word is in a list, at which place, or in none; how it is read, and why so.

example: lexiconforge why putting
"""

from __future__ import annotations

import argparse

from lexiconforge.cli import common


def add_arguments(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("word", metavar="WORD")
    common.add_lexicon(parser)


def run(options: argparse.Namespace) -> int:
    from lexiconforge.building import BuildOptions
    from lexiconforge.lists.why import NO_SUCH, readings_shown, standings

    lexicon = common.load(options)
    common.progress("")
    word = options.word.lower().replace("’", "'")
    common.require_words(lexicon, [word])
    entry = lexicon.entry(word)
    assert entry is not None
    facts = [
        f"rank {entry.rank:,}" if entry.rank else "no frequency",
        entry.level or "no level",
        ", ".join(entry.parts_of_speech) or "no part of speech",
        f"a form of {entry.lemma}" if entry.lemma != entry.word else "",
        f"family of {entry.family}" if entry.family not in (entry.word, entry.lemma) else "",
    ]
    print(f"{entry.written}  {'; '.join(fact for fact in facts if fact)}")
    for name, line in zip(
        ("read as", *["also"] * len(entry.readings)), readings_shown(lexicon, entry), strict=False
    ):
        print(f"  {name:<8} {line}")
    print(f"  {'why so':<8} {entry.reading_note or 'the first that the dictionary lists'}")
    found = standings(lexicon, entry, size=BuildOptions().size)
    relevant = [one for one in found if one.why != NO_SUCH]
    width = max((len(one.name) for one in relevant), default=0)
    for one in relevant:
        place = f"place {one.place}" if one.place else "not in it"
        rest = ", ".join(part for part in (one.under and f"under {one.under}", one.why) if part)
        print(f"  {one.name:<{width}}  {place}{f': {rest}' if rest else ''}")
    if len(relevant) < len(found):
        others = "no list" if not relevant else "no other list"
        print(f"  in {others}: it has no {lexicon.sound.letters} of that kind")
    return 0
