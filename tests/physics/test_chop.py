"""The growth of chop and the length of its waves; published values are in tests/reference."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.optimize import brentq

from energysim.physics import chop_limits, chop_other
from energysim.physics.chop import (
    NARROW_WATER,
    OPEN_WATER,
    adjusted_wind_mps,
    peak_period_s,
    significant_height_m,
    wavelength_m,
)

G = 9.80665
DEEP = float("inf")
GROWTH = [significant_height_m, peak_period_s]
winds = st.floats(0.5, 25.0)
fetches = st.floats(100.0, 2e4)
depths = st.floats(0.5, 50.0)


def test_deep_chop_by_hand():
    # 0.0016 x 10 x sqrt(9806.65 / 9.80665) = 0.016 x 31.6228; 0.2857 x (10 / g) x
    # (9806.65 x 9.80665 / 100)^(1/3) = 0.291333 x 9.87068
    assert significant_height_m(10.0, fetch_m=9806.65, depth_m=DEEP) == pytest.approx(
        0.505964, abs=1e-6
    )
    assert peak_period_s(10.0, fetch_m=9806.65, depth_m=DEEP) == pytest.approx(
        2.87565, abs=1e-5
    )


def test_chop_over_a_shoal_by_hand():
    # d' = 0.196133: D = tanh(0.530 x 0.294720) = tanh(0.156202) = 0.154944;
    # (0.505964 g / 100) / (0.283 D) = 0.0496181 / 0.0438492 = 1.131562, tanh 0.811484
    height = significant_height_m(10.0, fetch_m=9806.65, depth_m=2.0)
    assert height == pytest.approx(0.0438492 * 0.811484 * 100.0 / G, rel=1e-4)


@pytest.mark.parametrize("law", GROWTH)
def test_no_wind_or_no_water_upwind_raises_nothing(law):
    assert law(0.0, fetch_m=5e3, depth_m=3.0) == 0.0
    assert law(0.0, fetch_m=5e3, depth_m=DEEP) == 0.0
    assert law(8.0, fetch_m=0.0, depth_m=3.0) == 0.0


@pytest.mark.parametrize("law", GROWTH)
@settings(max_examples=60)
@given(wind=winds, fetch=fetches, depth=depths, more=st.floats(1.0, 3.0))
def test_more_wind_water_or_depth_never_raises_less(law, wind, fetch, depth, more):
    least = law(wind, fetch_m=fetch, depth_m=depth) * (1.0 - 1e-12)
    assert law(wind * more, fetch_m=fetch, depth_m=depth) >= least
    assert law(wind, fetch_m=fetch * more, depth_m=depth) >= least
    assert law(wind, fetch_m=fetch, depth_m=depth * more) >= least
    assert law(wind, fetch_m=fetch, depth_m=DEEP) >= least


@pytest.mark.parametrize(
    ("dimensionless_fetch", "short"), [(1000.0, 0.01), (8000.0, 0.08)], ids=["2 km", "16 km"]
)
def test_the_two_laws_nearly_meet_over_deep_water(dimensionless_fetch, short):
    fetch = dimensionless_fetch * 10.0**2 / G
    both = significant_height_m(10.0, fetch_m=fetch, depth_m=[9e4, DEEP])
    assert both[0] / both[1] == pytest.approx(1.0 - short, abs=0.005)


def test_far_down_a_shoal_only_the_depth_counts():
    # the whole second law with its outer tanh at 1
    most = 0.283 * np.tanh(0.530 * (G * 1.0 / 400.0) ** 0.75) * 400.0 / G
    assert significant_height_m(20.0, fetch_m=1e7, depth_m=1.0) == pytest.approx(most, rel=1e-6)


def test_the_wind_grips_harder_above_a_light_breeze():
    # 0.75 + 0.067 U = 1 at 3.7313 m/s
    adjusted = adjusted_wind_mps([2.0, 0.25 / 0.067, 10.0])
    assert adjusted[0] < 2.0
    assert adjusted[1] == pytest.approx(0.25 / 0.067)
    assert adjusted[2] > 10.0


@pytest.mark.parametrize(
    "call",
    [
        adjusted_wind_mps,
        lambda wind: significant_height_m(wind, fetch_m=2e3, depth_m=3.0),
        lambda wind: peak_period_s(wind, fetch_m=2e3, depth_m=DEEP, law=NARROW_WATER),
        lambda wind: wavelength_m(wind, depth_m=2.0),
        lambda wind: chop_limits.growth_time_s(wind + 0.1, fetch_m=2e3),
        lambda wind: chop_limits.young_height_m(wind, duration_s=900.0),
        lambda wind: chop_limits.young_period_s(wind, duration_s=900.0),
        lambda wind: chop_other.height_by_friction_m(wind, fetch_m=2e3),
    ],
)
def test_an_array_gives_what_its_numbers_give(call):
    wind = np.linspace(0.0, 15.0, 12).reshape(6, 2)
    together = call(wind)
    assert together.dtype == np.float64
    assert together.ravel() == pytest.approx([float(call(one)) for one in wind.ravel()])


def test_members_may_each_have_their_own_fetch():
    height = significant_height_m(
        np.full((3, 2), 8.0), fetch_m=[500.0, 2000.0], depth_m=[DEEP, 3.0]
    )
    assert height.shape == (3, 2)
    assert height[0, 0] == significant_height_m(8.0, fetch_m=500.0, depth_m=DEEP)


class TestWavelength:
    def test_in_deep_water_by_hand(self):
        # g x 4 / (2 pi)
        assert wavelength_m(2.0, depth_m=DEEP) == pytest.approx(6.24311, abs=1e-5)

    def test_long_waves_run_at_the_speed_the_depth_allows(self):
        assert wavelength_m(60.0, depth_m=1.0) == pytest.approx(60.0 * np.sqrt(G), rel=1e-3)

    @settings(max_examples=100)
    @given(period=st.floats(0.3, 30.0), depth=st.floats(0.2, 300.0))
    def test_as_a_general_root_finder_has_it(self, period, depth):
        omega = 2.0 * np.pi / period

        def off(k):
            return G * k * np.tanh(k * depth) - omega**2

        k = brentq(off, 1e-6, 2.0 * omega**2 / G + 10.0, xtol=1e-14, rtol=1e-14)
        assert wavelength_m(period, depth_m=depth) == pytest.approx(2.0 * np.pi / k, rel=1e-9)

    def test_no_period_no_length(self):
        assert wavelength_m(0.0, depth_m=[0.3, DEEP]).tolist() == [0.0, 0.0]


class TestLimits:
    def test_half_an_hour_or_so_fills_a_small_water(self):
        # 68.8 x 2000^(2/3) / (9.80665 x 8)^(1/3) = 68.8 x 158.740 / 4.2811
        assert chop_limits.growth_time_s(8.0, fetch_m=2e3) == pytest.approx(2551.0, abs=1.0)

    @pytest.mark.parametrize("dimensionless_fetch", [30.0, 300.0, 3000.0, 1e4])
    def test_young_chop_is_within_a_fifth_of_grown_when_its_time_is_up(
        self, dimensionless_fetch
    ):
        # two laws fitted apart: what is left between them is the step the docstring owns up to
        fetch = dimensionless_fetch * 7.0**2 / G
        time = chop_limits.growth_time_s(7.0, fetch_m=fetch)
        young = chop_limits.young_height_m(7.0, duration_s=time)
        assert 0.87 < young / significant_height_m(7.0, fetch_m=fetch, depth_m=DEEP) < 1.02
        pace = chop_limits.young_period_s(7.0, duration_s=time)
        assert 0.8 < pace / peak_period_s(7.0, fetch_m=fetch, depth_m=DEEP) < 1.2

    def test_a_grown_sea_by_hand(self):
        # 0.2433 x 100 / g and 8.134 x 10 / g
        assert chop_limits.fully_grown_height_m(10.0) == pytest.approx(2.48097, abs=1e-5)
        assert chop_limits.fully_grown_period_s(10.0) == pytest.approx(8.29437, abs=1e-5)

    def test_nothing_yet_at_the_first_breath(self):
        assert chop_limits.young_height_m(8.0, duration_s=0.0) == 0.0
        assert chop_limits.young_period_s(0.0, duration_s=900.0) == 0.0


def test_other_laws_lie_where_they_are_said_to():
    wind, water = 10.0, {"fetch_m": 5e3, "depth_m": DEEP}
    height = significant_height_m(adjusted_wind_mps(wind), **water)
    period = peak_period_s(adjusted_wind_mps(wind), **water)
    older = chop_other.adjusted_wind_spm_mps(wind)
    assert significant_height_m(older, **water) / height == pytest.approx(1.01, abs=0.005)
    friction = chop_other.friction_velocity_mps(wind)
    assert chop_other.height_by_friction_m(friction, fetch_m=5e3) / height == pytest.approx(
        0.82, abs=0.01
    )
    assert chop_other.period_by_friction_s(friction, fetch_m=5e3) / period == pytest.approx(
        0.72, abs=0.01
    )


def test_a_narrow_water_raises_less_than_a_wide_one():
    grown = [
        significant_height_m(8.0, fetch_m=3e3, depth_m=DEEP, law=law)
        for law in (NARROW_WATER, OPEN_WATER)
    ]
    assert grown[0] / grown[1] == pytest.approx(0.0015 / 0.0016)


@pytest.mark.parametrize(
    ("call", "message"),
    [
        (lambda: adjusted_wind_mps(-1.0), "wind_10m_mps = -1; .* at least 0"),
        (
            lambda: significant_height_m(5.0, fetch_m=-1.0, depth_m=3.0),
            "fetch_m = -1; .* at least 0",
        ),
        (
            lambda: peak_period_s(5.0, fetch_m=1e3, depth_m=[3.0, 0.0]),
            "depth_m = 0; .* above 0",
        ),
        (lambda: significant_height_m(5.0, fetch_m=1e3, depth_m=np.nan), "depth_m = nan"),
        (lambda: wavelength_m(-2.0, depth_m=3.0), "period_s = -2"),
        (lambda: chop_limits.growth_time_s(0.0, fetch_m=1e3), "adjusted_mps = 0; .* above 0"),
        (lambda: chop_limits.young_height_m(5.0, duration_s=-3.0), "duration_s = -3"),
        (lambda: chop_limits.fully_grown_height_m(np.inf), "wind_10m_mps = inf"),
    ],
)
def test_impossible_numbers_are_refused(call, message):
    with pytest.raises(ValueError, match=message):
        call()
