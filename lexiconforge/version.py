"""The version of this program. Room: imports nothing."""

__version__ = "0.2.0"
