"""
The boats, motors and conditions on which the twin and the quasi-steady model are compared.

Boats are invented, of two shipped types; motors are label points of the two larger classes.
Only this file and those that use it know the package: the twin is given numbers.
"""

from dataclasses import dataclass
from functools import cache
from typing import Any, Final

import numpy as np
from numpy.typing import NDArray

from energysim import catalogue
from energysim.constants import KNOT_MPS
from energysim.physics.b_series import WAGENINGEN_B
from energysim.physics.calibrate import motor_from_label
from energysim.physics.hull_form import hull_from_dimensions
from energysim.physics.motor import Motor, electrical_demand, full_throttle
from energysim.physics.station import Boat
from energysim.physics.wind import wind_at_height
from energysim.physics.windage_form import windage_from_dimensions

from .boat import Craft, join
from .controller import MotorTable

Array = NDArray[np.float64]

FOOT_M: Final = 0.3048
POUND_FORCE_N: Final = 4.4482216152605
WATER_KGPM3: Final = 1025.0
WATER_M2PS: Final = 1.1e-6
AIR_KGPM3: Final = 1.225

SKIFF: Final[dict[str, Any]] = {
    "hull": "skiff", "length": 17.5, "beam": 7.0, "freeboard": 20 / 12, "people": 2,
    "mass_kg": 900.0,
}  # fmt: skip
CONSOLE: Final[dict[str, Any]] = {
    "hull": "centre-console", "length": 20.0, "beam": 8.0, "freeboard": 28 / 12, "people": 3,
    "mass_kg": 1700.0,
}  # fmt: skip
BOATS: Final[dict[str, dict[str, Any]]] = {
    "skiff": {**SKIFF, "motor": (80.0, 24.0, 56.0)},
    "console": {**CONSOLE, "motor": (112.0, 36.0, 52.0)},
    "weak skiff": {**SKIFF, "motor": (34.0, 12.0, 32.0)},
}
"""Lengths in feet; motors as pounds of thrust, volts and amperes. All invented."""

ANGLES_DEG: Final = (0.0, 45.0, 90.0, 135.0, 160.0, 180.0)
"""From where the stream comes to where the wind comes: 180 is wind against stream."""

INTENSITY: Final = 0.15
"""Of the gusts: the table of the WMO for a wind off the sea at the coast. [1]"""


@dataclass(frozen=True, slots=True, kw_only=True)
class Condition:
    """One line of the table."""

    boat: str
    wind_kn: float  # at 10 m
    stream_kn: float
    angle_deg: float


def conditions() -> list[Condition]:
    """Return every condition compared, those a weak motor just holds or cannot at the end."""
    rows = []
    for boat in ("skiff", "console"):
        wanted = [(0.0, stream, 0.0) for stream in (0.8, 1.6, 2.4)]
        for wind in (8.0, 15.0, 20.0):
            wanted.append((wind, 0.0, 0.0))
            wanted += [(wind, stream, angle) for stream in (0.8, 1.6) for angle in ANGLES_DEG]
        wanted += [(15.0, 2.4, angle) for angle in ANGLES_DEG]
        rows += [_row(boat, *weather) for weather in wanted]
    hard = [(wind, stream, 0.0) for wind in (15.0, 20.0, 25.0) for stream in (0.8, 1.6)]
    return rows + [_row("weak skiff", *weather) for weather in hard]


def _row(boat: str, wind_kn: float, stream_kn: float, angle_deg: float) -> Condition:
    """Return one condition."""
    return Condition(boat=boat, wind_kn=wind_kn, stream_kn=stream_kn, angle_deg=angle_deg)


@cache
def boat_named(name: str) -> Boat:
    """Return a boat as the package sees it."""
    row = BOATS[name]
    kind = catalogue.hull_type(row["hull"])
    length, beam = row["length"] * FOOT_M, row["beam"] * FOOT_M
    return Boat(
        hull=hull_from_dimensions(
            length,
            beam_m=beam,
            displacement_kg=row["mass_kg"],
            water_density_kgpm3=WATER_KGPM3,
            form=kind.form,
            outboard_drag_area_m2=0.0,
            drag_factor=1.0,
        ),
        windage=windage_from_dimensions(
            length,
            beam_m=beam,
            freeboard_m=row["freeboard"] * FOOT_M,
            people=row["people"],
            form=kind.windage,
            wind_factor=1.0,
        ),
        water_density_kgpm3=WATER_KGPM3,
        water_viscosity_m2ps=WATER_M2PS,
        air_density_kgpm3=AIR_KGPM3,
    )


@cache
def motor_named(name: str) -> tuple[Motor, float]:
    """Return a boat's motor and its rated voltage."""
    pounds, volts, amperes = BOATS[name]["motor"]
    calibration = motor_from_label(
        pounds * POUND_FORCE_N,
        rated_voltage_v=volts,
        max_current_a=amperes,
        diameter_m=None,
        blades=3,
        pitch_ratio=0.6,
        idle_current_a=0.3,
        switching_loss=0.01,
        thrust_deduction=0.05,
        fouling=0.0,
        control="pwm",
        current_limit_a=amperes,
        water_density_kgpm3=WATER_KGPM3,
        series=WAGENINGEN_B,
    )
    return calibration.motor, volts


def most_thrust_n(name: str, inflow_mps: Array) -> Array:
    """Return the greatest thrust of a boat's motor at its rated voltage."""
    motor, volts = motor_named(name)
    return full_throttle(volts, inflow_mps=inflow_mps, motor=motor)[0]


@cache
def wind_at_boat_mps(name: str, wind_kn: float) -> float:
    """Return the wind at the height of a boat's windage."""
    return float(
        wind_at_height(
            wind_kn * KNOT_MPS,
            reference_height_m=10.0,
            height_m=boat_named(name).windage.height_m,
        )
    )


def craft_named(name: str) -> Craft:
    """Return a boat as the twin sees it: one lane of plain numbers."""
    boat = boat_named(name)
    hull, windage = boat.hull, boat.windage
    length_wl, draft = float(hull.length_wl_m), float(hull.draft_m)
    beam_wl, volume = float(hull.beam_wl_m), float(hull.volume_m3)
    block = volume / (length_wl * beam_wl * draft)
    wing = -np.pi * (draft / length_wl) ** 2
    numbers = {
        "length_m": BOATS[name]["length"] * FOOT_M,
        "length_wl_m": length_wl,
        "beam_wl_m": beam_wl,
        "draft_m": draft,
        "volume_m3": volume,
        "wetted_area_m2": hull.wetted_area_m2,
        "form_factor": hull.form_factor,
        "transom_area_m2": hull.transom_area_m2,
        "transom_drag": hull.transom_drag_coefficient,
        "astern_drag": hull.astern_drag_coefficient,
        "outboard_drag_area_m2": hull.outboard_drag_area_m2,
        "cross_flow_drag": hull.cross_flow_drag_coefficient,
        # Clarke, Gedling and Hine 1983, read in a public marine-systems code library.
        "side_slope": wing * (1.0 + 0.4 * block * beam_wl / draft),
        "turn_slope": wing * (0.5 + 2.4 * draft / length_wl),
        "lateral_centre_m": hull.lateral_centre_m,
        "bow_m": hull.bow_motor_m,
        "frontal_area_m2": windage.frontal_area_m2,
        "lateral_area_m2": windage.lateral_area_m2,
        "windage_offset_m": windage.centroid_m,
        "wind_side": windage.side_coefficient,
        "wind_bow": windage.bow_coefficient,
        "wind_stern": windage.stern_coefficient,
        "wind_cross": windage.cross_force_parameter,
        "water_density_kgpm3": boat.water_density_kgpm3,
        "water_viscosity_m2ps": boat.water_viscosity_m2ps,
        "air_density_kgpm3": boat.air_density_kgpm3,
    }
    return Craft(
        **{key: np.array([float(value)]) for key, value in numbers.items()},
        residuary_froude=np.asarray(hull.residuary_froude),
        residuary_per_weight=np.asarray(hull.residuary_per_weight),
    )


def craft_of(names: list[str]) -> Craft:
    """Return the boats of many lanes."""
    kinds = list(BOATS)
    both = join([craft_named(kind) for kind in kinds])
    return both.lanes(np.array([kinds.index(name) for name in names]))


def motor_table(names: list[str]) -> MotorTable:
    """Return what the package's motors cost and can do, read off for the twin."""
    kinds = list(BOATS)
    step_n, step_mps = 1.0, 0.1
    inflow = np.arange(0.0, 4.0 + step_mps, step_mps)
    thrust = np.arange(0.0, 600.0 + step_n, step_n)
    power = [
        electrical_demand(
            thrust[:, None], inflow_mps=inflow[None, :], motor=motor_named(kind)[0]
        ).power_w
        for kind in kinds
    ]
    return MotorTable(
        thrust_step_n=step_n,
        inflow_step_mps=step_mps,
        power_w=np.stack(power),
        most_n=np.stack([most_thrust_n(kind, inflow) for kind in kinds]),
        lane=np.array([kinds.index(name) for name in names]),
    )
