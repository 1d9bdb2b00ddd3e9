"""The command line: one file for each command, whose docstring is its help.

Results go to standard output, everything else to standard error. Exit codes: 0 done, 1 not found, 2 wrong use, a file
that cannot be read or a place that cannot be written, 70 a fault of this program (``EX_SOFTWARE`` of BSD's sysexits.h),
129, 130 and 143 ended by the closing of the terminal, Ctrl-C and SIGTERM (128 and the number of the signal, as in a shell).
"""

from __future__ import annotations

import argparse
import contextlib
import gc
import io
import os
import signal
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
    "why",
    "mine",
    "practice",
    "handout",
    "cards",
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


DEBUG_VARIABLE = "LEXICONFORGE_DEBUG"
FAULT = 70


class Ended(BaseException):
    """A signal asks the process to end; whatever is open is cleared up on the way."""

    def __init__(self, number: int) -> None:
        super().__init__(number)
        self.code = 128 + number


_asked: list[int] = []
"""The signals that came in this run. What a handler raises may be lost: in native code it becomes another error, or none."""


def go_on() -> None:
    """Called now and then in long work: raises what a signal asked for and something on the way has lost."""
    if _asked:
        raise Ended(_asked[0])


def main(arguments: Sequence[str] | None = None) -> int:
    """Run one command; returns the exit code and never raises, whatever happens."""
    # Millions of small objects are built once and kept: collecting in between costs a third of the time.
    collecting = gc.isenabled()
    gc.disable()
    _asked.clear()
    try:
        given = list(sys.argv[1:] if arguments is None else arguments)
        options = _parsed(given)
        code: int = options.run(options)
        sys.stdout.flush()
        return code
    except BaseException as problem:
        if os.environ.get(DEBUG_VARIABLE):
            _trace()
        return _answer(Ended(_asked[0]) if _asked else problem)
    finally:
        if collecting:
            gc.enable()


def _parsed(given: list[str]) -> argparse.Namespace:
    """The options. Raises UsageError for what argparse lets through: no value, or an empty name."""
    for one in given:
        if one.startswith("--") and one.endswith("=--"):
            raise UsageError(f"{one.removesuffix('=--')} has no value")
    options = parser(given[0] if given else "").parse_args(given)
    if getattr(options, "out", None) == "":
        raise UsageError("--out has no value")
    return options


def _answer(problem: BaseException) -> int:
    """Say in one line what happened; the exit code. The one place where errors become words and codes."""
    if isinstance(problem, SystemExit):  # --help and --version
        return int(problem.code or 0)
    if isinstance(problem, BrokenPipeError):
        # The reader (head, a pager) has seen enough.
        _let_go_of_output()
        return 0
    code, text = 2, str(problem)
    if isinstance(problem, KeyboardInterrupt | Ended):
        code = problem.code if isinstance(problem, Ended) else Ended(signal.SIGINT).code
        text = "interrupted; files that were there are as they were"
    elif isinstance(problem, NotFoundError):
        code = 1
    elif isinstance(problem, OSError):
        # Files are named where they are opened; what is left is the output of the command itself.
        _let_go_of_output()
        reason = problem.strerror or str(problem)
        text = (
            f"{problem.filename}: {reason}"
            if problem.filename
            else f"cannot write standard output: {reason}"
        )
    elif isinstance(problem, UnicodeError):
        text = "an argument, name or text holds what is no Unicode text, and cannot be written as UTF-8"
    elif isinstance(problem, MemoryError):
        text = "not enough memory; try with fewer or smaller files"
    elif not isinstance(problem, LexiconForgeError):
        code = FAULT
        where = f"; {DEBUG_VARIABLE}=1 shows where" if not os.environ.get(DEBUG_VARIABLE) else ""
        text = (
            f"a fault of this program ({type(problem).__name__}: {text}); please report it with this command{where}"
        ).replace("\n", " ")
    for line in text.splitlines() or [type(problem).__name__]:
        tell(f"lexiconforge: {line}")
    return code


def tell(text: str) -> None:
    """One line on standard error, as far as anybody can read it."""
    with contextlib.suppress(OSError, ValueError, AttributeError):
        if sys.stderr.isatty():
            # A line of progress may stand there.
            sys.stderr.write("\r\x1b[K")
        print(text, file=sys.stderr, flush=True)


def _trace() -> None:
    import traceback

    with contextlib.suppress(OSError, ValueError):
        traceback.print_exc()


def _let_go_of_output() -> None:
    """Send what is still to be written nowhere, so that leaving does not fail on it again."""
    with contextlib.suppress(OSError, ValueError, AttributeError):
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())


def _open_closed_streams() -> None:
    """Put something in the place of streams that the caller has closed, so that no file of ours takes their number.

    Reading from and writing to it fail, as they would have, and are answered; what is said on a closed standard error is
    for nobody.
    """
    for number, name, flag in (
        (0, "stdin", os.O_WRONLY),
        (1, "stdout", os.O_RDONLY),
        (2, "stderr", os.O_WRONLY),
    ):
        if getattr(sys, name) is None:
            with contextlib.suppress(OSError):
                handle = os.open(os.devnull, flag)
                if handle != number:
                    os.dup2(handle, number)
                    os.close(handle)
                mode = "r" if number == 0 else "w"
                setattr(
                    sys, name, io.TextIOWrapper(io.FileIO(number, mode, closefd=False), encoding="utf-8")
                )


def _end(number: int, frame: object) -> NoReturn:
    _asked.append(number)
    raise Ended(number)


def entry() -> NoReturn:
    """The installed command: :func:`main`, then leave without taking the tables apart object by object."""
    code = 130
    try:
        for name in ("SIGINT", "SIGTERM", "SIGHUP"):
            # Who started this may have asked for a signal to be ignored, as nohup does.
            before = signal.getsignal(getattr(signal, name, signal.SIGINT))
            if hasattr(signal, name) and before in (signal.SIG_DFL, signal.default_int_handler):
                signal.signal(getattr(signal, name), _end)
        _open_closed_streams()
        for stream in (sys.stdout, sys.stderr):
            # IPA needs UTF-8, whatever the system's own encoding; a terminal that has another shows what it can. File
            # names that are no UTF-8 go out as they came.
            if isinstance(stream, io.TextIOWrapper):
                if stream.isatty():
                    stream.reconfigure(errors="replace")
                else:
                    stream.reconfigure(encoding="utf-8", errors="surrogateescape")
        code = main()
        with contextlib.suppress(OSError, ValueError):
            sys.stdout.flush()
        with contextlib.suppress(OSError, ValueError):
            sys.stderr.flush()
    except KeyboardInterrupt:
        pass
    except Ended as ended:
        code = ended.code
    os._exit(code)
