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
from typing import Final, NamedTuple

import numpy as np
from numpy.typing import NDArray

from energysim.physics.discharge import smoothing_shares
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


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Demand:
    """What the day asks of the bank, independent of the bank. Arrays are (steps, members)."""

    step_s: Array  # length of each step; zero where a member's day is already over
    power_w: Array  # electrical power the motor asks for at the bus
    thrust_n: Array  # thrust that power would give
    needed_voltage_v: Array  # bus voltage below which that thrust cannot be had
    inflow_mps: Array  # water speed into the propeller
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
    """What the bank carries from step to step, each of shape (members,)."""

    availability: Array
    drawn_ah: Array
    drawn_wh: Array
    smoothed_a: Array  # the current Peukert's law remembers
    loaded: NDArray[np.bool_]  # whether any load has come yet, which seeds the memory


class StepDemand(NamedTuple):
    """One row of `Demand`."""

    step_s: Array
    power_w: Array
    thrust_n: Array
    needed_voltage_v: Array
    inflow_mps: Array
    thrust_quadratic: Array
    current_quadratic: Array
    end_share: Array  # of the remembered current at the step's end
    mean_share: Array  # and on average over the step


class StepFlow(NamedTuple):
    """One row of `Flows`, in the order its arrays are written."""

    current_a: Array
    motor_current_a: Array
    bank_voltage_v: Array
    bus_voltage_v: Array
    emf_v: Array
    resistance_ohm: Array
    thrust_n: Array
    motor_power_w: Array
    carried_share: Array
    wanted_voltage_v: Array
    limit: NDArray[np.int8]


def initial_state(bank: Bank) -> State:
    """Return the bank as the day starts: nothing drawn, no load yet."""
    zero = np.zeros_like(bank.start_soc)
    return State(bank.start_soc.copy(), zero, zero, zero, np.zeros(zero.shape, dtype=bool))


def rest_voltage(availability: Array, bank: Bank) -> Array:
    """Look up the bank's rest voltage, in V, in its even table."""
    nodes = bank.emf_tables_v.shape[1]
    position = availability * (nodes - 1)
    below = np.minimum(position.astype(np.intp), nodes - 2)
    flat = bank.emf_tables_v.ravel()
    index = bank.emf_kind * nodes + below
    low = flat[index]
    step_emf: Array = low + (position - below) * (flat[index + 1] - low)
    return step_emf * bank.series


def advance(
    state: State, demand: StepDemand, bank: Bank, motor: Motor
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
    demand : StepDemand
        What the step asks for.
    bank, motor : Bank, Motor
        Their fixed parameters.

    Returns
    -------
    state, flow : State, StepFlow
        The bank at the step's end, and what flowed.
    """
    emf = rest_voltage(state.availability, bank)
    bank_ohm = bank.resistance_full_ohm * (
        1.0 + (bank.resistance_rise - 1.0) * (1.0 - state.availability)
    )
    ohm = bank_ohm + bank.cable_ohm
    alive = state.availability > 0.0

    draw = draw_on_bank(demand.power_w, bank.house_load_w, emf, ohm, motor)
    current, motor_current, bus, possible = draw
    wanted_voltage = np.where(possible, emf - current * bank_ohm, 0.0)
    asked = demand.power_w > 0.0
    short = asked & (
        ~possible
        | (bus < demand.needed_voltage_v)
        | (motor_current > bank.current_limit_a)
        | (wanted_voltage < bank.cutoff_voltage_v)
        | (bus < bank.lowest_voltage_v)
    )
    thrust = demand.thrust_n
    limit = np.zeros(emf.shape, dtype=np.int8)
    if short.any():
        motor_current, thrust, limit = _limited(
            short, motor_current, limit, demand, bank, motor, emf, bank_ohm
        )
        house = bank.house_load_w / np.maximum(bus, bank.cutoff_voltage_v)
        current = np.where(short, motor_current + house, current)
    if bank.house_load_w.any():
        # The house gets what the bank gives at its cut-off, and no more.
        most = np.minimum(
            (emf - bank.cutoff_voltage_v) / np.maximum(bank_ohm, 1e-9),
            0.5 * emf / np.maximum(ohm, 1e-9),
        )
        current = np.minimum(current, np.maximum(most, motor_current))
    bus = emf - current * ohm
    # Not what was wanted: under stepped control the motor takes less as the bus sags.
    power = motor_current * bus
    if not alive.all():
        current = np.where(alive, current, 0.0)
        motor_current = np.where(alive, motor_current, 0.0)
        thrust = np.where(alive, thrust, 0.0)
        power = np.where(alive, power, 0.0)
        limit = np.where(alive | ~asked, limit, np.int8(EMPTY)).astype(np.int8)
        bus = emf - current * ohm

    # Seed the memory with the first load, or it would flatter the first minutes of the day.
    loaded = state.loaded | (current > 0.0)
    previous = np.where(state.loaded, state.smoothed_a, current)
    jump = previous - current
    smoothed = current + jump * demand.end_share
    mean_smoothed = current + jump * demand.mean_share
    rate = np.maximum(1.0, mean_smoothed * bank.rated_time_h / bank.capacity_ah)
    hours = demand.step_s / SECONDS_PER_HOUR
    fall = current * rate ** (bank.exponent - 1.0) * hours / bank.capacity_ah
    with_margin = np.maximum(fall, np.finfo(np.float64).tiny)
    share = np.where(alive, np.minimum(1.0, state.availability / with_margin), 0.0)
    availability = np.where(fall >= state.availability, 0.0, state.availability - fall)
    drawn = current * hours * share
    bank_voltage = emf - current * bank_ohm
    flow = StepFlow(
        current_a=current,
        motor_current_a=motor_current,
        bank_voltage_v=bank_voltage,
        bus_voltage_v=bus,
        emf_v=emf,
        resistance_ohm=ohm,
        thrust_n=thrust * share,
        motor_power_w=power * share,
        carried_share=share,
        wanted_voltage_v=wanted_voltage,
        limit=limit,
    )
    after = State(
        availability=availability,
        drawn_ah=state.drawn_ah + drawn,
        drawn_wh=state.drawn_wh + drawn * bank_voltage,
        smoothed_a=smoothed,
        loaded=loaded,
    )
    return after, flow


class Draw(NamedTuple):
    """What a load draws from a source behind a resistance, arrays of one shape."""

    current_a: Array  # all of it
    motor_current_a: Array
    bus_voltage_v: Array
    possible: NDArray[np.bool_]  # False: no current carries that load


def draw_on_bank(
    motor_power_w: Array, house_load_w: Array, emf_v: Array, ohm: Array, motor: Motor
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
    """
    if motor.control == "stepped":
        motor_current = motor_power_w / motor.rated_voltage_v
        left = emf_v - motor_current * ohm
        house_current, possible = carried_current_a(house_load_w, np.maximum(left, 1e-6), ohm)
        current = motor_current + house_current
        return Draw(current, motor_current, emf_v - current * ohm, possible & (left > 0.0))
    current, possible = carried_current_a(motor_power_w + house_load_w, emf_v, ohm)
    bus = emf_v - current * ohm
    return Draw(current, motor_power_w / bus, bus, possible)


def _limited(
    short: NDArray[np.bool_],
    motor_current: Array,
    limit: NDArray[np.int8],
    demand: StepDemand,
    bank: Bank,
    motor: Motor,
    emf: Array,
    bank_ohm: Array,
) -> tuple[Array, Array, NDArray[np.int8]]:
    """Give what the tightest limit leaves, where the wanted thrust cannot be had."""
    ohm = bank_ohm + bank.cable_ohm
    c0, c1, c2 = demand.current_quadratic
    house = bank.house_load_w / np.maximum(emf, 1.0)
    bus = full_throttle_bus_v(emf - ohm * house, ohm, demand.current_quadratic)
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
    least = np.min(candidates, axis=0)
    given_current = np.where(short, least, motor_current)
    given_bus = emf - ohm * (given_current + house)
    t0, t1, t2 = demand.thrust_quadratic
    full_thrust = t0 + t1 * given_bus + t2 * given_bus * given_bus
    eased = thrust_at_current_n(
        given_current, given_bus, inflow_mps=demand.inflow_mps, motor=motor
    )
    given = np.where(tightest == 0, full_thrust, np.minimum(eased, full_thrust))
    given = np.clip(given, 0.0, demand.thrust_n)
    thrust = np.where(short, given, demand.thrust_n)
    codes = (tightest + FULL_THROTTLE).astype(np.int8)
    return given_current, thrust, np.where(short, codes, limit).astype(np.int8)


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
    state = initial_state(bank)
    rows = np.empty((len(StepFlow._fields) - 1, steps, members))
    limit = np.zeros((steps, members), dtype=np.int8)
    books = np.empty((3, steps + 1, members))
    books[:, 0] = state[:3]
    end_share, mean_share = smoothing_shares(demand.step_s, memory_s=bank.memory_s)
    for step in range(steps):
        row = StepDemand(
            demand.step_s[step],
            demand.power_w[step],
            demand.thrust_n[step],
            demand.needed_voltage_v[step],
            demand.inflow_mps[step],
            demand.thrust_quadratic[:, step],
            demand.current_quadratic[:, step],
            end_share[step],
            mean_share[step],
        )
        state, flow = advance(state, row, bank, motor)
        for out, value in zip(rows, flow[:-1], strict=True):
            out[step] = value
        limit[step] = flow.limit
        books[:, step + 1] = state[:3]
    named = dict(zip(StepFlow._fields[:-1], rows, strict=True))
    return Flows(
        **named, limit=limit, availability=books[0], drawn_ah=books[1], drawn_wh=books[2]
    )
