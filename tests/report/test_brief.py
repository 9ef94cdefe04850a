"""What stands under the verdict: the reason, what to do, and nothing that is not so."""

import dataclasses

import pytest

from energysim.report.brief import brief

from .conftest import day


def lines(result):
    """The lines by their labels."""
    told = brief(result, odds=None, odds_title="", comparison=None, comparison_title="")
    return {line.label: line.text for line in told}


def failing(outcome, *changes):
    """The lake's day with another outcome and other things tried."""
    result = day("lake")
    first = result.changes[0]
    tried = tuple(dataclasses.replace(first, **change) for change in changes)
    return dataclasses.replace(result, outcome=outcome, changes=tried)


MENDS = {"name": "stay ashore", "outcome": "holds", "end_soc": 0.7, "end_soc_change": 0.4}
HELPS = {"name": "row", "outcome": "deep", "end_soc": 0.31, "end_soc_change": 0.05}
HARMS = {"name": "go further", "outcome": "empty", "end_soc": 0.0, "end_soc_change": -0.2,
         "off_station_change_s": 600.0}  # fmt: skip


def test_a_day_that_holds_says_so_and_what_gives_more_in_hand():
    result = day("lake")
    told = lines(result)
    assert told["What to do"].startswith("nothing need change.")
    assert result.changes[0].name in told["What to do"]
    assert f"{result.tightest.share:.0%}" in told["Why"]


@pytest.mark.parametrize("outcome", ["deep", "empty"])
def test_a_bank_that_does_not_last_names_the_leg_that_takes_most(outcome):
    result = failing(outcome, MENDS)
    costliest = max(result.legs, key=lambda leg: leg.charge_ah)
    assert lines(result)["Why"].startswith(f"{costliest.name} takes most, ")


def test_what_mends_a_day_is_named_before_what_only_helps():
    told = lines(failing("deep", HELPS, MENDS))["What to do"]
    assert told == "it holds if you stay ashore (ends at 70%)."


def test_where_nothing_mends_it_that_is_said_and_the_nearest_named_with_its_end():
    told = lines(failing("empty", HELPS, HARMS))["What to do"]
    assert told.startswith("nothing tried makes it hold: make the plan shorter, or wait")
    assert told.endswith("Nearest: row (ends at 31%, below limit).")


def test_what_makes_it_worse_is_never_advised():
    told = lines(failing("empty", HARMS))["What to do"]
    assert told == "nothing tried helps: make the plan shorter, or wait for another day."


def test_a_day_with_nothing_tried_advises_nothing():
    assert "What to do" not in lines(failing("deep"))
