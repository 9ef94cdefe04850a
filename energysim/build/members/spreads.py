"""
What may be otherwise than planned, and by how much: the list's spreads, or the scenario's own.

Depends on: scenario, catalogue, plan.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Final

from energysim.catalogue import uncertainties
from energysim.scenario.uncertainty import Uncertainty

if TYPE_CHECKING:
    from collections.abc import Mapping

    from energysim.plan import DayPlan
    from energysim.scenario.model import Scenario

SOURCES: Final = (
    "wind_error", "wind_bias", "gust_factor", "stream_strength", "stream_timing",
    "stream_residual", "wind_load", "hull_drag", "thrust_form", "chop_height", "chop_push",
    "motor", "capacity", "age", "resistance", "well_rate", "house_load", "supply",
    "start_charge",
)  # fmt: skip
"""Every source of spread. Its place is part of the key it is drawn by: add at the end only."""

GROWTH_PER_H: Final = 0.02
"""By how much of itself the error of a wind forecast grows with each hour of lead (ours)."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Spreads:
    """One standard deviation of every source, in the list's unit; 0 where it is not drawn."""

    of: Mapping[str, float]  # by source
    memory_s: Mapping[str, float]  # of the series
    unit: Mapping[str, str]
    lead_s: float  # from the forecast to the day's start


def spreads_of(scenario: Scenario, plan: DayPlan) -> Spreads:
    """
    Return the spread of every source: the scenario's, else the list's, else none.

    None is drawn of what the day does not have (a stream, chop, a guessed age) or what the
    scenario gives as known (the bank's resistance, a bank that starts full), unless the
    scenario sets a spread for it.

    Parameters
    ----------
    scenario : Scenario
        For its [uncertainty] table and for what it has.
    plan : DayPlan
        The built day, for what is known of its bank.
    """
    table = scenario.uncertainty or Uncertainty.model_validate({})
    listed = {
        row.key: row
        for row in uncertainties().values()
        if row.key in SOURCES and row.part != _other_motor(scenario)
    }
    own = {key: _own(table, key) for key in SOURCES}
    known = _known(scenario, plan)
    of = {}
    for key in SOURCES:
        value = own[key]
        of[key] = (0.0 if key in known else listed[key].spread) if value is None else value
    for key in _missing(scenario, plan):
        of[key] = 0.0
    return Spreads(
        of=of,
        memory_s={key: 3600.0 * row.memory_h for key, row in listed.items() if row.memory_h},
        unit={key: row.unit for key, row in listed.items()},
        lead_s=table.lead_s,
    )


def _other_motor(scenario: Scenario) -> str:
    """Name the row of the list that is about the other way to know a motor."""
    return "motor-label" if scenario.motor.bench else "motor-bench"


def _own(table: Uncertainty, key: str) -> float | None:
    """Return what the scenario says of a source."""
    for name in (key, f"{key}_mps", f"{key}_s"):
        if name in Uncertainty.model_fields:
            value: float | None = getattr(table, name)
            return value
    raise KeyError(key)


def _missing(scenario: Scenario, plan: DayPlan) -> set[str]:
    """Name the sources of what the day does not have."""
    missing: set[str] = set()
    if scenario.stream is None:
        missing |= {"stream_strength", "stream_timing", "stream_residual"}
    if scenario.chop is None:
        missing |= {"chop_height", "chop_push"}
    if scenario.bank.age_s is None or scenario.bank.capacity_is_measured:
        missing.add("age")
    if plan.slow_bank is None or plan.fast_bank is None or not plan.bank.kinetic.any():
        missing.add("well_rate")
    if not plan.bank.house_load_w.any():
        missing.add("house_load")
    if not plan.demand.supply_w.any():
        missing.add("supply")
    return missing


def _known(scenario: Scenario, plan: DayPlan) -> set[str]:
    """Name the sources the scenario gives as known."""
    known = {"resistance"} if scenario.bank.resistance_ohm is not None else set()
    if (plan.bank.start_soc == 1.0).all():
        known.add("start_charge")  # off the charger
    return known
