"""What several test files share."""

import csv
from pathlib import Path

import numpy as np
import pytest

import energysim
from energysim.physics.constituents import Constituents, parse_node_rule

CONSTITUENTS_FILE = Path(energysim.__file__).parent / "data" / "constituents.csv"


@pytest.fixture(scope="session")
def constituents() -> Constituents:
    with CONSTITUENTS_FILE.open(encoding="utf-8", newline="") as stream:
        rows = list(csv.DictReader(stream))
    columns = ("n15", "moon", "sun", "lunar_perigee", "solar_perigee")
    return Constituents(
        name=tuple(row["name"] for row in rows),
        aliases=tuple(tuple(filter(None, row["aliases"].split(";"))) for row in rows),
        speed_degph=np.array([float(row["speed_degph"]) for row in rows]),
        doodson=np.array([[float(row[column]) for column in columns] for row in rows]),
        phase_deg=np.array([float(row["phase_deg"]) for row in rows]),
        node_rule=tuple(parse_node_rule(row["node_rule"]) for row in rows),
    )
