"""
Processes that leave Ctrl-C to the one that asked, and tell when one of them dies.

Imported late, because multiprocessing is.

Depends on: cli.losses.
"""

from __future__ import annotations

import signal
from concurrent.futures import BrokenExecutor, ProcessPoolExecutor
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from collections.abc import Callable
    from concurrent.futures import Future

    from energysim.cli.losses import Losses


class Pool(ProcessPoolExecutor):
    """So many processes; a death among them is told once."""

    def __init__(self, count: int, losses: Losses) -> None:
        super().__init__(count, initializer=_leave_interrupts_alone)
        self._losses = losses

    def submit(self, fn: Callable[..., Any], /, *args: Any, **kwargs: Any) -> Future[Any]:
        """Hand a piece of work to a process."""
        try:
            future = super().submit(fn, *args, **kwargs)
        except BrokenExecutor:
            self._losses.tell()
            raise
        future.add_done_callback(self._losses.look)
        return future


def _leave_interrupts_alone() -> None:
    """Let Ctrl-C pass this process by; the one that asked has the message."""
    signal.signal(signal.SIGINT, signal.SIG_IGN)
