"""
What a day costs its bank: how deep, how many such days, how many years, what a trip comes to.

Depends on: results, results.wear, catalogue, physics.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Final

from energysim.physics.ageing import cycle_wear, cycles_to_end, price_per_trip, years_to_end
from energysim.results.wear import Estimate, Wear

if TYPE_CHECKING:
    from energysim.catalogue import Chemistry
    from energysim.physics.ageing import LifeLaw
    from energysim.results.day import DayTold

NO_PRICES: Final = "no prices given"
LEAST_DEPTH: Final = 1e-6
"""A day that takes less than this of the bank does not wear it. [1]"""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Costs:
    """What the user says of prices and use, in one currency."""

    currency: str
    bank_price: float | None  # of the whole bank
    energy_price_per_kwh: float | None
    trips_a_year: float


def day_depth(result: DayTold) -> float:
    """
    Return the share of its full charge the bank was down at its lowest, by ampere-hours.

    Counted from full, not from the morning: a bank that starts half empty is worn by how deep
    it goes. Where blocks differ the deepest one is worn most; this is the bank as a whole.
    """
    lowest = min(result.end_charge, float(result.series["charge"].min()))
    return min(max(1.0 - lowest, 0.0), 1.0)


def day_wear(
    depth: float, *, kind: Chemistry, costs: Costs | None, recharge_wh: float | None
) -> Wear | None:
    """
    Work out how long a bank lasts on days as deep as this one, and what one of them costs.

    Parameters
    ----------
    depth : float
        Share of its full charge the day takes, by ampere-hours, 0 to 1. [1]
    kind : Chemistry
        Of the bank, with its lives.
    costs : Costs or None
        Prices and trips a year; None where the scenario gives none.
    recharge_wh : float or None
        Drawn from the wall to fill the bank again; None without a charger. [Wh]

    Returns
    -------
    Wear or None
        Each number with its range; None without prices (`NO_PRICES` says so).
    """
    if costs is None:
        return None
    laws = (kind.life_law, kind.life_law_low, kind.life_law_high)
    years = _estimate([_years(depth, law, costs.trips_a_year) for law in laws])
    trips = Estimate(
        value=years.value * costs.trips_a_year,
        low=years.low * costs.trips_a_year,
        high=years.high * costs.trips_a_year,
    )
    cycles = None
    ended_by = "years"
    if depth > LEAST_DEPTH:
        cycles = _estimate([float(cycles_to_end(depth, law=law)) for law in laws])
        if cycles.value < kind.life_law.calendar_years * costs.trips_a_year:
            ended_by = "use"
    energy = None
    if costs.energy_price_per_kwh is not None and recharge_wh is not None:
        energy = recharge_wh / 1000.0 * costs.energy_price_per_kwh
    price = _price(trips, costs, recharge_wh or 0.0)
    return Wear(
        depth=depth,
        cycles=cycles,
        trips_a_year=costs.trips_a_year,
        years=years,
        trips=trips,
        ended_by=ended_by,
        currency=costs.currency,
        bank_price=costs.bank_price,
        energy_price_per_trip=energy,
        price_per_trip=price,
        price_per_year=None if price is None else _times(price, costs.trips_a_year),
        note=_note(costs, recharge_wh),
    )


def _years(depth: float, law: LifeLaw, trips_a_year: float) -> float:
    """Return the years until one law calls the bank worn out."""
    wear = cycle_wear(depth if depth > LEAST_DEPTH else 0.0, trips=trips_a_year, law=law)
    return float(years_to_end(wear, law=law))


def _price(trips: Estimate, costs: Costs, recharge_wh: float) -> Estimate | None:
    """Return the price of a trip; a long life makes it low."""
    if costs.bank_price is None:
        return None
    value, low, high = price_per_trip(
        costs.bank_price,
        trips=[trips.value, trips.high, trips.low],
        recharge_wh=recharge_wh,
        energy_price_per_kwh=costs.energy_price_per_kwh or 0.0,
    ).tolist()
    return Estimate(value=value, low=low, high=high)


def _note(costs: Costs, recharge_wh: float | None) -> str:
    """Say what the price leaves out."""
    if costs.bank_price is None:
        return "no price of the bank given: only the energy is priced"
    if costs.energy_price_per_kwh is None:
        return "no price of energy given: only the bank is priced"
    if recharge_wh is None:
        return "no charger given: only the bank is priced"
    return ""


def _estimate(values: list[float]) -> Estimate:
    """Return expected, low and high as one."""
    value, low, high = values
    return Estimate(value=value, low=low, high=high)


def _times(estimate: Estimate, factor: float) -> Estimate:
    """Return an estimate so many times over."""
    return Estimate(
        value=factor * estimate.value, low=factor * estimate.low, high=factor * estimate.high
    )
