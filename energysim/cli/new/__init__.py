"""
`energysim new`: plain questions whose answers become a scenario file.

Questions and remarks go to stderr, so that stdout carries nothing but the answer: the path that
was written. When the answers end before the questions do, nothing is written and the exit code
is 2, as for any other incomplete command.

Depends on: cli.new.prompt, cli.new.interview, cli.new.document, errors, cli.written.
"""

from __future__ import annotations

import os
import shlex
import sys
from pathlib import Path
from typing import Annotated

import typer

from energysim.cli.command import Command
from energysim.cli.written import write
from energysim.errors import FileError
from energysim.files import refuse_existing

EXIT_USAGE = 2


def register(app: typer.Typer) -> None:
    """Add the command of this file."""
    app.command("new", cls=Command)(new)


def new(
    file: Annotated[
        Path | None,
        typer.Argument(metavar="FILE", help="Where to write; left out, named after the day."),
    ] = None,
    force: Annotated[bool, typer.Option(help="Replace a file that exists.")] = False,
) -> None:
    """
    Ask about the boat, the bank, the weather and the plan, and write the scenario.

    Enter takes the answer in brackets. A quantity may have any unit: 17 ft 6 in, 5.3 m.

    energysim new

    energysim new saturday.toml
    """
    from energysim.cli.new.document import checked, scenario_text
    from energysim.cli.new.interview import interview, title_of_the_day
    from energysim.cli.new.prompt import EndOfAnswersError, Prompt

    prompt = Prompt(answers=sys.stdin, questions=sys.stderr)
    if file is not None:
        _refuse_unwritable(file, force=force)
    try:
        prompt.say("Enter takes the answer in brackets; Ctrl-C leaves, and writes nothing.")
        title = title_of_the_day(prompt)
        path = file if file is not None else _named_after(title)
        _refuse_unwritable(path, force=force)
        raw = interview(prompt, title=title)
    except EndOfAnswersError as error:
        print(f"\n{error}; nothing is written", file=sys.stderr)
        raise typer.Exit(EXIT_USAGE) from None
    text = scenario_text(raw)
    plan = checked(text, name=str(path))
    write(path, text, force=force)
    for warning in plan.warnings:
        print(f"warning: {warning}", file=sys.stderr)
    print(f"\nRun it:\n\n  energysim day {shlex.quote(str(path))}\n", file=sys.stderr)


def _refuse_unwritable(path: Path, *, force: bool) -> None:
    """Say so before the questions, not after them, when the answer could not be kept."""
    if path.is_dir():
        raise FileError(f"{path}: is a folder; name the file to write in it")
    refuse_existing(path, force=force)
    if not path.parent.is_dir():
        raise FileError(f"{path}: there is no folder {path.parent}")
    if not os.access(path.parent, os.W_OK):
        raise FileError(f"{path}: the folder {path.parent} does not allow new files")


def _named_after(title: str) -> Path:
    """Return a plain file name made of the title: "Saturday's tide" -> saturday-s-tide.toml."""
    import re
    import unicodedata

    letters = unicodedata.normalize("NFKD", title).encode("ascii", "ignore").decode()
    words = re.sub(r"[^a-z0-9]+", "-", letters.lower()).strip("-")
    return Path(f"{words[:40].strip('-') or 'day'}.toml")
