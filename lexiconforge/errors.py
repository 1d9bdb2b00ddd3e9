"""Everything this library raises on purpose: one base, :class:`LexiconForgeError`, and its kinds.

Room: imports nothing. Every message is written for the person who reads it: it names the thing and the way out.
"""

from __future__ import annotations


class LexiconForgeError(Exception):
    """The base of all errors below; whoever wants to catch everything that is foreseen catches this."""


class OptionError(LexiconForgeError, ValueError):
    """An option or argument with a value that cannot be; the message lists the valid ones."""


class SoundError(LexiconForgeError):
    """Tables of a sound that do not hold together; the message has a line for each problem."""


class SourceError(LexiconForgeError):
    """A source that is missing or does not hold what it should."""


class ReadError(LexiconForgeError):
    """A file that cannot be read or trusted; the message says what is the matter, without its name."""


class TableError(LexiconForgeError, ValueError):
    """A file that does not hold the table it should."""


class WriteError(LexiconForgeError):
    """A place that cannot be written."""


class MiningError(LexiconForgeError):
    """Counting that cannot go on."""


class PlotError(LexiconForgeError):
    """A picture that cannot be drawn."""
