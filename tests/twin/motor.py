"""The twin's bow motor: from its label to what a thrust costs, every step by bisection."""

import math
from types import SimpleNamespace

from .reading import amount, propeller_terms

AREA = {2: 0.38, 3: 0.45}  # expanded area ratio taken for two and three blades


def root(rises, low, high):
    """Where a function that rises from below zero meets it, by halving forty times."""
    for _ in range(40):
        middle = 0.5 * (low + high)
        low, high = (middle, high) if rises(middle) < 0.0 else (low, middle)
    return 0.5 * (low + high)


def make_motor(raw, rho):
    """Put the label's full-throttle point through the series, with the likeliest losses."""
    given = raw["motor"]
    volts, most, thrust = (
        amount(given[key], kind)
        for key, kind in (
            ("voltage", "voltage"),
            ("max_current", "current"),
            ("thrust", "force"),
        )
    )
    idle = amount(given.get("idle_current", "0.3 A"), "current")
    if "propeller_diameter" in given:
        size = amount(given["propeller_diameter"], "length")
    else:  # half of the electrical power ends up as ideal jet power; 9 to 12.5 in
        size = thrust**1.5 / (0.5 * volts * most * math.sqrt(math.pi * rho / 2.0))
        size = min(max(size, 9.0 * 0.0254), 12.5 * 0.0254)
    blades, pitch = given.get("blades", 3), given.get("pitch_ratio", 0.6)
    curves = []
    for terms in propeller_terms():
        curve = [0.0, 0.0, 0.0, 0.0]
        for c, s, t, u, v in terms:
            curve[s] += c * pitch**t * AREA[blades] ** u * blades**v
        curves.append(curve)

    def series(which, advance):
        a, b, c, d = curves[which]
        return a + b * advance + c * advance**2 + d * advance**3

    kt0, kq0 = series(0, 0.0), series(1, 0.0)
    merit = math.sqrt(2.0 / math.pi) * kt0**1.5 / (2.0 * math.pi * kq0)
    own = most - idle  # through the motor itself
    disc = math.pi * size * size / 4.0
    ratio = merit / (math.sqrt(thrust**3 / (2.0 * rho * disc)) / (volts * own))

    def unlikely(efficiency):
        drag = ratio * efficiency - 1.0
        return ((efficiency - 0.80) / 0.05) ** 2 + ((drag - 0.08) / 0.06) ** 2

    efficiency = root(lambda e: unlikely(e + 1e-6) - unlikely(e - 1e-6), 0.01, 2.0)
    efficiency = min(efficiency, 0.88)
    extra = ratio * efficiency - 1.0
    no_load = 0.05 * own
    lost = 1.0 - efficiency / (1.0 - 0.05)
    speed = math.sqrt(thrust / (rho * size**4 * kt0))
    fouling = given.get("fouling", 0.0)

    def kq(advance):
        if extra > 0.0:
            return (series(1, advance) + extra * kq0) * (1.0 + fouling)
        return series(1, advance) * (1.0 + extra) * (1.0 + fouling)

    return SimpleNamespace(
        size=size,
        rho=rho,
        kt=lambda advance: series(0, advance) * (1.0 - fouling / 2.0),
        kq=kq,
        stalls=root(lambda j: -series(0, j), 0.0, 1.9),
        deduction=given.get("thrust_deduction", 0.05),
        torque_per_amp=volts * (1.0 - lost) / (2.0 * math.pi * speed),
        ohm=lost * volts / own,
        no_load=no_load,
        speed=speed,
        volts=volts,
        idle_w=idle * volts,
        stepped=given.get("control", "pwm") == "stepped",
        limit=amount(given["current_limit"], "current") if "current_limit" in given else most,
        lets_go=amount(given["lowest_voltage"], "voltage")
        if "lowest_voltage" in given
        else 0.8 * volts,
        efficiency=efficiency,
    )


def net_thrust(motor, n, inflow):
    k = motor.kt(min(inflow / (n * motor.size), 1.9))
    return (1.0 - motor.deduction) * motor.rho * n * n * motor.size**4 * k


def amps_and_volts(motor, n, inflow):
    """Motor current and motor voltage at a shaft speed."""
    torque = motor.rho * n * n * motor.size**5 * motor.kq(min(inflow / (n * motor.size), 1.9))
    amps = torque / motor.torque_per_amp + 0.5 * motor.no_load * (1.0 + n / motor.speed)
    return amps, 2.0 * math.pi * motor.torque_per_amp * n + motor.ohm * amps


def watts(motor, n, inflow):
    """Power at the bus without the idle power."""
    amps, volts = amps_and_volts(motor, n, inflow)
    return amps * motor.volts if motor.stepped else 1.01 * amps * volts


def demand(motor, thrust, inflow):
    """Power at the bus and the voltage needed, for a net thrust."""
    if thrust == 0.0:
        return motor.idle_w, 0.0
    free = inflow / (motor.size * motor.stalls)
    top = free + motor.speed
    while net_thrust(motor, top, inflow) < thrust:
        top += motor.speed
    n = root(lambda n: net_thrust(motor, n, inflow) - thrust, max(free, 1e-9), top)
    return watts(motor, n, inflow) + motor.idle_w, amps_and_volts(motor, n, inflow)[1]


def near_the_surface(motor, thrust_left, torque_left):
    """The motor with what the surface leaves of its propeller."""
    wet = SimpleNamespace(**vars(motor))
    wet.kt = lambda advance: thrust_left * motor.kt(advance)
    wet.kq = lambda advance: torque_left * motor.kq(advance)
    return wet


def reaches(motor, thrust, inflow):
    """Whether rated voltage and the motor's current limit give a thrust."""
    power, volts = demand(motor, thrust, inflow)
    if volts <= motor.volts and power <= motor.limit * motor.volts:
        return True
    return thrust <= most(motor, inflow)


def most(motor, inflow):
    """The most thrust at rated voltage, within the motor's current limit."""
    thrust, amps = wide_open(motor, motor.volts, inflow)
    if amps > motor.limit:
        thrust = min(thrust, thrust_from(motor, motor.limit * motor.volts, inflow))
    return thrust


def mean_power(motor, thrust, inflow, duty):
    """Power over the on and off of bursts: longer on where it must be, never more than all."""
    share, given = duty, thrust / duty
    if not reaches(motor, given, inflow):
        top = most(motor, inflow)
        share = min(max(thrust / max(top, 1e-9), duty), 1.0)
        given = min(thrust / share, top)
    return share * demand(motor, given, inflow)[0] + (1.0 - share) * motor.idle_w


def wide_open(motor, bus, inflow):
    """Net thrust and bus current at full throttle, straight on a bus voltage."""
    high = bus / (2.0 * math.pi * motor.torque_per_amp)
    n = root(lambda n: amps_and_volts(motor, n, inflow)[1] - bus, 1e-6, high)
    amps = max(amps_and_volts(motor, n, inflow)[0], 0.0)
    return max(net_thrust(motor, n, inflow), 0.0), amps + motor.idle_w / bus


def thrust_from(motor, power, inflow):
    """Net thrust a limited bus power makes."""
    free = max(inflow / (motor.size * motor.stalls), 1e-9)
    spare = power - motor.idle_w
    if watts(motor, free, inflow) >= spare:
        return 0.0
    high = free + 3.0 * motor.speed
    n = root(lambda n: watts(motor, n, inflow) - spare, free, high)
    return max(net_thrust(motor, n, inflow), 0.0)
