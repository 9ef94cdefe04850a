"""
What the user pays: the price of the whole bank from that of a block, and the rest as it stands.

Depends on: scenario, wear.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from energysim.wear import Costs

if TYPE_CHECKING:
    from energysim.scenario.prices import Prices


def build_costs(prices: Prices | None, *, blocks: int) -> Costs | None:
    """
    Return prices and use for `energysim.wear.day_wear`; None without a [prices] table.

    Parameters
    ----------
    prices : Prices or None
        As the scenario has it.
    blocks : int
        How many blocks the whole bank has, in series and in parallel.
    """
    if prices is None:
        return None
    bank = prices.bank if prices.block is None else blocks * prices.block
    return Costs(
        currency=prices.currency,
        bank_price=bank,
        energy_price_per_kwh=prices.energy_per_kwh,
        trips_a_year=prices.trips_a_year,
    )
