"""
The charger against its circuit and its cord.

Depends on: rig.facts, rig.line, rig.read, conductors, physics.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

from energysim.conductors import cord_ampacities_a
from energysim.physics.cable import STRANDED, awg_area_m2, feed_resistance_ohm
from energysim.physics.charger import (
    apparent_power_va,
    continuous_circuit_power_w,
    mains_power_w,
)
from energysim.results.rig import CAUTION, LOOK_AGAIN, PASS, Figure, RigCheck
from energysim.rig import sources
from energysim.rig.line import amperes, both_lengths, volts
from energysim.rig.read import size_name

if TYPE_CHECKING:
    from energysim.rig.facts import ChargerFacts, RigFacts

GROUP: Final = "Charger, circuit and cord"

CAREFUL_MAINS_V: Final = 120.0
CAREFUL_CIRCUIT_A: Final = 15.0
CAREFUL_CORD_AWG: Final = 16
CORD_WARMTH_DEGC: Final = 60.0  # copper of a loaded cord in the sun (ours, careful)
CORD_DROP_SHARE: Final = 0.05


def check_shore(facts: RigFacts) -> list[RigCheck]:
    """Return the checks of the charger's side; none without a charger."""
    charger = facts.charger
    if charger is None:
        return []
    mains = CAREFUL_MAINS_V
    unknown = []
    if facts.cord is not None and facts.cord.voltage_v is not None:
        mains = facts.cord.voltage_v
    elif charger.mains_voltage_v is not None:
        mains = charger.mains_voltage_v
    else:
        unknown.append(f"mains voltage not told: {mains:g} V taken")
    power = float(
        mains_power_w(
            charger.total_a,
            outputs=1,
            charge_voltage_v=charger.block_voltage_v,
            charger_efficiency=charger.efficiency,
        )
    )
    apparent = float(apparent_power_va(power, power_factor=charger.power_factor))
    rows = [
        _circuit(charger, power, mains),
        _cord(facts, charger, apparent / mains, mains, unknown),
    ]
    if facts.cord is not None and facts.cord.length_m is not None:
        rows.append(_cord_drop(facts, apparent / mains, mains, unknown))
    return rows


def _circuit(charger: ChargerFacts, power_w: float, mains_v: float) -> RigCheck:
    """Compare what the charger draws with what its circuit leaves it."""
    limit = charger.circuit_w
    unknown: tuple[str, ...] = ()
    if limit is None:
        limit = float(continuous_circuit_power_w(CAREFUL_CIRCUIT_A, mains_voltage_v=mains_v))
        unknown = (f"circuit not told: one of {CAREFUL_CIRCUIT_A:g} A to itself taken",)
    each = sorted(set(charger.currents_a))
    outputs = (
        "1 output" if len(charger.currents_a) == 1 else f"{len(charger.currents_a)} outputs"
    )
    currents = " and ".join(f"{current:g} A" for current in each)
    return RigCheck(
        key="charger_circuit",
        group=GROUP,
        name="Charger on its circuit",
        number=Figure(value=power_w, dimension="power"),
        bound="at most",
        limit=Figure(value=limit, dimension="power"),
        verdict=PASS if power_w <= limit else CAUTION,
        why=(
            f"{outputs} of {currents} at "
            f"{charger.block_voltage_v:.1f} V, {charger.efficiency:.0%} efficient. Whatever "
            "else hangs on the circuit comes on top."
        ),
        unknown=unknown,
        source=sources.CIRCUIT,
    )


def _cord(
    facts: RigFacts, charger: ChargerFacts, current_a: float, mains_v: float, unknown: list[str]
) -> RigCheck:
    """Compare what the charger draws with what its cord may carry."""
    listed, cord = cord_ampacities_a(), facts.cord
    told = [*unknown]
    gauge = None if cord is None else cord.gauge
    carries: float | None
    if gauge is None:
        told.insert(0, f"cord not told: {CAREFUL_CORD_AWG} AWG taken")
        carries, size = listed[CAREFUL_CORD_AWG], f"{CAREFUL_CORD_AWG} AWG"
    else:
        size = size_name(gauge)
        metal = gauge.area_m2 or float(awg_area_m2(gauge.awg or 0))
        thinner = [awg for awg in listed if float(awg_area_m2(awg)) <= metal * (1.0 + 1e-9)]
        carries = listed[min(thinner)] if thinner else None
        if thinner and min(thinner) != gauge.awg:
            size += f", which counts as {min(thinner)} AWG"
    verdict = CAUTION if carries is None or current_a > carries else PASS
    why = f"{size}. " if carries is not None else f"{size} is thinner than any cord listed. "
    return RigCheck(
        key="charger_cord",
        group=GROUP,
        name="Current in the charger's cord",
        number=amperes(current_a),
        bound="at most",
        limit=None if carries is None else amperes(carries),
        verdict=verdict,
        why=(
            f"{why}At {mains_v:g} V and a power factor of {charger.power_factor:g} "
            "(chargers without correction: 0.55 to 0.7). Uncoiled and dry."
        ),
        unknown=tuple(told),
        source=sources.CORD,
    )


def _cord_drop(
    facts: RigFacts, current_a: float, mains_v: float, unknown: list[str]
) -> RigCheck:
    """Tell the volts a long cord costs the charger."""
    cord = facts.cord
    gauge = None if cord is None else cord.gauge
    metal = 0.0 if gauge is None else gauge.area_m2 or float(awg_area_m2(gauge.awg or 0))
    length = 0.0 if cord is None or cord.length_m is None else cord.length_m
    ohm = feed_resistance_ohm(
        length,
        area_m2=metal,
        temperature_degc=CORD_WARMTH_DEGC,
        lay_factor=STRANDED,
        contact_resistance_ohm=0.0,
    )
    drop = float(ohm) * current_a
    return RigCheck(
        key="cord_drop",
        group=GROUP,
        name="Volts lost in the cord",
        number=volts(drop),
        bound="at most",
        limit=volts(CORD_DROP_SHARE * mains_v),
        verdict=PASS if drop <= CORD_DROP_SHARE * mains_v else LOOK_AGAIN,
        why=f"{both_lengths(length)} of cord with {current_a:.1f} A in it.",
        unknown=tuple(unknown),
        source=sources.CORD,
    )
