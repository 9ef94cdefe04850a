"""
From the units of results to the units that are drawn.

Depends on: units.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Final, NamedTuple

import numpy as np

from energysim.units import unit_factor

if TYPE_CHECKING:
    from numpy.typing import ArrayLike, NDArray

    from energysim.unit_format import System

    Array = NDArray[np.float64]


NO_BREAK: Final = "\u00a0"
"""Between a number and its unit no line ends."""


class Shown(NamedTuple):
    """A unit on paper, and how many of it one house unit is."""

    unit: str
    per_house_unit: float


_BOTH: Final = {
    "m/s": Shown("kn", 1.0 / unit_factor("kn", "speed")),
    "1": Shown("%", 100.0),
}
_US: Final = _BOTH | {
    "N": Shown("lbf", 1.0 / unit_factor("lbf", "force")),
    "kg": Shown("lb", 1.0 / unit_factor("lb", "mass")),
}


def shown_unit(unit: str, system: System) -> Shown:
    """Return what a house unit (as data/columns.csv writes it) is drawn in."""
    return (_US if system == "us" else _BOTH).get(unit, Shown(unit, 1.0))


def shown(values: ArrayLike, unit: str, system: System) -> Array:
    """Return numbers in the unit that is drawn."""
    return np.asarray(values, dtype=np.float64) * shown_unit(unit, system).per_house_unit


def words(value: float, unit: str, system: System, *, digits: int = 0) -> str:
    """Return one number with its unit, as a sentence or a label says it."""
    number = float(shown(value, unit, system))
    text = f"{number:.{digits}f}"
    if float(text) == 0.0:
        text = text.removeprefix("-")
    return f"{text}{NO_BREAK}{shown_unit(unit, system).unit}"
