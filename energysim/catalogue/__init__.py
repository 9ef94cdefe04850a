"""
The lists the package ships: hulls, chemistries, batteries, gusts, tidal constituents.

Each is a file under data/ whose rows carry their sources; each is read once, when first asked
for. Names that are not on a list are refused with the nearest that is.

Depends on: physics, errors.
"""

from energysim.catalogue.blocks import Battery, batteries, battery
from energysim.catalogue.cells import (
    Chemistry,
    NotForPropulsion,
    Spread,
    chemistry,
    chemistry_tables,
    not_for_propulsion,
    refusals,
)
from energysim.catalogue.forms import HullType, hull_tables, hull_type
from energysim.catalogue.spreads import Uncertainty, uncertainties
from energysim.catalogue.tides import constituents
from energysim.catalogue.weather import drift_table, gust_table

__all__ = [
    "Battery",
    "Chemistry",
    "HullType",
    "NotForPropulsion",
    "Spread",
    "Uncertainty",
    "batteries",
    "battery",
    "chemistry",
    "chemistry_tables",
    "constituents",
    "drift_table",
    "gust_table",
    "hull_tables",
    "hull_type",
    "not_for_propulsion",
    "refusals",
    "uncertainties",
]
