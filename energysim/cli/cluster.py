"""
A cluster of dask.distributed as an executor, looked at before any work is sent there.

Depends on: errors, cli.losses.
"""

from __future__ import annotations

import logging
import pkgutil
from concurrent.futures import BrokenExecutor, Executor, Future
from contextlib import contextmanager, suppress
from importlib import import_module
from typing import TYPE_CHECKING, Any, Final

from energysim.cli.losses import Losses
from energysim.errors import ClusterError

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator

ANSWERS_WITHIN_S: Final = 5.0
"""A scheduler that is there answers in a moment; so do its workers. [s]"""

ALIKE: Final = (
    ("energysim:__version__", "energysim"),
    ("numpy:__version__", "numpy"),
    ("sys:hexversion", "Python"),
)
"""What must be the same everywhere if the answer is to be the same to the bit."""


@contextmanager
def cluster(address: str) -> Iterator[Executor]:
    """
    Yield the workers of a cluster as an executor.

    Parameters
    ----------
    address : str
        Of its scheduler, as it prints it: tcp://10.0.0.5:8786.

    Raises
    ------
    ClusterError
        The extra is not installed, nobody answers, there is no worker, or one of them runs
        something else than this process does.
    """
    client = _client(address)
    try:
        _refuse_others(client, address)
        on_cluster = _OnCluster(client)
        try:
            yield on_cluster
        finally:
            on_cluster.losses.hush()
    finally:
        with suppress(Exception):
            client.close(timeout=2)


def _client(address: str) -> Any:
    """Return a client of the scheduler at an address."""
    try:
        distributed = import_module("distributed")
    except ImportError:
        raise ClusterError(
            "--cluster needs the cluster extra, which is not installed "
            '(pip install ".[cluster]" in the folder of its source)'
        ) from None
    # Losses are told by us, once, in our own words; here they would be told in tracebacks.
    for name in list(logging.root.manager.loggerDict):
        if name.partition(".")[0] in {"distributed", "tornado"}:
            logging.getLogger(name).setLevel(logging.CRITICAL + 1)
    try:
        return distributed.Client(address, timeout=ANSWERS_WITHIN_S, set_as_default=False)
    except (OSError, ValueError) as error:  # a timeout is an OSError
        raise ClusterError(
            f"--cluster {address}: no scheduler answers there ({_first_line(error)}); give the "
            "address it prints when it starts, as tcp://10.0.0.5:8786"
        ) from None


def _refuse_others(client: Any, address: str) -> None:
    """Refuse a cluster without workers, and one that runs other versions than we do."""
    try:
        client.wait_for_workers(1, timeout=ANSWERS_WITHIN_S)
    except OSError:
        raise ClusterError(f"--cluster {address}: it has no workers; start some") from None
    for name, said in ALIKE:
        here = pkgutil.resolve_name(name)
        for place, version in _versions(client, name).items():
            if version == here:
                continue
            if isinstance(version, ImportError):
                told = f"{said} is not installed at {place}; install {_shown(here)} there"
            elif isinstance(version, Exception):
                told = f"{place} does not answer ({_first_line(version)})"
            else:
                told = f"{place} runs {said} {_shown(version)}; install {_shown(here)} there"
            raise ClusterError(
                f"--cluster {address}: {told}, as here, or the answer would not be the same"
            )


def _versions(client: Any, name: str) -> dict[str, object]:
    """
    Return what a name stands for with the scheduler and every worker, or why it does not.

    A function of the standard library is sent, so that it can be asked of anyone.
    """
    found: dict[str, object] = {}
    try:
        # The scheduler reads every piece of work on its way.
        found["the scheduler"] = client.run_on_scheduler(pkgutil.resolve_name, name)
    except ImportError as error:
        found["the scheduler"] = error
    for place, version in client.run(pkgutil.resolve_name, name, on_error="return").items():
        found[f"the worker {place}"] = version
    return found


def _shown(version: object) -> str:
    """Return a version as one reads it; Python's comes as one number."""
    if isinstance(version, int):
        return ".".join(str(version >> places & 0xFF) for places in (24, 16, 8))
    return str(version)


def _first_line(error: BaseException) -> str:
    return (str(error).strip() or type(error).__name__).splitlines()[0]


class _OnCluster(Executor):
    """The cluster's executor, with its own losses told as those of any other executor."""

    def __init__(self, client: Any) -> None:
        self._client = client
        # Not pure: keys need no digest of the arguments, and no result is taken for another.
        self._inner = client.get_executor(pure=False)
        self._kept: tuple[object, object] = (None, None)
        self.losses = Losses("the cluster has lost some of the work; that is done here")

    def keep(self, common: object) -> object:
        """Lay out once, with every worker, what many pieces have in common."""
        if common is not self._kept[0]:
            try:
                (held,) = self._client.scatter([common], broadcast=True, hash=False)
            except Exception:  # noqa: BLE001 - workers come and go; then each piece carries it
                held = common
            self._kept = (common, held)
        return self._kept[1]

    def submit(self, fn: Callable[..., Any], /, *args: Any, **kwargs: Any) -> Future[Any]:
        """Send a piece of work to the cluster."""
        try:
            inner = self._inner.submit(fn, *args, **kwargs)
        except Exception as error:  # whatever it is, nobody takes the work
            self.losses.tell()
            raise BrokenExecutor(_first_line(error)) from error
        outer: Future[Any] = Future()
        outer.add_done_callback(lambda done: inner.cancel() if done.cancelled() else None)
        outer.add_done_callback(self.losses.look)
        inner.add_done_callback(lambda done: _pass_on(done, outer))
        return outer

    def shutdown(self, wait: bool = True, *, cancel_futures: bool = False) -> None:  # noqa: ARG002
        """Let go of what was sent."""
        self._inner.shutdown(wait=False)


def _pass_on(inner: Future[Any], outer: Future[Any]) -> None:
    """Hand a result or an error over; what the cluster lost is told as lost."""
    if outer.cancelled() or not outer.set_running_or_notify_cancel():
        return
    if inner.cancelled():
        outer.set_exception(BrokenExecutor("the cluster let go of it"))
        return
    error = inner.exception()
    if error is None:
        outer.set_result(inner.result())
    elif type(error).__module__.partition(".")[0] in {"distributed", "tornado"}:
        outer.set_exception(BrokenExecutor(_first_line(error)))
    elif isinstance(error, ImportError):  # of a worker that came later
        outer.set_exception(ClusterError(f"a worker of the cluster cannot do it: {error}"))
    else:
        outer.set_exception(error)
