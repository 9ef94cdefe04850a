"""
The two laws of discharge beside two general-purpose battery libraries.

The libraries are not needed here: their tables are in `oracles/`, with the script that wrote
them, the versions and the day. The kinetic one solves the same two wells as we do, in code of
its own, with its own search for the wells behind three ratings. The other solves the chemistry
of a cell with porous electrodes down to a voltage: what a real block may do, not our law.
"""

import csv
import re
from datetime import date
from itertools import cycle
from pathlib import Path

import numpy as np
import pytest

from energysim.physics.discharge import (
    peukert_drain_factor,
    peukert_runtime_h,
    smoothed_current_a,
)
from energysim.physics.ratings import peukert_exponent_from_ratings
from energysim.physics.wells import wells_after, wells_time_left_h
from energysim.physics.wells_fit import wells_from_ratings, wells_from_two_ratings

pytestmark = pytest.mark.reference

HERE = Path(__file__).parent / "oracles"
LEAD, LITHIUM = "lead-acid", "lithium iron phosphate"
STEADY = ("5 A", "10 A", "25 A", "50 A")
HOUR, GENTLE_HOUR = "repeating hour", "hour without bursts"
STATED_RATES_PER_H = (0.2, 0.36, 2.0)  # low, chosen and high, where a label has two ratings
MEMORY_S = 900.0


def rows(name):
    """The lines of a table beside the script."""
    with (HERE / f"{name}.csv").open(newline="", encoding="utf-8") as file:
        return list(csv.DictReader(file))


LOADS = {}
for _row in rows("loads"):
    _until_h = None if _row["until"] == "empty" else float(_row["until"].split()[0]) / 60.0
    LOADS.setdefault(_row["load"], []).append((_until_h, float(_row["current_a"])))
RATINGS = {}
for _row in rows("ratings"):
    _times, _capacities = RATINGS.setdefault(_row["label"], ([], []))
    _times.append(float(_row["time_h"]))
    _capacities.append(float(_row["capacity_ah"]))
DELIVERED = {}  # (label, load): ampere-hours and the hour whenever the battery was empty
for _row in rows("kinetic") + rows("porous"):
    _spells = DELIVERED.setdefault((_row["label"], _row["load"]), [])
    _spells.append((float(_row["delivered_ah"]), float(_row["ended_h"])))

PINNED = re.findall(
    r"^([\w.-]+)==(\S+)$",
    (HERE / "requirements.txt").read_text(encoding="utf-8"),
    flags=re.MULTILINE,
)

every_load = pytest.mark.parametrize("load", LOADS)
every_label = pytest.mark.parametrize("label", RATINGS)
every_cell = pytest.mark.parametrize("label", [LEAD, LITHIUM])


def spells(wells, load):
    """Our wells through a load: ampere-hours and the hour at each moment they are empty."""
    parts = LOADS[load]
    ends = any(until_h is None for until_h, _ in parts)
    available, left = wells.total_ah * wells.available_share, wells.total_ah
    found, elapsed_h, delivered_ah = [], 0.0, 0.0
    while True:
        for until_h, current_a in parts:
            carried_h = float(
                wells_time_left_h(available, left, current_a=current_a, wells=wells)
            )
            emptied = until_h is None or (current_a > 0.0 and carried_h < until_h)
            step_h = carried_h if emptied else until_h
            available, left = wells_after(
                available, left, current_a=current_a, step_h=step_h, wells=wells
            )
            elapsed_h, delivered_ah = elapsed_h + step_h, delivered_ah + current_a * step_h
            if emptied:
                assert available == pytest.approx(0.0, abs=1e-9)
                available = 0.0
                found.append((delivered_ah, elapsed_h))
                delivered_ah = 0.0
                if not ends:
                    return found
        if ends:
            return found


def own_ratings(label, loads):
    """The times and capacities a library itself gave under steady loads."""
    capacities, times = zip(*(DELIVERED[label, load][0] for load in loads), strict=True)
    return times, capacities


def longer(label, load, hours):
    """By what share a law outlasts a library under a load that empties the battery once."""
    ((_, library_h),) = DELIVERED[label, load]
    return hours / library_h - 1.0


def peukert_hours(exponent, *, memory_s):
    """How long Peukert's law lasts in the repeating hour, in steps of 10 s."""
    step_s, label_ah = 10.0, 100.0
    currents = np.concatenate(
        [np.full(round(until_h * 3600.0 / step_s), amps) for until_h, amps in LOADS[HOUR]]
    )
    label = {"capacity_ah": label_ah, "rated_time_h": 20.0, "exponent": exponent}
    availability, smoothed, step = 1.0, currents[0], 0
    while True:
        current = currents[step % len(currents)]
        smoothed, mean = smoothed_current_a(smoothed, current, step_s=step_s, memory_s=memory_s)
        fall = current * peukert_drain_factor(mean, **label) * step_s / 3600.0 / label_ah
        if fall >= availability:
            return (step + availability / fall) * step_s / 3600.0
        availability, step = availability - fall, step + 1


def drawn_ah(load, ended_h):
    """The ampere-hours a load takes up to each hour at which the battery was empty."""
    parts, ended = LOADS[load], list(ended_h)
    ends = any(until_h is None for until_h, _ in parts)
    found, elapsed_h, drawn = [], 0.0, 0.0
    stretches = cycle(parts)
    while ended:
        until_h, current_a = next(stretches)
        empties = until_h is None or (not ends and ended[0] - elapsed_h < until_h)
        step_h = ended[0] - elapsed_h if empties else until_h
        elapsed_h, drawn = elapsed_h + step_h, drawn + current_a * step_h
        if empties:
            found.append(drawn)
            drawn = 0.0
            del ended[0]
    return found


@pytest.mark.parametrize("label", [*RATINGS, LEAD, LITHIUM])
@every_load
def test_a_table_holds_every_load_and_what_it_drew_follows_from_how_long_it_lasted(label, load):
    delivered_ah, ended_h = zip(*DELIVERED[label, load], strict=True)
    # Printed to 0.001 Ah and 1e-5 h, at up to 50 A.
    assert drawn_ah(load, ended_h) == pytest.approx(delivered_ah, abs=2e-3)


def test_the_tables_come_from_the_versions_written_down_beside_the_script():
    run = {(row["library"], row["version"]) for row in rows("kinetic") + rows("porous")}
    assert len(run) == 2
    assert run <= set(PINNED)
    assert all(date.fromisoformat(row["run_on"]) for row in rows("kinetic") + rows("porous"))


@every_label
@every_load
def test_wells_deliver_what_the_kinetic_library_does_from_the_same_three_ratings(label, load):
    found = spells(wells_from_ratings(*RATINGS[label]), load)
    # The library looks for its wells' rate in steps of 0.001 per h: half a step is 0.14 % of
    # the rate and moves no load here by more than 0.04 %. A rate 1 % off would show.
    np.testing.assert_allclose(found, DELIVERED[label, load], rtol=5e-4)


@every_label
def test_wells_fitted_to_steady_runs_of_the_kinetic_library_foretell_its_other_runs(label):
    wells = wells_from_ratings(*own_ratings(label, ("5 A", "10 A", "50 A")))
    for load in LOADS:
        # No search in steps in between: only the printed digits and seconds are left.
        np.testing.assert_allclose(spells(wells, load), DELIVERED[label, load], rtol=1e-4)


def two_rating_wells(label, rate_per_h):
    """Wells from a label's 20 hours and its shortest rating, told a rate."""
    (first_h, _, last_h), (first_ah, _, last_ah) = RATINGS[label]
    return wells_from_two_ratings([first_h, last_h], [first_ah, last_ah], rate_per_h=rate_per_h)


@every_label
def test_the_range_of_rates_holds_the_kinetic_library_where_a_label_has_two_ratings(label):
    low, chosen, high = (
        longer(label, HOUR, spells(two_rating_wells(label, rate_per_h), HOUR)[0][1])
        for rate_per_h in STATED_RATES_PER_H
    )
    assert low < 0.0 < high
    assert low < chosen < high
    # The library, told a third rating, put its own rate at 0.26 to 0.40 per h. The misfit is
    # documented, not wished for: 7.5 % at an exponent of 1.3, below 4 % for the others.
    assert abs(chosen) < 0.08


def peukert_label(label):
    """Peukert's law fitted to all of a label's ratings."""
    exponent, _ = peukert_exponent_from_ratings(*RATINGS[label])
    return {"capacity_ah": 100.0, "rated_time_h": 20.0, "exponent": exponent}


@every_label
def test_peukert_without_a_memory_ends_the_repeating_hour_far_too_early(label):
    hours = peukert_hours(peukert_label(label)["exponent"], memory_s=0.0)
    assert -0.30 < longer(label, HOUR, hours) < -0.09  # 9 to 29 %, the more the higher k


@every_label
def test_peukert_with_a_memory_comes_within_eight_per_cent_of_the_kinetic_library(label):
    exponent = peukert_label(label)["exponent"]
    bare, kept = (
        longer(label, HOUR, peukert_hours(exponent, memory_s=memory_s))
        for memory_s in (0.0, MEMORY_S)
    )
    # The documented misfit: 0.5 % short at an exponent of 1.1, 1.8 % at 1.2, 7.5 % at 1.3.
    # It errs on the careful side, and a quarter of an hour of memory mends most of the fault.
    assert -0.08 < kept < 0.0
    assert abs(kept) < 0.3 * abs(bare)
    if exponent < 1.25:
        assert kept > -0.05


@every_label
def test_peukert_and_the_kinetic_library_differ_by_up_to_nine_per_cent_under_steady_loads(
    label,
):
    # Ratings of one, ten and twenty hours leave the shape between them to the law. At 25 A,
    # three hours, Peukert's gives 3 % more at an exponent of 1.1, 6 % at 1.2, 9 % at 1.3, and
    # neither is wrong: a day's answer has to name the law it comes from.
    for load in STEADY:
        current_a = LOADS[load][0][1]
        hours = peukert_runtime_h(current_a, **peukert_label(label))
        assert abs(longer(label, load, float(hours))) < 0.09


@every_cell
def test_wells_follow_a_physics_based_cell_between_the_steady_loads_they_were_fitted_to(label):
    wells = wells_from_ratings(*own_ratings(label, ("5 A", "10 A", "50 A")))
    # 1.1 % for lead-acid: a cell with porous electrodes has more than one pace of recovery.
    found = spells(wells, "25 A")
    np.testing.assert_allclose(found, DELIVERED[label, "25 A"], rtol=0.015)
    # Six easy hours, then a hard end.
    found = spells(wells, "easy then hard")
    np.testing.assert_allclose(found, DELIVERED[label, "easy then hard"], rtol=0.005)


@every_cell
def test_what_a_hard_spell_leaves_behind_comes_back_as_in_a_physics_based_cell(label):
    wells = wells_from_ratings(*own_ratings(label, ("5 A", "10 A", "50 A")))
    (_, held), _ = zip(*spells(wells, "hard then easy"), strict=True)
    (hard, library_held), _ = zip(*DELIVERED[label, "hard then easy"], strict=True)
    assert hard + library_held == pytest.approx(100.0, rel=0.002)
    assert held == pytest.approx(library_held, rel=0.03)


@every_cell
@pytest.mark.parametrize(("load", "most"), [(GENTLE_HOUR, 0.05), (HOUR, 0.10)])
def test_charge_alone_promises_no_less_than_a_cell_that_ends_at_a_voltage(label, load, most):
    """
    A bracket, not a target: the law knows charge, the cell ends at a voltage.

    The lead-acid cell ends in the first burst of 45 A that pulls it to 10.5 V, with charge
    left that lower loads would still bring out: the wells promise 8 % more ampere-hours, and
    4 % without the bursts. The voltage belongs to the sag model, which is not asked here.
    """
    wells = wells_from_ratings(*own_ratings(label, ("5 A", "10 A", "50 A")))
    ((delivered_ah, _),) = spells(wells, load)
    ((library_ah, _),) = DELIVERED[label, load]
    assert library_ah < delivered_ah < (1.0 + most) * library_ah


@pytest.mark.parametrize(
    ("label", "exponent"),
    [pytest.param(LEAD, 1.048, id=LEAD), pytest.param(LITHIUM, 1.021, id=LITHIUM)],
)
def test_peukert_from_two_ratings_stays_near_a_physics_based_cell(label, exponent):
    found, _ = peukert_exponent_from_ratings(*own_ratings(label, ("5 A", "25 A")))
    assert found == pytest.approx(exponent, abs=5e-4)  # a thin plate, and lithium: near 1
    steady = {"capacity_ah": 100.0, "rated_time_h": 20.0, "exponent": found}
    # Between its two ratings to 1 %; past them the cell is held by its voltage: 4 % too long.
    assert abs(longer(label, "10 A", float(peukert_runtime_h(10.0, **steady)))) < 0.01
    assert 0.0 < longer(label, "50 A", float(peukert_runtime_h(50.0, **steady))) < 0.04
    # And the bursts, as for the wells above.
    hours = peukert_hours(found, memory_s=MEMORY_S)
    assert 0.0 < longer(label, HOUR, hours) < 0.10
