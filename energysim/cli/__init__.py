"""
The command line: the only place that prints or exits.

stdout carries the answer, stderr everything else. Heavy imports stay inside the commands, so
that `--help` is quick.

Depends on: everything.
"""

import atexit
import gc
import sys

__all__ = ["main"]

EXIT_INTERRUPTED = 130
STOPPED = "\nstopped; nothing was written"
"""Files are written last and whole, so a command that is stopped has written none."""

COLLECT_AFTER = 250_000  # new objects before the first search for garbage; 700 unless told


def main() -> None:
    """Run the command line in a process of its own: `app.main`, with less housekeeping."""
    # One answer and out: almost all that is made lives to the end, so looking for what does not
    # is wasted, most of all while modules load (which is why the application loads after).
    gc.set_threshold(COLLECT_AFTER)
    atexit.register(gc.freeze)  # nor at the end, when all of it goes at once
    try:
        from energysim.cli.app import main as run

        run()
    except KeyboardInterrupt:  # while modules load; a command that runs says it itself
        print(STOPPED, file=sys.stderr)
        sys.exit(EXIT_INTERRUPTED)
