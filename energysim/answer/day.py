"""
The whole answer, from the day's own flows and what stood beside it.

Depends on: answer.outcome, answer.series, answer.bank, assess, night, home, verdict, wear,
plan, charge_plan, results, clock.
"""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

from energysim.answer.bank import uneven_caution
from energysim.answer.series import day_series
from energysim.assess import read_legs, sag_warnings, tightest_hour
from energysim.charge_plan import KindCharge, all_alike
from energysim.clock import clock_after
from energysim.home import way_home
from energysim.night import night_at_the_charger
from energysim.results.day import DayResult
from energysim.verdict import verdict_line
from energysim.wear import day_depth

if TYPE_CHECKING:
    from energysim.answer.outcome import Outcome
    from energysim.assess import Reading
    from energysim.plan import DayPlan
    from energysim.results.bank import BankResult, HouseResult
    from energysim.results.day import Bracket, Change
    from energysim.results.recharge import TripResult
    from energysim.simulate import Books, Flows


def day_result(
    plan: DayPlan,
    flows: Flows,
    reading: Reading,
    told: Outcome,
    *,
    bracket: Bracket,
    changes: tuple[Change, ...],
    bank: BankResult,
    house: HouseResult | None,
    trip: TripResult | None,
) -> DayResult:
    """
    Return the whole answer.

    Parameters
    ----------
    plan, flows, reading, told : DayPlan, Flows, Reading, Outcome
        The day as it is told.
    bracket, changes, bank, house, trip : records
        What was read from the other members of the sweep.
    """
    legs = read_legs(plan, flows, reading)
    end = clock_after(plan.start, float(plan.edges_s[-1]))
    recharge = None
    if plan.charge is not None:
        recharge = night_at_the_charger(plan.charge, kind_charges(plan, reading.books, -1))
    verdict = verdict_line(
        outcome=told.word,
        end=end,
        end_soc=told.end_soc,
        limit_soc=plan.limit_soc,
        limit_reached_at=told.limit_reached_at,
        cutoff_reached_at=told.end_at,
        off_station_s=told.off_station_s,
        legs=legs,
        recharge=recharge,
    )
    result = DayResult(
        title=plan.title,
        start=plan.start,
        end=end,
        outcome=told.word,
        verdict=verdict,
        end_soc=told.end_soc,
        lowest_soc=told.lowest_soc,
        limit_soc=plan.limit_soc,
        end_charge=float(reading.books.charge[-1, 0]),
        limit_reached_at=told.limit_reached_at,
        cutoff_reached_at=told.end_at,
        charge_drawn_ah=float(flows.drawn_ah[-1, 0]),
        energy_drawn_wh=float(flows.drawn_wh[-1, 0]),
        peak_current_a=float(reading.peak_current_a.max()),
        lowest_voltage_v=float(flows.bank_voltage_v.min()),
        off_station_s=told.off_station_s,
        gust_short_s=float(reading.gust_short_s.sum()),
        legs=legs,
        bracket=bracket,
        tightest=tightest_hour(plan, reading),
        changes=changes,
        way_home=way_home(plan, reading.books),
        bank=bank,
        house=house,
        recharge=recharge,
        trip=trip,
        wear=None,
        assumptions=plan.assumptions,
        cautions=plan.cautions,
        warnings=(
            *plan.warnings,
            *uneven_caution(bank.uneven),
            *sag_warnings(plan, flows, reading),
        ),
        series=day_series(plan, flows, reading),
        leg_of_step=tuple(
            "between legs" if leg < 0 else plan.legs[leg].name for leg in plan.leg_of_step
        ),
    )
    if plan.wear is None:
        return result
    wall_wh = None if recharge is None else recharge.wall_energy_wh
    return replace(result, wear=plan.wear(day_depth(result), recharge_wh=wall_wh))


def kind_charges(plan: DayPlan, books: Books, edge: int) -> tuple[KindCharge, ...]:
    """Return what the ledger has of each kind of block at a step's edge, for the charger."""
    charge = books.block_charge[edge, :, :, 0]
    if not plan.block_places:
        if plan.charge is None:
            return (KindCharge(float(charge[0, 0]), ((1, 1),)),)
        return all_alike(plan.charge, float(charge[0, 0]))
    return tuple(
        KindCharge(float(charge[string, block]), places)
        for string, kinds in enumerate(plan.block_places)
        for block, places in enumerate(kinds)
        if places
    )
