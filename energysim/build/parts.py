"""
The parts of a day before its loads: clock, bank, boat, and the wind and water around it.

Depends on: every part of build but its loads, scenario, plan.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from energysim.build.bank import build_bank
from energysim.build.block import build_block
from energysim.build.boat import build_boat
from energysim.build.charge import build_charge
from energysim.build.chop import with_chop
from energysim.build.gusts import gust_intensity
from energysim.build.house_bank import build_house_bank
from energysim.build.motor import build_motor
from energysim.build.questions import Afloat
from energysim.build.stream import build_stream
from energysim.build.supply import build_supply
from energysim.build.timeline import build_timeline
from energysim.build.trip import build_trip
from energysim.build.wind import build_wind
from energysim.plan import Surroundings

if TYPE_CHECKING:
    from energysim.build.bank import BankPart
    from energysim.build.motor import MotorPart
    from energysim.build.supply import Supply
    from energysim.charge_plan import ChargePlan, TripPlan
    from energysim.scenario.load import LoadedScenario


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class DayParts:
    """A day all but for its loads and what follows from them."""

    afloat: Afloat
    motor: MotorPart
    bank: BankPart
    house: BankPart | None
    supply: Supply
    charge: ChargePlan | None
    trip: TripPlan | None
    surroundings_notes: tuple[str, ...]
    charge_notes: tuple[str, ...]  # the trip's too
    charge_warnings: tuple[str, ...]


def build_parts(
    loaded: LoadedScenario, *, shift_s: float, shorten: tuple[int, float] | None, in_full: bool
) -> DayParts:
    """
    Build all of a day that its loads depend on, and the bank that is to bear them.

    Parameters
    ----------
    loaded : LoadedScenario
        A valid scenario and where its files lie.
    shift_s, shorten, in_full
        As in `build.day.build_day`.

    Raises
    ------
    ScenarioError
        As `build.day.build_day`, but for the place in the file.
    FileError
        A file the scenario names cannot be read.
    """
    scenario = loaded.scenario
    timeline = build_timeline(scenario, shift_s=shift_s, shorten=shorten)
    motor = build_motor(scenario)
    bank = build_bank(scenario, build_block(scenario.bank), motor)
    house = build_house_bank(scenario)
    boat = build_boat(
        scenario, bank_mass_kg=bank.mass_kg + (0.0 if house is None else house.mass_kg)
    )
    charge, charge_notes, charge_warnings = (
        build_charge(scenario, timeline, bank) if in_full else (None, (), ())
    )
    trip, trip_notes = build_trip(scenario, timeline, bank)
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
    return DayParts(
        afloat=Afloat(scenario, timeline, surroundings, boat),
        motor=motor,
        bank=bank,
        house=house,
        supply=build_supply(scenario, timeline, bank),
        charge=charge,
        trip=trip,
        surroundings_notes=(*wind_notes, *stream_notes, *chop_notes),
        charge_notes=(*charge_notes, *trip_notes),
        charge_warnings=charge_warnings,
    )
