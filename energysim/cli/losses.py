"""
What the user is told when a worker dies: once, and that nothing is lost with it.

Depends on: nothing of the package.
"""

from __future__ import annotations

import sys
from concurrent.futures import BrokenExecutor
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from concurrent.futures import Future


class Losses:
    """Looks at pieces of work that are done, and tells on stderr of the first that was lost."""

    def __init__(self, message: str) -> None:
        self._message = message
        self._told = False

    def look(self, future: Future[Any]) -> None:
        """Look at a piece of work that is done."""
        if not future.cancelled() and isinstance(future.exception(), BrokenExecutor):
            self.tell()

    def tell(self) -> None:
        """Tell that work was lost, unless that has been told."""
        if not self._told:
            self.hush()
            print(self._message, file=sys.stderr)

    def hush(self) -> None:
        """Tell no more: what is lost from now on is thrown away."""
        self._told = True
