"""
`energysim example`: the invented days that ship, to read, to copy and to change.

Depends on: errors, cli.written.
"""

from __future__ import annotations

import sys
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from energysim.cli.command import Command
from energysim.cli.written import write
from energysim.errors import FileError
from energysim.files import refuse_existing

if TYPE_CHECKING:
    from importlib.resources.abc import Traversable


def register(app: typer.Typer) -> None:
    """Add the command of this file."""
    app.command("example", cls=Command)(example)


def example(
    name: Annotated[
        str | None, typer.Argument(help="Which one; left out, they are listed.")
    ] = None,
    into: Annotated[
        Path | None, typer.Option(metavar="FOLDER", help="Copy it there with its files.")
    ] = None,
    force: Annotated[bool, typer.Option(help="Replace files that exist.")] = False,
) -> None:
    """
    List the example days, print one, or copy one with its tide and wind files.

    energysim example

    energysim example estuary --into my-day
    """
    stories = {story.name: story for story in _stories()}
    if name is None:
        for key, story in stories.items():
            typer.echo(f"{key:10} {_title(story)}")
        return
    if name not in stories:
        raise FileError(f"{name}: no such example; there are {', '.join(stories)}")
    parts = sorted(
        (part for part in stories[name].iterdir() if part.is_file()), key=lambda part: part.name
    )
    if into is None:
        text = (stories[name] / f"{name}.toml").read_text(encoding="utf-8")
        sys.stdout.write(text)
        for part in parts:
            if part.name in text:
                print(
                    f"note: it reads {part.name}; use --into FOLDER to copy both",
                    file=sys.stderr,
                )
        return
    for part in parts:
        refuse_existing(into / part.name, force=force)
    try:
        into.mkdir(parents=True, exist_ok=True)
    except OSError as error:
        raise FileError(f"{into}: cannot be made: {error.strerror}") from error
    for part in parts:
        write(into / part.name, part.read_text(encoding="utf-8"), force=force)


def _stories() -> list[Traversable]:
    """Return the folders of the example days: in the package, or beside it in a checkout."""
    from importlib.resources import files

    inside = files("energysim") / "data" / "scenarios"
    folder: Traversable = inside
    if not inside.is_dir():
        folder = Path(__file__).resolve().parents[2] / "scenarios"
    stories = [story for story in folder.iterdir() if (story / f"{story.name}.toml").is_file()]
    return sorted(stories, key=lambda story: story.name)


def _title(story: Traversable) -> str:
    """Read the title a story begins with."""
    import tomllib

    text = (story / f"{story.name}.toml").read_text(encoding="utf-8")
    return str(tomllib.loads(text).get("title", ""))
