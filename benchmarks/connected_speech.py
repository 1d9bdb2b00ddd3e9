"""How well the shares of ``heard`` foretell what is said, on counts and conversations that you give.

    python benchmarks/connected_speech.py --tokens final_t_tokens.csv
    python benchmarks/connected_speech.py --conversation talk.txt.gz:100-900,1200-

--tokens is a CSV with a row for each word-final t after a consonant that somebody transcribed: speaker, word, next_word,
before, next_sound (the groups of ``heard_groups.csv``), variant. Each speaker is left out in turn: the cells are counted
from the others (a word or pair then needs its 10 or 8 tokens without them), and the mean of -ln(share) is taken over the
speaker's tokens, a share counting as at least .01. --tune tries the constants of :mod:`lexiconforge.phonology.rates`.

--conversation is a text, with the lines that are conversation (debates, courts and readings are none). Its mix is held
against that of 63,645 t's in conversation (Cohen Priva & Gleason 2020, from the published alignment counts of the Buckeye
Corpus), where the nasal tap counts as elided and the t of *tr* as a stop; the measure is half of the summed
differences. Most
shares of a final t after a vowel were estimated from pooled counts of the same recordings, so that this shows that the
parts fit, not that each share is right.
"""

from __future__ import annotations

import argparse
import csv
import gzip
import itertools
import math
from collections import Counter, defaultdict
from collections.abc import Callable, Iterable, Mapping, Sequence
from pathlib import Path

from lexiconforge.lexicon import load_lexicon
from lexiconforge.phonology.rates import LENT, Group, Rates
from lexiconforge.sounds import load_sound
from lexiconforge.text.phrases import items
from lexiconforge.text.tagger import Passage, Tagger

LEAST_SHARE = 0.01
LEAST_TOKENS = {"context": 1, "ending": 8, "word": 10, "pair": 8}
"""Tokens that a cell needs to be kept."""
SETS = {
    "by context": ("context",),
    "by context and ending": ("context", "ending"),
    "with words and pairs": ("context", "ending", "word", "pair"),
}
PUBLISHED = {"stop": 45.8, "elided": 16.5, "glottal stop": 16.4, "tap": 18.1, "affricate": 1.7}
COUNTED_AS = {"nasal tap": "elided"}
BEFORE_R = "before r"

Token = Mapping[str, str]
Row = dict[str, str]
Share = Callable[[Token], float]


def table_of(stem: str) -> list[Row]:
    """A table of the sound, as it was read."""
    text = load_sound().files[f"t/{stem}.csv"].decode("utf-8-sig")
    return list(csv.DictReader(text.splitlines()))


def counted(tokens: Iterable[Token]) -> list[Row]:
    """The rows of ``heard.csv`` that these tokens make."""
    group = load_sound().rates.group
    counts: dict[tuple[str, ...], Counter[str]] = defaultdict(Counter)
    for token in tokens:
        before, after, word = token["before"], token["next_sound"], token["word"]
        keys = [
            ("context", before, after, group("kind", word), "", ""),
            ("word", before, after, "", word, ""),
        ]
        if ending := group("ending", word):
            keys.append(("ending", before, after, ending, "", ""))
        if after != "pause":
            keys.append(("pair", before, after, "", word, token["next_word"]))
        for key in keys:
            counts[key][token["variant"]] += 1
    names = ("cell", "before", "next_sound", "kind", "word", "next_word")
    return [
        dict(zip(names, key, strict=True))
        | {
            "unit": "count",
            "n": str(found.total()),
            "source": "these tokens",
            "heard": "; ".join(f"{variant} {count}" for variant, count in found.items()),
        }
        for key, found in counts.items()
        if found.total() >= LEAST_TOKENS[key[0]]
    ]


def rates_of(rows: Iterable[Row], lent: Mapping[str, float] = LENT) -> Rates:
    groups = [Group(r["grouping"], r["group"], r["fits"]) for r in table_of("heard_groups")]
    return Rates("t", load_sound().rates.variants, groups, rows, lent)


def share_in(rates: Rates, pooled: Share, *, whole: bool) -> Share:
    """Whole percents as shown, or the shares before rounding. A context that only the left-out speaker has counts as the
    pooled distribution: the program says *no published count* there, but every token must be foretold."""

    def share(token: Token) -> float:
        where = (token["before"], token["next_sound"], token["word"], token["next_word"])
        if whole:
            heard = rates.final_in(*where)
            return heard.get(token["variant"], 0) / 100 if heard else pooled(token)
        exact = rates.distribution(*where)
        return pooled(token) if exact is None else exact[token["variant"]]

    return share


def pooled_share(tokens: Iterable[Token]) -> Share:
    total = Counter(token["variant"] for token in tokens)
    return lambda token: total[token["variant"]] / total.total()


def log_loss(tokens: Iterable[Token], share: Share) -> float:
    """Summed, natural logarithm."""
    return sum(-math.log(max(share(token), LEAST_SHARE)) for token in tokens)


def speakers_left_out(path: Path, *, tune: bool) -> None:
    with path.open(encoding="utf-8", newline="") as file:
        tokens = list(csv.DictReader(file))
    by_speaker: dict[str, list[Token]] = defaultdict(list)
    for token in tokens:
        by_speaker[token["speaker"]].append(token)
    without = {name: [token for token in tokens if token["speaker"] != name] for name in by_speaker}
    rows = {name: counted(others) for name, others in without.items()}
    losses: dict[str, dict[str, float]] = defaultdict(dict)
    likeliest: Counter[str] = Counter()
    for name, theirs in by_speaker.items():
        pooled = pooled_share(without[name])
        losses["one pooled distribution"][name] = log_loss(theirs, pooled)
        for label, cells in SETS.items():
            rates = rates_of(row for row in rows[name] if row["cell"] in cells)
            losses[label][name] = log_loss(theirs, share_in(rates, pooled, whole=True))
            for t in theirs:
                heard = rates.final_in(t["before"], t["next_sound"], t["word"], t["next_word"])
                likeliest[label] += heard.likeliest == t["variant"]
    print(f"{len(tokens):,} tokens, {len(by_speaker)} speakers, each left out in turn; log loss in nats")
    for label, each in losses.items():
        of_speakers = sorted(each[name] / len(by_speaker[name]) for name in each)
        spread = f"speakers {of_speakers[0]:.2f} to {of_speakers[-1]:.2f}"
        said = f", likeliest was said {likeliest[label] / len(tokens):.1%}" if label in likeliest else ""
        print(f"{label:28} {sum(each.values()) / len(tokens):.4f}  {spread}{said}")
    if tune:
        grid(by_speaker, without, rows)


def grid(
    by_speaker: Mapping[str, Sequence[Token]],
    without: Mapping[str, Sequence[Token]],
    rows: Mapping[str, Sequence[Row]],
) -> None:
    total = sum(map(len, by_speaker.values()))
    print("\nlent to contexts and to endings, words, pairs: log loss with words and pairs")
    for context, word in itertools.product((1.0, 2.0, 4.0, 8.0, 16.0), (4.0, 8.0, 16.0, 32.0, 64.0)):
        lent = {"before": context, "context": context, "ending": word, "word": word, "pair": word}
        loss = sum(
            log_loss(
                theirs, share_in(rates_of(rows[name], lent), pooled_share(without[name]), whole=False)
            )
            for name, theirs in by_speaker.items()
        )
        print(f"{context:6g} {word:6g} {loss / total:.4f}")


def lines_of(given: str) -> tuple[list[str], list[str]]:
    """The lines kept of ``FILE:100-200,300-`` (all without numbers), and the ranges left out."""
    name, wanted = given, ""
    if not Path(given).exists():
        name, _, wanted = given.rpartition(":")
    path = Path(name)
    content = path.read_bytes()
    lines = (gzip.decompress(content) if path.suffix == ".gz" else content).decode().split("\n")
    if not wanted:
        return lines, []
    kept, left_out, after = [], [], 1
    for part in wanted.split(","):
        first, _, last = part.partition("-")
        start, end = int(first), int(last or len(lines))
        if start > after:
            left_out.append(f"{after}-{start - 1}")
        kept += lines[start - 1 : end]
        after = end + 1
    if after <= len(lines):
        left_out.append(f"{after}-{len(lines)}")
    return kept, left_out


def mix_of(passage: Passage) -> tuple[dict[str, float], Counter[str]]:
    """Percent of each variant as it was published, and on what each token rests."""
    sound = load_sound()
    total: dict[str, float] = defaultdict(float)
    basis: Counter[str] = Counter()
    for said in passage.said:
        for token in said.tagged.tokens if said.tagged is not None else ():
            basis["estimated" if token.heard.estimated else "counted" if token.heard else "rule"] += 1
            shares: Mapping[str, float] = token.heard
            if not token.heard:
                variant = (
                    "stop" if token.rule.environment == BEFORE_R else sound.variant_of[token.allophone]
                )
                shares = {variant: 100}
            for variant, share in shares.items():
                total[COUNTED_AS.get(variant, variant)] += share
    whole = sum(total.values())
    return {variant: 100 * total[variant] / whole for variant in PUBLISHED}, basis


def difference(mix: Mapping[str, float]) -> float:
    return sum(abs(mix[variant] - PUBLISHED[variant]) for variant in PUBLISHED) / 200


def conversations(given: Sequence[str]) -> None:
    tagger = Tagger(load_lexicon())
    lines: list[str] = []
    for one in given:
        kept, left_out = lines_of(one)
        lines += kept
        print(f"{one}: {len(kept):,} lines kept; left out: {', '.join(left_out) or 'none'}")
    pauses = sum(item is None for line in lines for item in items(line))
    mix, basis = mix_of(tagger.tag_text("\n".join(lines)))
    print(f"{basis.total():,} t's, {pauses:,} pauses; resting on: {dict(basis)}")
    for variant, published in PUBLISHED.items():
        print(f"{variant:14} {mix[variant]:5.1f}  published {published:5.1f}")
    print(f"half-summed difference {difference(mix):.3f}")


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawTextHelpFormatter)
    parser.add_argument("--tokens", type=Path, metavar="FILE.csv")
    parser.add_argument("--conversation", nargs="+", default=[], metavar="FILE[:A-B,C-]")
    parser.add_argument("--tune", action="store_true", help="try the constants; a few minutes")
    options = parser.parse_args()
    if options.tokens is None and not options.conversation:
        parser.error("give --tokens, --conversation or both")
    if options.tokens is not None:
        speakers_left_out(options.tokens, tune=options.tune)
    if options.conversation:
        conversations(options.conversation)


if __name__ == "__main__":
    main()
