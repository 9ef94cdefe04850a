"""The [[locker]] tables: what they take, and how they refuse."""

import re

import pytest

from energysim.errors import ScenarioError
from energysim.scenario.defaults import defaults_in_words
from energysim.scenario.load import validate

CONSOLE = {"name": "console", "length": "24 in", "width": "15 in", "height": "11.1 in"}


@pytest.fixture
def with_locker(plain_day):
    """The plain day with a locker, some keys changed."""
    return lambda **keys: validate(plain_day() | {"locker": [CONSOLE | keys]})


def test_a_day_needs_no_locker(plain_day):
    assert validate(plain_day()).lockers == ()


def test_a_locker_is_read_in_metres(with_locker):
    (console,) = with_locker(from_bow="2.5 m", vented=True).lockers
    assert console.length_m == pytest.approx(0.6096)
    assert console.height_m == pytest.approx(0.28194)
    assert (console.from_bow_m, console.vented, console.holds_fuel) == (2.5, True, None)


def test_clearances_nobody_gave_are_told_as_assumptions(with_locker):
    told = [line for line in defaults_in_words(with_locker()) if line.startswith("locker")]
    assert told == [
        "locker[1].wall_gap = 0.5 in",
        "locker[1].case_gap = 0.5 in",
        "locker[1].terminal_gap = 2 in",
        "locker[1].box_wall = 0 in",
    ]


@pytest.mark.parametrize(
    ("keys", "message"),
    [
        ({"hatch_length": "12 in"}, "hatch_width: is missing: an opening has two edges"),
        ({"hatch_width": "12 in"}, "hatch_length: is missing: an opening has two edges"),
        ({"hatch_in": "side"}, "hatch_in = 'side': needs the size of the opening"),
        (
            {"hatch_length": "30 in", "hatch_width": "10 in"},
            "hatch_length = '30 in': is more than the locker itself",
        ),
        (
            {"hatch_length": "20 in", "hatch_width": "12 in", "hatch_in": "side"},
            "hatch_width = '12 in': is more than the locker itself",
        ),
        ({"hatch_gap": "1 in"}, "hatch_gap = '1 in': means nothing without"),
        ({"place": "bow", "from_bow": "1 m"}, "from_bow = '1 m': cannot stand beside 'place'"),
        ({"place": "amidships"}, "place = 'amidships': is not one of the choices"),
        ({"wall_gap": 0.5}, "wall_gap = 0.5: 0.5 has no unit"),
        ({"wall_gap": "-1 in"}, "'-1 in' is less than the least allowed, 0 in"),
        ({"length": "24 ft"}, "'24 ft' is more than the most allowed, 5 m"),
        ({"vented": "yes"}, "vented = 'yes'"),
        ({"lenght": "3 in"}, "lenght = '3 in': is not a key of this table .did you mean"),
    ],
    ids=lambda value: "-".join(value) if isinstance(value, dict) else "",
)
def test_a_locker_that_cannot_be_is_refused_in_words(with_locker, keys, message):
    with pytest.raises(ScenarioError, match=re.escape("locker[1].") + ".*" + message):
        with_locker(**keys)


def test_every_fault_of_a_locker_is_told_at_once(with_locker):
    with pytest.raises(ScenarioError) as refusal:
        with_locker(hatch_length="12 in", place="bow", from_bow="1 m", width="15")
    assert len(refusal.value.problems) == 3
