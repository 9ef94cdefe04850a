"""Days over midnight and over a clock change: the wall clock jumps, the bank does not."""

from copy import deepcopy

import numpy as np
import pytest

from energysim.runner import run_day


def legs(start: str, until: str) -> list[dict]:
    return [{"name": "Hold", "do": "hold", "start": start, "until": until}]


def night(raw: dict, date: str, zone: str, start: str, until: str) -> dict:
    changed = deepcopy(raw)
    changed["day"] = {**changed["day"], "date": date, "timezone": zone}
    changed["leg"] = legs(start, until)
    changed.pop("stream", None)
    changed["wind"] = {"speed": "10 kn", "from": "N"}
    changed.pop("charger", None)
    return changed


@pytest.mark.parametrize(
    ("date", "hours"),
    [
        pytest.param("2026-10-31", 7.0, id="clocks-go-back"),
        pytest.param("2026-03-07", 5.0, id="clocks-go-forward"),
        pytest.param("2026-06-20", 6.0, id="plain-night"),
    ],
)
def test_a_night_is_as_long_as_it_is(plain_day, load_raw, tmp_path, date, hours):
    # US clocks change at 02:00 on 2026-11-01 and 2026-03-08 (Energy Policy Act of 2005).
    raw = night(plain_day(), date, "America/New_York", "22:00", "04:00 next day")
    result = run_day(load_raw(raw, tmp_path), with_changes=False)
    assert float(np.sum(result.series["step"])) == pytest.approx(3600.0 * hours)
    assert f"{result.start:%H:%M} {result.end:%H:%M}" == "22:00 04:00"
    assert result.start.utcoffset() != result.end.utcoffset() or hours == 6.0


def test_the_same_hold_costs_by_its_real_length(plain_day, load_raw, tmp_path):
    drawn = {}
    for date in ("2026-10-31", "2026-03-07"):
        raw = night(plain_day(), date, "America/New_York", "22:00", "04:00 next day")
        drawn[date] = run_day(load_raw(raw, tmp_path), with_changes=False).charge_drawn_ah
    assert drawn["2026-10-31"] / drawn["2026-03-07"] == pytest.approx(7.0 / 5.0, rel=0.01)
