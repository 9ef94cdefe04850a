"""
Put options in order by a rule that can be printed, and say why the first is first.

Depends on: results.compare.
"""

from __future__ import annotations

import math
from typing import TYPE_CHECKING, Final

if TYPE_CHECKING:
    from collections.abc import Sequence

    from energysim.results.compare import OptionDay

OUTCOMES: Final = ("holds", "short", "deep", "empty")
FITS: Final = ("fits", "not known", "not decided", "does not fit")

RULES: Final = {
    "day": "first what brings the day home, then what fits the locker, then the longest hold "
    "left at the hardest hour",
    "hold": "the longest hold left at the day's hardest hour first; whether it fits is not "
    "looked at",
    "weight": "the lightest first, among those that bring the day home; the others after them",
    "price": "the least price per trip first, among those that bring the day home; the others, "
    "and those without a price, after them",
    "years": "the longest life first, among those that bring the day home; the others after "
    "them",
}
"""The rules by what they are called on the command line."""


def ranked(days: Sequence[tuple[str, OptionDay]], rank: str) -> list[int]:
    """Return the places of the options in order; what is alike stays in the file's order."""
    return sorted(range(len(days)), key=lambda number: _key(days[number][1], rank))


def _key(day: OptionDay, rank: str) -> tuple[float, ...]:
    """Return what an option is sorted by, the least first."""
    home = OUTCOMES.index(day.outcome)
    left = 0.0 if day.hold_left is None else -day.hold_left.seconds
    trip = day.money.price_per_trip
    years = day.money.years
    keys: dict[str, tuple[float, ...]] = {
        "day": (home, FITS.index(day.fit.verdict), left, -day.end_soc),
        "hold": (left, home, -day.end_soc),
        "weight": (home, day.load.mass_kg),
        "price": (home, math.inf if trip is None else trip.value),
        "years": (home, math.inf if years is None else -years.value),
    }
    return keys[rank]


def reason(days: Sequence[tuple[str, OptionDay]], rank: str) -> str:
    """Say why the first of the ordered options stands before the second, by the rule alone."""
    name, first = days[0]
    if len(days) == 1:
        return f"{name} is the only one that could be run."
    other, second = days[1]
    if _key(first, rank) == _key(second, rank):
        return f"{name} and {other} are alike by this rule; the file's order decides."
    found = [
        (first.outcome != second.outcome, f"its day {HOME[first.outcome]}",
         f"that of the next, {other}, {HOME[second.outcome]}"),
        (rank == "day" and first.fit.verdict != second.fit.verdict,
         f"the locker: {first.fit.headline}", f"the next, {other}: {second.fit.headline}"),
        (True, _tells(first, rank), f"the next, {other}: {_tells(second, rank)}"),
    ]  # fmt: skip
    for differs, this, that in found:
        if differs and this:
            return f"{name} stands first by this rule: {this}; {that}."
    return f"{name} stands first by this rule."


HOME: Final = {
    "holds": "holds",
    "short": "is short of thrust",
    "deep": "goes below the limit",
    "empty": "ends with an empty bank",
}


def _tells(day: OptionDay, rank: str) -> str:
    """Return the number a rule looks at last."""
    if rank in {"day", "hold"}:
        if day.hold_left is None:
            return f"{day.end_soc:.0%} left"
        more = "more than " if day.hold_left.more else ""
        return f"{more}{day.hold_left.seconds / 3600.0:.1f} h of hold left"
    if rank == "weight":
        return f"{day.load.mass_kg:.0f} kg ({day.load.mass_kg / 0.45359237:.0f} lb)"
    if rank == "price":
        trip = day.money.price_per_trip
        return "no price" if trip is None else f"{trip.value:.2f} {day.money.currency} a trip"
    years = day.money.years
    return "life not known" if years is None else f"{years.value:.1f} years"
