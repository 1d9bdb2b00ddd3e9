"""Counts of words and word pairs from a body of text of any size.

Room: readers give clean text, counting counts it, on one machine or a cluster. Imports nothing of ours.
"""

from __future__ import annotations


class MiningError(Exception):
    """Counting that cannot go on; the message is one line and names the file or place."""
