"""
Where the batteries stand: gas, fuel, the charger above them, and what holds them.

Depends on: rig.facts, rig.line, physics.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

from energysim.physics.cable import INCH_M
from energysim.physics.restraint import (
    FEDERAL_TRAVEL_M,
    ISO_TRAVEL_M,
    federal_pull_n,
    iso_pull_n,
)
from energysim.physics.venting import (
    SHIP_CLASSES,
    airflow_m3ps,
    hydrogen_flow_m3ps,
    ship_class,
    spark_distance_m,
    time_to_explosive_s,
    vent_opening_m2,
)
from energysim.results.rig import CAUTION, LOOK_AGAIN, PASS, Figure, RigCheck
from energysim.rig import sources
from energysim.rig.line import words
from energysim.unit_format import format_quantity

if TYPE_CHECKING:
    from collections.abc import Sequence

    from energysim.rig.facts import RigFacts
    from energysim.scenario.locker import Locker

GROUP: Final = "Where the batteries stand"

GAS_VENTED_PER_AH: Final = 0.020
"""EN 50272-3, 2 A for 100 Ah at 2.4 V a cell; EN 50272-2 on boost the same (read). [A/Ah]"""

GAS_SEALED_PER_AH: Final = 0.010
"""EN 50272-3, sealed cells, from memory; EN 50272-2 has 0.008 on boost (read). [A/Ah]"""

WARM_GAS_DEGC: Final = 25.0
ROUNDING_N: Final = 0.5  # 52 lbf typed for 51.9 is enough


def check_place(facts: RigFacts) -> list[RigCheck]:
    """Return the checks of the place the batteries stand in."""
    return [*_gas(facts), _fuel(facts), _charger_place(facts), _restraint(facts)]


def _told(lockers: Sequence[Locker], key: str) -> tuple[bool | None, str]:
    """Return the worst that is told of a switch, and what is not told of it."""
    if not lockers:
        return None, "no [[locker]]"
    values = {box.name: getattr(box, key) for box in lockers}
    silent = [name for name, value in values.items() if value is None]
    missing = f"{key} not told of {', '.join(silent)}" if silent else ""
    bad = key != "vented"
    if any(value is bad for value in values.values()):
        return bad, missing
    return (None if silent else not bad), missing


def _gas(facts: RigFacts) -> list[RigCheck]:
    """Ask for openings for hydrogen, and tell how soon a shut locker fills."""
    bank = facts.bank
    if bank.is_lithium:
        return [
            RigCheck(
                key="vent_opening",
                group=GROUP,
                name="Opening for hydrogen",
                number=words("no gas"),
                bound="",
                limit=None,
                verdict=PASS,
                why=(
                    "These cells give off none in normal use. One that fails vents gas that is "
                    "toxic and burns: give it a way out that no person sits in."
                ),
                unknown=(),
                source=sources.LITHIUM_GAS,
            )
        ]
    gas = GAS_SEALED_PER_AH if bank.is_sealed else GAS_VENTED_PER_AH
    flow = float(
        airflow_m3ps(gas, cell_count=bank.cells_in_series, capacity_ah=bank.capacity_ah)
    )
    opening = float(vent_opening_m2(flow))
    vented, missing = _told(facts.lockers, "vented")
    there = facts.vent.opening_m2
    unknown = [f"{missing}: taken as shut"] if vented is None else []
    if there is None:
        unknown.append("size of the opening not told")
    if vented is True:
        verdict = LOOK_AGAIN if there is None else PASS if there >= opening else CAUTION
    else:
        verdict = CAUTION
    apart = float(spark_distance_m(gas, capacity_ah=bank.capacity_ah / bank.parallel))
    sealed = " Sealed ones vent when overcharged." if bank.is_sealed else ""
    ship = _ship_words(facts)
    return [
        RigCheck(
            key="vent_opening",
            group=GROUP,
            name="Opening for hydrogen, in and out each",
            number=None if there is None else Figure(value=there, dimension="area"),
            bound="at least",
            limit=Figure(value=opening, dimension="area"),
            verdict=verdict,
            why=(
                f"{3600.0 * flow:.2f} m3/h for {bank.cells_in_series} cells of "
                f"{bank.capacity_ah:g} Ah; the outlet at the highest point, for hydrogen "
                f"rises.{sealed} No spark within {100.0 * apart:.0f} cm of the vents (from "
                f"memory).{ship}"
            ),
            unknown=tuple(unknown),
            source=sources.VENT_SEALED if bank.is_sealed else sources.VENT,
        ),
        *_shut(facts, verdict),
    ]


def _ship_words(facts: RigFacts) -> str:
    """Tell what an inspected ship would call this charger."""
    charger, bank = facts.charger, facts.bank
    if charger is None:
        return ""
    # Outputs on blocks in series add their voltages, on strings their currents.
    power = charger.total_a * bank.nominal_voltage_v / bank.series
    name = SHIP_CLASSES[int(ship_class(power))]
    return (
        f" By a ship's rule a {name} installation ({power / 1000.0:.2f} kW, 46 CFR 111.15-3)."
    )


def _shut(facts: RigFacts, opening: str) -> list[RigCheck]:
    """Tell how soon a shut locker holds gas that can burn."""
    charger, bank = facts.charger, facts.bank
    if charger is None or facts.locker_air_m3 is None:
        return []
    cells = bank.cells_in_series * bank.parallel
    each = charger.total_a / (bank.series * bank.parallel)
    gas = hydrogen_flow_m3ps(each, cell_count=cells, temperature_degc=WARM_GAS_DEGC)
    seconds = float(time_to_explosive_s(facts.locker_air_m3, hydrogen_m3ps=gas))
    unknown: tuple[str, ...] = ()
    if bank.block_volume_m3 is None:
        unknown = ("size of the blocks not told: half of the locker taken as air",)
    return [
        RigCheck(
            key="shut_locker",
            group=GROUP,
            name="A shut locker: 4 % hydrogen after",
            number=Figure(value=seconds, dimension="time"),
            bound="",
            limit=None,
            verdict=opening,
            why=(
                f"If the charger never tapers: {each:g} A through {cells} full "
                f"cells, {1000.0 * facts.locker_air_m3:.0f} L of air. The opening above "
                "is there to prevent it."
            ),
            unknown=unknown,
            source=sources.SHUT,
        )
    ]


def _fuel(facts: RigFacts) -> RigCheck:
    """Keep batteries and fuel apart."""
    return _kept_apart(
        _told(facts.lockers, "holds_fuel"),
        key="fuel",
        name="Fuel where the batteries stand",
        so="fuel in there",
        not_so="none",
        limit="none",
        why=(
            "Not above or below a tank, filter or fitting either; metal fuel parts within a "
            "foot of the terminals want a shield."
        ),
        source=sources.FUEL,
    )


def _charger_place(facts: RigFacts) -> RigCheck:
    """Keep the charger out of the gas."""
    return _kept_apart(
        _told(facts.lockers, "charger_above"),
        key="charger_place",
        name="Where the charger hangs",
        so="above them",
        not_so="elsewhere",
        limit="not above them",
        why="Out of the way the gas takes, and where no acid reaches it.",
        source=sources.CHARGER_PLACE,
    )


def _kept_apart(
    told: tuple[bool | None, str],
    *,
    key: str,
    name: str,
    so: str,
    not_so: str,
    limit: str,
    why: str,
    source: str,
) -> RigCheck:
    """Judge what must not be where the batteries are, as far as it is told."""
    is_so, missing = told
    return RigCheck(
        key=key,
        group=GROUP,
        name=name,
        number=None if is_so is None else words(so if is_so else not_so),
        bound="",
        limit=words(limit),
        verdict=LOOK_AGAIN if is_so is None else CAUTION if is_so else PASS,
        why=why,
        unknown=(missing,) if is_so is None else (),
        source=source,
    )


def _restraint(facts: RigFacts) -> RigCheck:
    """Ask for the pull each battery was tried with."""
    mass = facts.bank.block_mass_kg
    federal, iso = float(federal_pull_n(mass)), float(iso_pull_n(mass))
    tried = facts.mounting.pull_tested_n
    verdict = (
        LOOK_AGAIN if tried is None else PASS if tried >= federal - ROUNDING_N else CAUTION
    )
    both = _both(iso, "force")
    return RigCheck(
        key="restraint",
        group=GROUP,
        name="Pull the straps were tried with",
        number=None if tried is None else Figure(value=tried, dimension="force"),
        bound="at least",
        limit=Figure(value=federal, dimension="force"),
        verdict=verdict,
        why=(
            f"On each battery of {_both(mass, 'mass')}, a minute up, fore, aft, to port and "
            f"starboard: it may move {FEDERAL_TRAVEL_M / INCH_M:.0f} in. ISO 10133 has no "
            f"upper end, {both}, and lets it move {1000.0 * ISO_TRAVEL_M:.0f} mm."
        ),
        unknown=("no pull told of: try them",) if tried is None else (),
        source=sources.RESTRAINT,
    )


def _both(value: float, dimension: str) -> str:
    """Return a mass or force in both systems: "68 lb (31 kg)"."""
    us, metric = (
        format_quantity(value, dimension, system=s, digits=0) for s in ("us", "metric")
    )
    return f"{us} ({metric})"
