"""Loads in chop for sweeps: held to the laws they stand in for."""

from dataclasses import replace

import numpy as np
import pytest

from energysim.catalogue import drift_table
from energysim.physics.boat import Chop
from energysim.physics.hold import hold_load
from energysim.physics.load import load_at_heading
from energysim.physics.response_chop import choppy_load_from_table
from energysim.physics.response_rows import held_rows, keel_drag_n, place_of, read_row
from energysim.physics.response_table import hold_table
from energysim.physics.unsteady import gust_nodes
from energysim.physics.wave_drift import DriftForces, drift_forces

pytestmark = pytest.mark.slow  # for the making of the table

DEPTH_M = 1.5
MEMBERS = 400


@pytest.fixture(scope="module")
def table(console_boat):
    return hold_table(console_boat, most_stream_mps=1.5, depth_m=DEPTH_M)


def weather(seed, *, off_deg, members=MEMBERS):
    """Return one instant of winds, streams, chop of 0 to 0.7 m and members' own factors."""
    rng = np.random.default_rng(seed)
    shape = (1, members)
    toward = rng.uniform(0.0, 360.0, shape)
    wind_from = toward + 180.0 + rng.uniform(*off_deg, shape) * rng.choice([-1.0, 1.0], shape)
    asked = {
        "wind_mps": rng.uniform(2.0, 12.0, shape),
        "wind_from_deg": wind_from,
        "stream_mps": rng.uniform(0.0, 1.2, shape),
        "stream_toward_deg": toward,
    }
    ratios = {
        "wind_ratio": rng.uniform(0.7, 1.4, shape),
        "drag_ratio": rng.uniform(0.7, 1.4, shape),
    }
    sea = {
        "height_m": rng.uniform(0.0, 0.7, shape),
        "wavelength_m": rng.uniform(2.0, 14.0, shape),
        "push": np.exp(rng.normal(0.0, 0.5, shape)),
        "from_deg": wind_from + rng.normal(0.0, 10.0, shape),
    }
    return asked, ratios, sea, rng.uniform(0.1, 0.3, shape)


def chop_of(boat, sea):
    forces = drift_forces(
        sea["height_m"],
        wavelength_m=sea["wavelength_m"],
        length_m=boat.hull.length_wl_m,
        beam_m=boat.hull.beam_wl_m,
        water_density_kgpm3=boat.water_density_kgpm3,
        table=drift_table("center-console"),
    )
    pushed = {
        name: getattr(forces, name) * sea["push"] for name in DriftForces.__dataclass_fields__
    }
    return Chop(from_deg=sea["from_deg"], forces=DriftForces(**pushed))


def both(table, seed, *, off_deg):
    """Return the loads for sweeps and those of the laws, (winds, 1, members)."""
    boat = table.held.boat
    asked, ratios, sea, intensity = weather(seed, off_deg=off_deg)
    factor, _ = gust_nodes(intensity, count=5)
    chop = chop_of(boat, sea)
    quick = choppy_load_from_table(
        **asked, **ratios, factor=factor, chop=chop, table=table, fresh=[True]
    )
    own = replace(
        boat,
        hull=replace(boat.hull, drag_factor=boat.hull.drag_factor * ratios["drag_ratio"]),
        windage=replace(
            boat.windage, wind_factor=boat.windage.wind_factor * ratios["wind_ratio"]
        ),
    )
    given = {key: value for key, value in asked.items() if key != "wind_mps"}
    given |= {"boat": own, "depth_m": DEPTH_M, "chop": chop}
    mean = hold_load(asked["wind_mps"], **given)
    loads = [
        hold_load(asked["wind_mps"] * each, **given, near_deg=mean.heading_deg)
        for each in factor
    ]
    return quick, np.stack([load.thrust_n for load in loads]), loads


@pytest.mark.parametrize("off_deg", [(0.0, 60.0), (60.0, 120.0)], ids=["along", "across"])
def test_thrust_in_chop_is_within_one_per_cent_of_the_laws(table, off_deg):
    quick, law, loads = both(table, 7, off_deg=off_deg)
    assert quick.thrust_n == pytest.approx(law, rel=0.01)
    assert np.median(np.abs(quick.thrust_n / law - 1.0)) < 1e-4
    inflow = np.stack([load.inflow_mps for load in loads])
    assert quick.inflow_mps == pytest.approx(inflow, abs=0.01)
    turned = quick.heading_deg - np.stack([load.heading_deg for load in loads])
    assert np.abs(np.mod(turned + 180.0, 360.0) - 180.0).max() < 0.1
    # The laws themselves were asked for next to none of it.
    assert quick.exact.mean() < 0.02


def test_opposed_in_chop_few_lie_on_another_heading_than_by_the_laws(table):
    quick, law, _ = both(table, 8, off_deg=(120.0, 180.0))
    away = np.abs(quick.thrust_n - law) > 0.01 * law + 0.05
    assert away.mean() < 0.01
    assert 0.0 < quick.exact.mean() < 0.4


def test_a_boat_lies_where_nothing_turns_it_and_the_thrust_is_that_of_the_laws_there(table):
    boat = table.held.boat
    asked, ratios, sea, _ = weather(9, off_deg=(0.0, 180.0))
    alike = dict.fromkeys(ratios, 1.0)
    chop = chop_of(boat, sea)
    quick = choppy_load_from_table(
        **asked, **alike, factor=np.ones((1, 1, MEMBERS)), chop=chop, table=table, fresh=[True]
    )
    there = load_at_heading(
        quick.heading_deg[0], **asked, boat=boat, depth_m=DEPTH_M, chop=chop
    )
    assert quick.thrust_n[0] == pytest.approx(there.thrust_n, rel=2e-3, abs=0.02)
    # In hundredths of what the thrust alone would turn it by, half a boat's length off.
    lever = 0.5 * boat.hull.length_wl_m * np.maximum(there.thrust_n, 1.0)
    assert np.abs(there.turning_moment_nm / lever).max() < 0.01


def test_rows_are_the_curves_they_are_read_from(table):
    rows = held_rows(table.held)
    angle = np.random.default_rng(2).uniform(-20.0, 20.0, 500)
    place = place_of(angle)
    assert read_row(rows.sine, place) == pytest.approx(np.sin(angle), abs=3e-6)
    assert read_row(rows.cosine, place) == pytest.approx(np.cos(angle), abs=3e-6)
    at = load_at_heading(
        180.0,
        wind_mps=0.0,
        wind_from_deg=0.0,
        stream_mps=[0.3, 1.2],
        stream_toward_deg=0.0,
        boat=table.held.boat,
        depth_m=DEPTH_M,
    )
    drag = keel_drag_n(np.array([0.3, 1.2]), rows)
    assert drag == pytest.approx(-at.thrust_n, rel=2e-3)


def test_one_of_the_winds_must_be_the_mean(table):
    asked, ratios, sea, _ = weather(3, off_deg=(0.0, 90.0), members=3)
    with pytest.raises(ValueError, match="no wind that is the mean"):
        choppy_load_from_table(
            **asked,
            **ratios,
            factor=np.full((2, 1, 3), 1.1),
            chop=chop_of(table.held.boat, sea),
            table=table,
            fresh=[True],
        )
