"""
The breaker or fuse in the positive lead.

Depends on: rig.facts, rig.line, physics.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

from energysim.physics.protection import (
    BATTERY_REACH_M,
    OPEN_REACH_M,
    SHEATHED_REACH_M,
    overcurrent_ceiling_a,
    overcurrent_verdict,
    place_verdict,
)
from energysim.results.rig import CAUTION, LOOK_AGAIN, PASS, RigCheck
from energysim.rig import sources
from energysim.rig.line import amperes, at_best, metres, on_charge, verdict_of, volts, words

if TYPE_CHECKING:
    from energysim.rig.facts import RigFacts
    from energysim.rig.laid import Laid
    from energysim.scenario.rigging import Breaker

GROUP: Final = "Breaker or fuse"

CAREFUL_DEVICE_V: Final = 32.0
"""What many small breakers and fuses stop at (common practice, no source). [V]"""

TRIPS_WARM_SHARE: Final = 0.8
"""Load over rating above which a thermal breaker may trip when hot (common practice). [1]"""

LEAD_FAULT_A: Final = (1500.0, 5000.0)
"""Least and most asked of a main device by the bank's cranking amps (E-11, from memory). [A]"""

LITHIUM_FAULT_A: Final = 20000.0  # common practice, no source


def check_breaker(facts: RigFacts, laid: Laid) -> list[RigCheck]:
    """Return the checks of the breaker or fuse."""
    device = facts.breaker
    if device is None:
        return [
            RigCheck(
                key="breaker",
                group=GROUP,
                name="A breaker or fuse in the positive lead",
                number=None,
                bound="",
                limit=words("one, at the battery"),
                verdict=CAUTION,
                why=(
                    "Nothing is told of one. Without it a chafed lead burns for as long as the "
                    "bank lasts."
                ),
                unknown=("no [breaker]: none taken",),
                source=sources.BREAKER,
            ),
            *_strings(facts),
        ]
    return [
        _load(facts, device),
        _wire(facts, laid, device),
        _voltage(facts, device),
        _place(device),
        _interrupting(facts, device),
        *_strings(facts),
    ]


def _load(facts: RigFacts, device: Breaker) -> RigCheck:
    """Compare the rating with the load it has to carry."""
    rating = device.rating_a
    why = "Never fit a larger one to cure tripping: look for the cause, or fit thicker wire."
    if rating is None:
        verdict = LOOK_AGAIN
    else:
        verdict = PASS if rating >= facts.load_a else CAUTION
        if facts.load_a > TRIPS_WARM_SHARE * rating and verdict == PASS:
            why = (
                f"The load is {facts.load_a / rating:.0%} of it: a thermal breaker in the sun "
                f"may trip at long full thrust. {why}"
            )
    return RigCheck(
        key="breaker_load",
        group=GROUP,
        name="Rating against the load",
        number=None if rating is None else amperes(rating),
        bound="at least",
        limit=amperes(facts.load_a),
        verdict=verdict,
        why=why,
        unknown=("the breaker's rating not told",) if rating is None else (),
        source=sources.BREAKER_LOAD,
    )


def _wire(facts: RigFacts, laid: Laid, device: Breaker) -> RigCheck:
    """Compare the rating with the wire it has to guard."""
    rating, wire = device.rating_a, laid.ampacity_a
    unknown = [*laid.unknown]
    why = "It guards the wire; a motor with a stopped propeller it may not save."
    if not facts.leads.given:
        unknown.insert(0, f"no [cable]: {facts.leads.size} taken")
    if wire is None:
        unknown.insert(0, "size of the cable not told")
    if rating is None:
        unknown.insert(0, "the breaker's rating not told")
    if rating is None or wire is None:
        verdict = LOOK_AGAIN
    else:
        # Whether it carries the load has its own line.
        verdict = verdict_of(overcurrent_verdict(rating, load_a=0.0, ampacity_a=wire))
        if not facts.leads.given:
            verdict = at_best(verdict, LOOK_AGAIN)
        ceiling = float(overcurrent_ceiling_a(wire))
        why = f"At the very most half as much again, {ceiling:.0f} A. {why}"
    return RigCheck(
        key="breaker_wire",
        group=GROUP,
        name="Rating against the cable",
        number=None if rating is None else amperes(rating),
        bound="at most",
        limit=None if wire is None else amperes(wire),
        verdict=verdict,
        why=why,
        unknown=tuple(unknown),
        source=sources.OVERCURRENT,
    )


def _voltage(facts: RigFacts, device: Breaker) -> RigCheck:
    """Compare the device's voltage with the bank's while it is charged."""
    charging = facts.bank.charging_voltage_v
    taken = CAREFUL_DEVICE_V if device.voltage_v is None else device.voltage_v
    verdict = PASS if taken >= charging else CAUTION
    return RigCheck(
        key="breaker_voltage",
        group=GROUP,
        name="Breaker against charging voltage",
        number=None if device.voltage_v is None else volts(device.voltage_v),
        bound="at least",
        limit=volts(charging),
        verdict=at_best(verdict, LOOK_AGAIN) if device.voltage_v is None else verdict,
        why=f"{on_charge(facts.bank)} Above its rating a breaker may open and still arc.",
        unknown=(f"its voltage not told: {CAREFUL_DEVICE_V:g} V taken, as many small ones",)
        if device.voltage_v is None
        else (),
        source=sources.BREAKER_VOLTAGE,
    )


def _place(device: Breaker) -> RigCheck:
    """Compare the wire before the device with what may lie unguarded."""
    sheathed, distance = bool(device.sheathed), device.distance_m
    unknown = []
    if distance is None:
        unknown.append("distance from the battery not told")
    if device.sheathed is None and (distance is None or distance > OPEN_REACH_M):
        unknown.append("sheath not told: none taken")
    verdict = LOOK_AGAIN
    if distance is not None:
        verdict = verdict_of(place_verdict(distance, sheathed=sheathed))
    why = "Measured along the wire: 7 in bare, 40 in sheathed or enclosed all the way."
    if sheathed and distance is not None and SHEATHED_REACH_M < distance <= BATTERY_REACH_M:
        why += " Up to 72 in straight from a battery's terminal by ABYC alone."
    return RigCheck(
        key="breaker_place",
        group=GROUP,
        name="Wire between battery and breaker",
        number=None if distance is None else metres(distance),
        bound="at most",
        limit=metres(SHEATHED_REACH_M if sheathed else OPEN_REACH_M),
        verdict=verdict,
        why=why,
        unknown=tuple(unknown),
        source=sources.BREAKER_PLACE,
    )


def _interrupting(facts: RigFacts, device: Breaker) -> RigCheck:
    """Compare what the device can break with what a bank can push through a short."""
    can, lithium = device.interrupting_a, facts.bank.is_lithium
    least, most = (LITHIUM_FAULT_A,) * 2 if lithium else LEAD_FAULT_A
    if can is None:
        verdict = LOOK_AGAIN
    elif can >= most:
        verdict = PASS
    else:
        verdict = LOOK_AGAIN if can >= least or lithium else CAUTION
    why = (
        "Lithium drives a short far harder than lead: ask the battery's maker for the figure "
        "and for the fuse class."
        if lithium
        else "1500 A up to 650 cold cranking amps, 3000 A up to 1100, 5000 A above, told for "
        "12 and 24 V; the battery's maker knows its short-circuit current."
    )
    return RigCheck(
        key="breaker_interrupting",
        group=GROUP,
        name="Fault it can break",
        number=None if can is None else amperes(can),
        bound="at least",
        limit=amperes(most),
        verdict=verdict,
        why=why,
        unknown=("what it can break not told",) if can is None else (),
        source=sources.INTERRUPTING,
    )


def _strings(facts: RigFacts) -> list[RigCheck]:
    """Ask for a device in each of several strings."""
    strings = facts.bank.parallel
    if strings < 2:
        return []
    return [
        RigCheck(
            key="string_devices",
            group=GROUP,
            name="A device in each string",
            number=None,
            bound="at least",
            limit=words(f"{strings}, one a string"),
            verdict=LOOK_AGAIN,
            why="So that the other strings cannot feed a fault in one of them.",
            unknown=("devices in the strings not told",),
            source=sources.STRINGS,
        )
    ]
