"""The least ``lexiconforge words`` could cost: import pandas and read the two sources."""

import sys

import pandas as pd
import pronouncing
import wordfreq


def main() -> None:
    frequencies = wordfreq.get_frequency_dict("en", "large")
    pronouncing.init_cmu()
    print(len(frequencies), len(pronouncing.pronunciations), pd.__version__, file=sys.stderr)


if __name__ == "__main__":
    main()
