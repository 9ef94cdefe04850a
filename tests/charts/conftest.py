"""Results of the shipped scenarios, worked out once for all tests of the charts."""

from functools import cache
from pathlib import Path
from types import SimpleNamespace

import pytest

from energysim.charts import Look, charts, draw
from energysim.reach import hold_hours, hold_map, motor_curve, night_course
from energysim.runner import run_day
from energysim.scenario.load import load_scenario

SCENARIOS = Path(__file__).parents[2] / "scenarios"


@cache
def _loaded(name):
    return load_scenario(str(SCENARIOS / name / f"{name}.toml"))


@cache
def _day(name):
    return run_day(_loaded(name), with_changes=False)


@cache
def _result(name, what):
    loaded = _loaded(name)
    if what == "day":
        return _day(name)
    if what == "night":
        return night_course(loaded, _day(name))
    return {"motor": motor_curve, "hold": hold_hours, "map": hold_map}[what](loaded)


@cache
def _drawn(name, kind, width_in, grey):
    stream = _loaded(name).scenario.stream
    return draw(
        kind,
        _result(name, charts()[kind].result),
        look=Look(width_in=width_in, grey=grey),
        flood_toward_deg=None if stream is None else stream.flood_toward_deg,
    )


@pytest.fixture(scope="session")
def shipped():
    """Scenarios by name, what their charts are drawn from, and the drawn charts."""
    return SimpleNamespace(
        loaded=_loaded,
        result=lambda name, kind: _result(name, charts()[kind].result),
        drawn=lambda name, kind, width_in=3.5, grey=False: _drawn(name, kind, width_in, grey),
    )
