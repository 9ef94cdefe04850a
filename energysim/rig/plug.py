"""
The plug at the bow.

Depends on: rig.facts, rig.line, physics.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

from energysim.physics.protection import plug_needs_a
from energysim.results.rig import CAUTION, LOOK_AGAIN, PASS, RigCheck
from energysim.rig import sources
from energysim.rig.line import amperes, on_charge, volts

if TYPE_CHECKING:
    from energysim.rig.facts import RigFacts

GROUP: Final = "The plug at the bow"


def check_plug(facts: RigFacts) -> list[RigCheck]:
    """Return the checks of the plug."""
    device = facts.breaker
    breaker = device.rating_a if device is not None else None
    needs = float(plug_needs_a(facts.load_a, breaker_a=breaker or 0.0))
    unknown = [] if breaker else ["breaker's rating not told: the load alone taken"]
    rating = None if facts.plug is None else facts.plug.rating_a
    voltage = None if facts.plug is None else facts.plug.voltage_v
    charging = facts.bank.charging_voltage_v
    if rating is None:
        missing = "no [plug]" if facts.plug is None else "the plug's rating not told"
        verdict, unknown = LOOK_AGAIN, [missing, *unknown]
    elif rating < needs:
        verdict = CAUTION
    else:
        verdict = PASS if breaker else LOOK_AGAIN
    return [
        RigCheck(
            key="plug_rating",
            group=GROUP,
            name="Plug and socket, continuous",
            number=None if rating is None else amperes(rating),
            bound="at least",
            limit=amperes(needs),
            verdict=verdict,
            why=(
                "The larger of load and breaker, or the plug burns before the breaker trips. "
                "Never pull it under load."
            ),
            unknown=tuple(unknown),
            source=sources.PLUG,
        ),
        RigCheck(
            key="plug_voltage",
            group=GROUP,
            name="Plug against charging voltage",
            number=None if voltage is None else volts(voltage),
            bound="at least",
            limit=volts(charging),
            verdict=LOOK_AGAIN if voltage is None else PASS if voltage >= charging else CAUTION,
            why=on_charge(facts.bank),
            unknown=("the plug's voltage not told",) if voltage is None else (),
            source=sources.PLUG,
        ),
    ]
