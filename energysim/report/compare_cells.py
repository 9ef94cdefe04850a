"""
What stands in the cells of a comparison's tables.

Depends on: results.compare, unit_format.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

from energysim.unit_format import format_quantity

if TYPE_CHECKING:
    from energysim.results.compare import HoldLeft, Night, OptionRow
    from energysim.results.wear import Estimate
    from energysim.unit_format import System

NOT_KNOWN: Final = "-"
SECONDS_PER_HOUR: Final = 3600.0


def kwh(energy_wh: float) -> str:
    """Return an energy as shops tell it."""
    return f"{energy_wh / 1000.0:.2f} kWh"


def hold(left: HoldLeft | None) -> str:
    """Return the hours of hold left."""
    if left is None:
        return NOT_KNOWN
    return f"{'>' if left.more else ''}{left.seconds / SECONDS_PER_HOUR:.1f} h"


def minutes(seconds: float) -> str:
    """Return whole minutes."""
    return f"{seconds / 60.0:.0f} min"


def night(told: Night | None) -> str:
    """Return the hours of the recharge, and whether the night is enough."""
    if told is None:
        return "no charger"
    if told.full_h is None:
        return "never"
    return f"{told.full_h:.1f} h{'' if told.enough else ', late'}"


def trim(row: OptionRow, system: System) -> str:
    """Return the trim in words, with its size where there is one."""
    load = row.day.load
    if load.trim_m is None or load.trim_words == "hardly any trim":
        return {"hardly any trim": "hardly any"}.get(load.trim_words, load.trim_words)
    size = abs(load.trim_m)
    told = f"{size / 0.0254:.1f} in" if system == "us" else f"{100.0 * size:.1f} cm"
    return f"{told} {load.trim_words}"


def plate(row: OptionRow, system: System) -> str:
    """Return what the plate leaves."""
    load = row.day.load
    if load.plate_left_kg is None:
        return load.plate
    left = format_quantity(abs(load.plate_left_kg), "mass", system=system)
    told = f"{left} {'left' if load.plate_left_kg >= 0.0 else 'over'}"
    return told if load.plate == "pass" else f"{told}, {load.plate}"


def price(value: float | None, currency: str) -> str:
    """Return a price, or that there is none."""
    return "no price" if value is None else f"{value:,.0f} {currency}"


def spread(estimate: Estimate | None, digits: int) -> str:
    """Return a wide number with its range."""
    if estimate is None:
        return NOT_KNOWN
    low, high = f"{estimate.low:.{digits}f}", f"{estimate.high:.{digits}f}"
    return f"{estimate.value:.{digits}f} ({low} to {high})"
