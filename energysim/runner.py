"""
Run a day: build it, run it beside its variants in one sweep, and read the result.

Depends on: advise, bracket, build, simulate, plan, assess, night, home, verdict, results,
clock.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from energysim.advise import variants
from energysim.assess import Reading, read_flows, read_legs, sag_warnings, tightest_hour
from energysim.bracket import easier, harder, push_spread
from energysim.build import build_day
from energysim.charge_plan import all_alike
from energysim.clock import clock_after
from energysim.home import way_home
from energysim.night import night_at_the_charger
from energysim.plan import stack
from energysim.results import Bracket, Change, DayResult
from energysim.simulate import one_member, simulate
from energysim.verdict import outcome_of, verdict_line

if TYPE_CHECKING:
    from collections.abc import Sequence
    from datetime import datetime

    import numpy as np
    from numpy.typing import NDArray

    from energysim.advise import Variant
    from energysim.plan import DayPlan
    from energysim.scenario.load import LoadedScenario
    from energysim.simulate import Flows


def run_day(
    loaded: LoadedScenario, *, shift_s: float = 0.0, with_changes: bool = True
) -> DayResult:
    """
    Run the day a scenario plans, and what could be changed about it.

    Parameters
    ----------
    loaded : LoadedScenario
        A valid scenario.
    shift_s : float
        Start the whole plan this much later; the tide and the wind stay. [s]
    with_changes : bool
        Also run the day with one thing otherwise, for "what to change".

    Returns
    -------
    DayResult
        The whole answer.

    Raises
    ------
    ScenarioError
        Something the scenario names does not exist or does not fit.
    """
    plan = build_day(loaded, shift_s=shift_s)
    tried = variants(loaded, plan, shift_s=shift_s) if with_changes else ()
    plans = [plan, harder(plan), easier(plan)]
    plans += [variant.plan for variant in tried if variant.plan is not None]
    demand, bank = stack(plans)
    flows = simulate(demand, bank, plan.motor)
    members = [
        one_member(flows, number, steps=len(p.demand.step_s), bank=p.bank)
        for number, p in enumerate(plans)
    ]
    base = members[0]
    reading = read_flows(plan, base)
    changes = _changes(reading, tried, members[3:])
    bracket = _bracket(plans[1:3], members[1:3])
    return _result(plan, base, reading, bracket, changes)


def _moment(plan: DayPlan, seconds: float | None) -> datetime | None:
    return None if seconds is None else clock_after(plan.start, seconds)


def _outcome(plan: DayPlan, flows: Flows) -> tuple[float, float, str]:
    """Return end state of charge, seconds off station and outcome of one member."""
    reading = read_flows(plan, flows)
    off_s = float(reading.off_s.sum())
    outcome = outcome_of(
        limit_reached_at=_moment(plan, reading.limit_reached_s),
        cutoff_reached_at=_moment(plan, reading.cutoff_reached_s),
        off_station_s=off_s,
    )
    return float(reading.soc[-1]), off_s, outcome


def _bracket(plans: Sequence[DayPlan], members: Sequence[Flows]) -> Bracket:
    """Read the harder day and the easier one."""
    hard, easy = (_outcome(p, flows) for p, flows in zip(plans, members, strict=True))
    return Bracket(
        spread=push_spread(),
        harder_end_soc=hard[0],
        harder_off_station_s=hard[1],
        harder_outcome=hard[2],
        easier_end_soc=easy[0],
        easier_off_station_s=easy[1],
        easier_outcome=easy[2],
    )


def _changes(
    reading: Reading,
    tried: Sequence[Variant],
    members: Sequence[Flows],
) -> tuple[Change, ...]:
    """Read the variants against the day as planned, the most helpful first."""
    end_soc = float(reading.soc[-1])
    off_s = float(reading.off_s.sum())
    queue = iter(members)
    changes = []
    for variant in tried:
        if variant.plan is None:
            changes.append(
                Change(
                    name=variant.name, end_soc=end_soc, end_soc_change=0.0, off_station_s=off_s,
                    off_station_change_s=0.0, outcome="", skipped=variant.skipped,
                )
            )  # fmt: skip
            continue
        flows = next(queue)
        other_soc, other_off, outcome = _outcome(variant.plan, flows)
        changes.append(
            Change(
                name=variant.name,
                end_soc=other_soc,
                end_soc_change=other_soc - end_soc,
                off_station_s=other_off,
                off_station_change_s=other_off - off_s,
                outcome=outcome,
                skipped="",
            )
        )
    return tuple(sorted(changes, key=_helpfulness))


def _helpfulness(change: Change) -> tuple[bool, int, float, float]:
    """Order: what could be tried, the better outcome, fewer minutes off station, more left."""
    order = {"holds": 0, "short": 1, "deep": 2, "empty": 3, "": 4}
    return (
        bool(change.skipped),
        order[change.outcome],
        round(change.off_station_s / 60.0),
        -change.end_soc,
    )


def _result(
    plan: DayPlan,
    flows: Flows,
    reading: Reading,
    bracket: Bracket,
    changes: tuple[Change, ...],
) -> DayResult:
    legs = read_legs(plan, flows, reading)
    limit_at = _moment(plan, reading.limit_reached_s)
    cutoff_at = _moment(plan, reading.cutoff_reached_s)
    off_s = float(reading.off_s.sum())
    outcome = outcome_of(
        limit_reached_at=limit_at, cutoff_reached_at=cutoff_at, off_station_s=off_s
    )
    end = clock_after(plan.start, float(plan.edges_s[-1]))
    end_soc = float(reading.soc[-1])
    drawn = float(flows.drawn_ah[-1, 0])
    end_charge = float(reading.books.charge[-1, 0])
    recharge = (
        None
        if plan.charge is None
        else night_at_the_charger(plan.charge, all_alike(plan.charge, end_charge))
    )
    verdict = verdict_line(
        outcome=outcome,
        end=end,
        end_soc=end_soc,
        limit_soc=plan.limit_soc,
        limit_reached_at=limit_at,
        cutoff_reached_at=cutoff_at,
        off_station_s=off_s,
        legs=legs,
        recharge=recharge,
    )
    return DayResult(
        title=plan.title,
        start=plan.start,
        end=end,
        outcome=outcome,
        verdict=verdict,
        end_soc=end_soc,
        lowest_soc=float(reading.soc.min()),
        limit_soc=plan.limit_soc,
        end_charge=end_charge,
        limit_reached_at=limit_at,
        cutoff_reached_at=cutoff_at,
        charge_drawn_ah=drawn,
        energy_drawn_wh=float(flows.drawn_wh[-1, 0]),
        peak_current_a=float(reading.peak_current_a.max()),
        lowest_voltage_v=float(flows.bank_voltage_v.min()),
        off_station_s=off_s,
        gust_short_s=float(reading.gust_short_s.sum()),
        legs=legs,
        bracket=bracket,
        tightest=tightest_hour(plan, reading),
        changes=changes,
        way_home=way_home(plan, reading.books),
        recharge=recharge,
        assumptions=plan.assumptions,
        cautions=plan.cautions,
        warnings=(*plan.warnings, *sag_warnings(plan, flows, reading)),
        series=_series(plan, flows, reading),
        leg_of_step=tuple(
            "between legs" if leg < 0 else plan.legs[leg].name for leg in plan.leg_of_step
        ),
    )


def _series(plan: DayPlan, flows: Flows, reading: Reading) -> dict[str, NDArray[np.float64]]:
    """Return the step table, keyed as data/columns.csv."""
    around = plan.surroundings
    drawn = flows.drawn_ah[1:, 0]
    return {
        "elapsed": plan.edges_s[:-1],
        "step": reading.step_s,
        "wind": around.wind_mps,
        "wind_from": around.wind_from_deg,
        "gust": around.gust_mps,
        "wave_height": around.wave_height_m,
        "wave_length": around.wave_length_m,
        "stream": around.stream_mps,
        "stream_toward": around.stream_toward_deg,
        "heading": plan.load.heading_deg,
        "steady_headings": plan.load.steady_headings,
        "thrust_wanted": plan.demand.thrust_n[:, 0],
        "thrust_given": flows.thrust_n[:, 0],
        "thrust_available": reading.available_n,
        "water_speed": plan.demand.inflow_mps[:, 0],
        "motor_power": flows.motor_power_w[:, 0],
        "current": flows.current_a[:, 0] * flows.carried_share[:, 0],
        "peak_current": reading.peak_current_a,
        "rest_voltage": flows.emf_v[:, 0],
        "bank_voltage": flows.bank_voltage_v[:, 0],
        "motor_voltage": flows.bus_voltage_v[:, 0],
        "soc": reading.soc[1:],
        "charge": reading.books.charge[1:, 0],
        "drawn_charge": drawn,
        "drawn_energy": flows.drawn_wh[1:, 0],
        "off_station": reading.off_s,
    }
