"""
Processes to share work among, that end quietly when the user interrupts.

Depends on: nothing of the package.
"""

from __future__ import annotations

from contextlib import contextmanager
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Iterator
    from concurrent.futures import Executor


@contextmanager
def workers(count: int) -> Iterator[Executor | None]:
    """
    Yield an executor of so many processes, or None where this process is to do the work.

    However the block is left, no process stays behind. Interrupted, what has not begun is let
    go and what has is waited for: a piece of work takes a second or two.

    Parameters
    ----------
    count : int
        1 or less means no other process.
    """
    if count <= 1:
        yield None
        return
    from concurrent.futures import ProcessPoolExecutor

    pool = ProcessPoolExecutor(count, initializer=_leave_interrupts_alone)
    try:
        yield pool
    finally:
        pool.shutdown(wait=True, cancel_futures=True)


def _leave_interrupts_alone() -> None:
    """Let Ctrl-C pass this process by; the one that asked has the message."""
    import signal

    signal.signal(signal.SIGINT, signal.SIG_IGN)
