"""
The house's own bank through the day.

Depends on: answer.outcome, assess, plan, simulate, results.bank.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from energysim.answer.outcome import moment
from energysim.assess import falls_to
from energysim.results.bank import HouseResult
from energysim.simulate import read_books

if TYPE_CHECKING:
    from energysim.plan import DayPlan
    from energysim.simulate import Flows


def house_result(plan: DayPlan, flows: Flows) -> HouseResult | None:
    """Return the house's own bank through the day, from the flows of its member."""
    house = plan.house
    if house is None:
        return None
    books = read_books(flows, house.bank, plan.demand.step_s)
    soc = books.soc[:, 0]
    empty = flows.carried_share[:, 0] < 1.0
    short = flows.current_a[:, 0] * flows.bus_voltage_v[:, 0] < house.bank.house_load_w[0] * (
        1.0 - 1e-6
    )
    fails = empty | short
    end_s = None
    if fails.any():
        step = int(np.argmax(fails))
        part = flows.carried_share[step, 0] if empty[step] else 0.0
        end_s = float(plan.edges_s[step] + part * plan.demand.step_s[step, 0])
    return HouseResult(
        end_soc=float(soc[-1]),
        end_charge=float(books.charge[-1, 0]),
        limit_soc=house.limit_soc,
        drawn_ah=float(flows.drawn_ah[-1, 0]),
        lowest_voltage_v=float(flows.bank_voltage_v.min()),
        limit_reached_at=moment(plan, falls_to(soc, plan.edges_s, house.limit_soc)),
        end_at=moment(plan, end_s),
    )
