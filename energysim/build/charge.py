"""
The charger and the night it has.

Depends on: scenario, charge_plan, physics, clock, errors, build.bank, build.timeline,
build.wiring.
"""

from __future__ import annotations

from datetime import datetime, timedelta
from typing import TYPE_CHECKING, Final

from energysim.build.wiring import wire_up
from energysim.charge_plan import ChargedBlock, ChargePlan, ChargerOutput
from energysim.clock import clock_after, seconds_between
from energysim.errors import Problem, RefusedValueError, ScenarioError
from energysim.physics.charge import charge_voltage_v, largest_charger_current_a
from energysim.physics.charger import continuous_circuit_power_w
from energysim.physics.temperature import REFERENCE_DEGC
from energysim.scenario.clock import resolve_clock

if TYPE_CHECKING:
    from energysim.build.bank import BankPart
    from energysim.build.timeline import Timeline
    from energysim.physics.charge import ChargeLaw
    from energysim.scenario.charger import Charger
    from energysim.scenario.model import Scenario

HAUL_OUT_S: Final = 3600.0
"""Time from the day's end to the plug, where the scenario does not say (our choice). [s]"""

GENERATOR_SHARE: Final = 0.9
"""What a small generator gives all night of the volt-amperes on its plate (common practice)."""


def build_charge(
    scenario: Scenario, timeline: Timeline, bank: BankPart
) -> tuple[ChargePlan | None, tuple[str, ...], tuple[str, ...]]:
    """
    Return the night's plan, what was assumed, and what is doubtful; None without a charger.

    Raises
    ------
    ScenarioError
        The wiring does not serve the bank, or the night ends before it begins.
    """
    table = scenario.charger
    if table is None:
        return None, ("no charger: the night is left out (no [charger] table)",), ()
    notes: list[str] = []
    start, ready = _clocks(scenario, timeline, timeline.legs[-1].end, notes)
    chemistry = bank.block.chemistry
    law = chemistry.charge_law
    blocks = charged_blocks(bank)
    seat = {block.place: number for number, block in enumerate(blocks)}
    outputs = []
    for wired in wire_up(table, series=bank.series, parallel=bank.parallel):
        fed = tuple(seat[place] for place in wired.places)
        warmth = blocks[fed[0]].temperature_degc
        volts = bank.block.scale * float(charge_voltage_v(warmth, law=law))
        outputs.append(
            ChargerOutput(current_a=wired.current_a, charge_voltage_v=volts, blocks=fed)
        )
    circuit_w = _circuit_w(table, notes)
    usual_v = bank.block.scale * float(charge_voltage_v(REFERENCE_DEGC, law=law))
    too_cold = _too_cold(blocks, law)
    if too_cold:
        note = f"too cold: {chemistry.label} must not be charged below freezing ({too_cold})"
    else:
        note = _circuit_note(circuit_w, outputs, table.efficiency)
    prices = scenario.prices
    price = None if prices is None else prices.energy_per_kwh or None
    plan = ChargePlan(
        plugged_in_at=start,
        ready_by=ready,
        blocks=blocks,
        outputs=tuple(outputs),
        law=law,
        charge_voltage_25_v=usual_v,
        efficiency=table.efficiency,
        power_factor=table.power_factor,
        circuit_w=circuit_w,
        energy_price=price,
        currency="" if prices is None else prices.currency,
        note=note,
    )
    return plan, tuple(notes), _warnings(plan, table, label=chemistry.label)


def charged_blocks(bank: BankPart) -> tuple[ChargedBlock, ...]:
    """Return every block of the bank as the charger meets it, string by string."""
    layout = bank.layout
    blocks = [
        ChargedBlock(
            name=_name(*place, series=bank.series, parallel=bank.parallel),
            place=place,
            capacity_ah=bank.block.capacity_ah * state.capacity_fraction,
            temperature_degc=state.temperature_degc,
        )
        for states, standing in zip(layout.states, layout.places, strict=True)
        for state, places in zip(states, standing, strict=True)
        for place in places
    ]
    return tuple(sorted(blocks, key=lambda block: block.place))


def _name(string: int, number: int, *, series: int, parallel: int) -> str:
    """Return what one block is called: "block 2", "string 1 block 2"."""
    parts = [f"string {string}"] if parallel > 1 else []
    if series > 1 or parallel == 1:
        parts.append(f"block {number}")
    return " ".join(parts)


def _circuit_w(table: Charger, notes: list[str]) -> float | None:
    """Return the watts the circuit leaves the charger all night."""
    factor = table.power_factor
    if table.breaker_a is not None:
        power_va = float(
            continuous_circuit_power_w(table.breaker_a, mains_voltage_v=table.mains_voltage_v)
        )
        notes.append(
            f"four fifths of a {table.breaker_a:g} A breaker, all night: {power_va:.0f} VA, "
            f"{power_va * factor:.0f} W at a power factor of {factor:g}"
        )
        return power_va * factor
    if table.circuit is None or table.circuit.apparent_va is None:
        return None if table.circuit is None else table.circuit.power_w
    power_va = table.circuit.apparent_va
    if table.source == "generator":
        power_va *= GENERATOR_SHARE
        notes.append(
            f"a generator gives {GENERATOR_SHARE:.0%} of its plate all night (common practice)"
        )
    notes.append(
        f"{power_va:.0f} VA are {power_va * factor:.0f} W at a power factor of {factor:g}"
    )
    return power_va * factor


def _circuit_note(
    circuit_w: float | None, outputs: list[ChargerOutput], efficiency: float
) -> str:
    """Say what the circuit leaves the outputs, where it is not all they have."""
    wanted = sum(output.current_a * output.charge_voltage_v for output in outputs) / efficiency
    if circuit_w is None or circuit_w >= wanted * (1.0 - 1e-9):
        return ""
    return (
        f"the circuit's {circuit_w:.0f} W are less than the {wanted:.0f} W the charger would "
        "take; its outputs share them"
    )


def _too_cold(blocks: tuple[ChargedBlock, ...], law: ChargeLaw) -> str:
    """Name the blocks that may not be charged as cold as they are."""
    lowest = law.lowest_charge_degc
    if lowest is None:
        return ""
    cold = [block for block in blocks if block.temperature_degc < lowest]
    if not cold:
        return ""
    coldest = min(block.temperature_degc for block in cold)
    who = "the bank" if len(cold) == len(blocks) else ", ".join(block.name for block in cold)
    return f"{who} at {coldest:.0f} degC; charger, panel and engine stay off it"


def _warnings(plan: ChargePlan, table: Charger, *, label: str) -> tuple[str, ...]:
    """Say what is doubtful about the charger, its wiring and its source."""
    warnings = []
    harsh: list[tuple[float, float]] = []  # each once
    for output in plan.outputs:
        together = sum(plan.blocks[place].capacity_ah for place in output.blocks)
        most = float(largest_charger_current_a(together, law=plan.law))
        if output.current_a > most and (output.current_a, most) not in harsh:
            harsh.append((output.current_a, most))
        if len(output.blocks) > 1:
            names = " and ".join(plan.blocks[place].name for place in output.blocks)
            warnings.append(
                f"one output feeds {names}: it ties them together, and charge may pass from "
                "one to the other through its leads; fuse each lead"
            )
    for current, most in harsh:
        warnings.append(
            f"an output of {current:.0f} A is more than the {most:.0f} A usual for what it "
            f"feeds ({label}); see what the maker of the battery allows"
        )
    if table.source == "generator":
        warnings.append(
            "a generator gives off carbon monoxide: never aboard a covered boat, nor near one "
            "with people asleep"
        )
    return tuple(warnings)


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
