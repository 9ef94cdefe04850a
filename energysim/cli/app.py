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
from importlib import import_module
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from energysim import __version__
from energysim.errors import ClusterError, FileError, ScenarioError

if TYPE_CHECKING:
    from collections.abc import Sequence

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

COMMANDS = {
    "day": "day",
    "check": "day",
    "odds": "odds",
    "season": "season",
    "find": "find",
    "learn": "learn",
    "rig": "rig",
    "chart": "chart",
    "report": "report",
    "compare": "compare",
    "new": "new",
    "example": "examples",
    "list": "lists",
    "schema": "lists",
}
"""Each command and the module of this package that registers it, in the order of the help."""


def application(words: Sequence[str]) -> typer.Typer:
    """
    Return the application for a command line.

    Of one that begins with a command, with that command's module alone: reading the options of
    all of them takes longer than the command's own. Any other (help, a slip of the pen) sees
    them all.
    """
    app = typer.Typer(
        help=HELP,
        no_args_is_help=True,
        pretty_exceptions_show_locals=False,
        context_settings={"help_option_names": ["-h", "--help"]},
    )
    app.callback()(_options)
    asked = COMMANDS.get(words[0]) if words else None
    for name in dict.fromkeys(COMMANDS.values() if asked is None else (asked,)):
        import_module(f"energysim.cli.{name}").register(app)
    return app


def _version(wanted: bool) -> None:
    if wanted:
        typer.echo(f"energysim {__version__}")
        raise typer.Exit


def _options(
    _version_flag: Annotated[
        bool,
        typer.Option("--version", callback=_version, is_eager=True, help="Print the version."),
    ] = False,
) -> None:
    """Options that stand before any command."""


def main() -> None:
    """Run the command line; turn errors a user can mend into a message and an exit code."""
    # No plugin is wanted, and looking for one reads every installed package.
    os.environ.setdefault("PYDANTIC_DISABLE_PLUGINS", "__all__")
    # Nor are threads for matrices: work is shared among processes, the matrices in each are so
    # small that threads would wait for one another. To be said before numpy loads.
    os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")
    try:
        _plain_streams()
        try:
            application(sys.argv[1:])(prog_name="energysim")
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
