"""
The application: its help, its commands and its exit codes.

Exit codes: 0 fine; 1 a bug; 2 usage; 3 the scenario is not valid; 4 a file cannot be read or
written, a cluster not be used; 5 only with --strict: the plan fails; 130 interrupted.

Depends on: cli.*, errors.
"""

from __future__ import annotations

import io
import os
import sys
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from energysim import __version__
from energysim.cli import (
    chart,
    compare,
    day,
    examples,
    find,
    learn,
    lists,
    new,
    odds,
    report,
    rig,
    season,
)
from energysim.errors import ClusterError, FileError, ScenarioError

if TYPE_CHECKING:
    from collections.abc import Callable

EXIT_USAGE = 2
EXIT_SCENARIO = 3
EXIT_FILE = 4

HELP = """
Will this battery bank hold the boat through wind against tide, bring the day home, and be full
by morning?

Two ways to begin:

  energysim example estuary --into my-day    copy an invented day to change

  energysim day my-day/estuary.toml          run it and read the answer
"""

app = typer.Typer(
    help=HELP,
    no_args_is_help=True,
    pretty_exceptions_show_locals=False,
    context_settings={"help_option_names": ["-h", "--help"]},
)


def _version(wanted: bool) -> None:
    if wanted:
        typer.echo(f"energysim {__version__}")
        raise typer.Exit


@app.callback()
def _options(
    _version_flag: Annotated[
        bool,
        typer.Option("--version", callback=_version, is_eager=True, help="Print the version."),
    ] = False,
) -> None:
    """Options that stand before any command."""


_COMMANDS: tuple[Callable[[typer.Typer], None], ...] = (
    day.register,
    odds.register,
    season.register,
    find.register,
    learn.register,
    rig.register,
    chart.register,
    report.register,
    compare.register,
    new.register,
    examples.register,
    lists.register,
)
for _register in _COMMANDS:
    _register(app)
app.info.help = HELP


def main() -> None:
    """Run the command line; turn errors a user can mend into a message and an exit code."""
    # No plugin is wanted, and looking for one reads every installed package.
    os.environ.setdefault("PYDANTIC_DISABLE_PLUGINS", "__all__")
    # Nor are threads for matrices: there are none here, and starting them costs time.
    os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")
    try:
        _plain_streams()
        try:
            app(prog_name="energysim")
        finally:
            sys.stdout.flush()  # here, where a full disk still has a message
    except ScenarioError as error:
        count = len(error.problems)
        print(error, file=sys.stderr)
        print(f"{count} problem{'s' if count > 1 else ''} found.", file=sys.stderr)
        of_options = all(problem.path.startswith("--") for problem in error.problems)
        sys.exit(EXIT_USAGE if of_options else EXIT_SCENARIO)
    except (FileError, ClusterError) as error:
        print(error, file=sys.stderr)
        sys.exit(EXIT_FILE)
    except SystemExit as end:
        # Typer ends with 1 when the reader closes the pipe (head, less); nothing is wrong.
        if isinstance(end.__context__, BrokenPipeError):
            _forget_stdout()
            sys.exit(0)
        raise
    except BrokenPipeError:
        _forget_stdout()
        sys.exit(0)
    except OSError as error:
        print(f"the answer cannot be written: {error.strerror or error}", file=sys.stderr)
        _forget_stdout()
        sys.exit(EXIT_FILE)


def _plain_streams() -> None:
    """Write UTF-8 into files and pipes, and never stop at a sign a terminal does not have."""
    if sys.stdout is None:
        raise FileError("standard output is closed, and the answer has to go somewhere")
    if sys.stdin is None:
        # Closed reads as empty.
        sys.stdin = Path(os.devnull).open(encoding="utf-8")  # noqa: SIM115
    for stream in (sys.stdout, sys.stderr):
        if isinstance(stream, io.TextIOWrapper):
            if not stream.isatty():
                stream.reconfigure(encoding="utf-8")
            stream.reconfigure(errors="replace")


def _forget_stdout() -> None:
    """Keep the interpreter from flushing once more what cannot be written."""
    os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
