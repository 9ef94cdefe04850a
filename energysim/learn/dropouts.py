"""
Volts that are those of the bank: a block's counted up, a logger's dropouts left out.

Depends on: errors, learn.log, plan.
"""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING, Final

import numpy as np

from energysim.errors import Problem, ScenarioError

if TYPE_CHECKING:
    from energysim.learn.log import DayLog
    from energysim.plan import DayPlan

BELIEVED: Final = (0.6, 1.4)
"""Volts of a bank, of its rated ones: from flat under load to full, with room (ours)."""

MOST_LOST: Final = 0.5
"""Share of the rows beyond those from which the column means something else (ours)."""


def volts_of_the_bank(log: DayLog, plan: DayPlan, *, name: str) -> DayLog:
    """
    Return a log whose volts are those of the whole bank.

    Parameters
    ----------
    log : DayLog
        As it was read.
    plan : DayPlan
        For the bank.
    name : str
        What answers call the log.

    Raises
    ------
    ScenarioError
        The volts are not those of this bank.
    """
    if log.voltage_v is None:
        return log
    volts = log.voltage_v * (plan.series if log.of_one_block else 1)
    rated_v = plan.rated_voltage_v
    low_v, high_v = (share * rated_v for share in BELIEVED)
    lost = (volts < low_v) | (volts > high_v)  # a gap is neither
    known = int(np.isfinite(volts).sum())
    if known and lost.sum() > MOST_LOST * known:
        middle_v = float(np.nanmedian(volts))
        hint = f"volts between {low_v:.1f} and {high_v:.1f} are believed; check bank and column"
        if not log.of_one_block and low_v <= middle_v * plan.series <= high_v:
            hint = "if these are the volts of one block, name the column 'block voltage [V]'"
        raise ScenarioError(
            Problem(
                file=name, path="voltage", value=f"{middle_v:.1f} V",
                reason=f"is the middle of the column, and the bank is one of {rated_v:g} V",
                hint=hint,
            )
        )  # fmt: skip
    notes = log.notes
    if lost.any():
        wild_v = volts[lost][0] / (plan.series if log.of_one_block else 1)
        left_out = f"{lost.sum()} rows of volts not believed, such as {wild_v:.1f} V: left out"
        notes += (left_out,)
    if log.of_one_block:
        notes += (f"the volts of one block taken {plan.series} times for the bank",)
    return replace(
        log, voltage_v=np.where(lost, np.nan, volts), of_one_block=False, notes=notes
    )
