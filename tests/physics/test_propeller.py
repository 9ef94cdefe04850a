"""The propeller series: its sum, its curves, its limits."""

import math

import numpy as np
import pytest

from energysim.physics.b_series import WAGENINGEN_B
from energysim.physics.momentum import ideal_efficiency
from energysim.physics.propeller import (
    SeriesCoefficients,
    cubic_slope,
    figure_of_merit,
    open_water_efficiency,
    propeller_thrust_n,
    series_propeller,
    thrust_coefficient,
    torque_coefficient,
    zero_thrust_advance,
)

BOW = [(2, 0.38), (3, 0.45)]
PITCHES = [0.5, 0.6, 0.7, 0.8]


def propeller(blades=3, area_ratio=0.45, pitch_ratio=0.6):
    return series_propeller(
        pitch_ratio, area_ratio=area_ratio, blades=blades, series=WAGENINGEN_B
    )


def test_two_terms_add_up_as_they_do_on_paper():
    # 0.5 (P/D)^2 - 2 J AE/A0 Z at P/D 0.6, AE/A0 0.4, Z 3: 0.18 - 2.4 J
    series = SeriesCoefficients(
        thrust_terms=((0.5, 0, 2, 0, 0), (-2.0, 1, 0, 1, 1)), torque_terms=((0.1, 3, 0, 0, 0),)
    )
    made = series_propeller(0.6, area_ratio=0.4, blades=3, series=series)
    assert made.thrust_cubic == pytest.approx([0.18, -2.4, 0.0, 0.0])
    assert made.torque_cubic == pytest.approx([0.0, 0.0, 0.0, 0.1])


def test_the_series_has_as_many_terms_as_its_paper_prints():
    # Oosterveld and van Oossanen 1975: 39 for thrust, 47 for torque (from memory)
    assert len(WAGENINGEN_B.thrust_terms) == 39
    assert len(WAGENINGEN_B.torque_terms) == 47


@pytest.mark.parametrize(("blades", "area"), BOW, ids=["two-blades", "three-blades"])
@pytest.mark.parametrize("pitch", PITCHES)
def test_thrust_ends_where_the_advance_ratio_says(blades, area, pitch):
    made = propeller(blades, area, pitch)
    end = zero_thrust_advance(made)
    assert thrust_coefficient(end, propeller=made) == pytest.approx(0.0, abs=1e-12)
    assert np.all(thrust_coefficient(np.linspace(0.0, 0.99 * end, 50), propeller=made) > 0.0)


@pytest.mark.parametrize(("blades", "area"), BOW, ids=["two-blades", "three-blades"])
@pytest.mark.parametrize("pitch", PITCHES)
def test_both_curves_fall_as_far_as_the_motor_uses_them(blades, area, pitch):
    made = propeller(blades, area, pitch)
    advance = np.linspace(0.0, 1.9, 200)
    assert np.all(cubic_slope(advance, made.thrust_cubic) < 0.0)
    assert np.all(cubic_slope(advance, made.torque_cubic) < 0.0)


def test_the_slope_is_the_slope():
    cubic = propeller().torque_cubic
    advance = np.linspace(0.0, 1.0, 11)
    reference = np.polynomial.Polynomial(cubic).deriv()(advance)  # numpy's own calculus
    assert cubic_slope(advance, cubic) == pytest.approx(reference, rel=1e-12)


@pytest.mark.parametrize(("blades", "area"), BOW, ids=["two-blades", "three-blades"])
@pytest.mark.parametrize("pitch", PITCHES)
def test_no_bow_propeller_beats_the_ideal_disc(blades, area, pitch):
    made = propeller(blades, area, pitch)
    advance = np.linspace(0.02, 0.95, 60) * zero_thrust_advance(made)
    real = open_water_efficiency(advance, propeller=made)
    # a one-metre disc turning once a second in water of unit density: T = KT, V = J
    ideal = ideal_efficiency(
        thrust_coefficient(advance, propeller=made),
        inflow_mps=advance,
        diameter_m=1.0,
        water_density_kgpm3=1.0,
    )
    assert np.all(real < ideal)
    assert 0.5 < figure_of_merit(made) < 0.66


def test_a_tied_up_propeller_does_no_useful_work():
    assert open_water_efficiency(0.0, propeller=propeller()) == 0.0


def test_thrust_goes_with_the_square_of_speed_and_the_fourth_power_of_size():
    base = {"thrust_coefficient": 0.2, "water_density_kgpm3": 1000.0}
    one = propeller_thrust_n(10.0, diameter_m=0.25, **base)
    assert one == pytest.approx(0.2 * 1000.0 * 100.0 / 256.0)
    assert propeller_thrust_n(20.0, diameter_m=0.25, **base) == pytest.approx(4.0 * one)
    assert propeller_thrust_n(10.0, diameter_m=0.5, **base) == pytest.approx(16.0 * one)


def test_an_array_gives_what_its_numbers_give():
    made = propeller()
    advance = np.linspace(0.0, 0.7, 5)
    for law in (thrust_coefficient, torque_coefficient, open_water_efficiency):
        together = law(advance, propeller=made)
        assert together == pytest.approx([float(law(j, propeller=made)) for j in advance])
        assert together.dtype == np.float64


def test_a_row_of_pitches_makes_a_row_of_propellers():
    pitches = np.array(PITCHES)
    row = propeller(pitch_ratio=pitches)
    ends = [float(zero_thrust_advance(propeller(pitch_ratio=p))) for p in PITCHES]
    assert zero_thrust_advance(row) == pytest.approx(ends)
    assert row.thrust_cubic.shape == (4, 4)


@pytest.mark.parametrize(
    ("change", "message"),
    [
        ({"pitch_ratio": 1.5}, r"pitch_ratio = 1\.5; it must be finite and at least 0\.5"),
        ({"area_ratio": 0.2}, r"area_ratio = 0\.2"),
        ({"blades": 8}, r"blades = 8"),
        ({"pitch_ratio": math.nan}, r"pitch_ratio = nan"),
    ],
    ids=["steep", "narrow", "many-blades", "nan"],
)
def test_a_shape_outside_the_series_is_refused(change, message):
    with pytest.raises(ValueError, match=message):
        propeller(**change)


def test_an_advance_ratio_below_zero_is_refused():
    with pytest.raises(ValueError, match=r"advance_ratio = -0\.1"):
        thrust_coefficient([-0.1, 0.2], propeller=propeller())


def test_a_curve_without_a_zero_is_no_propeller():
    flat = SeriesCoefficients(thrust_terms=((0.2, 0, 0, 0, 0),), torque_terms=())
    made = series_propeller(0.6, area_ratio=0.4, blades=2, series=flat)
    with pytest.raises(ValueError, match="no zero between J = 0 and 2"):
        zero_thrust_advance(made)
