"""
Read one option's day: the columns that decide.

Depends on: comparison.drawn, answer, assess, build, catalogue, night, rig, stow, wear, weigh,
results, results.compare.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Final

from energysim.answer import kind_charges, outcome_as_read
from energysim.answer.series import day_series
from energysim.assess import read_flows, read_legs, sag_warnings
from energysim.build.block import build_block
from energysim.build.prices import build_costs
from energysim.catalogue import batteries
from energysim.comparison.drawn import hold_left, usable_wh
from energysim.night import night_at_the_charger
from energysim.results.compare import Fit, HoldLeft, Load, Money, Night, OptionDay, Wiring
from energysim.results.rig import CAUTION, LOOK_AGAIN
from energysim.rig import check_facts, read_facts
from energysim.stow import Block, fit_blocks
from energysim.wear import Costs, day_depth, day_wear
from energysim.weigh import PlacedWeight, locker_from_bow_m, weigh

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence

    import numpy as np
    from numpy.typing import NDArray

    from energysim.errors import ScenarioError
    from energysim.plan import DayPlan
    from energysim.results.day import LegResult
    from energysim.results.recharge import Recharge
    from energysim.results.stow import StowResult
    from energysim.scenario.load import LoadedScenario
    from energysim.scenario.locker import Locker
    from energysim.scenario.model import Scenario
    from energysim.simulate import Bank, Demand, Flows
    from energysim.unit_format import System

NO_PRICES: Final = "no [prices]"
NO_BANK_PRICE: Final = "no price of this bank"
NO_PLATE: Final = "no plate given"
USED: Final = "used blocks: lives are counted from new"
NEW: Final = 0.999  # of the label's capacity


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Ran:
    """One option, run: its day, the day with further steps, and its bank drawn steadily."""

    loaded: LoadedScenario
    plan: DayPlan
    flows: Flows  # of the day alone
    longer: tuple[Demand, Flows]
    steady: tuple[Demand, Flows, Bank]
    steady_w: float


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class _Told:
    """What the looks at wear and rigging read of a day."""

    end_charge: float
    energy_drawn_wh: float
    legs: tuple[LegResult, ...]
    series: Mapping[str, NDArray[np.float64]]


Fits = dict[tuple[object, ...], "StowResult"]


def read_option(
    ran: Ran, *, fits: Fits, trips_a_year: float | None, system: System = "us"
) -> OptionDay:
    """
    Return the columns of one option.

    Parameters
    ----------
    ran : Ran
        The option's day, run.
    fits : dict
        Searches for room done already, by what was searched; added to.
    trips_a_year : float or None
        The file's, for an option none of whose prices are known.
    system : {"us", "metric"}
        The units of what a locker lacks.
    """
    plan, flows, scenario = ran.plan, ran.flows, ran.loaded.scenario
    reading = read_flows(plan, flows)
    came_to = outcome_as_read(plan, reading)
    told = _Told(
        end_charge=float(reading.books.charge[-1, 0]),
        energy_drawn_wh=float(flows.drawn_wh[-1, 0]),
        legs=read_legs(plan, flows, reading),
        series=day_series(plan, flows, reading),
    )
    recharge = None
    if plan.charge is not None:
        recharge = night_at_the_charger(plan.charge, kind_charges(plan, reading.books, -1))
    rig = check_facts(read_facts(scenario, plan, told), title=plan.title)
    stowed = _stowed(scenario, plan, fits, system)
    worst = next((c for c in rig.checks if c.verdict == rig.verdict), None)
    demand, longer_flows = ran.longer
    left: HoldLeft | None = None
    if (plan.demand.power_w > 0.0).any():
        left = (
            hold_left(demand, longer_flows, plan.bank, limit_soc=plan.limit_soc,
                      day_steps=len(plan.demand.step_s))
            if came_to.end_at is None and came_to.end_soc > plan.limit_soc
            else HoldLeft(seconds=0.0, more=False, ended_by="the day itself")
        )  # fmt: skip
    steady_demand, steady_flows, steady_bank = ran.steady
    return OptionDay(
        batteries=f"{plan.series * plan.parallel}x {_block_name(scenario)}",
        bank=_bank_words(scenario, plan),
        outcome=came_to.word,
        usable_wh=usable_wh(steady_demand, steady_flows, steady_bank, limit_soc=plan.limit_soc),
        usable_at_w=ran.steady_w,
        end_soc=came_to.end_soc,
        limit_soc=plan.limit_soc,
        hold_left=left,
        off_station_s=came_to.off_station_s,
        energy_drawn_wh=told.energy_drawn_wh,
        peak_current_a=float(reading.peak_current_a.max()),
        night=_night(recharge),
        fit=_fit(scenario, stowed),
        load=_load(scenario, plan, stowed),
        wiring=Wiring(
            verdict=rig.verdict,
            worst="" if worst is None else worst.name,
            why="" if worst is None else worst.why,
            cautions=sum(check.verdict == CAUTION for check in rig.checks),
            look_again=sum(check.verdict == LOOK_AGAIN for check in rig.checks),
        ),
        money=_money(scenario, plan, told, recharge, trips_a_year),
        cautions=plan.cautions,
        warnings=(*plan.warnings, *sag_warnings(plan, flows, reading)),
    )


def _bank_words(scenario: Scenario, plan: DayPlan) -> str:
    """Say what the bank is: "2 x 31-agm (AGM lead-acid), 24 V 110 Ah"."""
    block = build_block(scenario.bank)
    name = _block_name(scenario)
    blocks = plan.series * plan.parallel
    capacity = block.capacity_ah * plan.parallel
    volts = block.nominal_v * plan.series
    words = f"{blocks} x {name} ({block.chemistry.label}), {volts:g} V {capacity:g} Ah"
    if scenario.bank.capacity_fraction < NEW:
        words += f" when new, {scenario.bank.capacity_fraction:.0%} of it left"
    if plan.block_names:
        words += ", blocks unlike"
    return words


def _block_name(scenario: Scenario) -> str:
    """Return what one of its blocks is called: its name in the list, or what its label says."""
    block = build_block(scenario.bank)
    return scenario.bank.battery or f"{block.voltage_v:g} V {block.chemistry.key}"


def _night(recharge: Recharge | None) -> Night | None:
    if recharge is None:
        return None
    return Night(
        full_h=recharge.full_h,
        enough=recharge.full_at is not None and recharge.full_at <= recharge.ready_by,
        soc_when_ready=recharge.soc_when_ready,
    )


def _stowed(scenario: Scenario, plan: DayPlan, fits: Fits, system: System) -> StowResult | None:
    """Search for room; None where lockers or the size of the blocks are not told."""
    name = scenario.bank.battery
    if not scenario.lockers or name is None:
        return None
    listed = batteries()[name]
    key = (name, plan.series * plan.parallel, scenario.lockers, scenario.bank.block_mass_kg)
    if key not in fits:
        block = Block(
            name=name,
            length_m=listed.length_m,
            width_m=listed.width_m,
            height_m=listed.height_m,
            count=plan.series * plan.parallel,
            chemistry=listed.chemistry,
            mass_kg=scenario.bank.block_mass_kg or listed.mass_kg,
        )
        fits[key] = fit_blocks(scenario.lockers, [block], system=system)
    return fits[key]


def _fit(scenario: Scenario, stowed: StowResult | None) -> Fit:
    if stowed is not None:
        return Fit(verdict=stowed.verdict, headline=stowed.headline, misses=stowed.missing)
    why = "no [[locker]]" if not scenario.lockers else "size of the block not known"
    return Fit(verdict="not known", headline=why, misses=())


def _load(scenario: Scenario, plan: DayPlan, stowed: StowResult | None) -> Load:
    """Weigh the bank where it stands; where that is not known the trim is not either."""
    block_kg = build_block(scenario.bank).mass_kg
    count = plan.series * plan.parallel
    lockers = {locker.name: locker for locker in scenario.lockers}
    places: Sequence[Locker | None] = [None] * count
    if stowed is not None and stowed.places:
        places = [lockers[place.locker] for place in stowed.places]
    elif len(lockers) == 1:
        places = list(lockers.values()) * count
    length = scenario.boat.length_m
    parts = [
        PlacedWeight(
            mass_kg=block_kg,
            from_bow_m=None if box is None else locker_from_bow_m(box, boat_length_m=length),
        )
        for box in places
    ]
    weight = weigh(scenario, parts=parts, plate=scenario.plate)
    total = next((check for check in weight.plate if check.name == "total_weight"), None)
    worst = max(
        weight.plate,
        key=lambda check: ("pass", "look again", "caution").index(check.verdict),
        default=None,
    )
    return Load(
        mass_kg=weight.bank_kg,
        trim_m=weight.trim_m,
        trim_words=weight.trim_words,
        plate=NO_PLATE if worst is None else worst.verdict,
        plate_left_kg=None if total is None else total.margin,
        plate_why="" if worst is None else worst.why,
    )


def _money(
    scenario: Scenario,
    plan: DayPlan,
    told: _Told,
    recharge: Recharge | None,
    trips_a_year: float | None,
) -> Money:
    """Return price and life; without a price of the bank still how long it lasts."""
    costs = build_costs(scenario.prices, blocks=plan.series * plan.parallel)
    if costs is None and trips_a_year is not None:
        costs = Costs(
            currency="", bank_price=None, energy_price_per_kwh=None, trips_a_year=trips_a_year
        )
    wear = day_wear(
        day_depth(told),
        kind=build_block(scenario.bank).chemistry,
        costs=costs,
        recharge_wh=None if recharge is None else recharge.wall_energy_wh,
    )
    if wear is None:
        return Money(
            currency="",
            bank_price=None,
            years=None,
            ended_by="",
            price_per_trip=None,
            why_not=NO_PRICES,
        )
    if _is_used(scenario, plan):
        return Money(
            currency=wear.currency,
            bank_price=wear.bank_price,
            years=None,
            ended_by="",
            price_per_trip=None,
            why_not=USED,
        )
    return Money(
        currency=wear.currency,
        bank_price=wear.bank_price,
        years=wear.years,
        ended_by=wear.ended_by,
        price_per_trip=wear.price_per_trip,
        why_not=NO_BANK_PRICE if wear.bank_price is None else wear.note,
    )


def _is_used(scenario: Scenario, plan: DayPlan) -> bool:
    """Whether some block has lost some of its label's capacity for good."""
    bank = plan.bank
    real = bank.block_count * bank.string_count[:, None, :] > 0.0
    label_ah = build_block(scenario.bank).capacity_ah
    return bool((bank.charge_ah[real] < NEW * label_ah).any())


def why_not(error: ScenarioError) -> str:
    """Return why a day cannot be built, in one line, without a whole list of names."""
    hints = [problem.hint.partition(" known:")[0] for problem in error.problems]
    return "; ".join(
        f"{problem.reason} ({hint})" if hint else problem.reason
        for problem, hint in zip(error.problems, hints, strict=True)
    )
