"""Put a run together into the records that reports read."""

from energysim.answer.bank import bank_result
from energysim.answer.day import day_result, kind_charges
from energysim.answer.house import house_result
from energysim.answer.outcome import Outcome, outcome, outcome_as_read

__all__ = [
    "Outcome",
    "bank_result",
    "day_result",
    "house_result",
    "kind_charges",
    "outcome",
    "outcome_as_read",
]
