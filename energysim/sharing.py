"""
Work shared out among whoever is there to do it, with nothing lost when one of them dies.

Depends on: nothing of the package.
"""

from __future__ import annotations

from collections import deque
from concurrent.futures import BrokenExecutor, CancelledError
from itertools import islice
from typing import TYPE_CHECKING, Final, Protocol, TypeVar, cast

if TYPE_CHECKING:
    from collections.abc import Callable, Iterable, Iterator
    from concurrent.futures import Executor, Future

    Common = TypeVar("Common")
    Piece = TypeVar("Piece")
    Result = TypeVar("Result")

AHEAD: Final = 1024
"""Pieces handed out and not yet read: for a large cluster, and few enough to hold. [count]"""


class Keeping(Protocol):
    """An executor that can lay out beforehand what many pieces have in common."""

    def keep(self, common: object) -> object:
        """Return what stands for `common` among the arguments of `submit`."""


def shared(
    work: Callable[[Common, Piece], Result],
    pieces: Iterable[tuple[Common, Piece]],
    executor: Executor | None,
    *,
    ahead: int = AHEAD,
) -> Iterator[Result]:
    """
    Yield what every piece of work comes to, in order, whoever does it.

    A worker that dies costs time only: what it had, and what nobody is left to do, is done
    here. Leaving early lets go of what has not begun.

    Parameters
    ----------
    work : callable
        Of a module, so that another process finds it by name.
    pieces : iterable of tuple
        What some pieces have in common (the same object for all of them) and what is a piece's
        own. Read only as far as they are handed out.
    executor : concurrent.futures.Executor or None
        Who does the work; None does it here. One with `keep` gets what is common once.
    ahead : int
        How many pieces are handed out before the first is read.
    """
    if executor is None:
        for common, own in pieces:
            yield work(common, own)
        return
    keep = cast("Keeping", executor).keep if hasattr(executor, "keep") else None
    out: deque[tuple[Common, Piece, Future[Result] | None]] = deque()
    coming = iter(pieces)
    try:
        while True:
            for common, own in islice(coming, ahead - len(out)):
                out.append((common, own, _handed_out(executor, keep, work, common, own)))
            if not out:
                return
            common, own, future = out.popleft()
            yield work(common, own) if future is None else _read(future, work, common, own)
    finally:
        for _, _, future in out:
            if future is not None:
                future.cancel()


def _handed_out(
    executor: Executor,
    keep: Callable[[object], object] | None,
    work: Callable[[Common, Piece], Result],
    common: Common,
    own: Piece,
) -> Future[Result] | None:
    """Hand a piece out; None where nobody is left to take it."""
    try:
        held = common if keep is None else cast("Common", keep(common))
        return executor.submit(work, held, own)
    except BrokenExecutor:
        return None


def _read(
    future: Future[Result],
    work: Callable[[Common, Piece], Result],
    common: Common,
    own: Piece,
) -> Result:
    """Return what a piece came to; what was lost with its worker is done here."""
    try:
        return future.result()
    except (BrokenExecutor, CancelledError):  # nobody here cancels what is still to be read
        return work(common, own)
