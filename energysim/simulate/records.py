"""
What goes into the loop and what comes out of it.

Arrays are (members,) unless said; [b] is (strings, blocks, members), [s] is (strings, members).
A bank whose blocks are all alike is one string of one block that stands for all of them.

Depends on: nothing of the package.
"""

from dataclasses import dataclass, field
from typing import Final, NamedTuple

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]

SECONDS_PER_HOUR: Final = 3600.0

# What kept the motor from giving the wanted thrust, as codes in `Flows.limit`.
CARRIED: Final = 0
FULL_THROTTLE: Final = 1
CURRENT_LIMIT: Final = 2
DROP_OUT: Final = 3
CUT_OFF: Final = 4
EMPTY: Final = 5

# What put a string out for the day, as codes in `BlockFlows.string_end`.
LIVES: Final = 0
RAN_EMPTY: Final = 1
BOARD_OPENED: Final = 2


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Demand:
    """What the day asks of the bank, independent of the bank. Arrays are (steps, members)."""

    # Length of each step, zero where a member's day is already over; (steps, 1) if all alike.
    step_s: Array
    power_w: Array  # electrical power the motor asks for at the bus
    thrust_n: Array  # thrust that power would give
    needed_voltage_v: Array  # bus voltage below which that thrust cannot be had
    inflow_mps: Array  # water speed into the propeller
    thrust_ratio: Array  # what chop leaves of the propeller's thrust
    torque_ratio: Array  # and of its torque
    thrust_quadratic: Array  # (3, steps, members): full-throttle thrust against bus voltage
    current_quadratic: Array  # (3, steps, members): full-throttle current against bus voltage
    # Offered to the bank's terminals by a panel or an engine; one number where there is none.
    supply_w: Array = field(default_factory=lambda: np.zeros((1, 1)))


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Bank:
    """The bank of each member, block by block, and what hangs between it and the motor."""

    kinetic: NDArray[np.bool_]  # the two wells, else Peukert's law
    string_count: Array  # [s] alike strings this one stands for; 0 fills up
    block_count: Array  # [b] alike blocks in series this one stands for; 0 fills up
    capacity_ah: Array  # [b] today's, at the rated time: label x age x temperature
    charge_ah: Array  # [b] what the ledger calls full: label x age
    wells_total_ah: Array  # [b] today's, both wells
    wells_share: Array  # [b] of it in the available well
    wells_rate_per_h: Array  # [b] at which the wells level out
    exponent: Array  # [b] Peukert's
    rated_time_h: Array
    memory_s: Array  # averaging time of the current in Peukert's law
    start_soc: Array  # [b]
    emf_tables_v: Array  # (kinds, nodes): rest voltage of one block, even in the level
    emf_kind: NDArray[np.intp]  # [b] which table each block reads
    resistance_full_ohm: Array  # [b] of one block, full, as warm as it starts
    resistance_rise: Array  # [b] factor from full to empty
    resistance_fall_per_k: Array  # [b] relative, for each degree it warms
    heat_capacity_j_per_k: Array  # [b] of one block
    heat_loss_w_per_k: Array  # [b] of one block
    surrounds_degc: Array
    start_degc: Array  # [b]
    block_cutoff_v: Array  # [b] below it the block's board opens its string; -inf without one
    tapped_w: Array  # [b] drawn from each such block alone
    acceptance_of_empty_a: Array  # [b] what it would take if empty; 0 where it may not charge
    charge_efficiency: Array  # [b] of each ampere-hour put in, what stays
    cable_ohm: Array  # leads and contacts between bank and motor
    cutoff_voltage_v: Array  # at the bank's terminals, under load
    house_load_w: Array
    current_limit_a: Array  # the motor's own
    lowest_voltage_v: Array  # at the motor; below it the motor's controller lets go


BY_STRING: Final = frozenset({"string_count"})
BY_BLOCK: Final = frozenset(
    {
        "block_count",
        "capacity_ah",
        "charge_ah",
        "wells_total_ah",
        "wells_share",
        "wells_rate_per_h",
        "exponent",
        "start_soc",
        "emf_kind",
        "resistance_full_ohm",
        "resistance_rise",
        "resistance_fall_per_k",
        "heat_capacity_j_per_k",
        "heat_loss_w_per_k",
        "start_degc",
        "block_cutoff_v",
        "tapped_w",
        "acceptance_of_empty_a",
        "charge_efficiency",
    }
)


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class BlockFlows:
    """What happened to each block and string of a bank whose blocks differ."""

    level: Array  # (steps + 1, strings, blocks, members), of the law's own state
    degc: Array  # (steps + 1, strings, blocks, members)
    current_a: Array  # (steps, strings, blocks, members), mean over the step; out is positive
    voltage_v: Array  # (steps, strings, blocks, members), under load
    string_end: NDArray[np.int8]  # (strings, members), one of the codes above
    string_end_block: NDArray[np.intp]  # (strings, members), which block brought it about
    string_end_s: Array  # (strings, members), when; infinite while it lives


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Flows:
    """What happened in each step. Arrays are (steps, members) unless said."""

    current_a: Array  # out of the bank, mean over the part of the step it was carried
    motor_current_a: Array
    bank_voltage_v: Array  # at the terminals
    bus_voltage_v: Array  # at the motor
    emf_v: Array  # voltage at no load the step started from
    resistance_ohm: Array  # bank and cable
    thrust_n: Array  # delivered, mean over the step
    motor_power_w: Array  # delivered, mean over the step
    carried_share: Array  # share of the step before the bank ran empty
    wanted_voltage_v: Array  # terminal voltage the wanted power would give (cut-off finder)
    limit: NDArray[np.int8]  # one of the codes above
    level: Array  # (steps + 1, members), of the law's own state; 0 once the bank is dead
    degc: Array  # (steps + 1, members), the warmest block
    drawn_ah: Array  # (steps + 1, members), the ledger: out, less what a supply put back
    drawn_wh: Array  # (steps + 1, members), energy out of the terminals
    supply_a: Array  # taken from a panel or an engine; (1, 1) where there is none
    blocks: BlockFlows | None  # None for a bank of alike blocks


EDGE_BOOKS: Final = frozenset({"level", "degc", "drawn_ah", "drawn_wh"})


class Row(NamedTuple):
    """What a step needs of the demand, worked out once. Arrays (steps, members)."""

    power_w: Array  # of the motor
    asked: NDArray[np.bool_]  # whether that is more than nothing
    total_w: Array  # with the house
    thrust_n: Array
    floor_v: Array  # the bus may not sag below this while the motor is asked for thrust
    cutoff_v: Array  # nor the terminals below this
    least_v: Array  # the higher of both
