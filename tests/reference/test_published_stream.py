"""Stream, tide and units of speed against the values of published_stream.csv."""

import csv
from collections.abc import Callable
from datetime import datetime
from pathlib import Path

import numpy as np
import pytest

from energysim.constants import KNOT_MPS
from energysim.physics.astronomy import lunar_orbit, mean_longitudes, node_factors
from energysim.physics.bearing import components_from_toward, toward_from_components
from energysim.physics.constituents import Constituents, select_constituents
from energysim.physics.stream import slack_duration_s, speed_from_events
from energysim.physics.tide import equilibrium_argument_deg, form_number, predict
from energysim.units import unit_factor

pytestmark = pytest.mark.reference

FOLDER = Path(__file__).parent
HOUR_S = 3600.0


def unix_s(text: str) -> float:
    return datetime.fromisoformat(text).timestamp()


def after_slack(gone_min: float, leg_min: float, maximum: float = 1.0) -> float:
    return float(
        speed_from_events(
            gone_min * 60.0, event_time_s=[0.0, leg_min * 60.0], event_speed_mps=[0.0, maximum]
        )
    )


def minutes_of_slack(threshold_kn: float, maximum_kn: float) -> float:
    return float(
        slack_duration_s(
            threshold_kn * KNOT_MPS,
            before_max_mps=maximum_kn * KNOT_MPS,
            before_leg_s=3.0 * HOUR_S,
            after_max_mps=-maximum_kn * KNOT_MPS,
            after_leg_s=3.0 * HOUR_S,
        )
        / 60.0
    )


def leg() -> np.ndarray:
    """One leg from slack to a maximum of 1, read in the middle of 30,000 even parts."""
    parts = 30_000
    middle = (np.arange(parts) + 0.5) / parts
    return speed_from_events(middle, event_time_s=[0.0, 1.0], event_speed_mps=[0.0, 1.0])


def twelfths_off_cosine() -> float:
    # From one stand to the next along the law that joins two printed values, in six hours.
    height = speed_from_events(
        np.arange(7.0), event_time_s=[0.0, 6.0], event_speed_mps=[-0.5, 0.5]
    )
    rule = np.cumsum([0, 1, 2, 3, 3, 2, 1]) / 12.0
    return float(np.abs(height + 0.5 - rule).max())


def factor_at_node(law: str) -> tuple[float, float]:
    """Node factor when the node stands nearest 0 and nearest 180 degrees, by search."""
    days = unix_s("2000-01-01T00:00+00:00") + 86400.0 * np.arange(0.0, 7000.0)
    node = mean_longitudes(days).lunar_node_deg
    factor = node_factors(days)[law].factor
    return (
        float(factor[np.argmin(np.abs((node + 180.0) % 360.0 - 180.0))]),
        float(factor[np.argmin(np.abs(node - 180.0))]),
    )


def mid_2026(law: str) -> tuple[float, float]:
    found = node_factors(unix_s("2026-07-02T12:00+00:00"))[law]
    return float(found.factor), float(found.phase_deg)


def orbit_2019() -> tuple[float, float, float]:
    at = mean_longitudes(unix_s("2019-10-04T10:15:40+00:00"))
    orbit = lunar_orbit(at.lunar_node_deg, lunar_perigee_deg=at.lunar_perigee_deg)
    return float(orbit.inclination_deg), float(orbit.xi_deg), float(orbit.nu_deg)


def longitude_2019(body: str) -> float:
    at = mean_longitudes(unix_s("2019-10-04T10:15:40.010+00:00"))
    return float(getattr(at, f"{body}_deg"))


def listed_speed(constituents: Constituents, name: str) -> float:
    return float(select_constituents(constituents, name=[name]).speed_degph[0])


def speed_from_argument(constituents: Constituents, name: str) -> float:
    chosen = select_constituents(constituents, name=[name])
    start = unix_s("2026-01-01T00:00+00:00")
    days = 100
    turned = equilibrium_argument_deg([start, start + 86400.0 * days], constituents=chosen)
    change = float(turned[1, 0] - turned[0, 0])
    whole_turns = round((listed_speed(constituents, name) * 24 * days - change) / 360.0)
    return (change + 360.0 * whole_turns) / (24 * days)


def station_constants(station: str) -> tuple[list[str], np.ndarray, np.ndarray]:
    text = (FOLDER / "files" / f"noaa_{station}.csv").read_text(encoding="utf-8").splitlines()
    rows = list(csv.DictReader(line for line in text if not line.startswith("#")))
    return (
        [row["name"] for row in rows],
        np.array([float(row["amplitude_m"]) for row in rows]),
        np.array([float(row["phase_lag_deg"]) for row in rows]),
    )


def high_water_m(constituents: Constituents, station: str, at: str, mean_m: float) -> float:
    # Heights in metres go through the sum as speeds would: it does not mind the unit.
    name, amplitude_m, phase_lag_deg = station_constants(station)
    near_s = np.arange(-1800.0, 1801.0, 30.0)
    height_m = predict(
        near_s,
        epoch_unix_s=unix_s(at),
        constituents=select_constituents(constituents, name=name),
        amplitude_mps=amplitude_m,
        phase_lag_deg=phase_lag_deg,
        mean_mps=mean_m,
    )
    assert abs(near_s[height_m.argmax()]) <= 120.0, "high water is minutes off"
    return float(height_m.max())


def form_of(constituents: Constituents, station: str) -> float:
    name, amplitude_m, _ = station_constants(station)
    chosen = select_constituents(constituents, name=name)
    return float(form_number(amplitude_m, constituents=chosen))


def mean_of_two_bearings() -> tuple[float, float]:
    east, north = components_from_toward([10.0, 10.0], toward_deg=[350.0, 10.0])
    speed, toward = toward_from_components(east.mean(), north_mps=north.mean())
    return float(speed), float((toward + 180.0) % 360.0 - 180.0)


def eastward_two_knots() -> tuple[float, float]:
    east, north = components_from_toward(2.0 * KNOT_MPS, toward_deg=90.0)
    return float(east), float(north)


Check = Callable[[Constituents], float | tuple[float, ...]]

CHECKS: dict[str, Check] = {
    "E01": lambda _: unit_factor("kn", "speed"),
    "E02": lambda _: 1.0 / KNOT_MPS,
    "E03": lambda _: 100.0 * unit_factor("cm/s", "speed") / unit_factor("kn", "speed"),
    "E05": lambda _: after_slack(60, 180),
    "E06": lambda _: after_slack(100, 160),
    "E07": lambda _: after_slack(60, 180),
    "E09": lambda _: after_slack(89, 148, 0.66),
    "E10": lambda _: minutes_of_slack(0.2, 1.0),
    "E11": lambda _: minutes_of_slack(0.5, 2.0),
    "E13": lambda _: float(leg().mean()),
    "E14": lambda _: tuple(leg().reshape(3, -1).mean(axis=1).tolist()),
    "E15": lambda _: twelfths_off_cosine(),
    "E17": lambda known: listed_speed(known, "M2"),
    "E18": lambda known: listed_speed(known, "K1"),
    "E19": lambda known: speed_from_argument(known, "M2"),
    "E21": lambda known: 90.0 / listed_speed(known, "M2"),
    "E22": lambda _: factor_at_node("M2"),
    "E23": lambda _: factor_at_node("O1"),
    "E25": lambda _: factor_at_node("K2"),
    "E26": lambda _: mid_2026("M2"),
    "E27": lambda _: mid_2026("O1"),
    "E29": lambda _: longitude_2019("moon"),
    "E30": lambda _: longitude_2019("sun"),
    "E31": lambda _: orbit_2019(),
    "E41": lambda known: high_water_m(known, "9413450", "2016-07-13T18:50-07:00", 0.862),
    "E42": lambda known: high_water_m(known, "9449880", "2026-07-15T02:52+00:00", 1.387),
    "E43": lambda known: form_of(known, "9413450"),
    "E45": lambda _: eastward_two_knots(),
    "E46": lambda _: mean_of_two_bearings(),
    "E69": lambda _: float((leg() ** 3).mean()),
    "E70": lambda _: float((leg() ** 3).mean() / leg().mean() ** 3),
}


def published_rows() -> list[dict[str, str]]:
    with (FOLDER / "published_stream.csv").open(encoding="utf-8", newline="") as stream:
        return list(csv.DictReader(stream))


@pytest.mark.parametrize(
    "row", published_rows(), ids=lambda row: f"{row['id']}-{row['quantity']}"
)
def test_published_value_comes_back(row, constituents):
    expected = [float(part) for part in row["expected"].split(";")]
    tolerance = [float(part) for part in row["tolerance"].split(";")]
    got = np.atleast_1d(CHECKS[row["id"]](constituents))
    assert got.shape == (len(expected),)
    assert (np.abs(got - expected) <= np.broadcast_to(tolerance, got.shape)).all(), got


def test_every_row_has_a_check_and_every_check_a_row():
    ids = [row["id"] for row in published_rows()]
    assert len(ids) == len(set(ids))
    assert set(ids) == set(CHECKS)
    assert all(row["source"] and row["flag"] for row in published_rows())


def printed_table(name: str) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
    text = (FOLDER / "files" / name).read_text(encoding="utf-8").splitlines()
    cells = [line.split(",") for line in text if not line.startswith("#")]
    across = np.array([float(cell) for cell in cells[0][1:]])
    down = np.array([float(row[0]) for row in cells[1:]])
    inside = np.array([[float(cell or "nan") for cell in row[1:]] for row in cells[1:]])
    return down, across, inside


def test_all_cells_of_the_speed_table_come_back():
    after_min, leg_min, printed = printed_table("table_3a.csv")
    rows, columns = np.nonzero(np.isfinite(printed))
    assert rows.size == 147
    for row, column in zip(rows, columns, strict=True):
        share = after_slack(after_min[row], leg_min[column])
        # Half a tenth of printing, with a hair for a 5 that could go either way.
        assert abs(share - printed[row, column]) <= 0.05 + 1e-9


def test_all_cells_of_the_slack_table_come_back():
    maximum_kn, threshold_kn, printed = printed_table("table_4a.csv")
    assert printed.size == 55
    for row, maximum in enumerate(maximum_kn):
        for column, threshold in enumerate(threshold_kn):
            minutes = minutes_of_slack(threshold, maximum)
            assert abs(minutes - printed[row, column]) <= 0.5 + 1e-9
