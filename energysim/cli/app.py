"""
The application: its help, its commands and its exit codes.

Exit codes: 0 fine; 1 a bug; 2 usage; 3 the scenario is not valid; 4 a file cannot be read or
written; 5 only with --strict: the plan fails; 130 interrupted.

Depends on: cli.*, errors.
"""

from __future__ import annotations

import os
import sys
from typing import TYPE_CHECKING, Annotated

import typer

from energysim import __version__
from energysim.cli import day, examples, lists, new
from energysim.errors import FileError, ScenarioError

if TYPE_CHECKING:
    from collections.abc import Callable

EXIT_SCENARIO = 3
EXIT_FILE = 4

HELP = """
Will this battery bank hold the boat through wind against tide, bring the day home, and be full
by morning?

Two ways to begin:

  energysim example estuary --into my-day     copy a whole invented day to change

  energysim day my-day/estuary.toml           run it and read the answer
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
    new.register,
    examples.register,
    lists.register,
)
for _register in _COMMANDS:
    _register(app)
app.info.help = HELP


def main() -> None:
    """Run the command line; turn errors a user can mend into a message and an exit code."""
    try:
        app()
    except ScenarioError as error:
        count = len(error.problems)
        print(error, file=sys.stderr)
        print(f"{count} problem{'s' if count > 1 else ''} found.", file=sys.stderr)
        sys.exit(EXIT_SCENARIO)
    except FileError as error:
        print(error, file=sys.stderr)
        sys.exit(EXIT_FILE)
    except BrokenPipeError:
        # The reader closed the pipe (head, less); nothing is wrong.
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
        sys.exit(0)
