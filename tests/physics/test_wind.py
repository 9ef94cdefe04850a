from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from energysim.physics.blendermann import blendermann_coefficients, blendermann_yaw_coefficient
from energysim.physics.wind import (
    neutral_drag_coefficient,
    velocity_pressure_pa,
    wind_at_height,
    wind_at_height_power_law,
)
from energysim.physics.windage import (
    Windage,
    wind_forces_n,
    wind_moment_nm,
)
from energysim.physics.windage_form import windage_from_dimensions

FISHING_VESSEL = {
    "side_coefficient": 0.95,
    "bow_coefficient": 0.7,
    "stern_coefficient": 0.7,
    "cross_force_parameter": 0.4,
}
FOOT_M = 0.3048
INCH_M = 0.0254


@pytest.fixture
def windage():
    return Windage(
        frontal_area_m2=2.0,
        lateral_area_m2=4.0,
        length_m=5.0,
        centroid_m=-0.2,
        height_m=0.8,
        wind_factor=1.0,
        **FISHING_VESSEL,
    )


# ---- height


def test_a_wind_wanted_at_its_own_height_comes_back_untouched():
    for height_m in (0.5, 2.0, 10.0):
        wind = wind_at_height(7.3, reference_height_m=height_m, height_m=height_m)
        assert wind == pytest.approx(7.3, rel=1e-14)


def test_a_calm_stays_a_calm_at_any_height():
    calm = wind_at_height([0.0, 0.0], reference_height_m=[10.0, 2.0], height_m=0.6)
    assert calm.tolist() == [0.0, 0.0]


def test_the_log_law_by_hand():
    # C10 at 10 m/s = 0.2717e-3 + 0.142e-3 + 0.764e-3 = 1.1777e-3; its root over 0.4 is
    # 0.085794; times ln(0.2) = -1.609438 gives 1 - 0.138080.
    wind = wind_at_height(10.0, reference_height_m=10.0, height_m=2.0)
    assert wind == pytest.approx(8.6192, abs=1e-4)


@given(st.floats(0.0, 30.0), st.floats(0.3, 30.0))
@settings(max_examples=100)
def test_down_and_up_again_gives_the_forecast_back(forecast_mps, height_m):
    local = wind_at_height(forecast_mps, reference_height_m=10.0, height_m=height_m)
    back = wind_at_height(local, reference_height_m=height_m, height_m=10.0)
    assert back == pytest.approx(forecast_mps, rel=2e-6, abs=1e-12)


@given(st.floats(0.01, 30.0), st.floats(0.2, 9.0))
@settings(max_examples=100)
def test_wind_grows_with_height_and_with_the_forecast(forecast_mps, height_m):
    low, high = wind_at_height(
        forecast_mps, reference_height_m=10.0, height_m=[height_m, height_m + 1.0]
    )
    assert 0.0 < low < high
    more = wind_at_height(1.02 * forecast_mps, reference_height_m=10.0, height_m=height_m)
    assert more > low


def test_the_seventh_root_gives_a_fifth_less_force_at_one_metre():
    log = wind_at_height(10.0, reference_height_m=10.0, height_m=1.0)
    power = wind_at_height_power_law(
        10.0, reference_height_m=10.0, height_m=1.0, exponent=1.0 / 7.0
    )
    assert 1.0 - (power / log) ** 2 == pytest.approx(0.20, abs=0.01)


def test_outside_its_range_the_drag_law_keeps_its_end_values():
    inside = neutral_drag_coefficient([1.0, 25.0])
    assert neutral_drag_coefficient([0.0, 60.0]).tolist() == inside.tolist()


@pytest.mark.parametrize(
    ("arguments", "name"),
    [
        ({"wind_mps": -1.0}, "wind_mps = -1"),
        ({"wind_mps": np.nan}, "wind_mps"),
        ({"height_m": 0.0}, "height_m = 0"),
        ({"reference_height_m": 1000.0}, "reference_height_m = 1000"),
    ],
    ids=["negative", "not-a-number", "on-the-water", "aloft"],
)
def test_a_wind_or_height_out_of_range_is_refused(arguments, name):
    given_arguments = {"wind_mps": 5.0, "reference_height_m": 10.0, "height_m": 1.0} | arguments
    with pytest.raises(ValueError, match=name):
        wind_at_height(given_arguments.pop("wind_mps"), **given_arguments)


# ---- coefficients and forces


def test_a_head_wind_pushes_astern_and_a_stern_wind_ahead(windage):
    # By hand: 0.5 x 1.225 x 100 x 2.0 x 0.7 = 85.75 N.
    surge, sway = wind_forces_n(
        10.0, angle_off_bow_deg=[0.0, 180.0], windage=windage, air_density_kgpm3=1.225
    )
    assert surge == pytest.approx([-85.75, 85.75])
    assert sway == pytest.approx([0.0, 0.0], abs=1e-10)


def test_a_beam_wind_pushes_to_the_other_side(windage):
    # By hand: 0.5 x 1.225 x 100 x 4.0 x 0.95 = 232.75 N.
    surge, sway = wind_forces_n(
        10.0, angle_off_bow_deg=[90.0, -90.0], windage=windage, air_density_kgpm3=1.225
    )
    assert sway == pytest.approx([-232.75, 232.75])
    assert surge == pytest.approx([0.0, 0.0], abs=1e-10)


@given(st.floats(-180.0, 180.0), st.floats(0.1, 30.0))
@settings(max_examples=100)
def test_wind_force_grows_with_the_square_and_mirrors(angle_deg, wind_mps):
    windage = Windage(
        frontal_area_m2=2.0,
        lateral_area_m2=4.0,
        length_m=5.0,
        centroid_m=-0.2,
        height_m=0.8,
        wind_factor=1.0,
        **FISHING_VESSEL,
    )
    surge, sway = wind_forces_n(
        [wind_mps, 2.0 * wind_mps, wind_mps],
        angle_off_bow_deg=[angle_deg, angle_deg, -angle_deg],
        windage=windage,
        air_density_kgpm3=1.2,
    )
    assert surge == pytest.approx(surge[0] * np.array([1.0, 4.0, 1.0]), rel=1e-9, abs=1e-9)
    assert sway == pytest.approx(sway[0] * np.array([1.0, 4.0, -1.0]), rel=1e-9, abs=1e-9)


def test_thirty_degrees_off_the_wind_costs_two_thirds_more(windage):
    # Why yawing matters: about 1.7 times the force of bow-on for a boat of these proportions,
    # a sum made beforehand from the same law, so a check of the code only.
    surge, sway = wind_forces_n(
        10.0, angle_off_bow_deg=[0.0, 30.0], windage=windage, air_density_kgpm3=1.225
    )
    assert np.hypot(surge[1], sway[1]) / np.hypot(surge[0], sway[0]) == pytest.approx(
        1.7, abs=0.2
    )


def test_the_owners_factor_scales_every_wind_force(windage):
    plain = wind_forces_n(8.0, angle_off_bow_deg=50.0, windage=windage, air_density_kgpm3=1.2)
    scaled = wind_forces_n(
        8.0,
        angle_off_bow_deg=50.0,
        windage=replace(windage, wind_factor=1.3),
        air_density_kgpm3=1.2,
    )
    assert np.array(scaled) == pytest.approx(1.3 * np.array(plain))


def test_the_turning_moment_vanishes_abeam_of_a_centred_boat_and_turns_it_broadside():
    angles = np.array([45.0, 90.0, 135.0])
    _, sway = blendermann_coefficients(angles, area_ratio=0.5, **FISHING_VESSEL)
    yaw = blendermann_yaw_coefficient(angles, sway_coefficient=sway, centroid_offset=0.0)
    # By hand at 45 degrees: -0.18 x (pi/4 - pi/2) = 0.141372 of the sway coefficient.
    assert yaw / sway == pytest.approx([0.141372, 0.0, -0.141372], abs=1e-6)


def test_the_turning_moment_turns_about_with_the_side_of_the_wind():
    _, sway = blendermann_coefficients([60.0, -60.0], area_ratio=0.5, **FISHING_VESSEL)
    yaw = blendermann_yaw_coefficient(
        [60.0, -60.0], sway_coefficient=sway, centroid_offset=0.05
    )
    assert yaw[0] == pytest.approx(-yaw[1])


def test_the_winds_moment_by_hand(windage):
    # 45 degrees: lever 5 x 0.18 x pi/4 - 0.2 = 0.506858 m forward; a wind from port abaft
    # the beam, 135 degrees: the same share aft, -0.906858 m.
    angle = np.deg2rad([45.0, -135.0])
    moment = wind_moment_nm(
        [-100.0, 100.0], cosine=np.cos(angle), sine=np.sin(angle), windage=windage
    )
    assert moment == pytest.approx([-50.6858, -90.6858], abs=1e-4)


def test_an_array_of_winds_over_boats_gives_what_single_numbers_give():
    areas = np.array([1.8, 2.4])
    boats = Windage(
        frontal_area_m2=areas,
        lateral_area_m2=4.0,
        length_m=5.0,
        centroid_m=-0.2,
        height_m=0.8,
        wind_factor=1.0,
        **FISHING_VESSEL,
    )
    winds, angles = np.array([[3.0], [9.0], [0.0]]), np.array([[10.0], [120.0], [77.0]])
    surge, sway = wind_forces_n(
        winds, angle_off_bow_deg=angles, windage=boats, air_density_kgpm3=1.2
    )
    assert surge.shape == (3, 2)
    for row in range(3):
        for column in range(2):
            one = wind_forces_n(
                float(winds[row, 0]),
                angle_off_bow_deg=float(angles[row, 0]),
                windage=replace(boats, frontal_area_m2=float(areas[column])),
                air_density_kgpm3=1.2,
            )
            both = (surge[row, column], np.broadcast_to(sway, surge.shape)[row, column])
            assert both == pytest.approx(tuple(map(float, one)), rel=1e-13)


def test_a_windage_without_area_is_refused(windage):
    with pytest.raises(ValueError, match="frontal_area_m2 = 0"):
        replace(windage, frontal_area_m2=0.0)


def test_velocity_pressure_refuses_a_negative_wind():
    with pytest.raises(ValueError, match="wind_mps = -3"):
        velocity_pressure_pa(-3.0, air_density_kgpm3=1.2)


# ---- areas from dimensions


@pytest.mark.parametrize(
    ("kind", "feet", "beam_feet", "freeboard_inches", "people", "frontal", "lateral"),
    [
        ("skiff", 16.0, 6.5, 18.0, 2, 1.9, 3.6),
        ("skiff", 17.5, 7.0, 20.0, 2, 2.1, 4.2),
        ("bay-boat", 18.0, 7.5, 22.0, 2, 2.8, 5.3),
        ("centre-console", 20.0, 8.0, 28.0, 3, 4.1, 7.6),
        ("centre-console", 24.0, 8.5, 32.0, 3, 4.5, 9.3),
        ("centre-console-canopy", 24.0, 8.5, 32.0, 3, 5.0, 10.0),
    ],
)
def test_areas_of_typical_boats(
    hull_rows, kind, feet, beam_feet, freeboard_inches, people, frontal, lateral
):
    # Sums of the pieces worked by hand beforehand; our estimates, printed to 0.1 m2.
    _, form, _ = hull_rows.forms(kind)
    windage = windage_from_dimensions(
        feet * FOOT_M,
        beam_m=beam_feet * FOOT_M,
        freeboard_m=freeboard_inches * INCH_M,
        people=people,
        form=form,
        wind_factor=1.0,
    )
    assert windage.frontal_area_m2 == pytest.approx(frontal, abs=0.06)
    assert windage.lateral_area_m2 == pytest.approx(lateral, abs=0.06)


def test_lateral_area_over_length_and_beam_is_near_a_published_boat(hull_rows):
    # A filled ISO 12217-1 worksheet of an 8.88 m boat: 14 m2 / (8.88 m x 2.99 m) = 0.527, and
    # the standard's own floor of 0.55. Ours is an open boat, so no more than that is expected.
    _, form, _ = hull_rows.forms("centre-console")
    windage = windage_from_dimensions(
        8.88, beam_m=2.99, freeboard_m=1.0, people=4, form=form, wind_factor=1.0
    )
    assert windage.lateral_area_m2 / (8.88 * 2.99) == pytest.approx(0.527, abs=0.08)


def test_the_side_seen_by_the_wind_sits_abaft_the_middle_by_hand(hull_rows):
    # 5.334 x 0.508 x 1.05 = 2.8452 m2 of hull at +0.02, two people 0.9 m2 at -0.05, outboard
    # 0.4 m2 at -0.48: -0.18010 over 4.1452, of 5.334 m.
    windage = hull_rows.boat().windage
    assert windage.centroid_m == pytest.approx(-0.18010 / 4.1452 * 5.334, abs=1e-4)


def test_people_raise_the_windage_and_its_middle(hull_rows):
    _, form, _ = hull_rows.forms("skiff")
    empty, full = (
        windage_from_dimensions(
            5.0, beam_m=2.0, freeboard_m=0.5, people=people, form=form, wind_factor=1.0
        )
        for people in (0, 3)
    )
    assert full.frontal_area_m2 - empty.frontal_area_m2 == pytest.approx(1.2)
    assert full.height_m > empty.height_m > 0.25


def test_a_length_in_feet_is_refused(hull_rows):
    _, form, _ = hull_rows.forms("skiff")
    with pytest.raises(ValueError, match=r"length_m = 17\.5"):
        windage_from_dimensions(
            17.5, beam_m=2.1, freeboard_m=0.5, people=2, form=form, wind_factor=1.0
        )
