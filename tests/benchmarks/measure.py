"""
How the benchmarks measure: rounds taken in turn, medians, processor time beside the wall's.

A machine that is used by others slows all that is measured in a round, so what is compared is
measured in turn, round after round, and told as a ratio of medians. Processor time counts
this process and those it has started and seen end; of a piece of work shared out among
processes it is the sum.

Only the standard library: the battery library's own environment uses this too.
"""

import gc
import os
import platform
import resource
import statistics
import sys
import time
from collections.abc import Callable, Mapping
from typing import Any, NamedTuple


class Spent(NamedTuple):
    """Seconds of a piece of work."""

    wall: float
    processor: float

    def over(self, other: "Spent") -> "Spent":
        """Return how many times as much as another, by each clock."""
        return Spent(self.wall / other.wall, self.processor / other.processor)

    def times(self, number: float) -> "Spent":
        """Return what so many of these take."""
        return Spent(self.wall * number, self.processor * number)


def spent_on(work: Callable[[], Any]) -> Spent:
    """Do the work once and return what it took, or what it says it took itself."""
    gc.collect()  # not the garbage of the work before
    wall, processor = time.perf_counter(), _processor_s()
    told = work()
    if isinstance(told, Spent):
        return told
    return Spent(time.perf_counter() - wall, _processor_s() - processor)


def in_turn(
    works: Mapping[str, Callable[[], Any]], rounds: int, *, warm: bool = True
) -> dict[str, Spent]:
    """Do all the works in turn, so many rounds; return the medians. One round more warms up."""
    taken: dict[str, list[Spent]] = {name: [] for name in works}
    if warm:
        for work in works.values():
            work()
    for _ in range(rounds):
        for name, work in works.items():
            taken[name].append(spent_on(work))
    return {name: median(all_spent) for name, all_spent in taken.items()}


def median(all_spent: list[Spent]) -> Spent:
    """Return the median by each clock."""
    return Spent(*(statistics.median(column) for column in zip(*all_spent, strict=True)))


def _processor_s() -> float:
    """Return the processor time of this process and of those it has seen end."""
    children = resource.getrusage(resource.RUSAGE_CHILDREN)
    return time.process_time() + children.ru_utime + children.ru_stime


def argument(place: int, otherwise: int) -> int:
    """Return a whole number from the command line, if it is there."""
    return int(sys.argv[place]) if len(sys.argv) > place else otherwise


def say(text: str) -> None:
    """Print a line, at once."""
    sys.stdout.write(text + "\n")
    sys.stdout.flush()


def machine() -> str:
    """Describe the machine by what bears on times, and by nothing else."""
    numpy = sys.modules.get("numpy")
    beside = f", numpy {numpy.__version__}" if numpy else ""
    return f"{os.cpu_count()} processors, Python {platform.python_version()}{beside}"
