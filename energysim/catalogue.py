"""
The lists the package ships: hulls, chemistries, batteries, tidal constituents.

Each is a file under data/ whose rows carry their sources; each is read once, when first asked
for. Names that are not on a list are refused with the nearest that is.

Depends on: physics, errors.
"""

from __future__ import annotations

import csv
import tomllib
from dataclasses import dataclass
from functools import cache
from importlib.resources import files
from typing import TYPE_CHECKING, Any

import numpy as np

from energysim.errors import Problem, ScenarioError
from energysim.physics.charge import ChargeLaw
from energysim.physics.gusts import GustTable
from energysim.physics.hull_form import HullForm
from energysim.physics.wave_drift import DriftTable
from energysim.physics.windage_form import WindageForm

if TYPE_CHECKING:
    from collections.abc import Iterable, Mapping

    from numpy.typing import NDArray

    from energysim.physics.constituents import Constituents


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Chemistry:
    """What the laws of the bank need to know of one chemistry, for a 12 V block."""

    key: str
    label: str
    family: str  # "lead-acid" or "lithium"
    block_voltage_nominal_v: float
    peukert_exponent: float
    rest_soc: NDArray[np.float64]
    rest_voltage_v: NDArray[np.float64]
    resistance_ohm_per_100ah: float
    resistance_rise_when_empty: float
    resistance_rise_per_degc: float
    capacity_temperature_degc: NDArray[np.float64]
    capacity_temperature_factor: NDArray[np.float64]
    capacity_largest_factor: float
    cutoff_voltage_v: float
    depth_of_discharge: float
    charge_law: ChargeLaw


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Battery:
    """One typical block of the trade."""

    name: str
    case: str
    chemistry: str
    voltage_v: float
    capacity_ah: float
    rated_time_h: float
    reserve_min: float | None
    mass_kg: float
    length_m: float
    width_m: float
    height_m: float
    source: str


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Uncertainty:
    """How far one part of the model may be out."""

    part: str
    spread: float  # relative, one standard deviation or a judged equal of it
    what_it_is_of: str
    source: str


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class HullType:
    """What turns an owner's few dimensions into a hull and its windage."""

    key: str
    label: str
    outboard_drag_area_m2: float
    form: HullForm
    windage: WindageForm


def hull_type(name: str) -> HullType:
    """Return a type of hull by name; one that is not listed is a ScenarioError."""
    listed = hull_tables()["types"]
    _known(name, listed, path="boat.hull", what="hull")
    defaults, own = hull_tables()["defaults"], listed[name]

    def values(part: str) -> dict[str, float]:
        rows = {**defaults[part], **own.get(part, {})}
        return {key: float(row["value"]) for key, row in rows.items()}

    def value(key: str) -> Any:
        return own.get(key, defaults[key])["value"]

    froude, per_weight = _residuary(value("residuary"))
    return HullType(
        key=name,
        label=own["label"],
        outboard_drag_area_m2=float(value("outboard_drag_area_m2")),
        form=HullForm(
            **values("hull"), residuary_froude=froude, residuary_per_weight=per_weight
        ),
        windage=WindageForm(**values("windage")),
    )


def chemistry(name: str, *, path: str = "bank.chemistry") -> Chemistry:
    """Return a chemistry by name; one that is not listed is a ScenarioError at `path`."""
    listed = chemistry_tables()
    _known(name, listed, path=path, what="chemistry")
    table = listed[name]

    def number(key: str) -> float:
        return float(table[key]["value"])

    def numbers(key: str) -> NDArray[np.float64]:
        return np.asarray(table[key]["value"], dtype=np.float64)

    lowest = table.get("lowest_charge_degc")
    return Chemistry(
        key=name,
        label=table["label"],
        family=table["family"],
        block_voltage_nominal_v=number("block_voltage_nominal_v"),
        peukert_exponent=number("peukert_exponent"),
        rest_soc=numbers("rest_soc"),
        rest_voltage_v=numbers("rest_voltage_v"),
        resistance_ohm_per_100ah=number("resistance_ohm_per_100ah"),
        resistance_rise_when_empty=number("resistance_rise_when_empty"),
        resistance_rise_per_degc=number("resistance_rise_per_degc"),
        capacity_temperature_degc=numbers("capacity_temperature_degc"),
        capacity_temperature_factor=numbers("capacity_temperature_factor"),
        capacity_largest_factor=number("capacity_largest_factor"),
        cutoff_voltage_v=number("cutoff_voltage_v"),
        depth_of_discharge=number("depth_of_discharge"),
        charge_law=ChargeLaw(
            acceptance_per_h=number("charge_acceptance_per_h"),
            acceptance_rise_per_degc=number("acceptance_rise_per_degc"),
            band_edges=tuple(numbers("charge_band_edges").tolist()),
            band_efficiency=tuple(numbers("charge_band_efficiency").tolist()),
            full_soc=number("full_soc"),
            charge_voltage_v=number("charge_voltage_v"),
            voltage_rise_per_degc=number("charge_voltage_rise_per_degc"),
            lowest_charge_degc=None if lowest is None else float(lowest["value"]),
            largest_charge_rate=number("largest_charge_rate"),
        ),
    )


@cache
def uncertainties() -> Mapping[str, Uncertainty]:
    """Return how far each part of the model may be out, by name, in the file's order."""
    rows = csv.DictReader(_data_text("uncertainty.csv").splitlines())
    return {
        row["part"]: Uncertainty(
            part=row["part"],
            spread=float(row["spread"]),
            what_it_is_of=row["what_it_is_of"],
            source=row["source"],
        )
        for row in rows
    }


@cache
def gust_table() -> GustTable:
    """Return the gust factors by exposure and averaging times."""
    rows = list(csv.DictReader(_data_text("gust_factors.csv").splitlines()))

    def column(key: str) -> NDArray[np.float64]:
        return np.array([float(row[key]) for row in rows])

    return GustTable(
        exposure=tuple(row["exposure"] for row in rows),
        reference_period_s=column("reference_period_s"),
        gust_duration_s=column("gust_duration_s"),
        factor=column("gust_factor"),
    )


@cache
def drift_table(hull: str) -> DriftTable:
    """Return the push of chop on a type of hull; the mean of those listed for any other."""
    rows = list(csv.DictReader(_data_text("wave_drift.csv").splitlines()))
    listed = sorted({row["hull"] for row in rows})
    chosen = [hull] if hull in listed else listed

    def column(key: str) -> NDArray[np.float64]:
        parts = [[float(row[key]) for row in rows if row["hull"] == name] for name in chosen]
        return np.asarray(np.mean(np.array(parts), axis=0))

    return DriftTable(
        wavelength_ratio=column("wavelength_over_length"),
        head_surge=column("head_surge"),
        quarter_surge=column("quarter_surge"),
        quarter_sway=column("quarter_sway"),
        beam_sway=column("beam_sway"),
    )


def battery(name: str) -> Battery:
    """Return a block by name; one that is not listed is a ScenarioError."""
    listed = batteries()
    _known(name, listed, path="bank.battery", what="battery")
    return listed[name]


@cache
def batteries() -> Mapping[str, Battery]:
    """Return every typical block by name, in the file's order."""
    numbers = (
        "voltage_v",
        "capacity_ah",
        "rated_time_h",
        "mass_kg",
        "length_m",
        "width_m",
        "height_m",
    )
    found = {}
    for row in csv.DictReader(_data_text("batteries.csv").splitlines()):
        values: dict[str, Any] = {**row, **{key: float(row[key]) for key in numbers}}
        values["reserve_min"] = float(row["reserve_min"]) if row["reserve_min"] else None
        found[row["name"]] = Battery(**values)
    return found


@cache
def constituents() -> Constituents:
    """Return every tidal constituent known, in the file's order."""
    from energysim.physics.constituents import (  # noqa: PLC0415 - start-up
        Constituents,
        parse_node_rule,
    )

    rows = list(csv.DictReader(_data_text("constituents.csv").splitlines()))
    columns = ("n15", "moon", "sun", "lunar_perigee", "solar_perigee")
    return Constituents(
        name=tuple(row["name"] for row in rows),
        aliases=tuple(tuple(filter(None, row["aliases"].split(";"))) for row in rows),
        speed_degph=np.array([float(row["speed_degph"]) for row in rows]),
        doodson=np.array([[float(row[key]) for key in columns] for row in rows]),
        phase_deg=np.array([float(row["phase_deg"]) for row in rows]),
        node_rule=tuple(parse_node_rule(row["node_rule"]) for row in rows),
    )


@cache
def hull_tables() -> Mapping[str, Any]:
    """Return data/hulls.toml as it stands: values with their spread and source."""
    return tomllib.loads(_data_text("hulls.toml"))


@cache
def chemistry_tables() -> Mapping[str, Any]:
    """Return data/chemistries.toml as it stands: values with their spread and source."""
    return tomllib.loads(_data_text("chemistries.toml"))


@cache
def _residuary(hull: str) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    """Return one hull's residuary resistance per weight over the Froude number."""
    rows = csv.DictReader(_data_text("residuary.csv").splitlines())
    points = [
        (float(row["froude"]), float(row["residuary_per_weight"]))
        for row in rows
        if row["hull"] == hull
    ]
    table = np.array(points)
    return table[:, 0], table[:, 1]


def _data_text(name: str) -> str:
    return (files("energysim") / "data" / name).read_text(encoding="utf-8")


def _known(name: str, listed: Iterable[str], *, path: str, what: str) -> None:
    """Refuse a name that is not on its list."""
    names = list(listed)
    if name in names:
        return
    from difflib import get_close_matches  # noqa: PLC0415 - start-up

    near = get_close_matches(name, names, n=1)
    hint = f"did you mean {near[0]!r}? " if near else ""
    plural = {"chemistry": "chemistries", "battery": "batteries"}.get(what, f"{what}s")
    raise ScenarioError(
        Problem(
            path=path,
            value=name,
            reason=f"no such {what} on the list",
            hint=f"{hint}known: {', '.join(names)}; see energysim list {plural}",
        )
    )
