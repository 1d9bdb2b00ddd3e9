"""Runs the command line: ``python -m lexiconforge``."""

from lexiconforge.cli import entry

entry()
