"""
Print tables and pages, to a terminal or into a pipe.

Depends on: nothing of the package.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from rich.console import RenderableType


def show(page: RenderableType) -> None:
    """
    Print on stdout: in colour on a terminal that wants it, 80 columns and plain in a pipe.

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

    Page(highlight=False).print(page)
