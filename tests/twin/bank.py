"""The twin's bank through the day, and its night at the charger."""

import math
from types import SimpleNamespace

from .gusts import FAR, line_through, share_above
from .motor import amps_and_volts, demand, root, thrust_from, wide_open
from .reading import amount, battery_row, chemistry_row, degc


def straight(xs, ys, x):
    """Straight lines between nodes; the twin's inputs lie inside them."""
    if not xs[0] <= x <= xs[-1]:
        raise ValueError(f"{x} is outside {xs[0]} to {xs[-1]}")
    index = max(k for k in range(len(xs) - 1) if xs[k] <= x)
    part = (x - xs[index]) / (xs[index + 1] - xs[index])
    return ys[index] + part * (ys[index + 1] - ys[index])


def make_bank(raw, motor_volts):
    """Blocks, strings and leads from the label."""
    given, day = raw["bank"], raw["day"]
    if "battery" in given:
        row = battery_row(given["battery"])
        kind = chemistry_row(given.get("chemistry", row["chemistry"]))
        label, hours = float(row["capacity_ah"]), float(row["rated_time_h"])
        nominal, mass = float(row["voltage_v"]), float(row["mass_kg"])
        reserve = float(row["reserve_min"]) if row["reserve_min"] else None
    else:
        kind = chemistry_row(given["chemistry"])
        label, hours = amount(given["capacity"], "charge"), 20.0
        nominal, mass, reserve = amount(given["block_voltage"], "voltage"), None, None
    if "reserve" in given:
        reserve = amount(given["reserve"], "time") / 60.0
    if "block_mass" in given:
        mass = amount(given["block_mass"], "mass")
    exponent = kind["peukert_exponent"]
    if reserve is not None and kind["family"] == "lead-acid":
        exponent = math.log(60.0 * hours / reserve) / math.log(25.0 * hours / label)
    scale = nominal / kind["block_voltage_nominal_v"]
    series = given.get("series", round(motor_volts / nominal))
    parallel = given.get("parallel", 1)
    warm = degc(given.get("temperature", day["water_temperature"]))
    factor = straight(
        kind["capacity_temperature_degc"], kind["capacity_temperature_factor"], warm
    )
    aged = label * given.get("capacity_fraction", 1.0)
    cold = math.exp(kind["resistance_rise_per_degc"] * (25.0 - warm))
    block_ohm = scale * kind["resistance_ohm_per_100ah"] * 100.0 / label * cold
    cutoff = (
        amount(given["cutoff_voltage"], "voltage")
        if "cutoff_voltage" in given
        else scale * kind["cutoff_voltage_v"]
    )
    return SimpleNamespace(
        kind=kind,
        scale=scale,
        series=series,
        parallel=parallel,
        mass=series * parallel * mass,
        hours=hours,
        exponent=exponent,
        memory=amount(given.get("memory", "15 min"), "time"),
        start=given.get("start_soc", 1.0),
        block=aged,
        ledger=aged * parallel,
        today=aged * parallel * min(factor, kind["capacity_largest_factor"]),
        ohm=series * block_ohm / parallel,
        leads=leads_ohm(raw["cable"], degc(day["air_temperature"])),
        cutoff=series * cutoff,
        house=amount(given.get("house_load", "0 W"), "power"),
        warm=warm,
    )


def leads_ohm(cable, warm):
    """Out and back, stranded (2 % longer than it looks), and 2 mohm of contacts."""
    number, unit = cable["gauge"].split()
    if unit != "AWG":
        raise ValueError(f"{cable['gauge']!r} is no American gauge")
    width = 0.005 * 0.0254 * 92.0 ** ((36.0 - int(number)) / 39.0)  # ASTM B258
    area = math.pi * width * width / 4.0
    copper = 1.0 / 58e6 * (1.0 + 0.00393 * (warm - 20.0))
    return 2.0 * amount(cable["length"], "length") * copper * 1.02 / area + 0.002


def carry(motor_w, house_w, emf, ohm, motor):
    """Motor current and bus voltage under a load, or None where nothing carries it."""
    if motor.stepped:
        amps = motor_w / motor.volts
        bus = _held_power(house_w, emf - ohm * amps, ohm)
        return None if bus is None else (amps, bus)
    bus = _held_power(motor_w + house_w, emf, ohm)
    return None if bus is None else (motor_w / bus, bus)


def _held_power(power, emf, ohm):
    """Voltage at a load of constant power: the higher of two, by bisection."""
    if emf <= 0.0 or emf * emf / (4.0 * ohm) < power:
        return None
    return root(lambda bus: power - bus * (emf - bus) / ohm, 0.5 * emf, emf)


def limited(bank, motor, emf, inner, inflow, wanted):
    """The smallest of four currents where the wanted thrust cannot be had, and its thrust."""
    ohm = inner + bank.leads

    def beyond(n):  # rises with the shaft's speed: what its voltage and current ask of the bank
        amps, volts = amps_and_volts(motor, n, inflow)
        others = (motor.idle_w + bank.house) / max(volts, 0.3 * emf)
        return volts + ohm * (max(amps, 0.0) + others) - emf

    n = root(beyond, 1e-6, emf / (2.0 * math.pi * motor.torque_per_amp))
    amps, bus = amps_and_volts(motor, n, inflow)
    at_full = max(amps, 0.0) + motor.idle_w / bus
    choices = (
        at_full,
        motor.limit,
        (emf - motor.lets_go) / ohm - bank.house / motor.lets_go,
        (emf - bank.cutoff) / inner - bank.house / bank.cutoff,
    )
    amps = max(min(choices), 0.0)
    bus = emf - ohm * (amps + bank.house / bus)
    most = wide_open(motor, bus, inflow)[0]
    if amps == at_full:
        return amps, bus, min(most, wanted)
    volts = motor.volts if motor.stepped else bus
    return amps, bus, min(thrust_from(motor, amps * volts, inflow), most, wanted)


def gusts_beyond(bank, step, emf, inner):
    """Share of the time the gusts of a step ask for more than there is."""
    motor, ohm = step.motor, inner + bank.leads
    ends = [max(line_through(step.gusty_n, z), 0.0) for z in (-FAR, FAR)]
    strongest = max(*step.gusty_n, *ends)
    power, needed = demand(motor, strongest, step.inflow)
    got = carry(power, bank.house, emf, ohm, motor)
    if got is not None:
        amps, bus = got
        terminals = emf - (amps + bank.house / bus) * inner
        fits = amps <= motor.limit and terminals >= bank.cutoff
        if fits and bus >= max(needed, motor.lets_go):
            return 0.0
    return share_above(step.gusty_n, limited(bank, motor, emf, inner, step.inflow, math.inf)[2])


def discharge(bank, steps):
    """
    Carry the bank through the day.

    A step has seconds, motor watts, net thrust, needed volts, inflow, the motor as wet as it
    is, and what its gusts ask for. Two books: availability by Peukert's law with a memory, and
    the plain ampere-hours.
    """
    soc, drawn, memory, off = bank.start, 0.0, None, 0.0
    for step in steps:
        seconds, motor_w, thrust, needed = step.seconds, step.watts, step.thrust, step.volts
        motor, inflow = step.motor, step.inflow
        emf = (
            bank.series
            * bank.scale
            * straight(bank.kind["rest_soc"], bank.kind["rest_voltage_v"], soc)
        )
        rise = 1.0 + (bank.kind["resistance_rise_when_empty"] - 1.0) * (1.0 - soc)
        inner = bank.ohm * rise
        got = carry(motor_w, bank.house, emf, inner + bank.leads, motor)
        given = thrust
        if got is not None:
            amps, bus = got
            total = amps + bank.house / bus
        if motor_w > 0.0 and (
            got is None
            or bus < max(needed, motor.lets_go)
            or amps > motor.limit
            or emf - total * inner < bank.cutoff
        ):
            amps, bus, given = limited(bank, motor, emf, inner, inflow, thrust)
            total = amps + bank.house / bus
        if got is None and motor_w == 0.0:
            raise ValueError("the house load alone is more than the bank carries")
        # The house is served down to the cut-off and no further.
        total = min(total, max((emf - bank.cutoff) / inner, amps))
        if soc <= 0.0:
            total = given = 0.0
        if memory is None and total > 0.0:
            memory = total
        remembered = memory or 0.0
        # The remembered current in the middle of the step stands for its mean over it.
        gone = seconds / bank.memory if bank.memory > 0.0 else math.inf
        felt = total + (remembered - total) * math.exp(-0.5 * gone)
        if memory is not None:
            memory = total + (remembered - total) * math.exp(-gone)
        rate = max(1.0, felt * bank.hours / bank.today) ** (bank.exponent - 1.0)
        fall = total * rate * seconds / 3600.0 / bank.today
        share = min(1.0, soc / fall) if fall > 0.0 else 1.0
        soc = max(soc - fall, 0.0)
        drawn += total * share * seconds / 3600.0
        if given * share < 0.995 * thrust:
            off += seconds
        elif thrust > 0.0:
            off += seconds * gusts_beyond(bank, step, emf, inner)
    return SimpleNamespace(soc=soc, drawn=drawn, off=off)


def hours_to_full(bank, charger, drawn):
    """Hours from the plug to full, by a loop of one second."""
    kind = bank.kind
    volts = bank.scale * (
        kind["charge_voltage_v"] + kind["charge_voltage_rise_per_degc"] * (bank.warm - 25.0)
    )
    amps = amount(charger["current"], "current")
    if "circuit" in charger:
        outputs = bank.series * bank.parallel
        share = amount(charger["circuit"], "power") * charger.get("efficiency", 0.85) / outputs
        amps = min(amps, share / volts)
    takes = kind["charge_acceptance_per_h"] * min(
        1.0, math.exp(kind["acceptance_rise_per_degc"] * (bank.warm - 25.0))
    )
    state, seconds = bank.start - drawn / bank.ledger, 0
    bands = list(
        zip((*kind["charge_band_edges"], 1.0), kind["charge_band_efficiency"], strict=True)
    )
    while state < kind["full_soc"]:
        kept = next(share for edge, share in bands if state < edge)
        state += kept * min(amps / bank.block, takes * (1.0 - state)) / 3600.0
        seconds += 1
    return seconds / 3600.0
