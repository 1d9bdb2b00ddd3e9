"""Tables as pictures: one function each, table in, figure out, readable in grey.

Room: imports matplotlib; counts, but decides nothing.
"""

from __future__ import annotations

import io
import itertools
from collections.abc import Mapping
from typing import TYPE_CHECKING

from lexiconforge.errors import PlotError

if TYPE_CHECKING:
    import pandas as pd
    from matplotlib.figure import Figure

    from lexiconforge.phonology.rates import Heard
    from lexiconforge.sounds import Sound

FORMATS = ("svg", "png")
THOUSANDS = 10
"""Thousands of ranks that a picture of environments shows."""
LEAST_TOKENS = 20
"""Tokens that an environment needs to be drawn."""
_DASHES = ("-", "--", ":", "-.", (0, (1, 3)), (0, (8, 2, 1, 2, 1, 2)))
_FILLS = (
    ("white", ""),
    ("#d5cfc4", ""),
    ("white", "...."),
    ("#8d8577", ""),
    ("white", "////"),
    ("white", "xxxx"),
)
_INK, _PALE = "#1e1b18", "#d5cfc4"


def _figure(width: float, height: float) -> Figure:
    """Raises PlotError if matplotlib is not installed."""
    try:
        from matplotlib.figure import Figure
    except ImportError:
        raise PlotError(
            "the package matplotlib is not installed; install it with: pip install 'lexiconforge[plots]'"
        ) from None

    class Picture(Figure):
        """A figure that a notebook shows by itself."""

        def _repr_svg_(self) -> str:
            return figure_bytes(self, "svg").decode()

    return Picture(figsize=(width, height), layout="constrained")


def coverage_figure(lists: Mapping[str, pd.DataFrame]) -> Figure:
    """Which share of such sounds of running text the first words of a list account for.

    ``lists`` by name, each with the columns ``place`` and ``coverage`` of
    :func:`lexiconforge.lists.wordlists.word_list`. Each list has a line of its own kind, named beside. Raises PlotError
    if matplotlib is not installed.

    >>> import pandas as pd
    >>> figure = coverage_figure({"tap": pd.DataFrame({"place": [1, 2], "coverage": [0.2, 0.3]})})
    >>> figure.axes[0].lines[0].get_ydata().tolist()
    [0.0, 20.0, 30.0]
    """
    figure = _figure(7.5, 4.5)
    axes = figure.add_subplot()
    longest = 1
    for n, (name, table) in enumerate(lists.items()):
        places = [0, *table["place"].astype(int)]
        shares = [0.0, *(100 * table["coverage"].astype(float))]
        # As many kinds of line again, broader, when the dashes have run out.
        width = 1.3 + 1.5 * (n // len(_DASHES))
        style = _DASHES[n % len(_DASHES)]
        # A dollar sign would begin a formula, an underscore at the start would keep the list out of the legend.
        label = name.replace("$", r"\$")
        label = f"\u200b{label}" if label.startswith("_") else label
        axes.plot(places, shares, linestyle=style, color=_INK, label=label, linewidth=width)
        longest = max(longest, places[-1])
    axes.set_xlim(0, longest)
    axes.set_ylim(0, 100)
    axes.set_xlabel("words of the list, commonest first")
    axes.set_ylabel("share of such sounds in running text, %")
    axes.grid(color=_PALE, linewidth=0.6)
    if lists:
        axes.legend(loc="lower right", frameon=False, handlelength=4)
    _plain(axes)
    return figure


def environments_figure(cards: pd.DataFrame) -> Figure:
    """How many words have the sound in each environment, by thousands of ranks.

    ``cards`` as :func:`lexiconforge.lists.wordlists.word_cards` gives them; a word counts once in each environment that
    one of its occurrences has. The area of a disc is the number, which stands in it. Raises PlotError if matplotlib is not
    installed.
    """
    cards = cards.assign(thousand=(cards["rank"] - 1) // 1000 + 1)
    cards = cards[cards["thousand"] <= THOUSANDS].drop_duplicates(["word", "environment"])
    counts = cards.groupby(["environment", "thousand"]).size().unstack(fill_value=0)
    counts = counts.loc[counts.sum(axis=1).sort_values().index]
    figure = _figure(8.5, 1.6 + 0.36 * len(counts))
    axes = figure.add_subplot()
    most = counts.to_numpy().max() if counts.size else 1
    for at, environment in enumerate(counts.index):
        for thousand, number in counts.loc[environment].items():
            if number:
                axes.scatter([thousand], [at], s=620 * number / most, color=_PALE, linewidths=0)
                axes.text(thousand, at, str(number), ha="center", va="center", fontsize=8, color=_INK)
    axes.set_yticks(range(len(counts)), list(counts.index))
    axes.set_ylim(-0.7, len(counts) - 0.3)
    axes.set_xticks(sorted(counts.columns))
    axes.set_xlabel("thousands of ranks: 1 = the thousand commonest words of English")
    axes.tick_params(length=0)
    _plain(axes, left=False)
    return figure


def heard_figure(sound: Sound, least: int = LEAST_TOKENS) -> Figure:
    """How often each variant is heard in each environment, in percent, with the number of tokens behind each row.

    Environments with fewer tokens than ``least`` are left out; shares that are no count of their own environment are
    marked as estimates, a ``?`` stands where the number of tokens was not published. Raises PlotError if nothing was counted
    or matplotlib is not installed.
    """
    rows = sound.rates.environments(least)[::-1]
    if not rows:
        raise PlotError(f"nobody counted how often the variants of {sound.letters} are heard")
    figure = _figure(9.5, 1.5 + 0.24 * len(rows))
    axes = figure.add_subplot()
    for n, variant in enumerate(sound.rates.variants):
        shade, hatch = _FILLS[n % len(_FILLS)]
        shares = [heard.get(variant, 0) for _, heard in rows]
        lefts = [sum(heard.get(earlier, 0) for earlier in sound.rates.variants[:n]) for _, heard in rows]
        axes.barh(
            range(len(rows)), shares, left=lefts, height=0.78, color=shade, hatch=hatch,
            edgecolor=_INK, linewidth=0.5, label=variant,
        )  # fmt: skip
        for at, (left, share) in enumerate(zip(lefts, shares, strict=True)):
            if share >= 9:
                axes.text(
                    left + share / 2, at, str(share), ha="center", va="center", fontsize=7, color=_INK,
                    bbox={"facecolor": "white", "edgecolor": "none", "pad": 0.6},
                )  # fmt: skip
    labels = [f"{label}{' (estimate)' if heard.estimated else ''}" for label, heard in rows]
    axes.set_yticks(range(len(rows)), labels, fontsize=8)
    for at, (_, heard) in enumerate(rows):
        axes.text(101, at, _behind(heard), va="center", fontsize=7)
    axes.text(101, len(rows) - 0.2, "tokens", fontsize=7)
    axes.set_xlim(0, 100)
    axes.set_ylim(-0.6, len(rows) - 0.4)
    axes.set_xlabel("heard in conversation, %")
    axes.tick_params(axis="y", length=0)
    figure.legend(loc="outside upper center", ncols=len(sound.rates.variants), frameon=False, fontsize=8)
    _plain(axes, left=False)
    return figure


def _behind(heard: Heard) -> str:
    """The number of tokens behind some shares; of an estimate those it was made from."""
    if not heard.tokens:
        return "?"
    return f"{heard.tokens:,}{' pooled' if heard.estimated else ''}"


def text_figure(tokens: pd.DataFrame, text: str, sound: Sound) -> Figure:
    """Where the sound falls in a text: a mark for each occurrence at its line and its place in it, a row for each
    allophone.

    ``tokens`` as in :class:`lexiconforge.text.tagger.Passage`, ``text`` that of the passage. Raises PlotError if
    matplotlib is not installed.
    """
    lines = text.rstrip("\n").split("\n")
    begins = list(itertools.accumulate((len(line) + 1 for line in lines), initial=0))
    lengths = [max(len(line), 1) for line in lines]
    present = [name for name in sound.allophones if (tokens["allophone"] == name).any()][::-1]
    figure = _figure(8.5, 1.3 + 0.42 * max(len(present), 1))
    axes = figure.add_subplot()
    for at, name in enumerate(present):
        rows = tokens.loc[tokens["allophone"] == name, ["line", "start"]]
        places = [
            line + (start - begins[line - 1]) / lengths[line - 1]
            for line, start in zip(rows["line"], rows["start"], strict=True)
        ]
        axes.vlines(places, at - 0.32, at + 0.32, color=_INK, linewidth=1.1)
    labels = [
        f"{sound.allophones[name].label} [{sound.allophones[name].symbol}], {(tokens['allophone'] == name).sum()}"
        for name in present
    ]
    axes.set_yticks(range(len(present)), labels)
    axes.set_ylim(-0.6, max(len(present), 1) - 0.4)
    axes.set_xlim(1, len(lines) + 1)
    axes.set_xlabel("line of the text; within a line, the place in it")
    axes.tick_params(axis="y", length=0)
    axes.locator_params(axis="x", integer=True)
    _plain(axes, left=False)
    return figure


def _plain(axes: object, *, left: bool = True) -> None:
    for side in ("top", "right", *(() if left else ("left",))):
        axes.spines[side].set_visible(False)  # type: ignore[attr-defined]


def figure_bytes(figure: Figure, form: str) -> bytes:
    """The figure as ``svg`` or ``png``, the same bytes for the same figure. Raises PlotError for another form."""
    if form not in FORMATS:
        raise PlotError(f"no picture of the kind {form!r}; there are: {', '.join(FORMATS)}")
    import matplotlib

    buffer = io.BytesIO()
    metadata = {"Date": None} if form == "svg" else {"Software": None}
    # Letters stay letters in an SVG, so that it can be searched and set in the reader's font.
    with matplotlib.rc_context({"svg.hashsalt": "lexiconforge", "svg.fonttype": "none"}):
        figure.savefig(buffer, format=form, dpi=200, metadata=metadata)
    return buffer.getvalue()
