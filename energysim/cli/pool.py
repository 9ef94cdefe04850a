"""
Processes that leave Ctrl-C to the one that asked, and leave their work when told to.

Imported late, because multiprocessing is.

Depends on: cli.losses.
"""

from __future__ import annotations

import os
import signal
from concurrent.futures import BrokenExecutor, ProcessPoolExecutor
from contextlib import contextmanager, suppress
from multiprocessing import active_children
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator
    from concurrent.futures import Future

    from energysim.cli.losses import Losses


class Pool(ProcessPoolExecutor):
    """So many processes; a death among them is told once."""

    def __init__(self, count: int, losses: Losses) -> None:
        super().__init__(count, initializer=_begin)
        self._losses = losses

    def submit(self, fn: Callable[..., Any], /, *args: Any, **kwargs: Any) -> Future[Any]:
        """Hand a piece of work to a process."""
        try:
            with _interrupts_blocked():  # a process begun here never sees one
                future = super().submit(_carried, fn, *args, **kwargs)
        except BrokenExecutor:
            self._losses.tell()
            raise
        future.add_done_callback(self._losses.look)
        return future

    def end(self) -> None:
        """
        Have every process leave the piece it is at.

        None is killed: it might be writing an answer, of which half would keep us waiting.
        """
        self._losses.hush()
        for process in active_children():
            with suppress(ProcessLookupError):
                if hasattr(signal, "SIGUSR1") and process.pid is not None:
                    os.kill(process.pid, signal.SIGUSR1)
                else:
                    process.terminate()


class _EndedError(Exception):
    """Nobody waits for this piece any more."""


class _State:
    """Of a process of the pool."""

    ended = False
    at_work = False


def _begin() -> None:
    """Leave Ctrl-C to the one that asked, who has the message, and listen to it alone."""
    signal.signal(signal.SIGINT, signal.SIG_IGN)
    if hasattr(signal, "SIGUSR1"):
        signal.signal(signal.SIGUSR1, _end)


def _end(*_: object) -> None:
    """Leave the piece of work that is begun, and any that comes."""
    _State.ended = True
    if _State.at_work:
        raise _EndedError


def _carried(fn: Callable[..., Any], /, *args: Any, **kwargs: Any) -> Any:
    """Do a piece of work, unless told to end."""
    if _State.ended:
        raise _EndedError
    _State.at_work = True
    try:
        return fn(*args, **kwargs)
    finally:
        _State.at_work = False


@contextmanager
def _interrupts_blocked() -> Iterator[None]:
    """Hold Ctrl-C back for a moment, where that can be done."""
    if not hasattr(signal, "pthread_sigmask"):
        yield
        return
    before = signal.pthread_sigmask(signal.SIG_BLOCK, {signal.SIGINT})
    try:
        yield
    finally:
        signal.pthread_sigmask(signal.SIG_SETMASK, before)
