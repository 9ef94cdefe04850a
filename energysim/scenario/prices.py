"""
The table of what things cost: [prices]. Plain numbers, in whatever currency it names.

Depends on: pydantic, errors, scenario.table.
"""

from collections.abc import Iterator, Mapping
from typing import Annotated

from pydantic import Field

from energysim.errors import RefusedValueError
from energysim.scenario.table import ScenarioTable

# The limits are ours, and wide: a currency may count in thousands what another counts in ones.
Price = Annotated[float, Field(gt=0.0, le=1e9)]
EnergyPrice = Annotated[float, Field(ge=0.0, le=1e6)]
Currency = Annotated[str, Field(min_length=1, max_length=12)]
TripsAYear = Annotated[float, Field(gt=0.0, le=366.0)]


class Prices(ScenarioTable):
    """What the bank and its energy cost, and how often it is used."""

    currency: Currency = Field(description='Printed beside every price: "USD", "EUR".')
    bank: Price | None = Field(None, description="Of the whole bank, as it is laid out.")
    block: Price | None = Field(
        None, description="Of one block; times the blocks of the bank, instead of 'bank'."
    )
    energy_per_kwh: EnergyPrice | None = Field(
        None, description="Of a kilowatt-hour at the wall; its energy costs nothing without."
    )
    trips_a_year: TripsAYear = Field(
        40.0, description="Days like this one in a year (our choice)."
    )

    @classmethod
    def key_faults(cls, given: Mapping[str, object]) -> Iterator[RefusedValueError]:
        """Take the price of the bank once, some price at all, and a currency one can read."""
        if "bank" in given and "block" in given:
            yield RefusedValueError(
                "cannot stand beside 'bank': each gives the price of the bank",
                "keep one of: bank; block",
                where=("block",),
            )
        currency = given.get("currency")
        if isinstance(currency, str) and currency and not currency.strip():
            yield RefusedValueError("is blank", 'such as "USD"', where=("currency",))
        if not any(key in given for key in ("bank", "block", "energy_per_kwh")):
            yield RefusedValueError(
                "has no price in it", "give bank or block, or energy_per_kwh, or both"
            )
