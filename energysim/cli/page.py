"""
Print tables and pages, to a terminal or into a pipe.

Depends on: nothing of the package.
"""

from __future__ import annotations

import os
import sys
from typing import TYPE_CHECKING, Final

if TYPE_CHECKING:
    from rich.console import RenderableType

COLUMNS_IN_A_PIPE: Final = 80


def show(page: RenderableType) -> None:
    """
    Print on stdout: in colour and as wide as the terminal; plain and 80 columns in a pipe.

    COLUMNS sets another width; NO_COLOR takes the colour away on a terminal as well.

    Raises
    ------
    BrokenPipeError
        The reader has gone; `main` knows that nothing is wrong then.
    """
    from rich.console import Console

    class Page(Console):
        """A console that leaves a closed pipe to the caller; rich would exit with 1."""

        def on_broken_pipe(self) -> None:
            raise BrokenPipeError

    # Left alone, rich takes the width of whatever terminal stdin hangs on.
    free = sys.stdout.isatty() or "COLUMNS" in os.environ
    console = Page(highlight=False, width=None if free else COLUMNS_IN_A_PIPE)
    if sys.stdout.isatty():
        console.print(page)
        return
    with console.capture() as printed:
        console.print(page)
    # In a file nobody wants the blanks that fill up a terminal's lines.
    sys.stdout.writelines(f"{line.rstrip()}\n" for line in printed.get().splitlines())
