"""Count the words and word pairs of your own texts, of any size, for build --counts.

Reads plain text, SRT and WebVTT subtitles, a column of CSV and a field of JSON Lines, each also gzipped; folders and
patterns too. A file that cannot be read whole is named and skipped, or ends the run with --strict.

example: lexiconforge mine course/ interviews/*.vtt --out counts.parquet
"""

from __future__ import annotations

import argparse
import json
from dataclasses import asdict
from pathlib import Path

from lexiconforge.cli import UsageError, common


def add_arguments(parser: argparse.ArgumentParser) -> None:
    add = parser.add_argument
    add("paths", nargs="+", metavar="PATH", help="files, folders or patterns")
    add("--out", required=True, metavar="FILE.parquet", help="where to write the counts")
    add(
        "--column",
        default="text",
        metavar="NAME",
        help="column of CSV, field of JSON Lines (default: text)",
    )
    add("--strict", action="store_true", help="stop at the first file that cannot be read whole")
    add(
        "--spoken",
        action="store_true",
        help="count what is said: numbers read out, no speaker before a line, no pair across a pause; many times slower",
    )
    common.add_json(parser)
    add("--cluster", metavar="tcp://HOST:PORT", help="count on this Dask cluster")
    add(
        "--cluster-limit",
        type=common.positive,
        default=600,
        metavar="SECONDS",
        help="give up when the cluster has finished no part for so long (default: 600)",
    )


def run(options: argparse.Namespace) -> int:
    from lexiconforge.mining.counting import mine

    out = Path(options.out)
    if out.suffix.lower() != ".parquet":
        raise UsageError(
            f"--out {out}: counts are a Parquet file for build --counts; the name must end in .parquet"
        )
    common.check_place(out)
    settings = {"column": options.column, "strict": options.strict, "spoken": options.spoken}
    if options.cluster:
        from lexiconforge.mining.cluster import mine_on_cluster

        with common.bar("counting", "part") as advance:
            report = mine_on_cluster(
                options.paths,
                out,
                options.cluster,
                limit=options.cluster_limit,
                advance=advance,
                **settings,
            )
    else:
        with common.bar("counting", "B") as advance:
            report = mine(options.paths, out, advance=advance, **settings)
    for path, what in report.notes.items():
        common.notify(f"{path}: {what}")
    for path, what in report.skipped.items():
        common.notify(f"skipped {path}: {what}")
    if options.json:
        print(json.dumps(asdict(report) | {"out": str(out)}))
        return 0
    print(
        f"{report.files} files, {report.size:,} bytes: {report.words:,} words and {report.pairs:,} word pairs in {out}"
    )
    return 0
