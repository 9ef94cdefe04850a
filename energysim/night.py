"""
The night at the charger: from the ledger at the day's end to a full bank, or not.

Depends on: charge_plan, results, clock, physics.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from energysim.clock import clock_after, seconds_between
from energysim.physics.charge import charge_input_ah, charge_soc_after, charge_time_h
from energysim.physics.charger import mains_power_w, wall_energy_wh
from energysim.results import Recharge

if TYPE_CHECKING:
    from energysim.charge_plan import ChargePlan

SECONDS_PER_HOUR = 3600.0


def night_at_the_charger(plan: ChargePlan, end_charge: float) -> Recharge:
    """
    Work out the night from what the ledger says is left.

    Parameters
    ----------
    plan : ChargePlan
        The charger and its hours.
    end_charge : float
        Share of the full charge left in each block at the day's end, by ampere-hours. [1]

    Returns
    -------
    Recharge
        Hours from plug-in to 80 %, 95 % and full; what the bank holds when it is wanted.
    """
    start = min(max(end_charge, 0.0), 1.0)
    hours = {
        target: float(
            charge_time_h(
                start,
                target_soc=target,
                charger_current_a=plan.current_a,
                capacity_ah=plan.block_capacity_ah,
                temperature_degc=plan.temperature_degc,
                law=plan.law,
            )
        )
        for target in (0.80, 0.95, plan.law.full_soc)
    }
    never = not all(value < float("inf") for value in hours.values())
    full_h = None if never else hours[plan.law.full_soc]
    time_h = max(0.0, seconds_between(plan.plugged_in_at, plan.ready_by) / SECONDS_PER_HOUR)
    when_ready = float(
        charge_soc_after(
            time_h,
            start_soc=start,
            charger_current_a=plan.current_a,
            capacity_ah=plan.block_capacity_ah,
            temperature_degc=plan.temperature_degc,
            law=plan.law,
        )
    )
    block_ah = (
        float(
            charge_input_ah(
                start,
                target_soc=max(start, plan.law.full_soc),
                capacity_ah=plan.block_capacity_ah,
                law=plan.law,
            )
        )
        if start < plan.law.full_soc
        else 0.0
    )
    wall_wh = plan.outputs * float(
        wall_energy_wh(
            block_ah,
            charge_voltage_v=plan.charge_voltage_v,
            charger_efficiency=plan.efficiency,
        )
    )
    wall_w = float(
        mains_power_w(
            plan.current_a,
            outputs=plan.outputs,
            charge_voltage_v=plan.charge_voltage_v,
            charger_efficiency=plan.efficiency,
        )
    )
    return Recharge(
        plugged_in_at=plan.plugged_in_at,
        ready_by=plan.ready_by,
        output_current_a=plan.current_a,
        to_80_h=None if never else hours[0.80],
        to_95_h=None if never else hours[0.95],
        full_h=full_h,
        full_at=None
        if full_h is None
        else clock_after(plan.plugged_in_at, full_h * SECONDS_PER_HOUR),
        full_soc=plan.law.full_soc,
        soc_when_ready=max(when_ready, start),
        charge_put_in_ah=0.0 if never else plan.outputs * block_ah,
        wall_energy_wh=0.0 if never else wall_wh,
        wall_power_w=0.0 if never else wall_w,
        note=plan.note,
    )
