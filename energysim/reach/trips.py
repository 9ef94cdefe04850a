"""
What a trip costs, over how deep it takes the bank.

Depends on: build, charge_plan, night, wear, errors, results, results.reach.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

import numpy as np

from energysim.build import build_day
from energysim.build.block import build_block
from energysim.charge_plan import KindCharge
from energysim.errors import Problem, ScenarioError
from energysim.night import night_at_the_charger
from energysim.results.reach import TripCosts

if TYPE_CHECKING:
    from energysim.charge_plan import ChargePlan
    from energysim.results.day import DayResult
    from energysim.scenario.load import LoadedScenario
    from energysim.scenario.model import Scenario

LEAST_DEPTH: Final = 0.02
NEW: Final = 0.999  # of the label's capacity
DEPTHS: Final = 50
"""From a fiftieth of the charge to all of it. [count]"""


def trip_costs(loaded: LoadedScenario, result: DayResult) -> TripCosts:
    """
    Return what a trip costs over its depth, with the day's own depth.

    The bank over its life and the energy that fills it again, as `wear.day_wear` works them
    out for the day: every trip as deep as the next, as many a year as the scenario says.

    Parameters
    ----------
    loaded : LoadedScenario
        The scenario the day was run from, with a price of its bank.
    result : DayResult
        The day.

    Returns
    -------
    TripCosts
        Expected, and the range thought possible.

    Raises
    ------
    ScenarioError
        The scenario has no price of its bank.
    """
    prices = loaded.scenario.prices
    if prices is None or (prices.bank is None and prices.block is None):
        raise ScenarioError(
            loaded.locate(
                Problem(
                    path="prices",
                    reason="is missing: a trip has no cost"
                    if prices is None
                    else "has no price of the bank: a trip has no cost",
                    hint='add [prices] with currency = "USD" and the price of the whole bank, '
                    "bank = 600, or of one of its blocks, block = 300"
                    + (
                        "; its options have prices: --options draws theirs"
                        if _options_have_prices(loaded.scenario)
                        else ""
                    ),
                )
            )
        )
    plan = build_day(loaded)
    if plan.wear is None or result.wear is None or result.wear.price_per_trip is None:
        raise ValueError("result was not run from this scenario: it has no price of a trip")
    depth = np.linspace(LEAST_DEPTH, 1.0, DEPTHS)
    asked = [(share, _refilled_wh(plan.charge, share)) for share in depth.tolist()]
    found = [plan.wear(share, recharge_wh=wall_wh) for share, wall_wh in asked]
    wears = [wear for wear in found if wear is not None]
    priced = [wear.price_per_trip or result.wear.price_per_trip for wear in wears]
    trips = [wear.trips for wear in wears]
    return TripCosts(
        title=result.title,
        kind=build_block(loaded.scenario.bank).chemistry.label,
        currency=prices.currency,
        bank_price=float(wears[0].bank_price or 0.0),
        trips_a_year=prices.trips_a_year,
        depth=depth,
        price=np.array([one.value for one in priced]),
        price_low=np.array([one.low for one in priced]),
        price_high=np.array([one.high for one in priced]),
        energy_price=np.array([wear.energy_price_per_trip or 0.0 for wear in wears]),
        trips=np.array([one.value for one in trips]),
        trips_low=np.array([one.low for one in trips]),
        trips_high=np.array([one.high for one in trips]),
        day_depth=result.wear.depth,
        day_price=result.wear.price_per_trip,
        note=". ".join(note for note in (wears[0].note, _of_used_blocks(loaded)) if note),
    )


def _options_have_prices(scenario: Scenario) -> bool:
    """Whether prices are told of what is compared, though not of the file's own bank."""
    table = scenario.options
    told = table is not None and bool(table.block_prices)
    return told or any(
        key.partition(".")[0] == "prices" for row in scenario.option for key in row.keys
    )


def _refilled_wh(plan: ChargePlan | None, depth: float) -> float | None:
    """Return what the wall gives to fill the bank from that depth; None without a charger."""
    if plan is None:
        return None
    charge = KindCharge(1.0 - depth, tuple(block.place for block in plan.blocks))
    return night_at_the_charger(plan, [charge]).wall_energy_wh


def _of_used_blocks(loaded: LoadedScenario) -> str:
    bank = loaded.scenario.bank
    used = bank.capacity_fraction < NEW or bool(bank.blocks)
    return "lives are counted from new, also of used blocks" if used else ""
