"""
The whole day, put together from its parts.

Depends on: every part of build, scenario, plan, demand, cautions.
"""

from __future__ import annotations

from dataclasses import replace
from functools import partial
from typing import TYPE_CHECKING

import numpy as np

from energysim.build.bank import build_bank
from energysim.build.block import build_block
from energysim.build.boat import build_boat
from energysim.build.charge import build_charge
from energysim.build.chop import with_chop
from energysim.build.gusts import gust_intensity
from energysim.build.house_bank import build_house_bank
from energysim.build.loads import build_loads, motor_in_use
from energysim.build.motor import build_motor
from energysim.build.prices import build_costs
from energysim.build.propeller import build_immersion
from energysim.build.stream import build_stream
from energysim.build.supply import build_supply
from energysim.build.timeline import build_timeline
from energysim.build.trip import build_trip
from energysim.build.wind import build_wind
from energysim.cautions import cautions_for
from energysim.demand import Wanted, demand_on_the_bank
from energysim.errors import ScenarioError
from energysim.plan import DayPlan, HousePlan, Surroundings
from energysim.scenario.defaults import defaults_in_words
from energysim.wear import day_wear

if TYPE_CHECKING:
    from energysim.scenario.load import LoadedScenario


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
    loaded : LoadedScenario
        A valid scenario and where its files lie.
    shift_s : float
        Move the whole plan this much later; tide and wind stay where they are. [s]
    shorten : (int, float) or None
        A leg, from 0, and the seconds to take off its end; the time becomes rest.
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
    try:
        return _build(loaded, shift_s=shift_s, shorten=shorten, in_full=in_full)
    except ScenarioError as error:
        raise ScenarioError([loaded.locate(problem) for problem in error.problems]) from None


def _build(
    loaded: LoadedScenario,
    *,
    shift_s: float,
    shorten: tuple[int, float] | None,
    in_full: bool,
) -> DayPlan:
    scenario = loaded.scenario
    timeline = build_timeline(scenario, shift_s=shift_s, shorten=shorten)
    block = build_block(scenario.bank)
    motor = build_motor(scenario)
    bank = build_bank(scenario, block, motor)
    house = build_house_bank(scenario)
    boat = build_boat(
        scenario, bank_mass_kg=bank.mass_kg + (0.0 if house is None else house.mass_kg)
    )
    charge, charge_notes, charge_warnings = (
        build_charge(scenario, timeline, bank) if in_full else (None, (), ())
    )
    wind, wind_from, gust, wind_notes = build_wind(
        scenario,
        timeline,
        folder=loaded.folder,
        height_m=float(np.asarray(boat.windage.height_m)),
    )
    stream, toward, stream_notes = build_stream(scenario, timeline, folder=loaded.folder)
    flat = np.zeros_like(wind)
    surroundings = Surroundings(
        wind_mps=wind,
        wind_from_deg=wind_from,
        gust_mps=gust,
        gust_intensity=gust_intensity(scenario, wind_mps=wind, gust_mps=gust),
        stream_mps=stream,
        stream_toward_deg=toward,
        wave_height_m=flat,
        wave_length_m=flat,
        wave_from_deg=flat,
    )
    surroundings, chop_notes = with_chop(scenario, surroundings, boat)
    legs = build_loads(scenario, timeline, surroundings, boat)
    in_use = motor_in_use(timeline)
    thrust_ratio, torque_ratio, shaft_notes, shaft_warnings = build_immersion(
        scenario, surroundings, legs.load.heading_deg, in_use, boat, motor.motor
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
    demand, gust_power = demand_on_the_bank(
        wanted, motor.motor, current_limit_a=motor.current_limit_a
    )
    supply = build_supply(scenario, timeline, bank)
    if supply.supply_w.any():
        demand = replace(demand, supply_w=supply.supply_w[:, None])
    trip, trip_notes = build_trip(scenario, timeline, bank)
    defaults = defaults_in_words(scenario) if in_full else ()
    kind = block.chemistry
    cautions = (
        cautions_for(
            family=kind.family,
            nominal_voltage_v=bank.series * kind.block_voltage_nominal_v * block.scale,
            charged=charge is not None,
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
        wanted=wanted,
        gust_power_w=gust_power,
        demand=demand,
        bank=bank.bank,
        motor=motor.motor,
        rated_thrust_n=motor.rated_thrust_n,
        rated_voltage_v=motor.rated_voltage_v,
        boat=boat,
        ledger_capacity_ah=bank.ledger_capacity_ah,
        limit_soc=bank.limit_soc,
        wear=partial(
            day_wear,
            kind=block.chemistry,
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
        charge=charge,
        trip=trip,
        home_distance_m=None if scenario.home is None else scenario.home.distance_m,
        home_speed_mps=None if scenario.home is None else scenario.home.speed_mps,
        assumptions=(
            *wind_notes, *stream_notes, *chop_notes, *shaft_notes,
            *motor.notes, *bank.notes, *(() if house is None else house.notes),
            *supply.notes, *charge_notes, *trip_notes, *defaults,
        ),
        cautions=cautions,
        warnings=(
            *shaft_warnings, *motor.warnings, *bank.warnings,
            *(() if house is None else house.warnings), *supply.warnings, *charge_warnings,
        ),
    )  # fmt: skip
