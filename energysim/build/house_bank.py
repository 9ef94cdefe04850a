"""
The house's own battery: sounder, lights and pump on a second bank.

It is built as the bow motor's is and run beside it as a bank without a motor.

Depends on: scenario, errors, build.bank, build.block.
"""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

import numpy as np

from energysim.build.arrays import Terminals
from energysim.build.bank import BankPart, assemble
from energysim.build.block import build_block
from energysim.errors import Problem, ScenarioError

if TYPE_CHECKING:
    from energysim.scenario.model import Scenario


def build_house_bank(scenario: Scenario) -> BankPart | None:
    """
    Return the house's bank; None where the house hangs on the bow motor's.

    Its leads are left out: a house draws a few amperes.

    Raises
    ------
    ScenarioError
        As for the bow motor's bank, its places under [house_bank].
    """
    table = scenario.house_bank
    if table is None:
        return None
    try:
        block = build_block(table)
        part = assemble(
            table,
            block,
            series=table.series or 1,
            water_degc=scenario.day.water_temperature_degc,
            terminals=Terminals(
                cable_ohm=0.0,
                house_load_w=table.load_w,
                current_limit_a=np.inf,
                lowest_voltage_v=0.0,
            ),
        )
    except ScenarioError as error:
        raise ScenarioError([_of_the_house(problem) for problem in error.problems]) from None
    notes = tuple(f"house bank: {note}" for note in part.notes)
    warnings = tuple(f"house bank: {warning}" for warning in part.warnings)
    return replace(part, notes=notes, warnings=warnings)


def _of_the_house(problem: Problem) -> Problem:
    """Move a problem of the same builders to the house's own table."""
    return replace(
        problem,
        path=problem.path.replace("bank", "house_bank", 1),
        hint=problem.hint.replace("bank.", "house_bank."),
    )
