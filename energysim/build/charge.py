"""
The charger and the night it has.

Depends on: scenario, charge_plan, physics, clock, errors, build.bank, build.timeline.
"""

from __future__ import annotations

from datetime import datetime, timedelta
from typing import TYPE_CHECKING, Final

from energysim.charge_plan import ChargePlan
from energysim.clock import clock_after, seconds_between
from energysim.errors import Problem, RefusedValueError, ScenarioError
from energysim.physics.charge import charge_voltage_v, largest_charger_current_a
from energysim.physics.charger import even_share_w
from energysim.scenario.clock import resolve_clock

if TYPE_CHECKING:
    from energysim.build.bank import BankPart
    from energysim.build.timeline import Timeline
    from energysim.scenario.model import Scenario

HAUL_OUT_S: Final = 3600.0
"""Time from the day's end to the plug, where the scenario does not say (our choice). [s]"""


def build_charge(
    scenario: Scenario, timeline: Timeline, bank: BankPart
) -> tuple[ChargePlan | None, tuple[str, ...], tuple[str, ...]]:
    """
    Return the night's plan, what was assumed, and what is doubtful; None without a charger.

    Raises
    ------
    ScenarioError
        There are fewer outputs than blocks, or the night ends before it begins.
    """
    table = scenario.charger
    if table is None:
        return None, ("no charger: the night is left out (no [charger] table)",), ()
    notes: list[str] = []
    warnings: list[str] = []
    end = timeline.legs[-1].end
    start, ready = _clocks(scenario, timeline, end, notes)
    blocks = bank.series * bank.parallel
    given = table.outputs
    outputs = blocks if given is None else given if isinstance(given, int) else len(given)
    if outputs < blocks:
        raise ScenarioError(
            Problem(
                path="charger.outputs",
                value=outputs,
                reason=f"is fewer than the bank's {blocks} blocks; each needs its own",
                hint="a charger with more outputs, or two of them",
            )
        )
    law = bank.block.chemistry.charge_law
    voltage = bank.block.scale * float(charge_voltage_v(bank.temperature_degc, law=law))
    rated_a = min(given) if isinstance(given, tuple) else table.current_a or 0.0
    current, note = rated_a, ""
    circuit_w = None if table.circuit is None else table.circuit.power_w
    if circuit_w is not None:
        watts = voltage / table.efficiency
        shared_w = even_share_w([current * watts], counts=[blocks], circuit_power_w=circuit_w)
        current = float(shared_w[0]) / watts
        if current < rated_a - 1e-9:
            note = (
                f"the circuit's {circuit_w:g} W leaves each output {current:.1f} A of "
                f"its {rated_a:g} A"
            )
    capacity = bank.ledger_capacity_ah / bank.parallel
    most = float(largest_charger_current_a(capacity, law=law))
    if current > most:
        warnings.append(
            f"{current:.0f} A into one block is more than the {most:.0f} A usual for "
            f"{bank.block.chemistry.label}; see what the maker of the battery allows"
        )
    if law.lowest_charge_degc is not None and bank.temperature_degc < law.lowest_charge_degc:
        note = f"too cold: {bank.block.chemistry.label} must not be charged below freezing"
    plan = ChargePlan(
        plugged_in_at=start,
        ready_by=ready,
        outputs=blocks,
        current_a=current,
        law=law,
        block_capacity_ah=capacity,
        efficiency=table.efficiency,
        charge_voltage_v=voltage,
        temperature_degc=bank.temperature_degc,
        note=note,
    )
    return plan, tuple(notes), tuple(warnings)


def _clocks(
    scenario: Scenario, timeline: Timeline, end: datetime, notes: list[str]
) -> tuple[datetime, datetime]:
    """Return when the charger is plugged in, and when the bank has to be full."""
    table, day = scenario.charger, scenario.day
    if table is None or table.start is None:
        start = clock_after(end, HAUL_OUT_S)
        notes.append(f"plugged in at {start:%H:%M}, an hour after the day ends")
    else:
        start = _resolved("charger.start", table.start, end, scenario)
    if table is None or table.ready_by is None:
        begin = timeline.start
        next_morning = datetime.combine(begin.date() + timedelta(days=1), begin.time())
        ready = next_morning.replace(tzinfo=day.timezone)
        if seconds_between(start, ready) <= 0.0:
            ready = clock_after(ready, 24 * 3600.0)
        notes.append(f"wanted full again by {ready:%H:%M}, when the next day would start")
    else:
        ready = _resolved("charger.ready_by", table.ready_by, start, scenario)
    return start, ready


def _resolved(path: str, clock: object, after: datetime, scenario: Scenario) -> datetime:
    try:
        return resolve_clock(clock, scenario.day.date, scenario.day.timezone, after)  # type: ignore[arg-type]
    except RefusedValueError as error:
        raise ScenarioError(Problem(path=path, reason=error.reason, hint=error.hint)) from None
