"""The scanner by itself, on functions whose crossings are known."""

from math import acos, cos, nan, pi, sqrt

import pytest

from energysim.find import scan

GRID = [0.25 * place for place in range(41)]  # 0 to 10


def of(function):
    return lambda values: [function(value) for value in values]


def ends(found):
    return [(one.low, one.high) for one in found.stretches]


def test_every_stretch_of_a_wave_is_found_to_the_tolerance_and_its_ends_reach_the_level():
    found = scan(of(cos), GRID, wanted=0.5, tolerance=1e-6)
    root = acos(0.5)
    known = [(0.0, root), (2 * pi - root, 2 * pi + root)]
    assert [end for one in ends(found) for end in one] == pytest.approx(
        [end for one in known for end in one], abs=1e-6
    )
    assert all(cos(end) >= 0.5 for one in ends(found) for end in one)
    first, last = found.stretches
    assert (first.low_is_range_end, first.high_is_range_end) == (True, False)
    assert (last.low_is_range_end, last.high_is_range_end) == (False, False)


def test_nothing_that_reaches_the_level_is_an_answer_and_so_is_everything():
    assert scan(of(cos), GRID, wanted=1.5, tolerance=1e-3).stretches == ()
    (only,) = scan(of(cos), GRID, wanted=-1.5, tolerance=1e-3).stretches
    assert only == (0.0, 10.0, True, True)


def test_a_step_is_closed_in_on_where_no_value_has_the_level_itself():
    found = scan(of(lambda x: float(x < pi)), GRID, wanted=0.9, tolerance=1e-4)
    (only,) = found.stretches
    assert pi - 1e-4 <= only.high < pi


def test_a_peak_between_two_values_of_the_grid_that_just_miss_is_looked_at_closer():
    # Above 0.9 from 5.125 - w to 5.125 + w only, between the grid's 5.0 and 5.25.
    found = scan(of(lambda x: 1.0 - 9.0 * (x - 5.125) ** 2), GRID, wanted=0.9, tolerance=1e-5)
    w = sqrt(0.1 / 9.0)
    (only,) = found.stretches
    assert (only.low, only.high) == pytest.approx((5.125 - w, 5.125 + w), abs=1e-5)


def test_a_dip_that_nearly_fails_is_looked_at_closer_and_parts_two_stretches():
    found = scan(of(lambda x: 0.8 + 9.0 * (x - 5.125) ** 2), GRID, wanted=0.9, tolerance=1e-5)
    assert len(found.stretches) == 2


def test_where_there_is_no_answer_the_range_ends():
    found = scan(of(lambda x: nan if x > 4.1 else x), GRID, wanted=3.1, tolerance=1e-4)
    (only,) = found.stretches
    assert only.low == pytest.approx(3.1, abs=1e-4)
    assert (only.high, only.high_is_range_end) == (4.0, True)


@pytest.mark.parametrize(("grid", "tolerance"), [([1.0], 0.1), ([1.0, 1.0], 0.1), (GRID, 0.0)])
def test_a_grid_that_is_none_is_refused(grid, tolerance):
    with pytest.raises(ValueError, match="must be"):
        scan(of(cos), grid, wanted=0.5, tolerance=tolerance)
