"""
The loop: carry the bank through the day, step by step, all members at once.

Everything that does not depend on the bank (wind, stream, thrust, electrical demand) arrives
ready in `Demand`, as arrays over (step, member). `advance` is one step; `simulate` is the loop.
A single day is a sweep with one member.

Two books are kept apart. The *ledger* counts the real ampere-hours that left the bank. The
*availability* says what share of today's capacity this way of drawing still lets out: it falls
by the effective current of Peukert's law, with the current averaged over the law's memory.

Depends on: physics.
"""

from dataclasses import dataclass
from typing import Any, Final, NamedTuple

import numpy as np
from numpy.typing import NDArray

from energysim.physics.discharge import smoothing_shares
from energysim.physics.drive import wet_motor
from energysim.physics.motor import Motor, thrust_at_power
from energysim.physics.voltage import carried_current_a

Array = NDArray[np.float64]

SECONDS_PER_HOUR: Final = 3600.0

# What kept the motor from giving the wanted thrust, as codes in `Flows.limit`.
CARRIED: Final = 0
FULL_THROTTLE: Final = 1
CURRENT_LIMIT: Final = 2
DROP_OUT: Final = 3
CUT_OFF: Final = 4
EMPTY: Final = 5
ALL_CARRIED: Final = np.zeros(1, dtype=np.int8)  # broadcasts over the members


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Demand:
    """What the day asks of the bank, independent of the bank. Arrays are (steps, members)."""

    step_s: Array  # length of each step; zero where a member's day is already over
    power_w: Array  # electrical power the motor asks for at the bus
    thrust_n: Array  # thrust that power would give
    needed_voltage_v: Array  # bus voltage below which that thrust cannot be had
    inflow_mps: Array  # water speed into the propeller
    thrust_ratio: Array  # what chop leaves of the propeller's thrust
    torque_ratio: Array  # and of its torque
    thrust_quadratic: Array  # (3, steps, members): full-throttle thrust against bus voltage
    current_quadratic: Array  # (3, steps, members): full-throttle current against bus voltage


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Bank:
    """The bank of each member, seen from its two terminals. Arrays are (members,)."""

    capacity_ah: Array  # today's: rated x temperature x age, all strings, at the rated time
    rated_time_h: Array
    exponent: Array  # Peukert's
    memory_s: Array  # averaging time of the current in Peukert's law
    start_soc: Array
    emf_tables_v: Array  # (kinds, nodes): rest voltage of one series step, even in availability
    emf_kind: NDArray[np.intp]  # which table each member reads
    series: Array  # series steps of that table's voltage
    resistance_full_ohm: Array  # the whole bank, full
    resistance_rise: Array  # factor from full to empty
    cable_ohm: Array  # leads and contacts between bank and motor
    cutoff_voltage_v: Array  # at the bank's terminals, under load
    house_load_w: Array
    current_limit_a: Array  # the motor's own
    lowest_voltage_v: Array  # at the motor; below it the motor's controller lets go


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Flows:
    """What happened in each step. Arrays are (steps, members) unless said."""

    current_a: Array  # out of the bank, mean over the part of the step it was carried
    motor_current_a: Array
    bank_voltage_v: Array  # at the terminals
    bus_voltage_v: Array  # at the motor
    emf_v: Array  # rest voltage the step started from
    resistance_ohm: Array  # bank and cable
    thrust_n: Array  # delivered, mean over the step
    motor_power_w: Array  # delivered, mean over the step
    carried_share: Array  # share of the step before the bank ran empty
    wanted_voltage_v: Array  # terminal voltage the wanted power would give (cut-off finder)
    limit: NDArray[np.int8]  # one of the codes above
    availability: Array  # (steps + 1, members), at the step edges
    drawn_ah: Array  # (steps + 1, members), the ledger, at the step edges
    drawn_wh: Array  # (steps + 1, members), energy out of the terminals


class State(NamedTuple):
    """What the bank carries from step to step, each of shape (members,) unless said."""

    availability: Array
    smoothed_a: Array  # the current Peukert's law remembers
    loaded: NDArray[np.bool_]  # whether any load has come yet, which seeds the memory
    any_empty: bool  # whether some member's bank is empty


class Rows(NamedTuple):
    """What a step needs of the demand, worked out once. Arrays (steps, members)."""

    power_w: Array  # of the motor
    asked: NDArray[np.bool_]  # whether that is more than nothing
    total_w: Array  # with the house
    thrust_n: Array
    inflow_mps: Array
    floor_v: Array  # the bus may not sag below this while the motor is asked for thrust
    cutoff_v: Array  # nor the terminals below this
    share_of_capacity_h: Array  # hours of the step over today's capacity [h/Ah]
    end_share: Array  # of the remembered current at the step's end
    mean_share: Array  # and on average over the step


class RestVoltages(NamedTuple):
    """
    Rest voltage of one series step as a line over each interval of availability.

    Made ready for a quick look-up; arrays (kinds * nodes,) unless said.
    """

    low_v: Array  # at the interval's lower node
    rise_v: Array  # over the interval; none past the last node
    first: NDArray[np.intp]  # (members,), where the member's table begins
    intervals: int  # from empty to full
    series: Array  # (members,), series steps


class Constants(NamedTuple):
    """What a step needs of the bank, worked out once. Arrays (members,)."""

    rest: RestVoltages
    empty_ohm: Array  # resistance of the empty bank
    fall_ohm: Array  # how much less a full one has
    per_rated_a: Array  # one over the rated current
    excess: Array  # Peukert's exponent less one
    has_house: bool


class StepFlow(NamedTuple):
    """What a step leaves behind, in the order its arrays are written."""

    emf_v: Array
    bank_ohm: Array
    wanted_a: Array  # the current that would carry the wanted load
    possible: NDArray[np.bool_]  # whether any current carries it
    current_a: Array
    motor_current_a: Array
    thrust_n: Array
    carried_share: Array
    limit: NDArray[np.int8]


def rest_voltages(bank: Bank) -> RestVoltages:
    """Make the bank's tables of rest voltage ready for look-ups."""
    tables = bank.emf_tables_v
    nodes = tables.shape[1]
    return RestVoltages(
        low_v=tables.ravel(),
        rise_v=np.diff(tables, axis=1, append=tables[:, -1:]).ravel(),
        first=bank.emf_kind * nodes,
        intervals=nodes - 1,
        series=bank.series,
    )


def rest_voltage(availability: Array, rest: RestVoltages) -> Array:
    """Look up the bank's rest voltage, in V, in its even table."""
    position = availability * rest.intervals
    below = position.astype(np.intp)
    index = rest.first + below
    step_emf: Array = rest.low_v[index] + (position - below) * rest.rise_v[index]
    return step_emf * rest.series


def advance(
    state: State,
    row: Rows,
    step: int,
    demand: Demand,
    bank: Bank,
    fixed: Constants,
    motor: Motor,
) -> tuple[State, StepFlow]:
    """
    Carry every member's bank over one step.

    The load is a constant power; the rest voltage and resistance are those at the step's
    start. Where the bank runs empty inside the step, it delivers up to that moment and
    nothing after.

    Parameters
    ----------
    state : State
        The bank at the step's start.
    row : Rows
        This step's row of each array.
    step : int
        The step's number, for what only a limited motor needs of the demand.
    demand, bank, fixed, motor : Demand, Bank, Constants, Motor
        The day, the bank and the motor.

    Returns
    -------
    state, flow : State, StepFlow
        The bank at the step's end, and what flowed.
    """
    available = state.availability
    emf = rest_voltage(available, fixed.rest)
    bank_ohm = fixed.empty_ohm - fixed.fall_ohm * available
    ohm = bank_ohm + bank.cable_ohm
    wanted, motor_current, bus, possible = draw_on_bank(
        row.power_w, bank.house_load_w, emf, ohm, motor, total_w=row.total_w
    )
    current, thrust, limit = wanted, row.thrust_n, ALL_CARRIED
    short = bus < row.floor_v
    short |= motor_current > bank.current_limit_a
    short |= emf - wanted * bank_ohm < row.cutoff_v
    short |= row.asked & ~possible
    if short.any():
        motor_current, thrust, limit = _limited(
            short, motor_current, step, demand, bank, motor, emf, bank_ohm
        )
        house = bank.house_load_w / np.maximum(bus, bank.cutoff_voltage_v)
        current = np.where(short, motor_current + house, current)
    if fixed.has_house:
        # The house gets what the bank gives at its cut-off, and no more.
        most = np.minimum(
            (emf - bank.cutoff_voltage_v) / np.maximum(bank_ohm, 1e-9),
            0.5 * emf / np.maximum(ohm, 1e-9),
        )
        current = np.minimum(current, np.maximum(most, motor_current))
    if state.any_empty:
        alive = available > 0.0
        current = np.where(alive, current, 0.0)
        motor_current = np.where(alive, motor_current, 0.0)
        thrust = np.where(alive, thrust, 0.0)
        limit = np.where(alive | ~row.asked, limit, np.int8(EMPTY)).astype(np.int8)

    # Seed the memory with the first load, or it would flatter the first minutes of the day.
    jump = np.where(state.loaded, state.smoothed_a, current) - current
    rate = np.maximum(1.0, (current + jump * row.mean_share) * fixed.per_rated_a)
    fall = current * rate**fixed.excess * row.share_of_capacity_h
    share: Array | float = 1.0
    left = available - fall
    any_empty = bool(left.min() <= 0.0)
    if any_empty:
        share = np.minimum(1.0, available / np.maximum(fall, np.finfo(np.float64).tiny))
        share = np.where(available > 0.0, share, 0.0)
        left = np.maximum(left, 0.0)
    after = State(
        availability=left,
        smoothed_a=current + jump * row.end_share,
        loaded=state.loaded | (current > 0.0),
        any_empty=any_empty,
    )
    # A share is an array only where some bank runs empty; it is written as one either way.
    flow = StepFlow(
        emf,
        bank_ohm,
        wanted,
        possible,
        current,
        motor_current,
        thrust,
        np.asarray(share),
        limit,
    )
    return after, flow


class Draw(NamedTuple):
    """What a load draws from a source behind a resistance, arrays of one shape."""

    current_a: Array  # all of it
    motor_current_a: Array
    bus_voltage_v: Array
    possible: NDArray[np.bool_]  # False: no current carries that load


def draw_on_bank(
    motor_power_w: Array,
    house_load_w: Array,
    emf_v: Array,
    ohm: Array,
    motor: Motor,
    *,
    total_w: Array,
) -> Draw:
    """
    Return what motor and house draw together.

    Parameters
    ----------
    motor_power_w : ndarray, shape (...)
        As `electrical_demand` gives it. [W]
    house_load_w : ndarray, broadcastable
        Everything else, a constant power. [W]
    emf_v : ndarray, broadcastable
        Rest voltage. [V]
    ohm : ndarray, broadcastable
        Between it and the motor. [ohm]
    motor : Motor
        A chopper holds its power whatever the voltage; stepped control holds its current.
    total_w : ndarray, shape (...)
        The two powers together, which a loop works out once. [W]
    """
    if motor.control == "stepped":
        motor_current = motor_power_w / motor.rated_voltage_v
        left = emf_v - motor_current * ohm
        house_current, possible = carried_current_a(house_load_w, np.maximum(left, 1e-6), ohm)
        current = motor_current + house_current
        return Draw(current, motor_current, emf_v - current * ohm, possible & (left > 0.0))
    current, possible = carried_current_a(total_w, emf_v, ohm)
    bus = emf_v - current * ohm
    return Draw(current, motor_power_w / bus, bus, possible)


def _limited(
    short: NDArray[np.bool_],
    motor_current: Array,
    step: int,
    demand: Demand,
    bank: Bank,
    motor: Motor,
    emf: Array,
    bank_ohm: Array,
) -> tuple[Array, Array, NDArray[np.int8]]:
    """Give what the tightest limit leaves, where the wanted thrust cannot be had."""
    ohm = bank_ohm + bank.cable_ohm
    current_quadratic = demand.current_quadratic[:, step]
    c0, c1, c2 = current_quadratic
    house = bank.house_load_w / np.maximum(emf, 1.0)
    bus = full_throttle_bus_v(emf - ohm * house, ohm, current_quadratic)
    at_full = np.maximum(c0 + c1 * bus + c2 * bus * bus, 0.0)
    candidates = np.stack(
        (
            at_full,
            np.broadcast_to(bank.current_limit_a, emf.shape),
            np.maximum((emf - bank.lowest_voltage_v) / np.maximum(ohm, 1e-9) - house, 0.0),
            np.maximum((emf - bank.cutoff_voltage_v) / np.maximum(bank_ohm, 1e-9) - house, 0.0),
        )
    )
    tightest = np.argmin(candidates, axis=0)
    given_current = np.where(short, np.min(candidates, axis=0), motor_current)
    given_bus = emf - ohm * (given_current + house)
    t0, t1, t2 = demand.thrust_quadratic[:, step]
    full_thrust = t0 + t1 * given_bus + t2 * given_bus * given_bus
    wet = wet_motor(
        motor, thrust_ratio=demand.thrust_ratio[step], torque_ratio=demand.torque_ratio[step]
    )
    eased = thrust_at_current_n(
        given_current, given_bus, inflow_mps=demand.inflow_mps[step], motor=wet
    )
    given = np.where(tightest == 0, full_thrust, np.minimum(eased, full_thrust))
    wanted = demand.thrust_n[step]
    thrust = np.where(short, np.clip(given, 0.0, wanted), wanted)
    codes = (tightest + FULL_THROTTLE).astype(np.int8)
    return given_current, thrust, np.where(short, codes, np.int8(CARRIED)).astype(np.int8)


def thrust_at_current_n(
    motor_current_a: Array, bus_voltage_v: Array, *, inflow_mps: Array, motor: Motor
) -> Array:
    """Return the thrust, in N, a limited bus current makes below full throttle."""
    stepped = motor.control == "stepped"
    voltage = motor.rated_voltage_v if stepped else bus_voltage_v
    return thrust_at_power(motor_current_a * voltage, inflow_mps=inflow_mps, motor=motor)


def full_throttle_bus_v(open_v: Array, ohm: Array, current_quadratic: Array) -> Array:
    """
    Return the bus voltage at full throttle: the root of V = E - R I(V), I quadratic in V.

    Parameters
    ----------
    open_v : ndarray, shape (...)
        Voltage at no motor current. [V]
    ohm : ndarray, shape (...)
        Resistance between it and the motor. [ohm]
    current_quadratic : ndarray, shape (3, ...)
        Full-throttle current as c0 + c1 V + c2 V^2. [A]
    """
    c0, c1, c2 = current_quadratic
    a = ohm * c2
    b = 1.0 + ohm * c1
    c = ohm * c0 - open_v
    # The form that survives a -> 0.
    root: Array = -2.0 * c / (b + np.sqrt(np.maximum(b * b - 4.0 * a * c, 0.0)))
    return root


def simulate(demand: Demand, bank: Bank, motor: Motor) -> Flows:
    """
    Carry the bank through all steps.

    Parameters
    ----------
    demand : Demand
        The day's demand, arrays (steps, members).
    bank : Bank
        The banks, arrays (members,).
    motor : Motor
        The motor that serves every member.

    Returns
    -------
    Flows
        Arrays over (steps, members), and the books at the step edges.
    """
    steps, members = demand.power_w.shape
    rows, fixed = _prepared(demand, bank)
    shape = (steps, members)
    kept = StepFlow(
        emf_v=np.empty(shape),
        bank_ohm=np.empty(shape),
        wanted_a=np.empty(shape),
        possible=np.empty(shape, dtype=bool),
        current_a=np.empty(shape),
        motor_current_a=np.empty(shape),
        thrust_n=np.empty(shape),
        carried_share=np.empty(shape),
        limit=np.empty(shape, dtype=np.int8),
    )
    availability = np.empty((steps + 1, members))
    availability[0] = bank.start_soc
    state = State(
        availability=availability[0],
        smoothed_a=np.zeros(members),
        loaded=np.zeros(members, dtype=bool),
        any_empty=bool((bank.start_soc <= 0.0).any()),
    )
    columns: tuple[NDArray[Any], ...] = tuple(kept)
    for step, row in enumerate(map(Rows, *rows)):
        state, flow = advance(state, row, step, demand, bank, fixed, motor)
        for out, value in zip(columns, flow, strict=True):
            out[step] = value
        availability[step + 1] = state.availability
    return _flows(kept, availability, demand, bank)


def _prepared(demand: Demand, bank: Bank) -> tuple[Rows, Constants]:
    """Work out, for all steps at once, what does not depend on the bank's state."""
    asked = demand.power_w > 0.0
    never = -np.inf
    hours = demand.step_s / SECONDS_PER_HOUR
    rows = Rows(
        demand.power_w,
        asked,
        demand.power_w + bank.house_load_w,
        demand.thrust_n,
        demand.inflow_mps,
        np.where(asked, np.maximum(demand.needed_voltage_v, bank.lowest_voltage_v), never),
        np.where(asked, bank.cutoff_voltage_v, never),
        hours / bank.capacity_ah,
        *smoothing_shares(demand.step_s, memory_s=bank.memory_s),
    )
    empty_ohm = bank.resistance_full_ohm * bank.resistance_rise
    fixed = Constants(
        rest=rest_voltages(bank),
        empty_ohm=empty_ohm,
        fall_ohm=empty_ohm - bank.resistance_full_ohm,
        per_rated_a=bank.rated_time_h / bank.capacity_ah,
        excess=bank.exponent - 1.0,
        has_house=bool(bank.house_load_w.any()),
    )
    return rows, fixed


def _flows(kept: StepFlow, availability: Array, demand: Demand, bank: Bank) -> Flows:
    """Work out, for all steps at once, what follows from the kept rows."""
    ohm = kept.bank_ohm + bank.cable_ohm
    bank_voltage = kept.emf_v - kept.current_a * kept.bank_ohm
    bus_voltage = kept.emf_v - kept.current_a * ohm
    wanted_voltage = kept.emf_v - kept.wanted_a * kept.bank_ohm
    drawn = kept.current_a * kept.carried_share * (demand.step_s / SECONDS_PER_HOUR)
    return Flows(
        current_a=kept.current_a,
        motor_current_a=kept.motor_current_a,
        bank_voltage_v=bank_voltage,
        bus_voltage_v=bus_voltage,
        emf_v=kept.emf_v,
        resistance_ohm=ohm,
        thrust_n=kept.thrust_n * kept.carried_share,
        # Not what was wanted: under stepped control the motor takes less as the bus sags.
        motor_power_w=kept.motor_current_a * bus_voltage * kept.carried_share,
        carried_share=kept.carried_share,
        wanted_voltage_v=np.where(kept.possible, wanted_voltage, 0.0),
        limit=kept.limit,
        availability=availability,
        drawn_ah=_running_sum(drawn),
        drawn_wh=_running_sum(drawn * bank_voltage),
    )


def _running_sum(values: Array) -> Array:
    """Return the sum up to each step edge, starting from nothing."""
    total = np.zeros((values.shape[0] + 1, values.shape[1]))
    np.cumsum(values, axis=0, out=total[1:])
    return total
