"""What the command line says on standard error: progress, messages, and one line for an error."""

from __future__ import annotations

import os
import sys
from collections.abc import Iterator
from contextlib import contextmanager

from rich.console import Console
from rich.progress import BarColumn, Progress, TextColumn, TimeElapsedColumn

from ufh_core.basis.errors import UfhError
from ufh_core.basis.progress import Progress as Report
from ufh_core.basis.progress import silent


def messages() -> Console:
    """Make the console for messages: standard error, coloured on a terminal only."""
    return Console(stderr=True, highlight=False, soft_wrap=True, width=None if sys.stderr.isatty() else 110)


@contextmanager
def progress_shown(quiet: bool) -> Iterator[Report]:
    """Yield what to call with each step: a bar on a terminal, a line a step elsewhere, nothing when quiet."""
    console = messages()
    if quiet:
        yield silent
    elif not console.is_terminal:
        yield _lines(console)
    else:
        columns = (TextColumn("{task.description}"), BarColumn(bar_width=30), TimeElapsedColumn())
        with Progress(*columns, console=console, transient=True) as bars:
            task = bars.add_task("starting", total=1.0)
            yield lambda what, share: bars.update(task, description=what, completed=share)


def _lines(console: Console) -> Report:
    """Write a line whenever the step changes."""
    last = ""

    def report(what: str, _share: float) -> None:
        nonlocal last
        if what != last:
            last = what
            console.print(what, markup=False)

    return report


def error_line(error: BaseException) -> str:
    """Put any error into one line for people."""
    return " ".join(_words(error).split())


def _words(error: BaseException) -> str:
    if isinstance(error, UfhError):
        return str(error)
    if isinstance(error, KeyboardInterrupt):
        return "stopped; nothing was written"
    if isinstance(error, MemoryError):
        return "out of memory; try one storey at a time with --storey; nothing was written"
    if isinstance(error, OSError):
        reason = error.strerror or str(error) or type(error).__name__
        return f"{error.filename}: {reason}" if error.filename else reason
    where = _last_line(error)
    return f"unexpected {type(error).__name__}{where}: {error}; nothing was written; please report this line"


def _last_line(error: BaseException) -> str:
    """Name the file and line where an unexpected error arose."""
    trace = error.__traceback__
    while trace is not None and trace.tb_next is not None:
        trace = trace.tb_next
    if trace is None:
        return ""
    return f" at {os.path.basename(trace.tb_frame.f_code.co_filename)}:{trace.tb_lineno}"


def say_error(error: BaseException) -> None:
    """Write the one line of an error to standard error, whatever its encoding can show."""
    encoding = sys.stderr.encoding or "ascii"
    line = f"warmloom: {error_line(error)}"
    sys.stderr.write(line.encode(encoding, "replace").decode(encoding) + "\n")


def say_mistake(error: BaseException) -> None:
    """Say an error; a wrong argument is answered with where to look."""
    if hasattr(error, "format_message"):
        context = getattr(error, "ctx", None)
        path = context.command_path if context is not None else "warmloom"
        if message := error.format_message():
            sys.stderr.write(f"warmloom: {' '.join(message.split())} (see {path} --help)\n")
    else:
        say_error(error)
