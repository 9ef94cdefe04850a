"""
Look at everything: run the day, read what is there, check it part by part.

Depends on: rig.*, build, runner, results.rig.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from energysim.build import build_day
from energysim.results.rig import VERDICTS, RigResult, worst
from energysim.rig.breaker import check_breaker
from energysim.rig.laid import drop_energy_wh, lay
from energysim.rig.leads import check_leads
from energysim.rig.place import check_place
from energysim.rig.plug import check_plug
from energysim.rig.read import read_facts
from energysim.rig.shaft import check_shaft
from energysim.rig.shore import check_shore
from energysim.rig.warn import cautions_of
from energysim.runner import run_day

if TYPE_CHECKING:
    from energysim.results.day import DayResult
    from energysim.results.rig import RigCheck
    from energysim.rig.facts import RigFacts
    from energysim.scenario.load import LoadedScenario


def check_rig(loaded: LoadedScenario, *, result: DayResult | None = None) -> RigResult:
    """
    Look at how a boat is rigged, for the currents of its own day.

    Parameters
    ----------
    loaded : LoadedScenario
        A valid scenario.
    result : DayResult or None
        Its day, where it was run already.

    Returns
    -------
    RigResult
        Checks by group, the worst first within a group, and the cautions.

    Raises
    ------
    ScenarioError
        Something the scenario names does not exist or does not fit.
    """
    plan = build_day(loaded)
    if result is None:
        result = run_day(loaded, with_changes=False)
    return check_facts(read_facts(loaded.scenario, plan, result), title=plan.title)


def check_facts(facts: RigFacts, *, title: str) -> RigResult:
    """
    Look at a rig whose facts were read already.

    Parameters
    ----------
    facts : RigFacts
        As `rig.read.read_facts` gives them.
    title : str
        Of the day.
    """
    laid = lay(facts)
    groups = (
        check_leads(facts, laid),
        check_breaker(facts, laid),
        check_plug(facts),
        check_place(facts),
        check_shore(facts),
        check_shaft(facts),
    )
    checks = tuple(check for group in groups for check in sorted(group, key=_worst_first))
    lost_wh = drop_energy_wh(facts, laid)
    drawn_wh = facts.energy_drawn_wh
    return RigResult(
        title=title,
        summary=_summary(facts),
        verdict=worst(tuple(check.verdict for check in checks)),
        checks=checks,
        load_current_a=facts.load_a,
        peak_current_a=facts.peak_a,
        charging_voltage_v=facts.bank.charging_voltage_v,
        drop_energy_wh=lost_wh,
        drop_energy_share=lost_wh / drawn_wh if drawn_wh > 0.0 else 0.0,
        cautions=cautions_of(facts),
    )


def _worst_first(check: RigCheck) -> int:
    return -VERDICTS.index(check.verdict)


def _summary(facts: RigFacts) -> str:
    """Say what was looked at."""
    bank = facts.bank
    blocks = bank.series * bank.parallel
    return (
        f"{blocks} block{'s' if blocks > 1 else ''} of {bank.label}, "
        f"{bank.nominal_voltage_v:g} V, {bank.capacity_ah:g} Ah; a motor of "
        f"{facts.motor_voltage_v:g} V and {facts.load_a:.0f} A, of which this day asks "
        f"{facts.peak_a:.0f} A at its peak"
    )
