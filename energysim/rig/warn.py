"""
The cautions a look at the rigging ends with, each where it concerns the boat at hand.

Depends on: cautions, rig.facts.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

from energysim.cautions import (
    GAS,
    HIGH_VOLTAGE,
    LITHIUM_COLD,
    LITHIUM_CUT,
    SHORE,
    WEIGHT,
    WIRING,
)

if TYPE_CHECKING:
    from energysim.rig.facts import RigFacts

ESTIMATE: Final = (
    "A planning estimate, not an approval: numbers on paper, and nobody has seen the boat. "
    "Have a qualified marine electrician look at it, and follow the local code (ABYC E-11, "
    "ISO 13297)."
)
REACH: Final = (
    "The federal rules quoted reach boats with inboard gasoline engines; a boat with an "
    "outboard may fall outside them. They are used here as a yardstick (33 CFR 183.401)."
)
EDITIONS: Final = (
    "Editions differ, above all on bundles: the one used stands beside each number, where it "
    "was told. ABYC, ISO, EN and NFPA texts were at hand in excerpts only; look the current "
    "ones up."
)
CABLE: Final = (
    "Wire without a rating printed on it counts as the lowest. Tinned, stranded boat cable, "
    "supported every 18 in and guarded where it passes a bulkhead (33 CFR 183.425 and 183.445, "
    "UL 1426)."
)
TERMINALS: Final = (
    "Cover live terminals: a spanner across two of them can burn a hand or burst a battery. No "
    "clip that holds by a spring (33 CFR 183.420 and 183.445, ABYC E-10)."
)
ACID: Final = "Acid burns: goggles, gloves, and water within reach (IEC 62485)."
ONE_STRING: Final = (
    "Blocks of one string alike in kind, age, capacity and charge, and no more in series than "
    "their maker allows (ABYC E-10 and E-13)."
)
LITHIUM_LISTED: Final = (
    "Lithium from 600 Wh up has a standard of its own: ask for the test it is listed to (ABYC "
    "E-13; ISO 23625)."
)
LITHIUM_LIMIT_WH: Final = 600.0
WARM: Final = (
    "After an hour of hard running feel plug, breaker and lugs: a warm one is a bad joint "
    "(common practice)."
)
SHOCK_FROM_V: Final = 32.0


def cautions_of(facts: RigFacts) -> tuple[str, ...]:
    """Return the cautions that concern this rig, the general ones first."""
    bank = facts.bank
    chosen = [ESTIMATE, REACH, EDITIONS, WIRING, CABLE, TERMINALS, WARM]
    if bank.nominal_voltage_v >= SHOCK_FROM_V:
        chosen.append(HIGH_VOLTAGE)
    if bank.is_lithium:
        chosen += [LITHIUM_CUT, LITHIUM_COLD]
        if bank.energy_wh >= LITHIUM_LIMIT_WH:
            chosen.append(LITHIUM_LISTED)
    else:
        chosen += [GAS, ACID]
    if bank.series * bank.parallel > 1:
        chosen.append(ONE_STRING)
    if facts.charger is not None:
        chosen.append(SHORE)
    return (*chosen, WEIGHT)
