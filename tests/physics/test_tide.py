"""Harmonic prediction: hand cases, limits, and the shipped table against itself."""

from datetime import datetime

import numpy as np
import pytest

from energysim.physics.astronomy import lunar_orbit, mean_longitudes, node_factors
from energysim.physics.constituents import parse_node_rule, select_constituents
from energysim.physics.tide import (
    equilibrium_argument_deg,
    form_number,
    node_corrections,
    predict,
    vector_from_axes,
)

EPOCH_S = datetime.fromisoformat("2026-01-01T00:00+00:00").timestamp()
YEAR_S = 365.25 * 86400.0


def test_every_listed_speed_is_the_rate_of_its_argument(constituents):
    # The list (IHO) and the arguments come from different sources, so each checks the other.
    days = 100.0
    start, end = equilibrium_argument_deg(
        [EPOCH_S, EPOCH_S + days * 86400.0], constituents=constituents
    )
    hours = days * 24.0
    off_deg = (end - start - constituents.speed_degph * hours + 180.0) % 360.0 - 180.0
    off_degph = dict(zip(constituents.name, np.abs(off_deg) / hours, strict=True))
    # M1's listed speed holds the motion of the moon's perigee, which sits in its node phase.
    perigee_degph = 4069.0137 / 36525.0 / 24.0
    assert off_degph.pop("M1") == pytest.approx(perigee_degph, abs=1e-6)
    # Speeds are printed to 1e-7; the polynomials bend by some 1e-7 between 1900 and 2026.
    assert max(off_degph.values()) < 3e-7


def test_node_phase_of_m1_carries_the_perigee(constituents):
    m1 = select_constituents(constituents, name=["M1"])
    years = 8.85  # one turn of the perigee
    u = [
        float(node_corrections(EPOCH_S + share * years * YEAR_S, constituents=m1).phase_deg[0])
        for share in np.linspace(0.0, 1.0, 41)
    ]
    turned = np.unwrap(u, period=360.0)
    assert turned[-1] - turned[0] == pytest.approx(360.0, abs=20.0)


@pytest.mark.parametrize(
    ("law", "cosines"),
    [
        ("M2", (1.0007, -0.0373, 0.0002, 0.0)),
        ("O1", (1.0089, 0.1871, -0.0147, 0.0014)),
        ("K1", (1.0060, 0.1150, -0.0088, 0.0006)),
        ("K2", (1.0246, 0.2863, 0.0083, 0.0)),
    ],
)
def test_node_factor_follows_the_short_form_through_the_cycle(law, cosines):
    # Short forms of the IHO list, read, but for O1: its constant and third term are from
    # memory, as the copy read prints 1.0176, 0.009 from the full law on average.
    # Found within 0.004; the third terms left out of K2 are as large.
    times = EPOCH_S + np.linspace(0.0, 18.6 * YEAR_S, 200)
    node = np.deg2rad(mean_longitudes(times).lunar_node_deg)
    short = sum(part * np.cos(i * node) for i, part in enumerate(cosines))
    assert np.abs(node_factors(times)[law].factor - short).max() < 0.005


@pytest.mark.parametrize(
    ("law", "sines"),
    [
        ("M2", (-2.14, 0.0, 0.0)),
        ("O1", (10.80, -1.34, 0.19)),
        ("K1", (-8.86, 0.68, -0.07)),
        ("K2", (-17.74, 0.68, 0.0)),
    ],
)
def test_node_phase_follows_the_short_form_through_the_cycle(law, sines):
    # Short forms of the IHO list, read. Found within 0.08 degrees.
    times = EPOCH_S + np.linspace(0.0, 18.6 * YEAR_S, 200)
    node = np.deg2rad(mean_longitudes(times).lunar_node_deg)
    short = sum(part * np.sin((i + 1) * node) for i, part in enumerate(sines))
    assert np.abs(node_factors(times)[law].phase_deg - short).max() < 0.1


def test_orbit_tips_between_its_two_limits():
    # 23.439 plus and minus 5.145 degrees.
    orbit = lunar_orbit([0.0, 180.0], lunar_perigee_deg=0.0)
    np.testing.assert_allclose(orbit.inclination_deg, [28.584, 18.294], atol=1e-9)
    np.testing.assert_allclose(orbit.nu_deg, 0.0, atol=1e-9)
    np.testing.assert_allclose(orbit.xi_deg, 0.0, atol=1e-9)


def test_tide_of_the_sun_feels_no_node(constituents):
    sun = select_constituents(constituents, name=["S2", "P1", "T2", "Sa"])
    correction = node_corrections(EPOCH_S, constituents=sun)
    assert correction.factor.tolist() == [1.0] * 4
    assert correction.phase_deg.tolist() == [0.0] * 4


def test_compound_tides_multiply_their_parents(constituents):
    named = select_constituents(constituents, name=["M2", "M4", "M6", "K1", "2MK3", "MSf"])
    correction = node_corrections(EPOCH_S, constituents=named)
    m2, m4, m6, k1, two_mk3, msf = correction.factor
    assert m4 == pytest.approx(m2**2)
    assert m6 == pytest.approx(m2**3)
    assert two_mk3 == pytest.approx(m2**2 * k1)
    assert msf == pytest.approx(m2)
    u = correction.phase_deg
    assert u[4] == pytest.approx(2.0 * u[0] - u[3])
    assert u[5] == pytest.approx(-u[0])


def one_tide(constituents, name="S2", time_s=0.0, **changes):
    arguments = {
        "epoch_unix_s": EPOCH_S,
        "constituents": select_constituents(constituents, name=[name]),
        "amplitude_mps": [2.0],
        "phase_lag_deg": [60.0],
        "mean_mps": 0.5,
        **changes,
    }
    return predict(time_s, **arguments)


def test_sun_tide_by_hand(constituents):
    # S2 stands at 30 degrees an hour from midnight: 0.5 + 2 cos(30 t - 60).
    got = one_tide(constituents, time_s=np.array([0.0, 2.0, 5.0, 8.0]) * 3600.0)
    np.testing.assert_allclose(got, [1.5, 2.5, 0.5, -1.5], atol=1e-9)


def test_epoch_at_another_hour_gives_the_same_water(constituents):
    late = one_tide(constituents, name="M2", time_s=0.0, epoch_unix_s=EPOCH_S + 86400.0 * 5)
    early = one_tide(constituents, name="M2", time_s=86400.0 * 5)
    assert float(late) == pytest.approx(float(early), abs=1e-5)


def test_spring_follows_neap_by_the_beat_of_moon_and_sun(constituents):
    both = select_constituents(constituents, name=["M2", "S2"])
    time_s = np.arange(0.0, 60.0 * 86400.0, 600.0)
    speed = predict(
        time_s,
        epoch_unix_s=EPOCH_S,
        constituents=both,
        amplitude_mps=[1.0, 0.4],
        phase_lag_deg=[0.0, 0.0],
        mean_mps=0.0,
        nodes="none",
    )
    strongest = np.abs(speed).reshape(-1, 144).max(axis=1)  # of each day
    days = np.arange(60)
    springs = [d for d in days[3:-3] if strongest[d] == strongest[d - 3 : d + 4].max()]
    # 14.765 days: the beat of 30 and 28.984 degrees an hour.
    assert np.mean(np.diff(springs)) == pytest.approx(14.765, abs=0.6)
    assert strongest.max() == pytest.approx(1.4, abs=0.02)
    assert strongest.min() == pytest.approx(0.6, abs=0.03)


def test_members_broadcast_and_equal_one_by_one(constituents):
    named = select_constituents(constituents, name=["M2", "K1"])
    amplitude = np.array([[1.0, 1.1, 0.9], [0.3, 0.2, 0.1]])
    time_s = np.arange(5.0)[:, np.newaxis] * 1800.0
    together = predict(
        time_s,
        epoch_unix_s=EPOCH_S,
        constituents=named,
        amplitude_mps=amplitude,
        phase_lag_deg=[10.0, 20.0],
        mean_mps=[0.0, 0.1, 0.2],
    )
    assert together.shape == (5, 3)
    alone = predict(
        time_s[3, 0],
        epoch_unix_s=EPOCH_S,
        constituents=named,
        amplitude_mps=amplitude[:, 2],
        phase_lag_deg=[10.0, 20.0],
        mean_mps=0.2,
    )
    assert alone.shape == ()
    assert float(alone) == pytest.approx(together[3, 2], rel=1e-12)


def test_nodes_at_the_middle_of_the_year_are_the_agencies_choice(constituents):
    mid = datetime.fromisoformat("2026-07-02T12:00+00:00").timestamp()
    named = select_constituents(constituents, name=["O1"])
    expected = node_corrections(mid, constituents=named)
    argument = equilibrium_argument_deg(EPOCH_S, constituents=named)
    by_hand = (
        2.0
        * expected.factor[0]
        * np.cos(np.deg2rad(argument[0] + expected.phase_deg[0] - 60.0))
    )
    got = one_tide(constituents, name="O1", mean_mps=0.0)
    assert float(got) == pytest.approx(by_hand, rel=1e-12)
    at_epoch = one_tide(constituents, name="O1", mean_mps=0.0, nodes="at-epoch")
    assert 0.0 < abs(float(at_epoch - got)) < 0.05


@pytest.mark.parametrize(
    ("changes", "said"),
    [
        ({"amplitude_mps": [1.0, 2.0]}, "its first length must be 1"),
        ({"amplitude_mps": [-1.0]}, "zero or more"),
        ({"phase_lag_deg": [np.nan]}, "phase_lag_deg must be finite"),
        ({"mean_mps": np.inf}, "must be finite"),
        ({"nodes": "often"}, "'mid-year', 'at-epoch' or 'none'"),
        ({"epoch_unix_s": 1e12}, "1900 to 2100"),
    ],
)
def test_unusable_constants_are_refused(constituents, changes, said):
    with pytest.raises(ValueError, match=said):
        one_tide(constituents, **changes)


def test_names_are_found_in_any_spelling(constituents):
    found = select_constituents(constituents, name=["m2", "LAM2", "RHO", "MU2", "SSA"])
    assert found.name == ("M2", "lambda2", "rho1", "mu2", "Ssa")
    assert found.speed_degph[0] == 28.9841042


def test_unknown_names_are_told_with_the_known(constituents):
    with pytest.raises(ValueError, match=r"not known: M9, X1; known are M2, S2"):
        select_constituents(constituents, name=["M2", "M9", "X1"])


def test_name_given_twice_is_refused(constituents):
    with pytest.raises(ValueError, match="named twice: lambda2"):
        select_constituents(constituents, name=["LDA2", "lambda2"])


@pytest.mark.parametrize("text", ["M2", "M2^", "^2", "M2^1*", "M2^x", ""])
def test_malformed_node_rule_is_refused(text):
    with pytest.raises(ValueError, match="is not of the form"):
        parse_node_rule(text)


@pytest.mark.parametrize(
    ("amplitudes", "number"),
    [([0.5, 0.5, 0.0, 0.0], 0.0), ([0.5, 0.5, 0.3, 0.2], 0.5), ([0.1, 0.1, 1.0, 0.6], 8.0)],
)
def test_form_number_by_hand(constituents, amplitudes, number):
    named = select_constituents(constituents, name=["M2", "S2", "K1", "O1"])
    assert float(form_number(amplitudes, constituents=named)) == pytest.approx(number)


def test_form_number_needs_its_four_tides(constituents):
    with pytest.raises(ValueError, match="lack O1, S2"):
        form_number(
            [1.0, 0.5], constituents=select_constituents(constituents, name=["M2", "K1"])
        )
    four = select_constituents(constituents, name=["M2", "S2", "K1", "O1"])
    with pytest.raises(ValueError, match="must not both be zero"):
        form_number([0.0, 0.0, 1.0, 1.0], constituents=four)


def test_axes_point_where_they_should():
    # Major toward 090, minor a quarter turn clockwise of it: toward 180.
    east, north = vector_from_axes([1.0, 0.0], minor_mps=[0.0, 1.0], azimuth_deg=90.0)
    np.testing.assert_allclose(east, [1.0, 0.0], atol=1e-12)
    np.testing.assert_allclose(north, [0.0, -1.0], atol=1e-12)
