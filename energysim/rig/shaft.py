"""
Whether the bow motor's shaft is long enough for the height it hangs from.

Depends on: rig.facts, rig.line, build.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

from energysim.build.propeller import HEAD_ABOVE_MOUNT_M
from energysim.physics.cable import INCH_M
from energysim.results.rig import CAUTION, LOOK_AGAIN, PASS, RigCheck
from energysim.rig import sources
from energysim.rig.line import both_lengths, metres

if TYPE_CHECKING:
    from energysim.rig.facts import RigFacts

GROUP: Final = "The shaft"

UNDER_WATER_M: Final = 12.0 * INCH_M
"""Propeller below the surface in flat water (common practice, no source). [m]"""

FOR_CHOP_M: Final = 6.0 * INCH_M
"""More for open chop: 5 to 6 in (common practice, no source). [m]"""

_ROUNDING_M: Final = 1e-6


def wanted_shaft_m(mount_height_m: float) -> float:
    """Return the shaft a mount of this height above the water wants, before any chop."""
    return mount_height_m + UNDER_WATER_M + HEAD_ABOVE_MOUNT_M


def check_shaft(facts: RigFacts) -> list[RigCheck]:
    """Return the check of the shaft."""
    flat = wanted_shaft_m(facts.mount_height_m)
    wanted = flat + (FOR_CHOP_M if facts.has_chop else 0.0)
    length = facts.shaft_length_m
    unknown = []
    if length is None:
        unknown.append("length of the shaft not told")
    if not facts.mount_height_given:
        unknown.append(
            f"height of the bow mount not told: {both_lengths(facts.mount_height_m)} taken, a "
            "quarter more than the freeboard amidships"
        )
    if length is None:
        verdict = LOOK_AGAIN
    elif length >= wanted - _ROUNDING_M:
        verdict = PASS
    else:
        verdict = LOOK_AGAIN if length >= flat - _ROUNDING_M else CAUTION
    chop = (
        f"and {both_lengths(FOR_CHOP_M)} for the chop"
        if facts.has_chop
        else "before anything is added for chop (5 to 6 in in the open)"
    )
    return [
        RigCheck(
            key="shaft_length",
            group=GROUP,
            name="Length of the shaft",
            number=None if length is None else metres(length),
            bound="at least",
            limit=metres(wanted),
            verdict=verdict,
            why=(
                f"From the water to the mount {both_lengths(facts.mount_height_m)}, 12 in "
                f"under water and 10 in at the mount, {chop}. Measure loaded, with people "
                "at the bow, and round up."
            ),
            unknown=tuple(unknown),
            source=sources.SHAFT,
        )
    ]
