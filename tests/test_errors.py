"""What a user reads when something is wrong."""

import pytest

from energysim.errors import (
    EnergysimError,
    FileError,
    Problem,
    RefusedValueError,
    ScenarioError,
)

FULL = Problem(
    reason="'kn' is a speed",
    path="boat.mass",
    value="80 kn",
    hint="write '80 kg'",
    file="day.toml",
    line=9,
    column=8,
)


def test_a_problem_reads_place_then_key_then_reason_then_hint():
    assert str(FULL) == ("day.toml:9:8: boat.mass = '80 kn': 'kn' is a speed (write '80 kg')")


@pytest.mark.parametrize(
    ("problem", "expected"),
    [
        pytest.param(Problem(reason="no"), "no", id="reason-alone"),
        pytest.param(Problem(reason="no", path="a.b"), "a.b: no", id="no-value"),
        pytest.param(Problem(reason="no", value=0), "0: no", id="zero-is-a-value"),
        pytest.param(Problem(reason="no", file="f", line=3), "f:3: no", id="no-column"),
    ],
)
def test_what_is_not_known_is_left_out(problem, expected):
    assert str(problem) == expected


def test_one_problem_or_many_make_the_same_kind_of_error():
    assert ScenarioError(FULL).problems == (FULL,)
    assert ScenarioError([FULL, FULL]).problems == (FULL, FULL)
    assert str(ScenarioError([FULL, FULL])).count("\n") == 1


@pytest.mark.parametrize("kind", [ScenarioError, FileError])
def test_everything_a_user_can_mend_has_one_parent(kind):
    assert issubclass(kind, EnergysimError)


def test_a_refused_value_carries_reason_and_hint_apart():
    error = RefusedValueError("no unit", "write '5 m'")
    assert (error.reason, error.hint, str(error)) == (
        "no unit",
        "write '5 m'",
        "no unit; write '5 m'",
    )
    assert isinstance(error, ValueError)
