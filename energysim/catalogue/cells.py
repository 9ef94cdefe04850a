"""
Chemistries: what the laws of the bank need to know of each, and what is refused with a reason.

Depends on: physics, errors, catalogue.shipped.
"""

from __future__ import annotations

import re
import tomllib
from dataclasses import dataclass
from functools import cache
from typing import TYPE_CHECKING, Any, NamedTuple

import numpy as np

from energysim.catalogue.shipped import data_text, known
from energysim.errors import Problem, ScenarioError
from energysim.physics.ageing import LifeLaw
from energysim.physics.charge import ChargeLaw

if TYPE_CHECKING:
    from collections.abc import Mapping

    from numpy.typing import NDArray


class Spread(NamedTuple):
    """A number that is known within a range."""

    value: float
    low: float
    high: float


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Chemistry:
    """What the laws of the bank need to know of one chemistry, for a 12 V block."""

    key: str
    label: str
    family: str  # "lead-acid" or "lithium"
    law: str  # of discharge where the scenario does not say: "kinetic" or "peukert"
    block_voltage_nominal_v: float
    peukert_exponent: float
    well_rate_per_h: Spread
    rest_soc: NDArray[np.float64]
    rest_voltage_v: NDArray[np.float64]
    resistance_ohm_per_100ah: float
    resistance_rise_when_empty: float
    resistance_rise_per_degc: float
    heat_capacity_j_per_kg_k: float
    capacity_temperature_degc: NDArray[np.float64]
    capacity_temperature_factor: NDArray[np.float64]
    capacity_largest_factor: float
    capacity_spread: float  # one standard deviation between blocks of a kind and age
    cutoff_voltage_v: float
    depth_of_discharge: float
    charge_law: ChargeLaw
    life_law: LifeLaw  # as expected; below, both ends of what is published
    life_law_low: LifeLaw
    life_law_high: LifeLaw
    self_discharge_per_month: float  # of what is left, at `physics.storage.STORAGE_DEGC`
    self_discharge_doubling_degc: float


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class NotForPropulsion:
    """A battery that is known and refused, with the reason."""

    key: str
    label: str
    aliases: tuple[str, ...]
    like: str  # the chemistry whose numbers hold where a user insists
    refused_reason: str
    instead: str
    source: str
    numbers: Mapping[str, Any]  # what differs, shaped as in chemistries.toml


def chemistry(name: str, *, path: str = "bank.chemistry", insist: bool = False) -> Chemistry:
    """
    Return a chemistry by name.

    Parameters
    ----------
    name : str
        Of the list, or of a battery that is refused.
    path : str
        The key it stands at, for the message.
    insist : bool
        True takes a refused battery all the same, on the numbers nearest to it.

    Returns
    -------
    Chemistry
        Its numbers.

    Raises
    ------
    ScenarioError
        At `path`: the name is not listed, or the battery is not made for this work.
    """
    refused = not_for_propulsion(name)
    if refused is None:
        known(name, _texts(), path=path, what="chemistry")
        return _from_table(name, _table(name))
    if not insist:
        raise ScenarioError(
            Problem(
                path=path,
                value=name,
                reason=refused.refused_reason,
                hint=f"{refused.instead}; {path.rpartition('.')[0]}.insist = true takes it "
                "all the same",
            )
        )
    table = {**_table(refused.like), **refused.numbers, "label": refused.label}
    return _from_table(refused.key, table)


def not_for_propulsion(name: str) -> NotForPropulsion | None:
    """Return why a battery is refused; None for any other name."""
    for row in refusals():
        if name.strip().casefold() in (row.key, *row.aliases):
            return row
    return None


@cache
def refusals() -> tuple[NotForPropulsion, ...]:
    """Return every battery that is known and refused, in the file's order."""
    tables = tomllib.loads(data_text("not_for_propulsion.toml"))
    return tuple(
        NotForPropulsion(key=key, **{**row, "aliases": tuple(row["aliases"])})
        for key, row in tables.items()
    )


@cache
def chemistry_tables() -> Mapping[str, Any]:
    """Return data/chemistries.toml as it stands: values with their spread and source."""
    return {name: _table(name) for name in _texts()}


@cache
def _table(name: str) -> Mapping[str, Any]:
    """Return one chemistry of the file: a day needs one of them, and reading all takes time."""
    return tomllib.loads(_texts()[name])


@cache
def _texts() -> Mapping[str, str]:
    """Return what stands below each heading of the file; no table in it has tables below."""
    _, *parts = re.split(r"^\[([^\].]+)\]$", data_text("chemistries.toml"), flags=re.MULTILINE)
    return dict(zip(parts[::2], parts[1::2], strict=True))


def _from_table(key: str, table: Mapping[str, Any]) -> Chemistry:
    """Return one table of the file as numbers."""

    def number(name: str) -> float:
        return float(table[name]["value"])

    def numbers(name: str, column: str = "value") -> NDArray[np.float64]:
        row = table[name]
        return np.asarray(row.get(column, row["value"]), dtype=np.float64)

    def spread(name: str) -> Spread:
        return Spread(*(float(numbers(name, column)) for column in Spread._fields))

    def life(column: str) -> LifeLaw:
        return LifeLaw(
            depth=numbers("cycle_depth"),
            cycles=numbers("cycles_to_80_percent", column),
            calendar_years=float(numbers("calendar_life_years", column)),
            calendar_power=number("calendar_power"),
        )

    lowest = table.get("lowest_charge_degc")
    return Chemistry(
        key=key,
        label=table["label"],
        family=table["family"],
        law=table["law"]["value"],
        block_voltage_nominal_v=number("block_voltage_nominal_v"),
        peukert_exponent=number("peukert_exponent"),
        well_rate_per_h=spread("well_rate_per_h"),
        rest_soc=numbers("rest_soc"),
        rest_voltage_v=numbers("rest_voltage_v"),
        resistance_ohm_per_100ah=number("resistance_ohm_per_100ah"),
        resistance_rise_when_empty=number("resistance_rise_when_empty"),
        resistance_rise_per_degc=number("resistance_rise_per_degc"),
        heat_capacity_j_per_kg_k=number("heat_capacity_j_per_kg_k"),
        capacity_temperature_degc=numbers("capacity_temperature_degc"),
        capacity_temperature_factor=numbers("capacity_temperature_factor"),
        capacity_largest_factor=number("capacity_largest_factor"),
        capacity_spread=number("capacity_spread"),
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
        life_law=life("value"),
        life_law_low=life("low"),
        life_law_high=life("high"),
        self_discharge_per_month=number("self_discharge_per_month"),
        self_discharge_doubling_degc=number("self_discharge_doubling_degc"),
    )
