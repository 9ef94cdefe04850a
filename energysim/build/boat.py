"""
The boat in its water and air, from the [boat] table and the mass of everything aboard.

Depends on: scenario, catalogue, physics, errors.
"""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING, Final

from energysim.catalogue import hull_type
from energysim.constants import STANDARD_PRESSURE_PA
from energysim.errors import Problem, ScenarioError
from energysim.physics.air import air_density_kgpm3
from energysim.physics.hull_form import hull_from_dimensions
from energysim.physics.station import Boat
from energysim.physics.water import water_density_kgpm3, water_viscosity_m2ps
from energysim.physics.windage_form import windage_from_dimensions

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    from energysim.scenario.model import Scenario

SALINITY_PSU: Final = {"fresh": 0.0, "brackish": 15.0, "salt": 35.0}
"""Salinity of each kind of water: fresh and the sea by definition, between them ours. [g/kg]"""


def density_of_the_water(scenario: Scenario) -> NDArray[np.float64]:
    """Return the density, in kg/m^3, of what the boat floats and the propeller turns in."""
    day = scenario.day
    return water_density_kgpm3(
        SALINITY_PSU[day.water], temperature_degc=day.water_temperature_degc
    )


def build_boat(scenario: Scenario, *, bank_mass_kg: float) -> Boat:
    """
    Return the boat afloat with people, bank and motor aboard.

    Raises
    ------
    ScenarioError
        The type of hull is not listed, or the dimensions make no boat.
    """
    day, boat = scenario.day, scenario.boat
    kind = hull_type(boat.hull)
    salinity = SALINITY_PSU[day.water]
    density = density_of_the_water(scenario)
    viscosity = water_viscosity_m2ps(salinity, temperature_degc=day.water_temperature_degc)
    mass = (
        boat.mass_kg + boat.people * boat.person_mass_kg + scenario.motor.mass_kg + bank_mass_kg
    )
    try:
        hull = hull_from_dimensions(
            boat.length_m,
            beam_m=boat.beam_m,
            displacement_kg=mass,
            water_density_kgpm3=density,
            form=kind.form,
            outboard_drag_area_m2=kind.outboard_drag_area_m2
            if boat.outboard == "down"
            else 0.0,
            drag_factor=boat.drag_factor,
        )
        windage = windage_from_dimensions(
            boat.length_m,
            beam_m=boat.beam_m,
            freeboard_m=boat.freeboard_m,
            people=boat.people,
            form=kind.windage,
            wind_factor=boat.wind_factor,
        )
    except ValueError as error:
        raise ScenarioError(Problem(path="boat", reason=str(error))) from None
    if boat.frontal_area_m2 is not None:
        windage = replace(windage, frontal_area_m2=boat.frontal_area_m2)
    if boat.lateral_area_m2 is not None:
        windage = replace(windage, lateral_area_m2=boat.lateral_area_m2)
    if float(hull.draft_m) >= 0.5 * boat.beam_m:
        raise ScenarioError(
            Problem(
                path="boat.mass",
                value=f"{mass:.0f} kg with people, motor and bank",
                reason=f"would sink this hull {float(hull.draft_m):.2f} m deep",
                hint="check length, beam and masses, and their units",
            )
        )
    return Boat(
        hull=hull,
        windage=windage,
        water_density_kgpm3=density,
        water_viscosity_m2ps=viscosity,
        air_density_kgpm3=air_density_kgpm3(
            day.air_temperature_degc, pressure_pa=STANDARD_PRESSURE_PA
        ),
    )
