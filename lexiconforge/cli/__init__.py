"""The command line: one file for each command, whose docstring is its help.

Results go to standard output, everything else to standard error. Exit codes: 0 done, 1 not found, 2 wrong
use or a place that cannot be written, 130 interrupted.
"""

from __future__ import annotations

import argparse
import contextlib
import gc
import io
import os
import sys
from collections.abc import Sequence
from importlib import import_module
from typing import NoReturn

from lexiconforge.errors import LexiconForgeError
from lexiconforge.version import __version__

COMMANDS = (
    "build",
    "words",
    "links",
    "contrasts",
    "rhymes",
    "plan",
    "tag",
    "tag-text",
    "mine",
    "practice",
    "handout",
    "plot",
    "changes",
    "rules",
    "completion",
)


class UsageError(LexiconForgeError):
    """Wrong use; the message is the one line that is shown."""


class NotFoundError(LexiconForgeError):
    """Something asked for by name that is not there."""


class _Parser(argparse.ArgumentParser):
    def error(self, message: str) -> NoReturn:
        raise UsageError(f"{message} (see: {self.prog} --help)")


def parser(only: str = "") -> argparse.ArgumentParser:
    """The parser of all commands; ``only`` names the one whose options are wanted, which saves loading the rest."""
    top = _Parser(
        prog="lexiconforge",
        description="Word lists for teaching what happens to the letters t and d in General American.",
    )
    top.add_argument("--version", action="version", version=f"lexiconforge {__version__}")
    commands = top.add_subparsers(dest="command", metavar="COMMAND", required=True)
    for name in [only] if only in COMMANDS else COMMANDS:
        module = import_module(f"lexiconforge.cli.{name.replace('-', '_')}")
        summary, _, rest = (module.__doc__ or "").partition("\n")
        command = commands.add_parser(
            name,
            help=summary,
            description=f"{summary}\n{rest}",
            formatter_class=argparse.RawDescriptionHelpFormatter,
        )
        module.add_arguments(command)
        command.set_defaults(run=module.run)
    return top


def main(arguments: Sequence[str] | None = None) -> int:
    """Run one command; returns the exit code and never raises for a user's mistake."""
    # Millions of small objects are built once and kept: collecting in between costs a third of the time.
    collecting = gc.isenabled()
    gc.disable()
    try:
        given = list(sys.argv[1:] if arguments is None else arguments)
        options = parser(given[0] if given else "").parse_args(given)
        code: int = options.run(options)
        sys.stdout.flush()
        return code
    except SystemExit as leaving:  # --help and --version
        return int(leaving.code or 0)
    except BrokenPipeError:
        # The reader (head, a pager) has seen enough.
        _let_go_of_output()
        return 0
    except KeyboardInterrupt:
        print("lexiconforge: interrupted; files that were there are as they were", file=sys.stderr)
        return 130
    except NotFoundError as problem:
        print(f"lexiconforge: {problem}", file=sys.stderr)
        return 1
    except OSError as problem:
        # Files are named where they are opened; what is left is the output of the command itself.
        _let_go_of_output()
        place = problem.filename or "standard output"
        print(f"lexiconforge: cannot write {place}: {problem.strerror}", file=sys.stderr)
        return 2
    except LexiconForgeError as problem:
        for line in str(problem).splitlines():
            print(f"lexiconforge: {line}", file=sys.stderr)
        return 2
    finally:
        if collecting:
            gc.enable()


def _let_go_of_output() -> None:
    """Send what is still to be written nowhere, so that leaving does not fail on it again."""
    with contextlib.suppress(OSError, ValueError):
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())


def entry() -> NoReturn:
    """The installed command: :func:`main`, then leave without taking the tables apart object by object."""
    for stream in (sys.stdout, sys.stderr):
        # IPA needs UTF-8, whatever the system's own encoding; a terminal that has another shows what it can.
        if isinstance(stream, io.TextIOWrapper):
            if stream.isatty():
                stream.reconfigure(errors="replace")
            else:
                stream.reconfigure(encoding="utf-8")
    code = main()
    sys.stdout.flush()
    sys.stderr.flush()
    os._exit(code)
