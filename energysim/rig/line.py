"""
One line of the page, made from a number, its limit and what was not told.

Depends on: rig.facts, results.rig, unit_format, physics.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

from energysim.physics.protection import CAUTION as CAUTION_CODE
from energysim.physics.protection import LOOK_AGAIN as LOOK_AGAIN_CODE
from energysim.physics.protection import PASS as PASS_CODE
from energysim.results.rig import CAUTION, LOOK_AGAIN, PASS, Figure
from energysim.unit_format import format_quantity

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    from energysim.rig.facts import BankFacts

WORDS_OF_CODE: Final = {PASS_CODE: PASS, LOOK_AGAIN_CODE: LOOK_AGAIN, CAUTION_CODE: CAUTION}


def verdict_of(code: NDArray[np.int8]) -> str:
    """Return the word of a code of `physics.protection`."""
    return WORDS_OF_CODE[int(code)]


def at_best(verdict: str, ceiling: str) -> str:
    """Return a verdict, but none better than the ceiling."""
    order = tuple(WORDS_OF_CODE.values())
    return max(verdict, ceiling, key=order.index)


def words(text: str) -> Figure:
    """Return a figure that is words alone."""
    return Figure(value=None, dimension="", words=text)


def amperes(value: float) -> Figure:
    """Return a current."""
    return Figure(value=value, dimension="current")


def volts(value: float) -> Figure:
    """Return a voltage."""
    return Figure(value=value, dimension="voltage")


def metres(value: float) -> Figure:
    """Return a length."""
    return Figure(value=value, dimension="length")


def both_lengths(value_m: float) -> str:
    """Return a length in feet and inches, and in metres: "40 ft (12.19 m)"."""
    us, metric = (format_quantity(value_m, "length", system=s) for s in ("us", "metric"))
    return f"{us} ({metric})"


def on_charge(bank: BankFacts) -> str:
    """Say what the bank's voltage rises to."""
    return (
        f"On charge the bank's {bank.nominal_voltage_v:g} V may stand at "
        f"{bank.charging_voltage_v:.1f} V."
    )
