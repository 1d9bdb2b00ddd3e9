"""Time ``build`` and ``words`` against their floors and print ratios and peak memory.

Each pair runs alternately in one session, as whole processes; the ratio is of the medians. Run by hand:

    python benchmarks/compare_speed.py
"""

import resource
import statistics
import subprocess
import sys
import tempfile
import time
from pathlib import Path

HERE = Path(__file__).parent
ROUNDS = 5


def run(command: list[str]) -> float:
    start = time.perf_counter()
    subprocess.run(command, check=True, stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL)
    return time.perf_counter() - start


def main() -> None:
    python = sys.executable
    with tempfile.TemporaryDirectory() as folder:
        pairs = {
            "build": (
                [python, "-m", "lexiconforge", "build", "--out", folder],
                [python, str(HERE / "floor_build.py")],
            ),
            "words": (
                [python, "-m", "lexiconforge", "words", "--allophone", "tap", "--limit", "50"],
                [python, str(HERE / "floor_words.py")],
            ),
        }
        print("job    floor s    job s    ratio")
        for name, (job, floor) in pairs.items():
            times = [(run(job), run(floor)) for _ in range(ROUNDS)]
            ours, least = (statistics.median(column) for column in zip(*times, strict=True))
            print(f"{name:<6} {least:7.2f}  {ours:7.2f}  {ours / least:7.2f}")
    peak = resource.getrusage(resource.RUSAGE_CHILDREN).ru_maxrss / 1024
    print(f"peak memory of any of them: {peak:.0f} MB")


if __name__ == "__main__":
    main()
