import csv
from dataclasses import fields, replace
from pathlib import Path

import numpy as np
import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from energysim.physics.boat import forces_at_heading_n
from energysim.physics.chop import (
    adjusted_wind_mps,
    peak_period_s,
    significant_height_m,
    wavelength_m,
)
from energysim.physics.hull import bow_first_drag_n
from energysim.physics.leeway import free_drift, leeway_mps
from energysim.physics.station import Chop, Load, creep_load, drift_load, hold_load
from energysim.physics.wave_drift import DriftForces, DriftTable, drift_forces
from energysim.physics.wind import wind_at_height
from energysim.physics.windage import wind_forces_n

DATA = Path(__file__).parents[2] / "energysim" / "data"
KNOT_MPS = 1852.0 / 3600.0
POUND_FORCE_N = 4.4482216152605
WATER = {"water_density_kgpm3": 1000.0, "water_viscosity_m2ps": 1.14e-6}


def turn(first_deg, second_deg):
    """Return the angle between two bearings, 0 to 180."""
    return np.abs(np.mod(np.asarray(first_deg) - second_deg + 180.0, 360.0) - 180.0)


def thrust_at_fixed_heading(heading_deg, boat, **weather):
    forces = forces_at_heading_n(heading_deg, boat=boat, **weather)
    return np.hypot(forces.surge_n, forces.sway_n)


# ---- holding: limits


def test_without_a_stream_the_boat_lies_to_the_wind(skiff):
    load = hold_load(
        9.0, wind_from_deg=250.0, stream_mps=0.0, stream_toward_deg=33.0, boat=skiff
    )
    surge, _ = wind_forces_n(
        9.0, angle_off_bow_deg=0.0, windage=skiff.windage, air_density_kgpm3=1.225
    )
    assert load.heading_deg == pytest.approx(250.0, abs=0.01)
    assert load.thrust_n == pytest.approx(-surge, rel=1e-9)
    assert float(load.inflow_mps) == 0.0
    assert not load.astern


def test_without_a_wind_the_boat_lies_to_the_stream(skiff):
    # 1 kn past the 17.5 ft skiff, outboard down: 3.7 lbf by a prototype written beforehand.
    load = hold_load(
        0.0, wind_from_deg=250.0, stream_mps=KNOT_MPS, stream_toward_deg=30.0, boat=skiff
    )
    assert load.heading_deg == pytest.approx(210.0, abs=0.01)
    assert load.thrust_n / POUND_FORCE_N == pytest.approx(3.7, abs=0.06)
    assert load.inflow_mps == pytest.approx(KNOT_MPS, rel=1e-6)
    assert float(load.wind_force_n) == 0.0


def test_nothing_moving_asks_for_nothing(skiff):
    load = hold_load(0.0, wind_from_deg=77.0, stream_mps=0.0, stream_toward_deg=5.0, boat=skiff)
    assert float(load.thrust_n) == 0.0
    assert float(load.heading_deg) == 77.0


def test_wind_and_stream_from_ahead_add_up(skiff, console_boat):
    # Bow-on wind and stream by a prototype written beforehand, lbf, at 15 kn and 2 kn: 25.1
    # and 37.8 with the push of chop. Without chop (a sixth to a quarter of wind and chop
    # together) and with the wind taken somewhat lower, less is expected.
    for boat, with_chop, still_water in ((skiff, 25.1, 14.7), (console_boat, 37.8, 19.3)):
        wind = wind_at_height(
            15.0 * KNOT_MPS, reference_height_m=10.0, height_m=boat.windage.height_m
        )
        load = hold_load(
            wind,
            wind_from_deg=0.0,
            stream_mps=2.0 * KNOT_MPS,
            stream_toward_deg=180.0,
            boat=boat,
        )
        wind_part = load.thrust_n / POUND_FORCE_N - still_water
        assert load.heading_deg == pytest.approx(0.0, abs=1e-6)
        assert 0.65 < wind_part / (with_chop - still_water) < 0.84


# ---- holding: the thrust and where it points


def weather_cases(count, seed):
    """Return winds and streams of every strength and angle, some nearly opposed."""
    rng = np.random.default_rng(seed)
    angle = rng.uniform(-180.0, 180.0, count)
    angle[: count // 4] = 180.0 - rng.uniform(0.0, 25.0, count // 4)
    return {
        "wind_mps": rng.uniform(0.0, 20.0, count) * rng.choice([1.0, 0.1], count),
        "wind_from_deg": angle,
        "stream_mps": rng.uniform(0.0, 2.0, count) * rng.choice([1.0, 0.2], count),
        "stream_toward_deg": 180.0,
    }


def test_thrust_and_forces_cancel_along_across_and_in_turning(skiff):
    weather = weather_cases(2000, seed=1)
    load = hold_load(**weather, boat=skiff)
    forces = forces_at_heading_n(load.heading_deg, **weather, boat=skiff)
    pull = np.deg2rad(load.thrust_off_bow_deg)
    scale = load.wind_force_n + load.stream_force_n + 1e-9
    assert (np.abs(load.thrust_n * np.cos(pull) + forces.surge_n) <= 1e-9 * scale).all()
    assert (np.abs(load.thrust_n * np.sin(pull) + forces.sway_n) <= 1e-9 * scale).all()
    # A heading good to 0.01 deg leaves about a five-thousandth of the forces on the lever.
    lever = skiff.hull.bow_motor_m * scale
    assert (np.abs(forces.turning_moment_nm) <= 2e-4 * lever).all()
    assert not load.turning_moment_nm.any()


def test_a_beam_wind_turns_the_pull_away_from_the_keel_by_hand(skiff):
    # Bow given to the north, wind 8 m/s from the east, 0.7 m/s of stream from ahead: the
    # motor must pull ahead against the drag and to starboard against the wind.
    weather = {
        "wind_from_deg": 90.0,
        "stream_mps": 0.7,
        "stream_toward_deg": 180.0,
    }
    load = hold_load(8.0, **weather, boat=skiff, heading_deg=0.0)
    drag = float(bow_first_drag_n(0.7, hull=skiff.hull, **WATER))
    _, side = wind_forces_n(
        8.0, angle_off_bow_deg=90.0, windage=skiff.windage, air_density_kgpm3=1.225
    )
    angle = np.arctan2(-float(side), drag)
    assert load.thrust_n == pytest.approx(np.hypot(drag, side), rel=1e-9)
    assert load.thrust_off_bow_deg == pytest.approx(np.rad2deg(angle), rel=1e-9)
    assert load.inflow_mps == pytest.approx(0.7 * np.cos(angle), rel=1e-9)
    # The wind pulls at the middle, the motor at the bow: it cannot keep this heading alone.
    assert float(load.turning_moment_nm) > 100.0
    assert float(load.steady_headings) == 0.0


def test_insisting_on_the_heading_it_takes_anyway_costs_the_same(skiff):
    weather = weather_cases(200, seed=7)
    free = hold_load(**weather, boat=skiff)
    held = hold_load(**weather, boat=skiff, heading_deg=free.heading_deg)
    assert (held.thrust_n == free.thrust_n).all()


def test_bow_to_the_wind_with_the_stream_astern_is_the_dear_way_to_lie(skiff):
    # 5 kn of wind against 2 kn: the prototype written beforehand has 39 lbf with chop, bow
    # held to the wind, and 14 lbf as the boat lies by itself.
    wind = wind_at_height(
        5.0 * KNOT_MPS, reference_height_m=10.0, height_m=skiff.windage.height_m
    )
    weather = {"wind_from_deg": 0.0, "stream_mps": 2.0 * KNOT_MPS, "stream_toward_deg": 0.0}
    free = hold_load(wind, **weather, boat=skiff)
    held = hold_load(wind, **weather, boat=skiff, heading_deg=0.0)
    assert held.thrust_n / POUND_FORCE_N == pytest.approx(39.2, rel=0.05)
    assert free.thrust_n / POUND_FORCE_N == pytest.approx(14.0, rel=0.05)
    assert bool(held.astern)


def test_chop_from_ahead_adds_its_push(skiff):
    forces = DriftForces(
        head_surge_n=np.array(20.0),
        quarter_surge_n=np.array(25.0),
        quarter_sway_n=np.array(60.0),
        beam_sway_n=np.array(110.0),
    )
    weather = {"wind_from_deg": 0.0, "stream_mps": 0.5, "stream_toward_deg": 180.0}
    smooth = hold_load(6.0, **weather, boat=skiff)
    rough = hold_load(6.0, **weather, boat=skiff, chop=Chop(from_deg=0.0, forces=forces))
    assert rough.thrust_n - smooth.thrust_n == pytest.approx(20.0, rel=1e-9)
    assert float(rough.chop_force_n) == pytest.approx(20.0)


def test_the_boat_is_not_left_with_the_stream_on_the_transom_while_it_can_face_it(skiff):
    # 2 kn against 10 kn of wind at the windage.
    load = hold_load(
        10.0 * KNOT_MPS,
        wind_from_deg=0.0,
        stream_mps=2.0 * KNOT_MPS,
        stream_toward_deg=0.0,
        boat=skiff,
    )
    assert turn(load.heading_deg, 180.0) < 12.0
    assert np.abs(load.thrust_off_bow_deg) < 60.0


# ---- holding: wind against stream


def test_wind_against_stream_relieve_each_other(skiff):
    wind, stream = 12.0 * KNOT_MPS, 1.8 * KNOT_MPS
    both, wind_alone, stream_alone = (
        float(
            hold_load(
                w, wind_from_deg=0.0, stream_mps=s, stream_toward_deg=0.0, boat=skiff
            ).thrust_n
        )
        for w, s in ((wind, stream), (wind, 0.0), (0.0, stream))
    )
    assert both < 0.85 * max(wind_alone, stream_alone)


def chop_of_two_kilometres(boat, wind_10m_mps, hull):
    """Chop of a 2 km fetch over 3 m of water, from the north, and its push on a boat."""
    with (DATA / "wave_drift.csv").open(encoding="utf-8", newline="") as handle:
        rows = [row for row in csv.DictReader(handle) if row["hull"] == hull]
    columns = {
        "wavelength_ratio": "wavelength_over_length",
        **{name: name for name in ("head_surge", "quarter_surge", "quarter_sway", "beam_sway")},
    }
    table = {key: np.array([float(row[name]) for row in rows]) for key, name in columns.items()}
    wind = adjusted_wind_mps(wind_10m_mps)
    period = peak_period_s(wind, fetch_m=2000.0, depth_m=3.0)
    forces = drift_forces(
        significant_height_m(wind, fetch_m=2000.0, depth_m=3.0),
        wavelength_m=wavelength_m(period, depth_m=3.0),
        length_m=boat.hull.length_wl_m,
        beam_m=boat.hull.beam_wl_m,
        water_density_kgpm3=1000.0,
        table=DriftTable(**table),
    )
    return Chop(from_deg=0.0, forces=forces)


@pytest.mark.reference
@pytest.mark.parametrize(
    ("name", "hull", "printed"),
    [
        (
            "skiff",
            "skiff",
            {
                5: [(180, 3), (180, 14), (180, 33)],
                10: [(162, 3), (180, 10), (180, 29)],
                15: [(85, 3), (176, 5), (180, 23)],
                20: [(0, 8), (164, 9), (180, 16)],
                25: [(0, 16), (144, 22), (174, 10)],
            },
        ),
        (
            "console_boat",
            "centre-console",
            {
                5: [(180, 3), (180, 18), (180, 43)],
                10: [(156, 7), (180, 11), (180, 37)],
                15: [(80, 5), (173, 6), (180, 26)],
                20: [(0, 17), (158, 28), (178, 13)],
                25: [(0, 33), (133, 48), (170, 22)],
            },
        ),
    ],
)
def test_opposed_headings_and_thrusts_agree_with_a_prototype(request, name, hull, printed):
    # A separate program of ours, written beforehand from the same literature: wind in kn
    # against 1, 2 and 3 kn of stream, chop of a 2 km fetch; heading off the wind in degrees and
    # thrust in lbf, as printed. Its places of the forces were its own, so 10 deg and 6.5 lbf
    # are allowed where wind and stream are near balance. It shows that the law is coded as
    # meant, not that boats lie so: both share their sources.
    boat = request.getfixturevalue(name)
    for wind_kn, cells in printed.items():
        forecast = wind_kn * KNOT_MPS
        load = hold_load(
            wind_at_height(forecast, reference_height_m=10.0, height_m=boat.windage.height_m),
            wind_from_deg=0.0,
            stream_mps=np.array([1.0, 2.0, 3.0]) * KNOT_MPS,
            stream_toward_deg=0.0,
            boat=boat,
            chop=chop_of_two_kilometres(boat, forecast, hull),
        )
        headings, thrusts = np.array(cells, dtype=float).T
        assert turn(load.heading_deg, 0.0) == pytest.approx(headings, abs=10.0)
        assert load.thrust_n / POUND_FORCE_N == pytest.approx(thrusts, abs=6.5)


def test_exactly_opposed_and_a_hair_to_either_side_ask_for_the_same(skiff):
    load = hold_load(
        6.0,
        wind_from_deg=[179.999, 180.0, 180.001],
        stream_mps=0.9,
        stream_toward_deg=180.0,
        boat=skiff,
    )
    assert load.thrust_n == pytest.approx(np.full(3, load.thrust_n[1]), rel=1e-3)
    # The middle one may lie to either side.
    assert turn(load.heading_deg[0], 360.0 - load.heading_deg[2]) < 0.1


def test_a_push_from_astern_is_pulled_back_with_less_water_in_the_propeller(skiff):
    # 15 kn against 1 kn: the boat lies across and the wind wins along the keel.
    load = hold_load(
        12.0 * KNOT_MPS,
        wind_from_deg=0.0,
        stream_mps=KNOT_MPS,
        stream_toward_deg=0.0,
        boat=skiff,
    )
    assert bool(load.astern)
    assert float(load.thrust_n) > 0.0
    assert float(load.inflow_mps) < 0.5 * KNOT_MPS


# ---- holding: continuity


def largest_step(values):
    return float(np.abs(np.diff(values)).max())


@pytest.mark.parametrize(
    ("name", "reach", "fixed"),
    [
        ("wind_mps", (0.0, 18.0), {"wind_from_deg": 40.0}),
        ("wind_mps", (0.0, 18.0), {"wind_from_deg": 90.0}),
        ("wind_mps", (0.0, 18.0), {"wind_from_deg": 150.0}),
        ("stream_mps", (0.0, 2.0), {"wind_from_deg": 40.0}),
        ("stream_mps", (0.0, 2.0), {"wind_from_deg": 90.0}),
        ("stream_mps", (0.0, 2.0), {"wind_from_deg": 150.0}),
        ("wind_from_deg", (-150.0, 150.0), {}),
        ("wind_from_deg", (100.0, 260.0), {"wind_mps": 4.0}),
        ("wind_from_deg", (0.0, 360.0), {"wind_mps": 9.0, "stream_mps": 1.5}),
    ],
)
def test_thrust_changes_without_a_jump(skiff, name, reach, fixed):
    """Halving the step of a sweep must halve its largest change: a jump would not shrink."""
    steps = []
    for count in (2001, 4001):
        weather = {
            "wind_mps": 7.0,
            "wind_from_deg": 0.0,
            "stream_mps": 0.9,
            "stream_toward_deg": 180.0,
        } | fixed
        weather[name] = np.linspace(*reach, count)
        steps.append(largest_step(hold_load(boat=skiff, **weather).thrust_n))
    assert steps[1] < 0.7 * steps[0]


def test_followed_through_opposition_the_thrust_jumps_only_where_the_boat_swings(skiff):
    """The wind goes round through dead astern of the stream, three times as fine the second."""
    largest = []
    for count in (1501, 4501):
        angle = np.linspace(-40.0, 40.0, count)
        load = hold_load(
            7.0,
            wind_from_deg=angle,
            stream_mps=0.6,
            stream_toward_deg=0.0,
            boat=skiff,
            fresh=np.zeros(count, dtype=bool),
        )
        assert int(load.swung.sum()) == 1
        steps = np.abs(np.diff(load.thrust_n))
        largest.append(steps[~load.swung[1:]].max())
        # It went past exact opposition on its old side before it swung.
        assert angle[np.flatnonzero(load.swung)[0]] > 2.0
    # A heading about to vanish turns ever faster: its last step shrinks as the root, 0.58.
    assert largest[1] < 0.7 * largest[0]


# ---- holding: properties


@given(
    st.floats(-90.0, 90.0),
    st.floats(-90.0, 90.0),
    st.floats(0.0, 2.0),
    st.floats(0.0, 20.0),
    st.floats(0.01, 5.0),
)
@settings(max_examples=150)
def test_more_wind_never_costs_less_facing_the_stream(
    hull_rows, off_deg, stream_from_deg, stream_mps, wind_mps, more_mps
):
    """Bow to the stream, wind within a right angle of the bow."""
    weather = {
        "wind_from_deg": stream_from_deg + off_deg,
        "stream_mps": stream_mps,
        "stream_toward_deg": stream_from_deg + 180.0,
    }
    less, more = thrust_at_fixed_heading(
        stream_from_deg,
        hull_rows.boat(),
        wind_mps=np.array([wind_mps, wind_mps + more_mps]),
        **weather,
    )
    assert more >= less - 1e-9


@given(
    st.floats(-180.0, 180.0),
    st.floats(0.0, 20.0),
    st.floats(0.0, 2.0),
    st.floats(-360.0, 720.0),
)
@settings(max_examples=100)
def test_turning_the_compass_or_mirroring_the_weather_changes_nothing(
    hull_rows, angle_deg, wind_mps, stream_mps, turned_deg
):
    load = hold_load(
        wind_mps,
        wind_from_deg=np.array([angle_deg, -angle_deg, angle_deg + turned_deg]),
        stream_mps=stream_mps,
        stream_toward_deg=np.array([180.0, 180.0, 180.0 + turned_deg]),
        boat=hull_rows.boat(),
    )
    # A heading about to vanish can be seen from one side and not from the other.
    assume(np.ptp(load.steady_headings) == 0.0)
    # Near opposition the heading is soft, so a rounding of the angle shows a little.
    tolerance = 1e-3 * (load.wind_force_n.max() + load.stream_force_n.max()) + 1e-9
    assert load.thrust_n == pytest.approx(np.full(3, load.thrust_n[0]), abs=tolerance)


def all_fields(load):
    return {field.name: getattr(load, field.name) for field in fields(Load)}


def test_hold_over_steps_and_members_gives_what_single_numbers_give(hull_rows):
    factors = np.array([0.8, 1.0, 1.3])
    boats = hull_rows.boat(drag_factor=factors, wind_factor=factors[::-1])
    winds = np.array([[0.0], [5.0], [11.0]])
    angles = np.array([[10.0], [120.0], [180.0]])
    together = hold_load(
        winds, wind_from_deg=angles, stream_mps=0.7, stream_toward_deg=180.0, boat=boats
    )
    for row in range(3):
        for column in range(3):
            one = hold_load(
                float(winds[row, 0]),
                wind_from_deg=float(angles[row, 0]),
                stream_mps=0.7,
                stream_toward_deg=180.0,
                boat=hull_rows.boat(
                    drag_factor=float(factors[column]), wind_factor=float(factors[::-1][column])
                ),
            )
            for name, value in all_fields(together).items():
                assert value.shape == (3, 3)
                assert value[row, column] == pytest.approx(
                    all_fields(one)[name], rel=1e-7, abs=1e-7
                )


@pytest.mark.parametrize(
    ("change", "name"),
    [
        ({"wind_mps": -1.0}, "wind_mps = -1"),
        ({"stream_mps": np.nan}, "stream_mps"),
        ({"wind_from_deg": np.inf}, "wind_from_deg"),
    ],
)
def test_impossible_weather_is_refused(skiff, change, name):
    weather = {
        "wind_mps": 5.0,
        "wind_from_deg": 0.0,
        "stream_mps": 0.5,
        "stream_toward_deg": 90.0,
    } | change
    with pytest.raises(ValueError, match=name):
        hold_load(boat=skiff, **weather)


def test_an_airless_boat_is_refused(skiff):
    with pytest.raises(ValueError, match="air_density_kgpm3 = 0"):
        replace(skiff, air_density_kgpm3=0.0)


# ---- creeping

CALM_AND_STILL = {
    "wind_mps": 0.0,
    "wind_from_deg": 0.0,
    "stream_mps": 0.0,
    "stream_toward_deg": 0.0,
}


def test_creeping_in_still_air_and_water_costs_the_drag_and_the_boats_own_wind(skiff):
    load = creep_load(
        **CALM_AND_STILL, course_deg=135.0, speed_mps=KNOT_MPS, over_ground=True, boat=skiff
    )
    own_wind, _ = wind_forces_n(
        KNOT_MPS, angle_off_bow_deg=0.0, windage=skiff.windage, air_density_kgpm3=1.225
    )
    assert load.thrust_n / POUND_FORCE_N == pytest.approx(
        3.73 - float(own_wind) / POUND_FORCE_N, abs=0.02
    )
    assert load.heading_deg == pytest.approx(135.0)
    assert load.inflow_mps == pytest.approx(KNOT_MPS)
    assert load.course_deg == pytest.approx(135.0)


def test_the_boat_crabs_across_a_stream(skiff):
    # A 3-4-5 triangle: 0.4 m/s east over the ground in a stream of 0.3 m/s to the north asks
    # for 0.5 m/s through the water, heading 90 + 36.87 deg.
    load = creep_load(
        **CALM_AND_STILL | {"stream_mps": 0.3},
        course_deg=90.0,
        speed_mps=0.4,
        over_ground=True,
        boat=skiff,
    )
    assert load.heading_deg == pytest.approx(126.8699, abs=1e-3)
    assert load.inflow_mps == pytest.approx(0.5, rel=1e-3)
    assert load.speed_over_ground_mps == pytest.approx(0.4)
    assert load.course_deg == pytest.approx(90.0)


def test_through_the_water_the_stream_carries_the_boat_along(skiff):
    load = creep_load(
        **CALM_AND_STILL | {"stream_mps": 0.3},
        course_deg=90.0,
        speed_mps=0.4,
        over_ground=False,
        boat=skiff,
    )
    assert load.heading_deg == pytest.approx(90.0)
    assert load.speed_over_ground_mps == pytest.approx(0.5)
    assert load.course_deg == pytest.approx(53.1301, abs=1e-3)


def test_stemming_the_stream_is_holding_bow_to_it(skiff):
    weather = {
        "wind_mps": 6.0,
        "wind_from_deg": 180.0,
        "stream_mps": 0.8,
        "stream_toward_deg": 0.0,
    }
    creep = creep_load(**weather, course_deg=180.0, speed_mps=0.0, over_ground=True, boat=skiff)
    hold = hold_load(**weather, boat=skiff)
    for name in ("thrust_n", "heading_deg", "inflow_mps", "wind_force_n", "stream_force_n"):
        assert getattr(creep, name) == pytest.approx(getattr(hold, name), rel=1e-9, abs=1e-9)


def test_going_with_the_stream_at_its_own_speed_the_boat_faces_the_wind(skiff):
    load = creep_load(
        8.0,
        wind_from_deg=90.0,
        stream_mps=0.7,
        stream_toward_deg=33.0,
        course_deg=33.0,
        speed_mps=0.7,
        over_ground=True,
        boat=skiff,
    )
    felt = np.array([-8.0, 0.0]) - 0.7 * np.array(
        [np.sin(np.deg2rad(33.0)), np.cos(np.deg2rad(33.0))]
    )
    assert load.heading_deg == pytest.approx(np.rad2deg(np.arctan2(*-felt)) % 360.0, abs=1e-6)
    assert float(load.stream_force_n) == pytest.approx(0.0, abs=1e-9)


def test_a_wind_from_astern_can_ask_for_a_pull_back(skiff):
    load = creep_load(
        14.0,
        wind_from_deg=180.0,
        stream_mps=0.0,
        stream_toward_deg=0.0,
        course_deg=0.0,
        speed_mps=0.2,
        over_ground=True,
        boat=skiff,
    )
    assert bool(load.astern)
    assert float(load.inflow_mps) == 0.0


@given(st.floats(-90.0, 90.0), st.floats(0.05, 1.5), st.floats(0.0, 15.0), st.floats(0.01, 4.0))
@settings(max_examples=60)
def test_more_wind_before_the_beam_never_makes_creeping_cheaper(
    hull_rows, off_deg, speed_mps, wind_mps, more_mps
):
    less, more = creep_load(
        np.array([wind_mps, wind_mps + more_mps]),
        wind_from_deg=off_deg,
        stream_mps=0.0,
        stream_toward_deg=0.0,
        course_deg=0.0,
        speed_mps=speed_mps,
        over_ground=True,
        boat=hull_rows.boat(),
    ).thrust_n
    assert more >= less - 1e-9


# ---- drifting


def test_free_drift_balances_wind_and_water(skiff):
    wind = 9.0
    leeway = float(leeway_mps(wind, boat=skiff))
    _, side = wind_forces_n(
        wind - leeway, angle_off_bow_deg=-90.0, windage=skiff.windage, air_density_kgpm3=1.225
    )
    drag = 0.5 * 1000.0 * skiff.hull.length_wl_m * skiff.hull.draft_m * leeway**2
    assert side == pytest.approx(drag, rel=1e-9)


def test_a_drift_slower_than_wanted_is_left_alone(skiff):
    # Wind from the west over a stream to the north: the boat goes with both.
    leeway = float(leeway_mps(np.hypot(8.0, 0.4), boat=skiff))
    toward = np.array([8.0, -0.4]) / np.hypot(8.0, 0.4)
    ground = np.array([0.0, 0.4]) + leeway * toward
    load = drift_load(
        8.0,
        wind_from_deg=270.0,
        stream_mps=0.4,
        stream_toward_deg=0.0,
        drift_speed_mps=2.0,
        boat=skiff,
    )
    assert (float(load.thrust_n), float(load.inflow_mps)) == (0.0, 0.0)
    assert load.speed_over_ground_mps == pytest.approx(np.hypot(*ground))
    assert load.course_deg == pytest.approx(np.rad2deg(np.arctan2(*ground)) % 360.0)
    assert load.wind_force_n == pytest.approx(load.stream_force_n, rel=1e-9)


def test_a_drift_brought_to_nothing_is_a_hold(skiff):
    weather = {
        "wind_mps": 8.0,
        "wind_from_deg": 270.0,
        "stream_mps": 0.5,
        "stream_toward_deg": 0.0,
    }
    drift, hold = (
        drift_load(**weather, drift_speed_mps=0.0, boat=skiff),
        hold_load(**weather, boat=skiff),
    )
    assert drift.thrust_n == pytest.approx(hold.thrust_n, rel=1e-9)
    assert drift.heading_deg == pytest.approx(hold.heading_deg, abs=1e-6)


@pytest.mark.parametrize("name", ["skiff", "console_boat"])
@pytest.mark.parametrize(
    "weather",
    [
        {"wind_mps": 9.0, "wind_from_deg": 270.0, "stream_mps": 0.0},
        {"wind_mps": 9.0, "wind_from_deg": 180.0, "stream_mps": 0.6},
        {"wind_mps": 4.0, "wind_from_deg": 300.0, "stream_mps": 0.9},
    ],
    ids=["no-stream", "with-the-stream", "across"],
)
def test_a_slower_drift_never_costs_less(request, name, weather):
    boat = request.getfixturevalue(name)
    wanted = np.linspace(0.0, 2.0, 401)
    load = drift_load(**weather, stream_toward_deg=0.0, drift_speed_mps=wanted, boat=boat)
    steps = np.diff(load.thrust_n)
    # Close to its free drift the boat can lie several ways and swing, and the thrust jump.
    alone = (load.steady_headings[1:] <= 1) & (load.steady_headings[:-1] <= 1)
    assert (steps[alone] <= 1e-3 * load.thrust_n[0]).all()
    assert (wanted[1:][~alone] > 0.75 * load.speed_over_ground_mps.max()).all()
    assert (load.speed_over_ground_mps <= wanted + 1e-12).all()


def test_a_slowed_drift_is_never_pushed_along_and_never_free(skiff, console_boat):
    """Any wind, stream and angle: the pull has no part along the drift, or holds the spot."""
    rng = np.random.default_rng(4)
    weather = {
        "wind_mps": rng.uniform(0.5, 12.0, 600),
        "wind_from_deg": rng.uniform(0.0, 360.0, 600),
        "stream_mps": rng.uniform(0.0, 1.2, 600),
        "stream_toward_deg": 0.0,
    }
    wanted = rng.uniform(0.0, 1.0, 600)
    for boat in (skiff, console_boat):
        load = drift_load(**weather, drift_speed_mps=wanted, boat=boat)
        free = free_drift(**weather, boat=boat).speed_over_ground_mps <= wanted
        toward = np.deg2rad(load.heading_deg + load.thrust_off_bow_deg - load.course_deg)
        along = load.thrust_n * np.cos(toward)
        stopped = load.speed_over_ground_mps == 0.0
        assert (along[~stopped] <= 1e-9 + 2e-3 * load.thrust_n[~stopped]).all()
        assert (load.thrust_n[free] == 0.0).all()
        assert (load.thrust_n[~free] > 0.0).all()
        slower = ~free & (load.speed_over_ground_mps < wanted)
        assert slower.any()


def test_a_drift_stopped_against_the_wind_is_charged_like_a_hold(console_boat):
    # The stream carries the boat north, the wind from the north wins once its bow is held:
    # the pull is with the drift, and the spot costs all of it.
    weather = {
        "wind_mps": 7.0,
        "wind_from_deg": 0.0,
        "stream_mps": 0.8,
        "stream_toward_deg": 0.0,
    }
    stopped = drift_load(**weather, drift_speed_mps=0.0, boat=console_boat)
    held = hold_load(**weather, boat=console_boat)
    toward = np.deg2rad(stopped.heading_deg + stopped.thrust_off_bow_deg - stopped.course_deg)
    assert float(np.cos(toward)) > 0.0
    assert float(held.thrust_n) > 20.0
    assert stopped.thrust_n == pytest.approx(held.thrust_n, rel=1e-9)
    # A crawl that still would have to be pushed is held as well, and costs as much.
    crawl = drift_load(**weather, drift_speed_mps=0.02, boat=console_boat)
    assert float(crawl.speed_over_ground_mps) < 1e-5
    assert crawl.thrust_n == pytest.approx(held.thrust_n, rel=1e-3)


@pytest.mark.reference
@pytest.mark.parametrize(
    ("kind", "published_pct", "published_cm_s", "least", "most"),
    [
        ("skiff", 3.15, 0.0, 1.4, 1.7),
        ("skiff", 2.87, 3.98, 1.3, 1.7),
        ("skiff", 2.52, 13.37, 0.9, 1.4),
        ("centre-console", 5.55, 0.0, 0.9, 1.1),
    ],
    ids=["modified-V-skiff", "V-skiff", "aluminium-V-skiff", "open-centre-console"],
)
def test_free_drift_against_published_leeway(
    hull_rows, kind, published_pct, published_cm_s, least, most
):
    # US Coast Guard leeway classes (Allen and others), as read in the data file of a public
    # drift model: downwind leeway = slope x 10 m wind + offset, 10 to 20 kn. Our law is up to
    # 1.7 times the skiffs; the bounds state that excess, they do not bless it. The sideways
    # coefficient was chosen after a look at these figures, so this validates nothing.
    boat = hull_rows.console_boat() if kind == "centre-console" else hull_rows.boat()
    forecast = np.array([10.0, 15.0, 20.0]) * KNOT_MPS
    wind = wind_at_height(forecast, reference_height_m=10.0, height_m=boat.windage.height_m)
    published = published_pct / 100.0 * forecast + published_cm_s / 100.0
    ratio = leeway_mps(wind, boat=boat) / published
    assert (ratio > least).all()
    assert (ratio < most).all()
