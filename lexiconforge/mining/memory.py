"""Counts of texts that a program holds or streams, the same as if they stood in files.

Room: writes what it is given into scratch files of some megabytes and has them counted as files are, so that one set of
rules says what a word is and neither the number of texts nor their size matters.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping
from pathlib import Path

from lexiconforge import data
from lexiconforge.errors import MiningError, OptionError
from lexiconforge.mining.counting import Counter, HowRead, Report, write_counts
from lexiconforge.mining.scratch import scratch_folder
from lexiconforge.sources.own_counts import OwnCounts, load_own_counts

SPOOL = 4 << 20
"""Characters of text in one scratch file."""


def count_texts(
    texts: Iterable[object],
    *,
    field: str = "",
    spoken: bool = False,
    progress: Callable[[str], None] = lambda text: None,
) -> OwnCounts:
    """Counts of the words and word pairs of these texts, if ``spoken`` as they are said.

    ``texts`` is any iterable of strings: a list, a generator, a column of a data frame (a missing value is no text),
    an NLTK corpus reader's ``raw()`` of each file. With ``field`` it gives mappings, of which this field is the text,
    as the rows of a data set do. A line break ends a sentence, and a text ends one too; in a field, as in JSON Lines, a
    line break is a space. Each text is read once and let go, so a generator of any length is counted in the same memory;
    what grows is the number of different pairs.

    Gives :class:`~lexiconforge.sources.own_counts.OwnCounts`: ``counts``, a data frame ``first``, ``second``, ``count``
    as :func:`~lexiconforge.mining.counting.mine` writes it; ``pairs``, for :func:`~lexiconforge.lists.linking.links`; the
    whole is taken as ``counts`` by :class:`~lexiconforge.building.BuildOptions`.

    Raises :class:`~lexiconforge.errors.OptionError` for what is not an iterable of texts, and
    :class:`~lexiconforge.errors.MiningError` if there is no word in them.

    >>> found = count_texts(["Put it on.", "Put it off! Put out the light."])
    >>> found.words["put"], found.pairs.iloc[0, :2].tolist()
    (3, ['put', 'it'])
    """
    if isinstance(texts, str | bytes | Path | Mapping) or not isinstance(texts, Iterable):
        raise OptionError(
            f"texts must be an iterable of strings, not {type(texts).__name__}; one text is [text], "
            "files are counted by mine"
        )
    if hasattr(texts, "columns") and hasattr(texts, "iloc"):
        raise OptionError("texts must be one column of a data frame, as in frame['text']")
    return _counted(_texts(texts, field), progress, HowRead(spoken=spoken))


def count_sentences(
    sentences: Iterable[Iterable[str]], *, progress: Callable[[str], None] = lambda text: None
) -> OwnCounts:
    """Counts of the words and word pairs of sentences that are split into tokens already.

    ``sentences`` is an iterable of token lists: an NLTK corpus reader's ``sents()``, or what its tokenizers give. A token
    without a letter is punctuation and ends a sentence where it would in a text (``;``, not ``,``); a clitic that a
    tokenizer parts from its word (``do``, ``n't``; ``data/clitics.csv``) is joined to it again, so that the counts are
    those of the text. The rest as for :func:`count_texts`.

    Raises :class:`~lexiconforge.errors.OptionError` for tokens that are not text, and
    :class:`~lexiconforge.errors.MiningError` if there is no word in them.

    >>> found = count_sentences([["Do", "n't", "put", "it", ",", "Otto", "."], ["It", "'s", "hot"]])
    >>> sorted(found.words)
    ["don't", 'hot', 'it', "it's", 'otto', 'put']
    """
    if isinstance(sentences, str | bytes | Path | Mapping) or not isinstance(sentences, Iterable):
        raise OptionError(
            f"sentences must be an iterable of token lists, not {type(sentences).__name__}; untokenized "
            "texts are counted by count_texts"
        )
    return _counted(_joined(sentences), progress)


def _texts(texts: Iterable[object], field: str) -> Iterator[str]:
    for number, text in enumerate(texts, start=1):
        if field:
            if not isinstance(text, Mapping):
                raise OptionError(f"text {number} is {type(text).__name__}; field takes mappings")
            if field not in text:
                raise OptionError(f"text {number} has no field {field!r}; it has: {_listed(text)}")
            text = text[field]
        if isinstance(text, str):
            yield text.replace("\n", " ") if field else text
        elif isinstance(text, Mapping):
            raise OptionError(f"text {number} is a mapping; name its text with field: {_listed(text)}")
        elif not _missing(text):
            raise OptionError(f"text {number} must be a string, not {type(text).__name__}")


def _listed(record: Mapping[object, object]) -> str:
    return ", ".join(map(str, record))


def _missing(value: object) -> bool:
    """None, and what pandas has for nothing: not a number, which is not equal to itself, and its own NA."""
    return value is None or value != value if isinstance(value, float | None) else str(value) == "<NA>"


def _joined(sentences: Iterable[Iterable[str]]) -> Iterator[str]:
    clitics = {row["token"] for row in data.rows("clitics")}
    for number, sentence in enumerate(sentences, start=1):
        if isinstance(sentence, str) or not isinstance(sentence, Iterable):
            raise OptionError(
                f"sentence {number} must be a list of tokens, not {type(sentence).__name__}"
            )
        parts: list[str] = []
        for token in sentence:
            if not isinstance(token, str):
                raise OptionError(
                    f"sentence {number}: a token must be text, not {type(token).__name__}; of tagged words "
                    "give the words alone"
                )
            plain = token.replace("’", "'").lower()
            parts.append(token if parts and plain in clitics else f" {token}")
        yield "".join(parts).replace("\n", " ")


def _counted(
    texts: Iterable[str], progress: Callable[[str], None], how: HowRead | None = None
) -> OwnCounts:
    report = Report()
    with scratch_folder() as folder, Counter(folder, how or HowRead(), report) as counter:
        spool, waiting, size, number = folder / "texts.txt", [], 0, 0
        for number, text in enumerate(texts, start=1):
            waiting.append(text)
            size += len(text) + 1
            if size >= SPOOL:
                progress(f"{number:,} texts")
                _hand_over(counter, spool, waiting)
                waiting, size = [], 0
        _hand_over(counter, spool, waiting)
        if not number:
            raise MiningError("there are no texts to count")
        counter.finish()
        out = folder / "counts.parquet"
        try:
            write_counts(counter.connection, out, report)
        except MiningError:
            if report.words:
                raise
            raise MiningError(f"no words were found in {number:,} texts") from None
        return load_own_counts(out)


def _hand_over(counter: Counter, spool: Path, texts: list[str]) -> None:
    # What no UTF-8 file holds, half a character or a NUL, parts words here as a space does.
    text = "\n".join(texts).replace("\0", " ")
    if not text:
        return
    try:
        spool.write_bytes(text.encode("utf-8", "ignore") + b"\n")
        counter.add(spool, True)
        spool.unlink()
    except OSError as error:
        raise MiningError(f"cannot write scratch files in {spool.parent}: {error.strerror}") from None
    except MiningError as problem:
        raise MiningError(f"one of the texts: {str(problem).removeprefix(f'{spool}: ')}") from None
