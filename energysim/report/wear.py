"""
What a day costs its bank, in words.

Depends on: results.wear.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from energysim.results.wear import Estimate, Wear

LONG_YEARS = 10.0  # from here on years are told whole


def wear_lines(wear: Wear | None) -> list[str]:
    """Return how long the bank lasts on such days and what one of them costs, a line each."""
    if wear is None:
        return ["No prices given."]
    lines = []
    if wear.cycles is not None:
        lines.append(
            f"A day takes {wear.depth:.0%} of the bank; about {_count(wear.cycles.value)} such "
            f"days wear it out ({_count(wear.cycles.low)} to {_count(wear.cycles.high)})."
        )
    first = "by use" if wear.ended_by == "use" else "by its years, before the days are used up"
    if wear.cycles is None:
        first = "by its years; a day takes nothing worth counting"
    lines.append(
        f"At {wear.trips_a_year:g} a year it is down to 80% of its capacity in about "
        f"{_years(wear.years.value)} years ({_years(wear.years.low)} to "
        f"{_years(wear.years.high)}), {first}."
    )
    if wear.price_per_trip is not None and wear.price_per_year is not None:
        energy = wear.energy_price_per_trip
        part = "" if energy is None else f", of which energy {_money(energy)}"
        lines.append(
            f"A trip costs about {_money(wear.price_per_trip.value)} {wear.currency} "
            f"({_money_range(wear.price_per_trip)}){part}; a year "
            f"{_money(wear.price_per_year.value)} {wear.currency}."
        )
    elif wear.energy_price_per_trip is not None:
        lines.append(
            f"The energy of a trip costs {_money(wear.energy_price_per_trip)} {wear.currency}."
        )
    if wear.note:
        lines.append(wear.note[0].upper() + wear.note[1:] + ".")
    return lines


def _count(number: float) -> str:
    """Round to the two digits such a number is worth."""
    return f"{float(f'{number:.2g}'):,.0f}"


def _years(years: float) -> str:
    return f"{years:.0f}" if years >= LONG_YEARS or years == round(years) else f"{years:.1f}"


def _money(amount: float) -> str:
    """Round to cents where cents are seen."""
    return f"{amount:.2f}" if amount < 100.0 else f"{amount:.0f}"


def _money_range(price: Estimate) -> str:
    return f"{_money(price.low)} to {_money(price.high)}"
