"""Completion of commands and options for bash, zsh or tcsh, to be read by the shell at its start.

Save the script where your shell looks for completions, or read it in the shell's start file.

example: lexiconforge completion bash
"""

from __future__ import annotations

import argparse
import sys

SHELLS = ("bash", "zsh", "tcsh")


def add_arguments(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("shell", choices=SHELLS, metavar="SHELL", help=", ".join(SHELLS))


def run(options: argparse.Namespace) -> int:
    import shtab

    from lexiconforge.cli import parser

    sys.stdout.write(shtab.complete(parser(), options.shell) + "\n")
    return 0
