"""
Who shares the work: processes that end quietly when the user interrupts, or a cluster.

Depends on: cli.cluster, cli.losses, cli.pool.
"""

from __future__ import annotations

import os
from contextlib import contextmanager
from typing import TYPE_CHECKING, Annotated

import typer

if TYPE_CHECKING:
    from collections.abc import Iterator
    from concurrent.futures import Executor

Workers = Annotated[
    int | None,
    typer.Option(min=1, max=256, help="Processes; as many as there are processors."),
]
Cluster = Annotated[
    str | None,
    typer.Option(
        "--cluster", metavar="ADDRESS", help="A dask scheduler whose workers do it instead."
    ),
]


@contextmanager
def workers(count: int | None, cluster: str | None = None) -> Iterator[Executor | None]:
    """
    Yield who does the work: a cluster, so many processes, or None where this one does it.

    However the block is left, no process stays behind; left by Ctrl-C or an error, processes
    are ended in the middle of their work. Of a cluster, workers finish the piece they are at.

    Parameters
    ----------
    count : int or None
        Processes; 1 means no other than this, None as many as there are processors.
    cluster : str or None
        Where its scheduler answers.

    Raises
    ------
    typer.BadParameter
        Both are asked for.
    ClusterError
        The cluster cannot be used.
    """
    if cluster is not None:
        if count is not None:
            raise typer.BadParameter("give --workers or --cluster: a cluster has its own")
        from energysim.cli.cluster import cluster as on_cluster

        with on_cluster(cluster) as executor:
            yield executor
        return
    count = count or os.cpu_count() or 1
    if count == 1:
        yield None
        return
    from energysim.cli.losses import Losses
    from energysim.cli.pool import Pool

    losses = Losses("a worker process has died; the rest is done without it")
    pool = Pool(count, losses)
    try:
        yield pool
    except BaseException:
        pool.end()  # a piece of work may take minutes, and nobody will read it
        raise
    finally:
        pool.shutdown(wait=True, cancel_futures=True)
