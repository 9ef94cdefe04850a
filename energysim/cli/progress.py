"""
How far a command has come, on stderr, for whoever watches.

Depends on: nothing of the package.
"""

from __future__ import annotations

import sys
import time
from typing import TYPE_CHECKING, Final

if TYPE_CHECKING:
    from collections.abc import Callable

PATIENCE_S: Final = 1.0
"""Work shorter than this says nothing. [s]"""


def telling(what: str) -> Callable[[int, int], None] | None:
    """
    Return what tells how many are done, of how many; None where nobody watches.

    Parameters
    ----------
    what : str
        What is counted: "options".
    """
    if not sys.stderr.isatty():
        return None
    begin = time.monotonic()

    def tell(done: int, of: int) -> None:
        if time.monotonic() - begin > PATIENCE_S:
            end = "\r\x1b[K" if done >= of else ""
            print(f"\r{done:,} of {of:,} {what}{end}", end="", file=sys.stderr, flush=True)

    return tell


def counting(what: str) -> Callable[[int], None] | None:
    """
    Return what tells how many are done where nobody knows of how many; None as above.

    Parameters
    ----------
    what : str
        What is counted: "values tried".
    """
    if not sys.stderr.isatty():
        return None
    begin = time.monotonic()

    def tell(done: int) -> None:
        if time.monotonic() - begin > PATIENCE_S:
            print(f"\r{done:,} {what}", end="", file=sys.stderr, flush=True)

    return tell
