"""
Every key a scenario may hold matters: turned, it moves the answer.

For each key of every table there is a day in which it counts and another value for it. The
answer is the JSON document without its assumptions, so that a key which is only echoed there
fails. A key nobody thought of here fails as well. What does not move the day moves the answer
of another command, such as the look at the rigging.
"""

import json
import re
from dataclasses import dataclass, field, replace
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from energysim.comparison import compare
from energysim.errors import ScenarioError
from energysim.odds import run_odds
from energysim.report.compare import compare_document
from energysim.report.document import day_document
from energysim.report.rig import rig_document
from energysim.rig import check_rig
from energysim.runner import run_day
from energysim.scenario.model import Scenario
from energysim.scenario.overlay import overlay
from energysim.scenario.table import fields_by_key, table_of
from energysim.stow import Block, fit_blocks
from energysim.weigh import locker_from_bow_m

ESTUARY = Path(__file__).parents[1] / "scenarios" / "estuary"
EVENTS = {
    "flood_toward": "30 deg",
    "ebb_toward": "200 deg",
    "event": [
        {"at": "04:30", "kind": "slack"},
        {"at": "06:30", "kind": "flood", "speed": "1.8 kn"},
        {"at": "08:00", "kind": "slack"},
        {"at": "11:00", "kind": "ebb", "speed": "1.5 kn"},
    ],
}
POINTS = {
    "point": [
        {"at": "05:00", "speed": "1 kn", "toward": "40 deg"},
        {"at": "13:00", "speed": "2 kn", "toward": "60 deg"},
    ]
}
CONSTITUENTS = {
    "flood_toward": "30 deg",
    "ebb_toward": "200 deg",
    "constituent": [
        {"name": "M2", "amplitude": "1.5 kn", "phase": "40 deg"},
        {"name": "S2", "amplitude": "0.4 kn", "phase": "70 deg"},
    ],
}
FROM_FILE = {"file": "currents.csv", "flood_toward": "30 deg", "ebb_toward": "200 deg"}
HOURS = {
    "hour": [
        {"at": "05:00", "speed": "10 kn", "from": "SW", "gust": "14 kn"},
        {"at": "13:00", "speed": "16 kn", "from": "W", "gust": "21 kn"},
    ]
}
BENCH = {
    "bench": [
        {"thrust": "10 lbf", "current": "4 A", "voltage": "24.4 V"},
        {"thrust": "40 lbf", "current": "21 A", "voltage": "24 V"},
        {"thrust": "78 lbf", "current": "54 A", "voltage": "23.4 V"},
    ]
}
LABEL = {"chemistry": "agm", "capacity": "105 Ah", "reserve": "195 min"}
SAGGING = {"cable": {"resistance": "0.2 ohm"}}
STRONG = {"wind.speed": "28 kn", "wind.gust": "34 kn"}
CREEP = {"leg[1].do": "creep", "leg[1].course": "220 deg", "leg[1].speed": "1.3 kn"}
CREEP |= {"stream": {"speed": "1 kn", "toward": "90 deg"}}
DRIFT = {"leg[1].do": "drift", "leg[1].drift_speed": "0.4 kn"}
CHARGER = {"charger": {"current": "10 A"}}
HOURLY = {"wind": HOURS}
CONSTANTS = {"stream": {"constants": "constants.json"}}
RISING = {"wind.hour[2].speed": "60 kn", "wind.hour[2].gust": "60 kn"}
GAUGE = {"cable": {"gauge": "6 AWG", "length": "20 ft"}}
NAMED = {"bank": LABEL}
BARE = {"bank": {"chemistry": "agm", "capacity": "105 Ah"}}
CELLS = {"bank": {"chemistry": "flooded", "capacity": "200 Ah", "block_voltage": "2 V"}}
STEADY_STREAM = {"stream": {"speed": "1.5 kn", "toward": "20 deg"}}
FETCH = {"chop": {"fetch": "3 km"}}
REACHES = {
    "chop": {
        "reach": [{"from": "200 deg", "length": "4 km"}, {"from": "260 deg", "length": "1 km"}]
    }
}
SHAFT = FETCH | {"motor.shaft_length": "36 in"}
BURST = {"leg[1].style": "burst"}
RATED = {"bank": LABEL | {"law": "kinetic", "rating": [{"time": "5 h", "capacity": "88 Ah"}]}}
UNLIKE = {
    "bank.block": [
        {"number": 2, "capacity_fraction": 0.9, "temperature": "9 degC", "resistance": "6 mohm",
         "start_soc": 0.95},
    ],
    "bank.parallel": 2,
}  # fmt: skip
TAPPED = {
    "bank.tapped": [{"name": "sounder", "load": "20 W", "string": 1, "number": 1}],
    "bank.parallel": 2,
}
USED = {"bank.age": "4 yr", "bank.trips_a_year": 120, "bank.usual_depth": 0.5}
SOLAR = {"solar": {"peak": "100 W", "sun_hours": "5 h"}, "bank.start_soc": 0.7}
ENGINE = {
    "engine_charging": {"alternator": "35 A"},
    "bank.start_soc": 0.7,
    "leg": [
        {"do": "run", "start": "06:00", "for": "30 min"},
        {"name": "the mark", "do": "hold", "for": "4 h"},
    ],
}
TRIP = CHARGER | {"trip": {"days": 3}}
PRICES = {"prices": {"currency": "USD", "bank": 700.0, "energy_per_kwh": 0.2}}
HOUSE = {"house_bank": LABEL | {"load": "30 W"}}
HOUSE_LISTED = {"house_bank": {"battery": "24-agm", "load": "30 W"}}
HOUSE_BARE = {"house_bank": BARE["bank"] | {"load": "30 W"}}
HOUSE_RATED = {"house_bank": RATED["bank"] | {"load": "150 W"}}
HARD_HOUSE = {"house_bank": BARE["bank"] | {"load": "250 W", "law": "kinetic"}}
BREAKER = {"breaker": {"rating": "60 A"}}
PLUG = {"plug": {"rating": "70 A"}}
CORD = CHARGER | {"cord": {"gauge": "14 AWG", "length": "60 ft"}}
AFT = {"name": "aft", "length": "4 ft", "width": "2 ft", "height": "15 in"}
LOCKER = {"locker": [AFT]}
HATCH = {"locker": [AFT | {"hatch_length": "14 in", "hatch_width": "9 in"}]}
LOCKED = LOCKER | CHARGER
PLATE = {"plate": {"persons": 4, "persons_weight": "700 lb", "total_weight": "1200 lb",
                   "engine_weight": "300 lb", "gear_weight": "100 lb"}}  # fmt: skip
OPTION = {"option": [{"name": "more", "bank": {"parallel": 2}}]}
GRID = {"options": {"cases": [24], "chemistries": ["agm"]}}
SHOP = OPTION | PRICES | {"options": {"rank": "day"}}


@dataclass(frozen=True)
class Turn:
    """A key, another value for it, and what the plain day needs for it to count."""

    key: str
    value: Any
    day: dict[str, Any] = field(default_factory=dict)
    refused: str = ""  # where the other value can only be refused: what the refusal says
    opened: bool = False  # whether it is the plain day that is refused, and the value opens it
    of: str = "day"  # whose answer it moves

    @property
    def general(self) -> str:
        """The key without places in lists."""
        return re.sub(r"\[\d+\]", "", self.key)


TURNS = [
    Turn("title", "Another day"),
    Turn("day.date", "2026-11-20"),
    Turn("day.timezone", "Europe/Paris"),
    Turn("day.water", "fresh"),
    Turn("day.air_temperature", "-5 degC"),
    Turn("day.water_temperature", "25 degC"),
    Turn("day.step", "600 s", {"leg[1].for": "95 min"}),
    Turn("boat.hull", "centre-console"),
    Turn("boat.length", "16 ft"),
    Turn("boat.beam", "6 ft"),
    Turn("boat.freeboard", "24 in"),
    Turn("boat.bow_height", "2 ft 6 in", SHAFT),
    Turn("boat.mass", "1900 lb", STEADY_STREAM),
    Turn("boat.people", 3),
    Turn("boat.person_mass", "120 lb", STEADY_STREAM),
    Turn("boat.outboard", "down", STEADY_STREAM),
    Turn("boat.frontal_area", "3 m2"),
    Turn("boat.lateral_area", "9 m2", STEADY_STREAM),
    Turn("boat.drag_factor", 1.4, STEADY_STREAM),
    Turn("boat.wind_factor", 1.4),
    Turn("motor.voltage", "26 V"),
    Turn("motor.thrust", "70 lbf"),
    Turn("motor.max_current", "50 A"),
    Turn("motor.propeller_diameter", "9 in"),
    Turn("motor.shaft_length", "34 in", SHAFT),
    Turn("motor.blades", 2),
    Turn("motor.pitch_ratio", 0.7),
    Turn("motor.control", "stepped"),
    Turn("motor.idle_current", "1 A"),
    Turn("motor.current_limit", "12 A", STRONG),
    Turn("motor.lowest_voltage", "25.2 V", STRONG),
    Turn("motor.fouling", 0.2),
    Turn("motor.thrust_deduction", 0.2),
    Turn("motor.mass", "35 kg", STEADY_STREAM),
    Turn("motor.bench[1].thrust", "12 lbf", {"motor": BENCH}),
    Turn("motor.bench[1].current", "5 A", {"motor": BENCH}),
    Turn("motor.bench[1].voltage", "25 V", {"motor": BENCH}),
    Turn("bank.battery", "27-agm"),
    Turn("bank.chemistry", "gel", NAMED),
    Turn("bank.capacity", "90 Ah", BARE),
    Turn("bank.block_voltage", "6 V", NAMED | CHARGER),
    Turn("bank.rated_time", "10 h", BARE | STRONG),
    Turn("bank.reserve", "180 min", NAMED | STRONG),
    Turn("bank.peukert_exponent", 1.3, STRONG),
    Turn(
        "bank.memory",
        "0 s",
        HOURLY | {"wind.hour[2].speed": "60 kn", "wind.hour[2].gust": "60 kn"},
    ),
    Turn("bank.series", 13, CELLS),
    Turn("bank.parallel", 2),
    Turn("bank.block_mass", "50 kg", STEADY_STREAM),
    Turn("bank.resistance", "0.02 ohm"),
    Turn("bank.depth_of_discharge", 0.8),
    Turn("bank.start_soc", 0.8),
    Turn("bank.capacity_fraction", 0.7),
    Turn("bank.temperature", "2 degC"),
    Turn("bank.cutoff_voltage", "12.6 V", STRONG),
    Turn("bank.house_load", "20 W"),
    Turn("bank.rating[1].time", "6 h", RATED | STRONG),
    Turn("bank.rating[1].capacity", "90 Ah", RATED | STRONG),
    Turn("bank.law", "peukert", {"bank.law": "kinetic"} | STRONG),
    Turn("bank.well_rate", "2 per h", {"bank.law": "kinetic"} | STRONG),
    Turn("bank.stored", "2 month"),
    Turn("bank.age", "5 yr", USED),
    Turn("bank.trips_a_year", 180, USED),
    Turn("bank.usual_depth", 0.6, USED),
    Turn("bank.insist", True, {"bank": BARE["bank"] | {"chemistry": "starting"}}, opened=True),
    Turn("bank.block[1].string", 2, UNLIKE),
    Turn("bank.block[1].number", 1, UNLIKE),
    Turn("bank.block[1].capacity_fraction", 0.8, UNLIKE),
    Turn("bank.block[1].temperature", "4 degC", UNLIKE),
    Turn("bank.block[1].resistance", "12 mohm", UNLIKE),
    Turn("bank.block[1].start_soc", 0.7, UNLIKE),
    Turn("bank.tapped[1].name", "lights", TAPPED),
    Turn("bank.tapped[1].load", "40 W", TAPPED),
    Turn("bank.tapped[1].string", 2, TAPPED),
    Turn("bank.tapped[1].number", 2, TAPPED),
    Turn("house_bank.battery", "27-agm", HOUSE_LISTED),
    Turn("house_bank.chemistry", "gel", HOUSE),
    Turn("house_bank.capacity", "90 Ah", HOUSE),
    Turn("house_bank.block_voltage", "6 V", HOUSE),
    Turn("house_bank.rated_time", "10 h", HARD_HOUSE),
    Turn("house_bank.reserve", "180 min", HOUSE_RATED),
    Turn("house_bank.rating[1].time", "6 h", HOUSE_RATED),
    Turn("house_bank.rating[1].capacity", "90 Ah", HOUSE_RATED),
    Turn("house_bank.peukert_exponent", 1.3, HOUSE | {"house_bank.load": "150 W"}),
    Turn("house_bank.law", "peukert", HARD_HOUSE),
    Turn("house_bank.well_rate", "2 per h", HARD_HOUSE),
    Turn("house_bank.memory", "0 s", HARD_HOUSE | {"house_bank.law": "peukert"}),
    Turn("house_bank.series", 2, HOUSE),
    Turn("house_bank.parallel", 2, HOUSE),
    Turn("house_bank.block_mass", "60 kg", HOUSE | STEADY_STREAM),
    Turn("house_bank.resistance", "0.02 ohm", HOUSE),
    Turn("house_bank.depth_of_discharge", 0.3, HOUSE),
    Turn("house_bank.start_soc", 0.8, HOUSE),
    Turn("house_bank.stored", "2 month", HOUSE),
    Turn("house_bank.capacity_fraction", 0.7, HOUSE),
    Turn("house_bank.age", "5 yr", HOUSE | {"house_bank.age": "4 yr"}),
    Turn(
        "house_bank.trips_a_year",
        180,
        HOUSE | {"house_bank.age": "4 yr", "house_bank.trips_a_year": 120},
    ),
    Turn(
        "house_bank.usual_depth",
        0.6,
        HOUSE | {"house_bank.age": "4 yr", "house_bank.trips_a_year": 200},
    ),
    Turn("house_bank.temperature", "2 degC", HOUSE),
    Turn("house_bank.cutoff_voltage", "12.6 V", HARD_HOUSE),
    Turn(
        "house_bank.insist",
        True,
        {"house_bank": HOUSE_BARE["house_bank"] | {"chemistry": "starting"}},
        opened=True,
    ),
    Turn("house_bank.load", "60 W", HOUSE),
    Turn("cable.gauge", "2 AWG", GAUGE),
    Turn("cable.length", "40 ft", GAUGE),
    Turn("cable.resistance", "30 mohm", {"cable": {"resistance": "10 mohm"}}),
    Turn("cable.contact_resistance", "9 mohm", GAUGE),
    Turn("charger.current", "6 A", CHARGER),
    Turn("charger.outputs", 1, CHARGER, refused="fewer than the bank's 2 blocks"),
    Turn("charger.efficiency", 0.7, CHARGER),
    Turn("charger.circuit", "100 W", CHARGER),
    Turn("charger.start", "22:00", CHARGER),
    Turn("charger.ready_by", "04:00", CHARGER),
    Turn("charger.feeds", ["2", "1"], {"charger": {"outputs": ["10 A", "5 A"]}}),
    Turn("charger.power_factor", 0.95, CHARGER),
    Turn("charger.breaker", "5 A", CHARGER),
    Turn("charger.mains_voltage", "230 V", CHARGER | {"charger.breaker": "3 A"}),
    Turn("charger.source", "generator", CHARGER),
    Turn("solar.peak", "60 W", SOLAR),
    Turn("solar.sun_hours", "3 h", SOLAR),
    Turn("solar.sunrise", "05:00", SOLAR),
    Turn("solar.sunset", "19:00", SOLAR),
    Turn("solar.derating", 0.6, SOLAR),
    Turn("engine_charging.alternator", "60 A", ENGINE),
    Turn("engine_charging.spare_share", 0.5, ENGINE),
    Turn("engine_charging.alternator_voltage", "14.2 V", ENGINE),
    Turn("engine_charging.converter", "4 A", ENGINE),
    Turn("engine_charging.efficiency", 0.8, ENGINE),
    Turn("trip.days", 4, TRIP),
    Turn("trip.idle", "3 d", TRIP),
    Turn("trip.idle_charger", True, TRIP | {"trip.idle": "20 d"}),
    Turn("prices.currency", "EUR", PRICES),
    Turn("prices.bank", 900.0, PRICES),
    Turn("prices.block", 300.0, {"prices": {"currency": "USD", "block": 250.0}}),
    Turn("prices.energy_per_kwh", 0.4, PRICES | CHARGER),
    Turn("prices.trips_a_year", 80.0, PRICES),
    Turn("wind.speed", "14 kn"),
    Turn("wind.from", "N"),
    Turn("wind.gust", "21 kn"),
    Turn("wind.height", "3 m"),
    Turn("wind.exposure", "in-land"),
    Turn("wind.hour[1].at", "04:00", HOURLY),
    Turn("wind.hour[1].speed", "8 kn", HOURLY),
    Turn("wind.hour[1].from", "N", HOURLY),
    Turn("wind.hour[1].gust", "19 kn", HOURLY),
    Turn("wind.file", "other_wind.csv", {"wind": {"file": "wind.csv"}}),
    Turn("stream.speed", "1.2 kn", STEADY_STREAM),
    Turn("stream.toward", "80 deg", STEADY_STREAM),
    Turn("stream.event[2].at", "06:50", {"stream": EVENTS}),
    Turn("stream.event[2].kind", "ebb", {"stream": EVENTS}),
    Turn("stream.event[2].speed", "1.1 kn", {"stream": EVENTS}),
    Turn("stream.point[1].at", "04:30", {"stream": POINTS}),
    Turn("stream.point[1].speed", "0.6 kn", {"stream": POINTS}),
    Turn("stream.point[1].toward", "90 deg", {"stream": POINTS}),
    Turn("stream.file", "other_currents.csv", {"stream": FROM_FILE}),
    Turn("stream.constants", "other_constants.json", CONSTANTS),
    Turn("stream.constituent[1].name", "N2", {"stream": CONSTITUENTS}),
    Turn("stream.constituent[1].amplitude", "1 kn", {"stream": CONSTITUENTS}),
    Turn("stream.constituent[1].phase", "90 deg", {"stream": CONSTITUENTS}),
    Turn("stream.mean", "0.4 kn", {"stream": CONSTITUENTS}),
    Turn("stream.flood_toward", "50 deg", {"stream": EVENTS}),
    Turn("stream.ebb_toward", "150 deg", {"stream": EVENTS}),
    Turn("stream.scale", 0.7, STEADY_STREAM),
    Turn("stream.shift", "40 min", {"stream": EVENTS}),
    Turn("chop.fetch", "1 km", FETCH),
    Turn("chop.reach[1].from", "215 deg", REACHES),
    Turn("chop.reach[1].length", "2 km", REACHES),
    Turn("chop.depth", "2 m", FETCH),
    Turn("home.distance", "40 nmi", {"home": {"distance": "1 nmi"}}),
    Turn("home.speed", "2 kn", {"home": {"distance": "1 nmi"}}),
    Turn("leg[1].name", "the bar"),
    Turn("leg[1].do", "rest"),
    Turn("leg[1].start", "06:20"),
    Turn("leg[1].for", "3 h"),
    Turn("leg[1].until", "09:00", {"leg[1].for": None, "leg[1].until": "10:00"}),
    Turn("leg[1].course", "200 deg", CREEP),
    Turn("leg[1].speed", "1 kn", CREEP),
    Turn("leg[1].over", "water", CREEP),
    Turn("leg[1].drift_speed", "0.6 kn", DRIFT),
    Turn("leg[1].heading", "150 deg"),
    Turn("leg[1].style", "burst"),
    Turn("leg[1].duty", 0.3, BURST),
    Turn("leg[1].watch_circle", "60 ft", BURST),
    Turn("leg[1].stream_scale", 0.5, STEADY_STREAM),
    Turn("leg[1].wind_shelter", 0.5),
]

# What is looked at by `energysim rig` and moves nothing of the day.
TURNS += [
    Turn("wiring.insulation", "105 degC", of="rig"),
    Turn("wiring.bundled", 5, of="rig"),
    Turn("wiring.in_engine_space", True, of="rig"),
    Turn("wiring.drop_class", "10 %", of="rig"),
    Turn("wiring.stranded", False, of="rig"),
    Turn("wiring.tinned", False, of="rig"),
    Turn("breaker.rating", "80 A", BREAKER, of="rig"),
    Turn("breaker.voltage", "24 V", BREAKER, of="rig"),
    Turn("breaker.distance", "5 in", BREAKER, of="rig"),
    Turn("breaker.sheathed", True, BREAKER, of="rig"),
    Turn("breaker.interrupting", "5000 A", BREAKER, of="rig"),
    Turn("plug.rating", "50 A", PLUG, of="rig"),
    Turn("plug.voltage", "48 V", PLUG, of="rig"),
    Turn("cord.gauge", "16 AWG", CORD, of="rig"),
    Turn("cord.length", "90 ft", CORD, of="rig"),
    Turn("cord.voltage", "230 V", CORD, of="rig"),
    Turn("vent.opening", "50 cm2", of="rig"),
    Turn("mounting.pull_tested", "90 lbf", of="rig"),
    Turn("locker[1].holds_fuel", True, LOCKED, of="rig"),
    Turn("locker[1].charger_above", True, LOCKED, of="rig"),
    Turn("locker[1].vented", True, LOCKED, of="rig"),
    Turn("locker[1].name", "the box", LOCKER, of="stow"),
    Turn("locker[1].length", "18 in", LOCKER, of="stow"),
    Turn("locker[1].width", "7.5 in", LOCKER, of="stow"),
    Turn("locker[1].height", "10 in", LOCKER, of="stow"),
    Turn("locker[1].hatch_length", "10 in", HATCH, of="stow"),
    Turn("locker[1].hatch_width", "6 in", HATCH, of="stow"),
    Turn("locker[1].hatch_in", "side", HATCH, of="stow"),
    Turn("locker[1].hatch_gap", "2 in", HATCH, of="stow"),
    Turn("locker[1].wall_gap", "1 in", LOCKER, of="stow"),
    Turn("locker[1].case_gap", "1 in", LOCKER, of="stow"),
    Turn("locker[1].terminal_gap", "8 in", LOCKER, of="stow"),
    Turn("locker[1].box_wall", "1 in", LOCKER, of="stow"),
    Turn("locker[1].place", "bow", {"locker": [AFT | {"place": "stern"}]}, of="place"),
    Turn("locker[1].from_bow", "4 m", {"locker": [AFT | {"from_bow": "1 m"}]}, of="place"),
]

# What the odds of a day hang on: [uncertainty] moves those, and leaves the day as it is.
UNSURE = {"uncertainty": {"members": 20}}
CHOPPY = UNSURE | FETCH
OLD_AND_UNSURE = UNSURE | USED
OF_THE_ODDS = [
    Turn("uncertainty.members", 30, UNSURE),
    Turn("uncertainty.seed", 2, UNSURE),
    Turn("uncertainty.lead", "48 h", UNSURE),
    Turn("uncertainty.wind_error", "0 kn", UNSURE),
    Turn("uncertainty.wind_bias", "0 kn", UNSURE),
    Turn("uncertainty.gust_factor", 0.0, UNSURE),
    Turn("uncertainty.stream_strength", 0.0, UNSURE | STEADY_STREAM),
    Turn("uncertainty.stream_timing", "0 s", UNSURE | {"stream": EVENTS}),
    Turn("uncertainty.stream_residual", "0 kn", UNSURE | STEADY_STREAM),
    Turn("uncertainty.wind_load", 0.0, UNSURE),
    Turn("uncertainty.hull_drag", 0.0, UNSURE | STEADY_STREAM),
    Turn("uncertainty.thrust_form", 0.0, UNSURE),
    Turn("uncertainty.chop_height", 0.0, CHOPPY),
    Turn("uncertainty.chop_push", 0.0, CHOPPY),
    Turn("uncertainty.motor", 0.0, UNSURE),
    Turn("uncertainty.capacity", 0.0, UNSURE),
    Turn("uncertainty.age", 0.0, OLD_AND_UNSURE),
    Turn("uncertainty.resistance", 0.0, UNSURE),
    Turn("uncertainty.well_rate", 0.0, UNSURE),
    Turn("uncertainty.house_load", 0.0, UNSURE | {"bank.house_load": "20 W"}),
    Turn("uncertainty.supply", 0.0, UNSURE | SOLAR),
    Turn("uncertainty.start_charge", 0.1, UNSURE),
]
# What is looked at by `energysim compare`.
TURNS += [
    Turn("plate.persons", 2, OPTION | PLATE | {"boat.people": 3}, of="compare"),
    Turn("plate.persons_weight", "300 lb", OPTION | PLATE, of="compare"),
    Turn("plate.total_weight", "1000 lb", OPTION | PLATE, of="compare"),
    Turn("plate.engine_weight", "350 lb", OPTION | PLATE, of="compare"),
    Turn("plate.gear_weight", "150 lb", OPTION | PLATE, of="compare"),
    Turn("option[1].name", "twice as many", OPTION, of="compare"),
    Turn("options.baseline", "more", SHOP, of="compare"),
    Turn("options.rank", "weight", SHOP, of="compare"),
    Turn("options.cases", [31], GRID, of="compare"),
    Turn("options.chemistries", ["lfp"], GRID, of="compare"),
    Turn("options.strings", [2], GRID, of="compare"),
    Turn("options.block_prices", {"24-agm": 200.0}, GRID | PRICES, of="compare"),
    Turn("options.prices_of", "2026-05-01", SHOP, of="compare"),
]

# The other ways a key may count: what is typed and what comes from a file take different paths.
OTHER_WAYS = [
    Turn("stream.scale", 0.7, {"stream": EVENTS}),
    Turn("stream.scale", 0.7, {"stream": POINTS}),
    Turn("stream.scale", 0.7, {"stream": FROM_FILE}),
    Turn("stream.scale", 0.7, CONSTANTS),
    Turn("stream.scale", 0.7, {"stream": CONSTITUENTS}),
    Turn("stream.shift", "-40 min", {"stream": POINTS}),
    Turn("stream.shift", "40 min", {"stream": FROM_FILE}),
    Turn("stream.shift", "40 min", CONSTANTS),
    Turn("stream.shift", "40 min", {"stream": CONSTITUENTS}),
    Turn("stream.flood_toward", "50 deg", {"stream": FROM_FILE}),
    Turn("stream.ebb_toward", "150 deg", {"stream": FROM_FILE, "leg[1].for": "8 h"}),
    Turn("stream.flood_toward", "50 deg", {"stream": CONSTITUENTS}),
    Turn("stream.ebb_toward", "150 deg", {"stream": CONSTITUENTS}),
    Turn("stream.flood_toward", "50 deg", CONSTANTS),
    Turn("wind.height", "3 m", HOURLY),
    Turn("wind.height", "3 m", {"wind": {"file": "wind.csv"}}),
    Turn("leg[1].wind_shelter", 0.5, {"wind": {"file": "wind.csv"}}),
    Turn("leg[1].wind_shelter", 0.5, CREEP),
    Turn("leg[1].wind_shelter", 0.5, DRIFT),
    Turn("leg[1].stream_scale", 0.5, CREEP),
    Turn("leg[1].stream_scale", 0.5, DRIFT | STEADY_STREAM),
    Turn("leg[1].heading", "wind", STEADY_STREAM),
    Turn("leg[1].heading", "stream", STEADY_STREAM),
    Turn("leg[1].wind_shelter", 0.5, FETCH),
    Turn("leg[1].stream_scale", 0.5, FETCH | STEADY_STREAM),
    Turn("leg[1].duty", 0.3, BURST | {"motor": BENCH}),
    Turn("chop.depth", "1 m", REACHES),
    Turn("chop.depth", "60 cm", FETCH | DRIFT),
    Turn("chop.fetch", "1 km", FETCH | CREEP),
    Turn("wind.exposure", "at-sea", HOURLY),
    Turn("wind.exposure", "at-sea", {"wind": {"file": "wind.csv"}}),
    Turn("motor.shaft_length", "34 in", FETCH | {"motor": BENCH | {"shaft_length": "36 in"}}),
    Turn("leg[1].do", "run"),
    Turn("bank.capacity", "90 Ah", NAMED),
    Turn("bank.chemistry", "flooded", BARE),
    Turn("bank.series", 2, CELLS, refused="makes a bank of 4 V"),
    Turn("motor.propeller_diameter", "9 in", {"motor": BENCH}),
    Turn("motor.blades", 2, {"motor": BENCH}),
    Turn("motor.pitch_ratio", 0.7, {"motor": BENCH}),
    Turn("motor.idle_current", "1 A", {"motor": BENCH}),
    Turn("motor.fouling", 0.2, {"motor": BENCH}),
    Turn("motor.thrust_deduction", 0.2, {"motor": BENCH}),
    Turn("motor.current_limit", "12 A", {"motor": BENCH} | STRONG),
    Turn("motor.lowest_voltage", "25.2 V", {"motor": BENCH} | STRONG),
    Turn("motor.control", "stepped", {"motor": BENCH}),
    Turn("motor.mass", "35 kg", {"motor": BENCH} | STEADY_STREAM),
    Turn("motor.voltage", "27.5 V", {"motor": BENCH} | STRONG | SAGGING),
    Turn("motor.thrust", "70 lbf", {"motor": BENCH}),
    Turn("motor.max_current", "50 A", {"motor": BENCH}),
]


def day_answer(loaded):
    """What the day comes to, without what it takes for granted."""
    return {**day_document(run_day(loaded, with_changes=False)), "assumptions": []}


def rig_answer(loaded):
    """What the look at the rigging comes to, without what was not told."""
    found = rig_document(check_rig(loaded))
    return {**found, "checks": [{**check, "unknown": []} for check in found["checks"]]}


def stow_answer(loaded):
    """Where two blocks of 13 x 7 x 9.5 in go, or what is missing, without the rules told."""
    block = Block(
        name="block", length_m=0.33, width_m=0.178, height_m=0.241, count=2, chemistry="flooded"
    )
    return replace(fit_blocks(loaded.scenario.lockers, [block]), rules=())


def place_answer(loaded):
    """Where along the boat a locker's weight bears."""
    (locker,) = loaded.scenario.lockers
    return locker_from_bow_m(locker, boat_length_m=loaded.scenario.boat.length_m)


def compare_answer(loaded):
    """What the options come to."""
    return {**compare_document(compare(loaded)), "assumptions": []}


DOCUMENTS = {
    "compare": compare_answer,
    "day": day_answer,
    "rig": rig_answer,
    "stow": stow_answer,
    "place": place_answer,
}


def leaves(table=Scenario, path=()):
    """Every key of every table, the row of a list written as its table."""
    for key, (_, described) in fields_by_key(table).items():
        inner = table_of(described)
        if inner is None:
            yield ".".join((*path, key))
        else:
            yield from leaves(inner, (*path, key))


@pytest.fixture(scope="module")
def folder(tmp_path_factory):
    """The files the days name, and others in their place."""
    place = tmp_path_factory.mktemp("day")
    currents = (ESTUARY / "currents.csv").read_text(encoding="utf-8")
    winds = (ESTUARY / "wind.csv").read_text(encoding="utf-8")
    (place / "currents.csv").write_text(currents, encoding="utf-8")
    (place / "other_currents.csv").write_text(currents.replace("1.9", "1.4"), encoding="utf-8")
    (place / "wind.csv").write_text(winds, encoding="utf-8")
    (place / "other_wind.csv").write_text(winds.replace(",10,140", ",9,140"), encoding="utf-8")
    for name, phase in (("constants.json", 200.0), ("other_constants.json", 260.0)):
        rows = [
            {"constituentName": "M2", "majorAmplitude": 1.6, "majorPhaseGMT": phase,
             "minorAmplitude": 0.1, "minorPhaseGMT": 10.0, "azi": 30,
             "majorMeanSpeed": 0.1, "minorMeanSpeed": 0.0}
        ]  # fmt: skip
        text = json.dumps({"units": "knots", "HarmonicConstituents": rows})
        (place / name).write_text(text, encoding="utf-8")
    return place


@pytest.fixture(scope="module")
def answer(plain_day, load_raw, folder):
    """From keys laid over the plain day to the answer, without what it takes for granted."""
    known = {}

    def document(changes, of):
        name = json.dumps([changes, of], default=str)
        if name not in known:
            whole = {key for key, value in changes.items() if isinstance(value, dict)}
            raw = {key: table for key, table in plain_day().items() if key not in whole}
            raw = overlay(overlay(raw, {"day.step": "300 s"}), changes)
            known[name] = DOCUMENTS[of](load_raw(raw, folder))
        return known[name]

    return document


@pytest.mark.parametrize("turn", OF_THE_ODDS, ids=lambda turn: turn.key)
def test_turning_a_key_of_the_odds_moves_what_members_come_to(
    turn, plain_day, load_raw, folder
):
    whole = {key for key, value in turn.day.items() if isinstance(value, dict)}
    raw = {key: table for key, table in plain_day().items() if key not in whole}
    raw = overlay(overlay(raw, {"day.step": "300 s", "leg[1].for": "40 min"}), turn.day)
    plain, turned = (
        run_odds(load_raw(one, folder)).member_end_soc
        for one in (raw, overlay(raw, {turn.key: turn.value}))
    )
    assert not np.array_equal(plain, turned)


@pytest.mark.parametrize(
    "turn", TURNS + OTHER_WAYS, ids=lambda turn: f"{turn.key}-{'-'.join(turn.day)}"
)
def test_turning_a_key_moves_the_answer(answer, turn):
    day, other = turn.day, {**turn.day, turn.key: turn.value}
    if turn.refused:
        answer(day, turn.of)
        with pytest.raises(ScenarioError, match=turn.refused):
            answer(other, turn.of)
        return
    if turn.opened:
        with pytest.raises(ScenarioError):
            answer(day, turn.of)
        answer(other, turn.of)
        return
    assert answer(other, turn.of) != answer(day, turn.of)


def test_every_key_has_a_turn():
    assert set(leaves()) == {turn.general for turn in TURNS + OF_THE_ODDS}
    assert len({turn.key for turn in TURNS}) == len(TURNS)
