"""Questions turned round: what is found, put back, gives the chance that was wanted."""

from dataclasses import replace

import pytest

from energysim.build.day import build_day
from energysim.errors import ScenarioError
from energysim.find import QUESTIONS, find
from energysim.find import run as run_module
from energysim.find.changes import capacity_times, hold_for, thrust_times, wind_times
from energysim.find.questions import changes_for
from energysim.odds import run_odds
from energysim.physics.interval import NORMAL_95
from energysim.runner import run_day
from energysim.scenario.load import validate
from energysim.scenario.timeline import leg_times
from energysim.scenario.whatif import changed
from energysim.units import unit_factor

FEW = 256  # no dearer than one: members are worked out by blocks of so many
LEG = {"name": "the mark", "do": "hold", "start": "06:00", "for": "10 min"}


@pytest.fixture(autouse=True)
def coarse(monkeypatch):
    """Fewer values of the grid: the way it is gone is the same."""
    rough = {
        key: replace(one, steps=max(6, one.steps // 4), tolerance=4.0 * one.tolerance)
        for key, one in QUESTIONS.items()
    }
    monkeypatch.setattr(run_module, "QUESTIONS", rough)


def sampling_error(chance, members):
    return (chance * (1.0 - chance) / members) ** 0.5


@pytest.mark.slow
@pytest.mark.parametrize(
    ("what", "wanted"),
    [("most-wind", 0.8), ("smallest-capacity", 0.7), ("longest-hold", 0.75)],
)
def test_an_answer_put_back_gives_the_wanted_chance_within_sampling_error(short, what, wanted):
    loaded = short(
        bank__start_soc=0.7,
        stream__event=None,
        stream__flood_toward=None,
        stream__ebb_toward=None,
        stream__speed="1 kn",
        stream__toward="230 deg",
    )
    leg = "the mark" if what == "longest-hold" else None
    result = find(what, loaded, chance=wanted, leg=leg, members=FEW, seed=3)
    assert result.outcome == "found"

    def again(value, members, seed):
        changes, shift_s = changes_for(what, loaded, value, leg=None if leg is None else 0)
        day = changed(loaded, changes)
        return run_odds(day, members=members, seed=seed, shift_s=shift_s).whole_plan.chance

    # On the same draws the answer is the last value that reaches the chance: its neighbour
    # among those tried, no further than the tolerance, does not.
    answer = result.answer
    assert again(answer.value, FEW, 3) == answer.chance.chance >= wanted
    step = run_module.QUESTIONS[what].tolerance * (1 if QUESTIONS[what].wants == "most" else -1)
    beyond = again(answer.value + step, FEW, 3)
    assert beyond < wanted
    # On other draws: two counts of one chance, each with its binomial error, and the step the
    # chance makes within the tolerance.
    error = (sampling_error(wanted, FEW) ** 2 + sampling_error(wanted, 512) ** 2) ** 0.5
    other = again(answer.value, 512, 77)
    assert abs(other - wanted) < NORMAL_95 * error + (answer.chance.chance - beyond)
    assert answer.chance.low <= wanted <= answer.chance.high


def test_where_nothing_works_there_is_no_answer(short):
    loaded = short(bank__start_soc=0.35)
    result = find("most-stream", loaded, chance=0.9, members=8, seed=1)
    assert (result.outcome, result.answer, result.intervals) == ("none", None, ())
    assert result.best.chance.chance < 0.9


@pytest.mark.slow
def test_where_everything_works_it_works_throughout(short):
    loaded = short(wind__speed="3 kn", wind__gust="4 kn", stream=None, leg=[LEG])
    result = find("best-start", loaded, chance=0.9, members=8, seed=1)
    assert result.outcome == "throughout"
    (only,) = result.intervals
    assert (only.low.value, only.high.value) == (-6 * 3600.0, 6 * 3600.0)
    assert result.answer.value == 0.0  # of many as good, the plan as it is


@pytest.mark.slow
def test_the_same_seed_finds_the_same_and_another_seed_draws_others(short):
    near = short(leg=[LEG], bank__start_soc=0.53)

    def tried(seed):
        result = find("most-stream", near, chance=0.6, members=24, seed=seed)
        return [(one.value, one.chance.chance) for one in result.tried]

    assert tried(5) == tried(5)
    assert tried(5) != tried(6)


def test_a_start_the_tide_table_does_not_reach_is_told_and_left_out(short):
    result = find("best-start", short(), chance=0.5, members=4, seed=1)
    assert result.refused > 0
    assert "stream" in result.refused_why
    assert result.range_low > -6 * 3600.0


# Changes.


def test_a_factor_of_one_changes_nothing(short):
    loaded = short(bank__reserve="200 min", motor__propeller_diameter="11 in")
    plain = run_day(loaded, with_changes=False)
    for changes in (capacity_times, thrust_times, wind_times):
        day = run_day(changed(loaded, changes(loaded, 1.0)), with_changes=False)
        assert day.end_soc == pytest.approx(plain.end_soc, abs=1e-6), changes.__name__


def test_twice_the_capacity_is_two_strings(short):
    loaded = short()
    twice = build_day(changed(loaded, capacity_times(loaded, 2.0)), in_full=False).bank
    strings = build_day(changed(loaded, {"bank.parallel": 2}), in_full=False).bank
    assert twice.capacity_ah[0, 0] == pytest.approx(2.0 * strings.capacity_ah[0, 0])
    assert twice.wells_total_ah[0, 0] == pytest.approx(2.0 * strings.wells_total_ah[0, 0])
    assert twice.exponent[0, 0] == pytest.approx(strings.exponent[0, 0])
    assert twice.wells_rate_per_h[0, 0] == pytest.approx(strings.wells_rate_per_h[0, 0])
    halved = strings.resistance_full_ohm[0, 0] / 2.0
    assert twice.resistance_full_ohm[0, 0] == pytest.approx(halved)


def test_a_longer_hold_moves_later_legs_with_their_lengths_and_gaps(short):
    loaded = short()
    longer = changed(loaded, hold_for(loaded, 0, 2 * 3600.0))
    times = leg_times(longer.scenario.day, longer.scenario.legs)
    assert [f"{leg.start:%H:%M}-{leg.end:%H:%M}" for leg in times] == [
        "06:00-08:00", "08:15-08:30", "08:30-09:00",
    ]  # fmt: skip


def test_a_wind_in_a_file_is_scaled_hour_by_hour(short, tmp_path):
    (tmp_path / "wind.csv").write_text(
        "time [LST_LDT],speed [kn],from [deg]\n"
        "2026-05-16 05:00,10,225\n2026-05-16 07:00,12,230\n2026-05-16 10:00,14,240\n",
        encoding="utf-8",
    )
    source = short()
    raw = {**source.raw, "wind": {"file": "wind.csv"}}
    loaded = replace(source, raw=raw, scenario=validate(raw), path=tmp_path / "day.toml")
    plain = build_day(loaded, in_full=False).surroundings
    same = build_day(changed(loaded, wind_times(loaded, 1.0)), in_full=False).surroundings
    assert same.wind_mps == pytest.approx(plain.wind_mps)
    assert same.gust_mps == pytest.approx(plain.gust_mps)
    assert same.wind_from_deg == pytest.approx(plain.wind_from_deg)
    half = changed(loaded, wind_times(loaded, 0.5)).scenario.wind.hours
    knots = [hour.speed_mps / unit_factor("kn", "speed") for hour in half]
    assert knots == pytest.approx([5.0, 6.0, 7.0])


# Slips.


def test_a_leg_that_is_no_hold_and_a_day_that_cannot_be_scaled_are_told(short):
    with pytest.raises(ScenarioError, match="'the mark', 'the reef'"):
        find("longest-hold", short(), leg="lunch", members=4)
    with pytest.raises(ScenarioError, match="calm"):
        find("most-wind", short(wind__speed="0 kn", wind__gust="0 kn"), members=4)
    with pytest.raises(ScenarioError, match="does not move"):
        find("most-stream", short(stream=None), members=4)
    with pytest.raises(ScenarioError, match="longest-hold"):
        find("most-wind", short(), leg="the mark", members=4)
    with pytest.raises(ValueError, match="chance"):
        find("most-wind", short(), chance=1.0)
    with pytest.raises(ValueError, match="must be one of"):
        find("most-fish", short())
