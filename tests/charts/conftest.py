"""Results of the shipped scenarios, worked out once for all tests of the charts."""

from datetime import UTC, date, datetime, timedelta
from functools import cache
from pathlib import Path
from types import SimpleNamespace

import pytest

from energysim.charts import Look, charts, draw
from energysim.comparison import compare, options
from energysim.errors import ScenarioError
from energysim.odds import run_odds
from energysim.reach import hold_hours, hold_map, motor_curve, night_course, trip_costs
from energysim.results.odds import Chance, Percentiles
from energysim.results.season import DateOdds, SeasonDate, SeasonResult
from energysim.runner import run_day
from energysim.scenario.load import load_scenario
from energysim.scenario.whatif import changed

SCENARIOS = Path(__file__).parents[2] / "scenarios"
OF_THE_SHOP = {"options", "trips"}
"""Kinds that are drawn from the one scenario with options and prices, whatever is asked."""


@cache
def _loaded(name):
    return load_scenario(str(SCENARIOS / name / f"{name}.toml"))


@cache
def _day(name):
    return run_day(_loaded(name), with_changes=False)


@cache
def _result(name, what):
    if what == "season":
        return _season()
    if what == "options":
        return compare(_loaded("shop"))
    if what == "trips":
        priced = changed(_loaded("shop"), {"prices.bank": 460})
        return trip_costs(priced, run_day(priced, with_changes=False))
    return _of(what, _loaded(name), _day(name))


def _of(what, loaded, day):
    if what == "day":
        return day
    if what in {"night", "trips"}:
        return {"night": night_course, "trips": trip_costs}[what](loaded, day)
    if what == "odds":
        return run_odds(loaded, members=200)
    return {"motor": motor_curve, "hold": hold_hours, "map": hold_map}[what](loaded)


@cache
def _season():
    """A season nobody ran, with everything in it a calendar has to show."""
    first = date(2026, 5, 9)
    dates = []
    for number in range(70):
        day = first + timedelta(days=number)
        start = datetime(day.year, day.month, day.day, 7, tzinfo=UTC)
        place = (number % 15) / 14.0
        chance = (64 - (number * 7) % 30) / 64.0
        odds = DateOdds(
            start=start,
            end=start + timedelta(hours=8),
            whole_plan=Chance(chance=chance, low=chance - 0.05, high=min(1.0, chance + 0.05)),
            above_limit=Chance(chance=1.0, low=0.9, high=1.0),
            home=Chance(chance=1.0, low=0.9, high=1.0),
            end_soc=Percentiles(p10=0.4, p50=0.5 + 0.001 * number, p90=0.7),
            wind_mps=5.0 + 0.01 * number,
            planned_end_soc=0.5,
            planned_outcome="holds",
            planned_off_station_s=0.0,
            plan_stream_mps=1.0,
            best_start=start + timedelta(hours=number % 3),
            best_end_soc=0.55,
            best_outcome="holds",
        )
        dates.append(
            SeasonDate(
                date=day,
                stream_mps=1.0 + place,
                stream_at=start + timedelta(hours=2),
                fortnight_place=place,
                tide="spring" if place > 0.67 else "neap" if place < 0.33 else "",
                odds=None if number == 20 else odds,
                skipped="is not there that night" if number == 20 else "",
            )
        )
    return SeasonResult(
        title="A season nobody ran (invented)",
        first=first,
        last=dates[-1].date,
        members=64,
        seed=1,
        wind="frequencies",
        climate="wind_climate.csv",
        limit_soc=0.2,
        tried_starts_s=(0.0, 3600.0, 7200.0),
        from_table=False,
        dates=tuple(dates),
    )


@cache
def _options():
    return options(_loaded("shop"))


@cache
def _day_of_option(name):
    return run_day(_options()[name], with_changes=False)


@cache
def _of_options(kind, names):
    """What a kind is drawn from, of the options of the shop that bear it."""
    found = {}
    for name, loaded in _options().items():
        if names and name not in names:
            continue
        try:
            of_a_day = charts()[kind].result in {"day", "night", "trips"}
            day = _day_of_option(name) if of_a_day else None
            found[name] = _of(charts()[kind].result, loaded, day)
        except ScenarioError:
            assert name in {"a 36 V block on the 24 V motor", "as it is"}
    return found


@cache
def _drawn(name, kind, width_in, grey):
    stream = _loaded(name).scenario.stream
    return draw(
        kind,
        _result(name, charts()[kind].result),
        look=Look(width_in=width_in, grey=grey),
        flood_toward_deg=None if stream is None else stream.flood_toward_deg,
    )


def _drawn_once(name, kind, width_in=3.5, grey=False):
    own = "shop" if charts()[kind].result in {*OF_THE_SHOP, "season"} else name
    return _drawn(own, kind, width_in, grey)


@pytest.fixture(scope="session")
def shipped():
    """Scenarios by name, what their charts are drawn from, and the drawn charts."""
    return SimpleNamespace(
        loaded=_loaded,
        result=lambda name, kind: _result(name, charts()[kind].result),
        drawn=_drawn_once,
        of_options=lambda kind, *names: dict(_of_options(kind, names)),
    )
