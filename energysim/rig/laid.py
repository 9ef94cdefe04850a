"""
The leads as they lie: unknowns taken on the careful side, and what they resist and waste.

Depends on: rig.facts, conductors, physics.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Final

import numpy as np

from energysim.conductors import conductors
from energysim.physics.cable import STRANDED, STRANDED_TINNED, conductor_resistance_ohm
from energysim.physics.conductor import (
    ENGINE_SPACE_DEGC,
    RATED_SURROUNDINGS_DEGC,
    ampacity_a,
    conductor_temperature_degc,
)

if TYPE_CHECKING:
    from numpy.typing import ArrayLike, NDArray

    from energysim.rig.facts import RigFacts

    Array = NDArray[np.float64]

CAREFUL_INSULATION_DEGC: Final = 60.0
CAREFUL_BUNDLE: Final = 2
CAREFUL_CLASS: Final = 0.03
CLASSES: Final = {"3 %": 0.03, "5 %": 0.05, "10 %": 0.10}
SOLID: Final = 1.0


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Laid:
    """The leads as they lie, unknowns taken on the careful side."""

    insulation_degc: float
    conductor_count: int
    in_engine_space: bool
    drop_class: float
    lay_factor: float
    free_ampacity_a: float | None  # of the size there is, outside engine spaces
    size_ampacity_a: Array  # of every listed size, as laid
    ampacity_a: float | None  # of the size there is; None: not told
    unknown: tuple[str, ...]  # of what bears on the ampacity


def lay(facts: RigFacts) -> Laid:
    """Return the leads as they lie."""
    wiring, table = facts.wiring, conductors()
    unknown = []
    if wiring.insulation_degc is None:
        unknown.append("insulation not told: 60 degC taken")
    if wiring.bundled is None:
        unknown.append("bundle not told: the pair in one sheath taken, 70 %")
    if wiring.in_engine_space is None:
        unknown.append("engine space not told: none taken, the engine being an outboard")
    insulation = wiring.insulation_degc or CAREFUL_INSULATION_DEGC
    bundle = wiring.bundled or CAREFUL_BUNDLE
    inside = bool(wiring.in_engine_space)
    free = ampacity_a(
        table, insulation_degc=insulation, conductor_count=bundle, in_engine_space=False
    )
    as_laid = ampacity_a(
        table, insulation_degc=insulation, conductor_count=bundle, in_engine_space=inside
    )
    place = facts.leads.place
    listed = place is not None and place >= 0
    solid = wiring.stranded is False
    stranded = STRANDED if wiring.tinned is False else STRANDED_TINNED
    return Laid(
        insulation_degc=insulation,
        conductor_count=bundle,
        in_engine_space=inside,
        drop_class=CAREFUL_CLASS if wiring.drop_class is None else CLASSES[wiring.drop_class],
        lay_factor=SOLID if solid else stranded,
        free_ampacity_a=float(free[place]) if listed else None,
        size_ampacity_a=as_laid,
        ampacity_a=None if place is None else float(as_laid[place]) if listed else 0.0,
        unknown=tuple(unknown),
    )


def leads_ohm(facts: RigFacts, laid: Laid, current_a: ArrayLike) -> Array:
    """Return the resistance of the leads out and back, as warm as a current makes them."""
    leads = facts.leads
    current = np.asarray(current_a, dtype=np.float64)
    if leads.resistance_ohm is not None or leads.length_m is None:
        return np.full(current.shape, leads.resistance_ohm or 0.0)
    around = ENGINE_SPACE_DEGC if laid.in_engine_space else RATED_SURROUNDINGS_DEGC
    around = max(around, facts.air_degc)
    metal: Array = np.full(current.shape, laid.insulation_degc)
    if laid.free_ampacity_a is not None:
        # Past its rating the ampacity has its own line; the drop is told at the rating.
        metal = np.minimum(
            metal,
            conductor_temperature_degc(
                current,
                ampacity_a=laid.free_ampacity_a,
                insulation_degc=laid.insulation_degc,
                surroundings_degc=around,
            ),
        )
    return conductor_resistance_ohm(
        2.0 * leads.length_m,
        area_m2=leads.area_m2,
        temperature_degc=metal,
        lay_factor=laid.lay_factor,
    )


def drop_energy_wh(facts: RigFacts, laid: Laid) -> float:
    """Return what leads and contacts turn to heat on this day."""
    feed = facts.feed
    ohm = leads_ohm(facts, laid, feed.running_a) + facts.leads.contact_resistance_ohm
    power = ohm * feed.running_a**2 * feed.running_share
    return float((power * feed.step_s).sum()) / 3600.0
