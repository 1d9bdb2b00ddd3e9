"""Counts of words and word pairs from a body of text of any size.

Room: the readers of ``text`` give clean text, counting counts it, on one machine or a cluster.
"""
