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

    top = parser()
    commands = next(a for a in top._actions if isinstance(a, argparse._SubParsersAction))
    for command in commands.choices.values():
        for action in command._actions:
            named = str(action.metavar)
            if named.startswith(("FILE", "LIST", "LINKS", "PATH")):
                action.complete = shtab.FILE
            elif named == "FOLDER":
                action.complete = shtab.DIRECTORY
    sys.stdout.write(shtab.complete(top, options.shell) + "\n")
    return 0
