"""The day pushed harder and less hard brackets the day as reckoned."""

from dataclasses import replace

import numpy as np
import pytest

from energysim.bracket import push_spread, pushed
from energysim.build import build_day
from energysim.runner import run_day
from energysim.simulate import read_books, simulate


@pytest.fixture
def loaded(plain_day, load_raw, tmp_path):
    return load_raw(plain_day(), tmp_path)


def test_harder_is_the_spread_more_and_easier_the_same_factor_less(loaded):
    plan = build_day(loaded)
    harder, easier = pushed(plan)
    np.testing.assert_allclose(harder.demand.thrust_n, 1.35 * plan.demand.thrust_n)
    np.testing.assert_allclose(easier.demand.thrust_n * 1.35, plan.demand.thrust_n)
    np.testing.assert_allclose(harder.wanted.gust_thrust_n, 1.35 * plan.wanted.gust_thrust_n)


def test_a_panel_gives_the_same_on_the_harder_and_the_easier_day(plain_day, load_raw, tmp_path):
    raw = plain_day()
    raw["solar"] = {"peak": "100 W", "sun_hours": "4 h"}
    loaded = load_raw(raw, tmp_path)
    plan = build_day(loaded)
    assert plan.demand.supply_w.any()
    for other in pushed(plan):
        np.testing.assert_array_equal(other.demand.supply_w, plan.demand.supply_w)
    result = run_day(loaded)
    assert result.bracket.harder_end_soc < result.end_soc < result.bracket.easier_end_soc


def test_the_day_lies_between_its_brackets(loaded):
    result = run_day(loaded)
    assert result.bracket.spread == push_spread() == 0.35
    assert result.bracket.harder_end_soc < result.end_soc < result.bracket.easier_end_soc


def test_the_bracket_is_the_day_run_alone_with_that_thrust(loaded):
    plan, _ = pushed(build_day(loaded))
    flows = simulate(plan.demand, plan.bank, plan.motor)
    alone = read_books(flows, plan.bank, plan.demand.step_s).soc[-1, 0]
    assert run_day(loaded).bracket.harder_end_soc == pytest.approx(float(alone), abs=1e-12)


def test_an_unused_motor_stays_off_however_hard_the_push(plain_day, load_raw, tmp_path):
    raw = plain_day()
    raw["leg"] = [{"do": "rest", "start": "06:00", "for": "1 h"}]
    plan = build_day(load_raw(raw, tmp_path))
    assert not pushed(plan)[0].demand.power_w.any()


def test_a_calm_asks_for_the_idle_power_alone_however_hard_the_push(loaded):
    plan = build_day(loaded)
    calm = plan.wanted
    still = replace(
        plan,
        wanted=replace(
            calm, thrust_n=0.0 * calm.thrust_n, node_thrust_n=0.0 * calm.node_thrust_n
        ),
    )
    # 0.3 A of electronics at 24 V.
    np.testing.assert_allclose(pushed(still)[0].demand.power_w, 0.3 * 24.0)
