"""
What is put into the bank while the day goes on: a panel, and the main engine on its legs.

Depends on: scenario, physics, clock, errors, build.bank, build.timeline.
"""

from __future__ import annotations

import math
from typing import TYPE_CHECKING, NamedTuple

import numpy as np

from energysim.clock import seconds_between
from energysim.errors import Problem, RefusedValueError, ScenarioError
from energysim.physics.alternator import converter_power_w
from energysim.physics.solar import FULLEST_SUN, noon_sun, solar_energy_wh, solar_power_w
from energysim.scenario.clock import resolve_clock

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from energysim.build.bank import BankPart
    from energysim.build.timeline import Timeline
    from energysim.scenario.charger import EngineCharging, Solar
    from energysim.scenario.model import Scenario

SECONDS_PER_HOUR = 3600.0


class Supply(NamedTuple):
    """What sources aboard have to give, before the bank says how much it takes."""

    supply_w: NDArray[np.float64]  # (steps,), at the bank, all sources
    notes: tuple[str, ...]
    warnings: tuple[str, ...]


def build_supply(scenario: Scenario, timeline: Timeline, bank: BankPart) -> Supply:
    """
    Return the power that panel and engine have for the bank in each step.

    Raises
    ------
    ScenarioError
        The sun sets before it rises, or shines more than a day of that length can hold.
    """
    steps_w = np.zeros(timeline.step_s.shape)
    if scenario.solar is None and scenario.engine_charging is None:
        return Supply(steps_w, (), ())
    chemistry = bank.block.chemistry
    lowest = chemistry.charge_law.lowest_charge_degc
    if lowest is not None and bank.temperature_degc < lowest:
        return Supply(
            steps_w,
            (),
            (
                f"panel and engine stay off the bank: {chemistry.label} at "
                f"{bank.temperature_degc:.0f} degC must not be charged",
            ),
        )
    notes: list[str] = []
    warnings: list[str] = []
    if scenario.solar is not None:
        steps_w += _panel_w(scenario.solar, scenario, timeline, notes)
    if scenario.engine_charging is not None:
        steps_w += _engine_w(scenario.engine_charging, timeline, bank, notes, warnings)
    return Supply(steps_w, tuple(notes), tuple(warnings))


def _panel_w(
    table: Solar, scenario: Scenario, timeline: Timeline, notes: list[str]
) -> NDArray[np.float64]:
    """Return the panel's mean power in each step."""
    day = scenario.day
    try:
        sunrise = resolve_clock(table.sunrise, day.date, day.timezone)
        sunset = resolve_clock(table.sunset, day.date, day.timezone, sunrise)
    except RefusedValueError as error:
        raise ScenarioError(
            Problem(path="solar.sunset", reason=error.reason, hint=error.hint)
        ) from None
    begin_s = seconds_between(timeline.start, sunrise)
    end_s = seconds_between(timeline.start, sunset)
    hours = table.sun_hours_s / SECONDS_PER_HOUR
    light_h = (end_s - begin_s) / SECONDS_PER_HOUR
    noon = math.inf if light_h <= 0.0 else float(noon_sun(hours, daylight_h=light_h))
    if noon > FULLEST_SUN:
        most = FULLEST_SUN * 2.0 * max(light_h, 0.0) / math.pi
        raise ScenarioError(
            Problem(
                path="solar.sun_hours",
                value=f"{hours:g} h",
                reason=f"is more sun than fits between {sunrise:%H:%M} and {sunset:%H:%M}",
                hint=f"at most {most:.1f} h, or another sunrise and sunset",
            )
        )
    energy = float(solar_energy_wh(table.peak_w, sun_hours_h=hours, derating=table.derating))
    notes.append(
        f"the panel gives {energy:.0f} Wh in a whole day from {sunrise:%H:%M} to "
        f"{sunset:%H:%M}, most at midday; clouds are not counted, and only the time of the "
        "plan is"
    )
    edges = timeline.edges_s
    whole_w = np.zeros(timeline.step_s.shape)
    # A plan that runs into the next morning sees the sun again.
    for later_s in (0.0, 24.0 * SECONDS_PER_HOUR):
        whole_w += solar_power_w(
            edges[:-1],
            end_s=edges[1:],
            sunrise_s=begin_s + later_s,
            sunset_s=end_s + later_s,
            energy_wh=energy,
        )
    return whole_w


def _engine_w(
    table: EngineCharging,
    timeline: Timeline,
    bank: BankPart,
    notes: list[str],
    warnings: list[str],
) -> NDArray[np.float64]:
    """Return what the engine's converter gives in each step: on the legs run on the engine."""
    bank_v = bank.series * bank.block.chemistry.block_voltage_nominal_v * bank.block.scale
    power = float(
        converter_power_w(
            table.alternator_a,
            spare_share=table.spare_share,
            alternator_voltage_v=table.alternator_voltage_v,
            converter_efficiency=table.efficiency,
            bank_voltage_v=bank_v,
            converter_limit_a=math.inf if table.converter_a is None else table.converter_a,
        )
    )
    running = [number for number, leg in enumerate(timeline.legs) if leg.verb == "run"]
    if not running:
        warnings.append("the engine charges nothing: no leg of the plan is run on it")
    notes.append(
        f"the engine's alternator has {power:.0f} W for the bank "
        f"({power / bank_v:.1f} A at {bank_v:g} V) on the legs run on it"
    )
    return np.where(np.isin(timeline.leg_of_step, running), power, 0.0)
