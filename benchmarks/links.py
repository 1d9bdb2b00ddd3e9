"""How near the order of the links is to talk: ``python benchmarks/links.py TRANSCRIPT...`` prints the figures.

A transcript is any text file of recorded talk. A link is met where both words stand together in one breath and the rules
make a tap of the sound between, read as they are said together. Printed: the rank correlation (Spearman) of the estimates
and of the bare web counts with the pairs met five times and more; the share of all meetings that the first 200 links
cover, beside what the best 200 would cover; and how many of the first 200 are never met.
"""

from __future__ import annotations

import argparse
import re
from collections import Counter
from collections.abc import Mapping
from itertools import pairwise
from pathlib import Path

from lexiconforge.lexicon import Lexicon, load_lexicon
from lexiconforge.lists.linking import LinkFilter, link_table, rule_across
from lexiconforge.lists.phrasing import PairReadings
from lexiconforge.sources.word_pairs import load_word_pairs
from lexiconforge.text.normalising import sentences
from lexiconforge.text.readers import find_files, read_text

FIRST = 200
OFTEN = 5
BREATH = re.compile(r"[,;:.!?…—–()\"“”]")
Pair = tuple[str, str]


def met(paths: list[str]) -> Counter[Pair]:
    """Pairs of words that stand together in one breath, with how often."""
    found: Counter[Pair] = Counter()
    for path in find_files(paths):
        for line in "".join(read_text(Path(path), note=lambda text: None)).split("\n"):
            for breath in BREATH.split(line):
                for spoken in sentences(breath):
                    found.update(pairwise(spoken))
    return found


def linking(lexicon: Lexicon, pairs: Counter[Pair]) -> dict[Pair, int]:
    """Those of them that link."""
    said, found = PairReadings(lexicon), {}
    for pair, count in pairs.items():
        if all(lexicon.main(word) and lexicon.rank(word) for word in pair):
            first, second = said.of(*pair)
            if first.phones[-1] == lexicon.sound.phone:
                rule = rule_across(lexicon.sound, first.phones, second.phones)
                if rule.allophone in lexicon.sound.tapped:
                    found[pair] = count
    return found


def figures(
    order: Mapping[Pair, float], links: Mapping[Pair, int], talk: Counter[Pair]
) -> dict[str, float]:
    """The figures for one order of pairs."""
    from scipy.stats import spearmanr

    often = [pair for pair, count in links.items() if count >= OFTEN and pair in order]
    first = sorted(order, key=lambda pair: -order[pair])[:FIRST]
    return {
        "rank correlation": float(spearmanr([links[p] for p in often], [order[p] for p in often])[0]),
        "pairs correlated": len(often),
        "share covered": sum(links.get(pair, 0) for pair in first) / sum(links.values()),
        "never met": sum(pair not in talk for pair in first),
    }


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__.split("\n\n")[0])
    parser.add_argument("transcripts", nargs="+")
    parser.add_argument("--sound", default="t")
    options = parser.parse_args()
    lexicon = load_lexicon(options.sound)
    talk = met(options.transcripts)
    links = linking(lexicon, talk)
    table = link_table(lexicon, load_word_pairs(), LinkFilter())
    pairs = list(zip(table["first"], table["second"], strict=True))
    orders = {
        "estimate for talk": dict(zip(pairs, table["spoken_estimate"], strict=True)),
        "bare web count": {p: n for p, n in zip(pairs, table["count"], strict=True) if n is not None},
    }
    best = sorted(links.values(), reverse=True)[:FIRST]
    print(
        f"{sum(talk.values()):,} pairs of talk, {sum(links.values()):,} of them link ({len(links):,} different)"
    )
    for name, order in orders.items():
        shown = figures(order, links, talk)
        print(
            f"{name}: rank correlation {shown['rank correlation']:.2f} ({shown['pairs correlated']} pairs met {OFTEN} times "
            f"and more), first {FIRST} cover {shown['share covered']:.1%}, never met {shown['never met']}"
        )
    print(f"the best {FIRST} would cover {sum(best) / sum(links.values()):.1%}")


if __name__ == "__main__":
    main()
