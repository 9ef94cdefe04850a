"""
What a bank's weight does to the boat: sinkage, trim, heel, and the capacity plate.

Depends on: scenario, build, catalogue, physics, results.weight, errors.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING, Final

from energysim.build.boat import density_of_the_water
from energysim.catalogue import hull_tables, hull_type
from energysim.errors import Problem, ScenarioError
from energysim.physics.trim import (
    RELATIVE_ERROR,
    heel_deg,
    immersion_kg_per_m,
    persons_equivalent,
    sinkage_m,
    trim_change_m,
    trim_stiffness_kg,
    waterplane_area_m2,
)
from energysim.results.weight import PlateCheck, WeightResult

if TYPE_CHECKING:
    from collections.abc import Sequence

    from energysim.results.weight import PlateNumber, Verdict
    from energysim.scenario.locker import Locker
    from energysim.scenario.model import Scenario
    from energysim.scenario.plate import Plate

PLACES: Final = {"bow": 0.15, "console": 0.55, "stern": 0.9}
"""Where a locker named by its place lies, from the stem, over the boat's length (ours). [1]"""

LEAST_TRIM_M: Final = 0.01
"""A trim less than this is no more than the estimate can tell from none (ours). [m]"""

CAREFUL_GM_M: Final = 1.0
"""Metacentric height taken for the heel: the low end of 1 to 2 m that a wide skiff has (common
practice, no source). A narrow boat has a third of it and heels that much more. [m]"""

NEARLY_FULL: Final = 0.9
"""From this share of the plate's number on, look again (ours). [1]"""

ESTIMATE: Final = (
    "Sinkage, trim and heel are estimates for the boat at rest, good to 25 % at best; on the "
    "plane they mean nothing. Load the boat at the dock and look before relying on her."
)
BOW: Final = (
    "Weight forward lowers the freeboard at the bow, where the sea comes aboard first "
    "(ISO 12217-3, from memory)."
)
PLATE: Final = (
    "The capacity plate is the builder's and rules: this only adds up what it counts "
    "(33 CFR 183 subparts B and C, for outboard boats under 20 ft, the length from memory). "
    "No plate aboard, or a boat it does not cover: ask the builder or a surveyor."
)


@dataclass(frozen=True, slots=True, kw_only=True)
class PlacedWeight:
    """Part of a bank, and where it stands as far as that is known."""

    mass_kg: float
    from_bow_m: float | None = None  # from the stem, along the boat
    off_centre_m: float | None = None  # to starboard


def locker_from_bow_m(locker: Locker, *, boat_length_m: float) -> float | None:
    """Return how far abaft the stem a locker lies; None when the scenario does not say."""
    if locker.place is not None:
        return PLACES[locker.place] * boat_length_m
    return locker.from_bow_m


def weigh(
    scenario: Scenario, *, parts: Sequence[PlacedWeight], plate: Plate | None = None
) -> WeightResult:
    """
    Return what a bank does to the boat's floating, and what the capacity plate leaves.

    Parameters
    ----------
    scenario : Scenario
        The boat, her people and her water; its own bank is not looked at.
    parts : sequence of PlacedWeight
        The bank, block by block or locker by locker.
    plate : Plate, optional
        The capacity plate; without it nothing is compared.

    Returns
    -------
    result : WeightResult
        In SI units; trim is above 0 for bow down.

    Raises
    ------
    ScenarioError
        The hull is not listed, a part stands behind the transom, or the plate's engine and gear
        weigh more than the whole boat.

    Notes
    -----
    The waterplane is a rectangle's share, its middle a little abaft the waterline's; both by
    type of hull, our estimates (data/hulls.toml). The waterline ends at the transom.
    """
    boat = scenario.boat
    _refuse_places(parts, boat.length_m)
    form = hull_type(boat.hull).form
    length = boat.length_m * form.waterline_length_ratio
    beam = boat.beam_m * form.waterline_beam_ratio
    share = _of_hull(boat.hull, "waterplane_coefficient")
    density = density_of_the_water(scenario)
    bank_kg = math.fsum(part.mass_kg for part in parts)
    immersion = immersion_kg_per_m(
        waterplane_area_m2(length, beam_wl_m=beam, waterplane_coefficient=share),
        water_density_kgpm3=density,
    )
    deeper = float(sinkage_m(bank_kg, immersion_kg_per_m=immersion))

    trim = bow = stern = None
    unknown = []
    places = [(part.mass_kg, part.from_bow_m) for part in parts]
    ahead = 0.5 - _of_hull(boat.hull, "flotation_centre_place")  # of the waterline
    middle = boat.length_m - length * (1.0 - ahead)
    if any(place is None for _, place in places):
        unknown.append("where the bank stands; a locker's place or from_bow gives the trim")
    else:
        stiffness = trim_stiffness_kg(
            length, beam_wl_m=beam, waterplane_coefficient=share, water_density_kgpm3=density
        )
        trim = math.fsum(
            float(trim_change_m(mass, arm_m=middle - place, trim_stiffness_kg=stiffness))
            for mass, place in places
            if place is not None
        )
        bow, stern = deeper + trim * ahead, deeper - trim * (1.0 - ahead)
    words = _trim_words(trim)
    return WeightResult(
        bank_kg=bank_kg,
        persons_equivalent=float(persons_equivalent(bank_kg)),
        immersion_kg_per_m=float(immersion),
        sinkage_m=deeper,
        trim_m=trim,
        trim_deg=None if trim is None else math.degrees(math.atan(trim / length)),
        trim_words=words,
        bow_sinkage_m=bow,
        stern_sinkage_m=stern,
        heel_deg=_heel(scenario, parts, bank_kg),
        relative_error=RELATIVE_ERROR,
        plate=() if plate is None else _plate_checks(scenario, plate, bank_kg),
        unknown=tuple(unknown),
        cautions=(ESTIMATE, *((BOW,) if words == "bow down" else ()), PLATE),
    )


def _refuse_places(parts: Sequence[PlacedWeight], length_m: float) -> None:
    """Refuse a bank that stands outside the boat."""
    for part in parts:
        if part.from_bow_m is not None and not 0.0 <= part.from_bow_m <= length_m:
            raise ScenarioError(
                Problem(
                    path="locker.from_bow",
                    value=f"{part.from_bow_m:.2f} m",
                    reason=f"is outside a boat {length_m:.2f} m long",
                    hint="it is measured from the stem to the middle of the locker",
                )
            )


def _of_hull(name: str, key: str) -> float:
    """Return a number of a type of hull that the hull's drag does not need."""
    tables = hull_tables()
    return float(tables["types"][name].get(key, tables["defaults"][key])["value"])


def _trim_words(trim_m: float | None) -> str:
    """Return the sign of the trim in words."""
    if trim_m is None:
        return "not known"
    if abs(trim_m) < LEAST_TRIM_M:
        return "hardly any trim"
    return "bow down" if trim_m > 0.0 else "stern down"


def _heel(scenario: Scenario, parts: Sequence[PlacedWeight], bank_kg: float) -> float | None:
    """Return the heel; None unless every part says how far it stands off the centreline."""
    if not parts or any(part.off_centre_m is None for part in parts):
        return None
    boat = scenario.boat
    moment = math.fsum(part.mass_kg * (part.off_centre_m or 0.0) for part in parts)
    afloat = boat.mass_kg + _people_kg(scenario) + scenario.motor.mass_kg + bank_kg
    return float(
        heel_deg(
            moment, off_centre_m=1.0, displacement_kg=afloat, metacentric_height_m=CAREFUL_GM_M
        )
    )


def _people_kg(scenario: Scenario) -> float:
    """Return the weight of everybody aboard."""
    return scenario.boat.people * scenario.boat.person_mass_kg


def _plate_checks(scenario: Scenario, plate: Plate, bank_kg: float) -> tuple[PlateCheck, ...]:
    """Compare what goes aboard with each number of the plate."""
    people = float(scenario.boat.people)
    checks = []
    if plate.persons is not None:
        checks.append(_check("persons", people, float(plate.persons)))
    if plate.persons_weight_kg is not None:
        checks.append(_check("persons_weight", _people_kg(scenario), plate.persons_weight_kg))
    if plate.total_weight_kg is not None:
        checks.append(_total(scenario, plate, plate.total_weight_kg, bank_kg))
    return tuple(checks)


def _total(scenario: Scenario, plate: Plate, limit_kg: float, bank_kg: float) -> PlateCheck:
    """Add up persons, motors, bank and gear; what is not given makes it careful."""
    named = {"the main engine with fuel": plate.engine_weight_kg, "gear": plate.gear_weight_kg}
    known = math.fsum(mass for mass in named.values() if mass is not None)
    if known > scenario.boat.mass_kg:
        raise ScenarioError(
            Problem(
                path="plate.engine_weight",
                value=f"{known:.0f} kg with gear",
                reason=f"is more than the whole boat, {scenario.boat.mass_kg:.0f} kg",
                hint="boat.mass holds hull, engine, fuel and gear",
            )
        )
    number = _people_kg(scenario) + scenario.motor.mass_kg + bank_kg + known
    missing = [name for name, mass in named.items() if mass is None]
    return _check("total_weight", number, limit_kg, missing=missing)


def _check(
    name: PlateNumber, number: float, limit: float, *, missing: Sequence[str] = ()
) -> PlateCheck:
    """Put one number against the plate's."""
    verdict: Verdict
    unknown = " and ".join(missing)
    if number > limit * (1.0 + 1e-9):
        verdict, why = "caution", "more than the plate allows"
        why += f", before {unknown}" if missing else ""
    elif missing:
        verdict, why = "look again", f"what is left must also carry {unknown}: weigh them"
    elif name != "persons" and number > NEARLY_FULL * limit:
        verdict, why = "look again", "nearly all the plate allows"
    else:
        verdict, why = "pass", "no more than the plate allows"
    return PlateCheck(
        name=name,
        unit="1" if name == "persons" else "kg",
        number=number,
        limit=limit,
        verdict=verdict,
        why=why,
    )
