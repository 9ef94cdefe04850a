"""
What was asked of a log, and the names of what it may teach.

Depends on: learn.bins, learn.search, plan, scenario.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Final

if TYPE_CHECKING:
    from energysim.learn.bins import Binned
    from energysim.learn.search import Question
    from energysim.plan import DayPlan
    from energysim.scenario.load import LoadedScenario

WORDS: Final = {"current": "amperes", "voltage": "volts", "soc": "state of charge"}
UNITS: Final = {"current": "A", "voltage": "V", "soc": "points"}
KEYS: Final = (
    "boat.drag_factor",
    "boat.wind_factor",
    "bank.capacity_fraction",
    "bank.resistance",
)
NAMES: Final = (
    "Drag of the water",
    "Push of the wind",
    "Capacity, of the label",
    "Resistance of the bank",
)


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Asked:
    """What was asked of the log."""

    loaded: LoadedScenario
    plan: DayPlan
    log_name: str
    binned: Binned
    question: Question
    notes: tuple[str, ...]
