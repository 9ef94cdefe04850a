"""
Whole days, put together from their parts: one alone, or several whose loads are asked at once.

Depends on: build.parts, build.loads, build.propeller, scenario, plan, demand, cautions.
"""

from __future__ import annotations

from dataclasses import replace
from functools import partial
from itertools import repeat
from typing import TYPE_CHECKING, NamedTuple

from energysim.build.loads import build_loads, motor_in_use
from energysim.build.parts import build_parts
from energysim.build.prices import build_costs
from energysim.build.propeller import build_immersion
from energysim.cautions import cautions_for
from energysim.demand import Wanted, demands_on_the_bank
from energysim.errors import ScenarioError
from energysim.plan import DayPlan, HousePlan
from energysim.scenario.defaults import defaults_in_words
from energysim.wear import day_wear

if TYPE_CHECKING:
    from collections.abc import Sequence

    import numpy as np
    from numpy.typing import NDArray

    from energysim.build.loads import LegLoads
    from energysim.build.parts import DayParts
    from energysim.scenario.load import LoadedScenario
    from energysim.simulate import Demand

    Array = NDArray[np.float64]


class DayAsked(NamedTuple):
    """
    A day to build.

    Attributes
    ----------
    loaded : LoadedScenario
        A valid scenario and where its files lie.
    shift_s : float
        Move the whole plan this much later; tide and wind stay where they are. [s]
    shorten : (int, float) or None
        A leg, from 0, and the seconds to take off its end; the time becomes rest.
    """

    loaded: LoadedScenario
    shift_s: float = 0.0
    shorten: tuple[int, float] | None = None


def build_day(
    loaded: LoadedScenario,
    *,
    shift_s: float = 0.0,
    shorten: tuple[int, float] | None = None,
    in_full: bool = True,
) -> DayPlan:
    """
    Turn a scenario into a day that can be run.

    Parameters
    ----------
    loaded, shift_s, shorten
        As in `DayAsked`.
    in_full : bool
        Also plan the charger's night, list the defaults taken and add the cautions; a day that
        is only run for comparison needs none of them.

    Returns
    -------
    DayPlan
        One member, ready for the loop.

    Raises
    ------
    ScenarioError
        A name is not listed, a file does not reach over the day, parts do not fit together;
        with the place in the scenario.
    FileError
        A file the scenario names cannot be read.
    """
    (day,) = build_days([DayAsked(loaded, shift_s, shorten)], in_full=in_full)
    if isinstance(day, ScenarioError):
        raise day
    return day


def build_days(
    asked: Sequence[DayAsked], *, in_full: bool = True
) -> list[DayPlan | ScenarioError]:
    """
    Build several days together: their loads are asked of each law at once, which saves time.

    Parameters
    ----------
    asked : sequence of DayAsked
        The days.
    in_full : bool
        As in `build_day`.

    Returns
    -------
    list of DayPlan or ScenarioError
        In the order asked; each day as `build_day` builds it, or why it cannot be built.

    Raises
    ------
    FileError
        A file a scenario names cannot be read.
    """
    tried = [_parts_or_why_not(one, in_full=in_full) for one in asked]
    parts = [one for one in tried if not isinstance(one, ScenarioError)]
    built = iter(days_from_parts(parts, in_full=in_full))
    return [one if isinstance(one, ScenarioError) else next(built) for one in tried]


def days_from_parts(parts: Sequence[DayParts], *, in_full: bool) -> list[DayPlan]:
    """Return the days whose parts are built already; `in_full` as in `build_day`."""
    loads = build_loads([one.afloat for one in parts])
    wants = [_wants(one, own) for one, own in zip(parts, loads, strict=True)]
    demands = _demands(parts, wants)
    return list(map(_put_together, parts, loads, wants, demands, repeat(in_full)))


def _parts_or_why_not(one: DayAsked, *, in_full: bool) -> DayParts | ScenarioError:
    """Return a day's parts, or what is wrong with it and where."""
    try:
        return build_parts(
            one.loaded, shift_s=one.shift_s, shorten=one.shorten, in_full=in_full
        )
    except ScenarioError as error:
        return ScenarioError([one.loaded.locate(problem) for problem in error.problems])


class _Wants(NamedTuple):
    """What a day wants of its motor, what was assumed about its shaft, and warnings."""

    wanted: Wanted
    notes: tuple[str, ...]
    warnings: tuple[str, ...]


def _wants(parts: DayParts, legs: LegLoads) -> _Wants:
    """Return what the motor is asked for, given the day's loads."""
    scenario, timeline, surroundings, boat = parts.afloat
    in_use = motor_in_use(timeline)
    thrust_ratio, torque_ratio, notes, warnings = build_immersion(
        scenario, surroundings, legs.load.heading_deg, in_use, boat, parts.motor.motor
    )
    wanted = Wanted(
        step_s=timeline.step_s,
        thrust_n=legs.load.thrust_n,
        inflow_mps=legs.load.inflow_mps,
        node_thrust_n=legs.node_thrust_n,
        node_inflow_mps=legs.node_inflow_mps,
        node_share=legs.node_share,
        node_deviation=legs.node_deviation,
        gust_thrust_n=legs.gust_thrust_n,
        gust_inflow_mps=legs.gust_inflow_mps,
        duty=legs.duty,
        in_use=in_use,
        thrust_ratio=thrust_ratio,
        torque_ratio=torque_ratio,
    )
    return _Wants(wanted, notes, warnings)


def _demands(parts: Sequence[DayParts], wants: Sequence[_Wants]) -> list[tuple[Demand, Array]]:
    """Return each day's demand and its power in the gust; days of one motor go together."""
    found: dict[int, tuple[Demand, Array]] = {}
    for motor in {id(one.motor): one.motor for one in parts}.values():
        days = [number for number, one in enumerate(parts) if one.motor is motor]
        demands = demands_on_the_bank(
            [wants[number].wanted for number in days],
            motor.motor,
            current_limit_a=motor.current_limit_a,
        )
        found.update(zip(days, demands, strict=True))
    return [found[number] for number in range(len(parts))]


def _put_together(
    parts: DayParts,
    legs: LegLoads,
    wants: _Wants,
    demand: tuple[Demand, Array],
    in_full: bool,
) -> DayPlan:
    """Return the day, given its loads and what they ask of the bank."""
    scenario, timeline, surroundings, boat = parts.afloat
    motor, bank, house, supply = parts.motor, parts.bank, parts.house, parts.supply
    asked_of_bank, gust_power = demand
    if supply.supply_w.any():
        asked_of_bank = replace(asked_of_bank, supply_w=supply.supply_w[:, None])
    defaults = defaults_in_words(scenario) if in_full else ()
    kind = bank.block.chemistry
    cautions = (
        cautions_for(
            family=kind.family,
            nominal_voltage_v=bank.series * kind.block_voltage_nominal_v * bank.block.scale,
            charged=parts.charge is not None,
        )
        if in_full
        else ()
    )
    return DayPlan(
        title=scenario.title,
        start=timeline.start,
        legs=timeline.legs,
        edges_s=timeline.edges_s,
        leg_of_step=timeline.leg_of_step,
        surroundings=surroundings,
        load=legs.load,
        wanted=wants.wanted,
        gust_power_w=gust_power,
        demand=asked_of_bank,
        bank=bank.bank,
        motor=motor.motor,
        rated_thrust_n=motor.rated_thrust_n,
        rated_voltage_v=motor.rated_voltage_v,
        boat=boat,
        ledger_capacity_ah=bank.ledger_capacity_ah,
        limit_soc=bank.limit_soc,
        wear=partial(
            day_wear,
            kind=kind,
            costs=build_costs(scenario.prices, blocks=bank.series * bank.parallel),
        ),
        slow_bank=bank.slow_bank,
        fast_bank=bank.fast_bank,
        house=None
        if house is None
        else HousePlan(
            bank=house.bank,
            ledger_capacity_ah=house.ledger_capacity_ah,
            limit_soc=house.limit_soc,
        ),
        block_names=() if bank.layout.is_plain else bank.layout.names,
        block_places=() if bank.layout.is_plain else bank.layout.places,
        parallel=bank.parallel,
        series=bank.series,
        charge=parts.charge,
        trip=parts.trip,
        home_distance_m=None if scenario.home is None else scenario.home.distance_m,
        home_speed_mps=None if scenario.home is None else scenario.home.speed_mps,
        assumptions=(
            *parts.surroundings_notes, *wants.notes,
            *motor.notes, *bank.notes, *(() if house is None else house.notes),
            *supply.notes, *parts.charge_notes, *defaults,
        ),
        cautions=cautions,
        warnings=(
            *wants.warnings, *motor.warnings, *bank.warnings,
            *(() if house is None else house.warnings), *supply.warnings,
            *parts.charge_warnings,
        ),
    )  # fmt: skip
