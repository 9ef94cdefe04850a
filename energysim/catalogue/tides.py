"""
Tidal constituents.

Depends on: physics, catalogue.shipped.
"""

from __future__ import annotations

import csv
from functools import cache
from typing import TYPE_CHECKING

import numpy as np

from energysim.catalogue.shipped import data_text

if TYPE_CHECKING:
    from energysim.physics.constituents import Constituents


@cache
def constituents() -> Constituents:
    """Return every tidal constituent known, in the file's order."""
    from energysim.physics.constituents import (  # noqa: PLC0415 - start-up
        Constituents,
        parse_node_rule,
    )

    rows = list(csv.DictReader(data_text("constituents.csv").splitlines()))
    columns = ("n15", "moon", "sun", "lunar_perigee", "solar_perigee")
    return Constituents(
        name=tuple(row["name"] for row in rows),
        aliases=tuple(tuple(filter(None, row["aliases"].split(";"))) for row in rows),
        speed_degph=np.array([float(row["speed_degph"]) for row in rows]),
        doodson=np.array([[float(row[key]) for key in columns] for row in rows]),
        phase_deg=np.array([float(row["phase_deg"]) for row in rows]),
        node_rule=tuple(parse_node_rule(row["node_rule"]) for row in rows),
    )
