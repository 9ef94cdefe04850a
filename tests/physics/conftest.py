"""Boats of the shipped types, for tests of the loads on them."""

import csv
import tomllib
from dataclasses import fields
from pathlib import Path

import numpy as np
import pytest

from energysim.physics.hull_form import HullForm, hull_from_dimensions
from energysim.physics.station import Boat
from energysim.physics.windage_form import WindageForm, windage_from_dimensions

DATA = Path(__file__).parents[2] / "energysim" / "data"


class HullRows:
    """The rows of hulls.toml and residuary.csv, and boats made from them."""

    def __init__(self):
        self.file = tomllib.loads((DATA / "hulls.toml").read_text("utf-8"))
        with (DATA / "residuary.csv").open(encoding="utf-8", newline="") as handle:
            self.residuary = list(csv.DictReader(handle))

    @property
    def types(self):
        return tuple(self.file["types"])

    def cells(self, kind):
        """Every number of a type, its own before the defaults: {(table, key): cell}."""
        merged = {}
        for source in (self.file["defaults"], self.file["types"][kind]):
            for key, value in source.items():
                if key in {"hull", "windage"}:
                    merged |= {(key, name): cell for name, cell in value.items()}
                elif key != "label":
                    merged[("", key)] = value
        return merged

    def forms(self, kind):
        values = {key: cell["value"] for key, cell in self.cells(kind).items()}
        rows = [row for row in self.residuary if row["hull"] == values[("", "residuary")]]
        hull = HullForm(
            residuary_froude=np.array([float(row["froude"]) for row in rows]),
            residuary_per_weight=np.array([float(row["residuary_per_weight"]) for row in rows]),
            **{name: value for (table, name), value in values.items() if table == "hull"},
        )
        wanted = {field.name for field in fields(WindageForm)}
        windage = WindageForm(
            **{name: value for (table, name), value in values.items() if name in wanted}
        )
        return hull, windage, values[("", "outboard_drag_area_m2")]

    def boat(
        self,
        kind="skiff",
        *,
        length_m=5.334,
        beam_m=2.134,
        freeboard_m=0.508,
        displacement_kg=900.0,
        people=2,
        outboard_down=True,
        drag_factor=1.0,
        wind_factor=1.0,
    ):
        """Build a 17.5 ft skiff in fresh water at 15 degC unless told otherwise."""
        hull_form, windage_form, outboard = self.forms(kind)
        return Boat(
            hull=hull_from_dimensions(
                length_m,
                beam_m=beam_m,
                displacement_kg=displacement_kg,
                water_density_kgpm3=1000.0,
                form=hull_form,
                outboard_drag_area_m2=outboard if outboard_down else 0.0,
                drag_factor=drag_factor,
            ),
            windage=windage_from_dimensions(
                length_m,
                beam_m=beam_m,
                freeboard_m=freeboard_m,
                people=people,
                form=windage_form,
                wind_factor=wind_factor,
            ),
            water_density_kgpm3=1000.0,
            water_viscosity_m2ps=1.14e-6,
            air_density_kgpm3=1.225,
        )

    def console_boat(self, **changes):
        """Build a 20 ft centre console with three aboard."""
        return self.boat(
            **{
                "kind": "centre-console",
                "length_m": 6.096,
                "beam_m": 2.438,
                "freeboard_m": 0.711,
                "displacement_kg": 1700.0,
                "people": 3,
            }
            | changes
        )


@pytest.fixture(scope="session")
def hull_rows():
    return HullRows()


@pytest.fixture(scope="session")
def skiff(hull_rows):
    return hull_rows.boat()


@pytest.fixture(scope="session")
def console_boat(hull_rows):
    return hull_rows.console_boat()
