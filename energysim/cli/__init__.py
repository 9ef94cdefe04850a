"""
The command line: the only place that prints or exits.

stdout carries the answer, stderr everything else. Heavy imports stay inside the commands, so
that `--help` is quick.

Depends on: everything.
"""

import atexit
import gc
import os

__all__ = ["main"]

COLLECT_AFTER = 250_000  # new objects before the first search for garbage; 700 unless told
THREADS_OF = ("OPENBLAS_NUM_THREADS", "MKL_NUM_THREADS", "OMP_NUM_THREADS")


def main() -> None:
    """Run the command line in a process of its own: `app.main`, with less housekeeping."""
    # One answer and out: almost all that is made lives to the end, so looking for what does not
    # is wasted, most of all while modules load (which is why the application loads after).
    gc.set_threshold(COLLECT_AFTER)
    atexit.register(gc.freeze)  # nor at the end, when all of it goes at once
    # Work is shared among processes; the matrices in each are too small for threads of their
    # own, which would wait for one another. To be said before numpy loads.
    for name in THREADS_OF:
        os.environ.setdefault(name, "1")
    from energysim.cli.app import main as run

    run()
