"""The twin's blocks: a label read anew, and a block under a current by either law."""

import math
from copy import copy
from types import SimpleNamespace

from .motor import root
from .reading import amount, battery_row, chemistry_row, degc

ROUNDS = 8  # Runge-Kutta rounds in a step


def straight(xs, ys, x):
    """Straight lines between nodes; the twin's inputs lie inside them."""
    if not xs[0] <= x <= xs[-1]:
        raise ValueError(f"{x} is outside {xs[0]} to {xs[-1]}")
    index = max(k for k in range(len(xs) - 1) if xs[k] <= x)
    part = (x - xs[index]) / (xs[index + 1] - xs[index])
    return ys[index] + part * (ys[index + 1] - ys[index])


def label_of(given):
    """What the label says of a new block at 25 degC."""
    row = battery_row(given["battery"]) if "battery" in given else None
    kind = chemistry_row(given["chemistry"] if row is None else row["chemistry"])
    if row is None:
        rated, hours = amount(given["capacity"], "charge"), 20.0
        volts, mass, reserve = amount(given["block_voltage"], "voltage"), None, None
    else:
        rated, hours = float(row["capacity_ah"]), float(row["rated_time_h"])
        volts, mass = float(row["voltage_v"]), float(row["mass_kg"])
        reserve = float(row["reserve_min"]) / 60.0 if row["reserve_min"] else None
    if "reserve" in given:
        reserve = amount(given["reserve"], "time") / 3600.0
    if "block_mass" in given:
        mass = amount(given["block_mass"], "mass")
    exponent = kind["peukert_exponent"]
    if reserve is not None and kind["family"] == "lead-acid":
        exponent = math.log(hours / reserve) / math.log(25.0 * hours / rated)
        hard = (reserve, 25.0 * reserve)
    else:
        amps = max(25.0, 2.0 * rated / hours)
        lasts = hours * (rated / (amps * hours)) ** exponent
        hard = (lasts, amps * lasts)
    return SimpleNamespace(
        kind=kind,
        rated=rated,
        hours=hours,
        volts=volts,
        scale=volts / kind["block_voltage_nominal_v"],
        mass=mass,
        exponent=exponent,
        wells=wells_through((hours, rated), hard, kind["well_rate_per_h"]),
    )


def wells_through(easy, hard, rate):
    """Total and share of two wells that last both discharges, at a rate: by bisection."""

    def total(share, time, charge):  # that gives a charge over a time, from the solved ODE
        x = rate * time
        gone = 1.0 - math.exp(-x)
        return charge * (gone + share * (x - gone)) / (share * x)

    def too_large(share):  # the harder discharge wants less total the more there is at hand
        return total(share, *easy) - total(share, *hard)

    share = root(too_large, 1e-3, 1.0) if too_large(1.0) > 0.0 else 1.0
    return total(share, *easy), share, rate


def make_block(label, given, row, warm, surrounds):
    """One block of the bank, as it stands in the morning; `row` says what it has otherwise."""
    kind = label.kind
    aged = row.get("capacity_fraction", given.get("capacity_fraction", 1.0))
    warm = degc(row["temperature"]) if "temperature" in row else warm
    factor = straight(
        kind["capacity_temperature_degc"], kind["capacity_temperature_factor"], warm
    )
    today = aged * min(factor, kind["capacity_largest_factor"])
    cold = math.exp(kind["resistance_rise_per_degc"] * (25.0 - warm))
    ohm = label.scale * kind["resistance_ohm_per_100ah"] * 100.0 / label.rated
    ohm *= 1.0 + 0.75 * (1.0 - aged) / 0.2  # worn blocks are stiffer
    stated = row.get("resistance", given.get("resistance"))
    if stated is not None:
        ohm = amount(stated, "resistance")
    start = row.get("start_soc", given.get("start_soc", 1.0))
    total, share, rate = label.wells
    total *= today
    capacity = label.rated * today
    left = total - (1.0 - start) * capacity
    lithium = kind["family"] == "lithium"
    cutoff = (
        amount(given["cutoff_voltage"], "voltage")
        if "cutoff_voltage" in given
        else label.scale * kind["cutoff_voltage_v"]
    )
    return SimpleNamespace(
        label=label,
        kinetic=given.get("law", kind["law"]) == "kinetic",
        capacity=capacity,
        ledger=label.rated * aged,
        start=start,
        memory=amount(given.get("memory", "15 min"), "time"),
        full_ohm=ohm * cold,
        heat=label.mass * kind["heat_capacity_j_per_kg_k"],
        loss=25.0 * 900.0 / (3.0 * 3600.0) * (label.mass / 25.0) ** (2.0 / 3.0),
        first_warm=warm,
        surrounds=surrounds,
        cutoff=cutoff,
        board=cutoff if lithium else -math.inf,
        tap=0.0,
        total=total,
        share=share,
        rate=rate,
        # What changes:
        near=share * left,
        far=(1.0 - share) * left,
        state=start,
        remembered=None,
        warm=warm,
        drawn=0.0,
        felt=0.0,  # of the day's charge, times its current
    )


def level(block):
    """How full the law's own state is."""
    return block.near / (block.share * block.total) if block.kinetic else block.state


def margin(block):
    """How far from empty: its near well, or what is left of today's capacity, is out first."""
    if not block.kinetic:
        return block.state
    spare = block.near + block.far - (block.total - block.capacity)
    return min(level(block), spare / (block.share * block.total))


def volts_of(block):
    kind = block.label.kind
    height = min(max(level(block), 0.0), 1.0)
    return block.label.scale * straight(kind["rest_soc"], kind["rest_voltage_v"], height)


def ohm_of(block):
    kind = block.label.kind
    rise = 1.0 + (kind["resistance_rise_when_empty"] - 1.0) * (1.0 - level(block))
    warmer = block.warm - block.first_warm
    return block.full_ohm * rise * math.exp(-kind["resistance_rise_per_degc"] * warmer)


def after(block, amps, seconds, ohm):
    """The block after a steady current, as if it had charge enough."""
    new = copy(block)
    hours = seconds / 3600.0
    if block.kinetic:
        new.near, new.far = seeping(block, amps, hours)
    else:
        label = block.label
        remembered = amps if block.remembered is None else block.remembered
        gone = seconds / block.memory if block.memory > 0.0 else math.inf
        # The remembered current in the middle of the step stands for its mean over it.
        felt = amps + (remembered - amps) * math.exp(-0.5 * gone)
        if amps > 0.0 or block.remembered is not None:
            new.remembered = amps + (remembered - amps) * math.exp(-gone)
        faster = max(1.0, felt * label.hours / block.capacity) ** (label.exponent - 1.0)
        new.state = block.state - amps * faster * hours / block.capacity
    settled = block.surrounds + amps * amps * ohm / block.loss
    fades = math.exp(-seconds * block.loss / block.heat)
    new.warm = settled + (block.warm - settled) * fades
    new.drawn += amps * hours
    new.felt += amps * amps * hours
    return new


def seeping(block, amps, hours):
    """Both wells after a while, by the classical Runge-Kutta rule on their equations."""
    seep = block.rate * block.share * (1.0 - block.share)

    def change(near, far):
        flow = 0.0
        if block.share < 1.0:
            flow = seep * (far / (1.0 - block.share) - near / block.share)
        return flow - amps, -flow

    near, far, part = block.near, block.far, hours / ROUNDS
    for _ in range(ROUNDS):
        a = change(near, far)
        b = change(near + 0.5 * part * a[0], far + 0.5 * part * a[1])
        c = change(near + 0.5 * part * b[0], far + 0.5 * part * b[1])
        d = change(near + part * c[0], far + part * c[1])
        near += part / 6.0 * (a[0] + 2.0 * b[0] + 2.0 * c[0] + d[0])
        far += part / 6.0 * (a[1] + 2.0 * b[1] + 2.0 * c[1] + d[1])
    return near, far


def availability(block):
    """The time left over the time from full, at the day's own current."""
    if not block.kinetic:
        return max(block.state, 0.0)
    amps = block.capacity / block.label.hours
    if block.drawn > 0.0:
        amps = max(amps, block.felt / block.drawn)
    fresh = copy(block)
    fresh.near, fresh.far = block.share * block.total, (1.0 - block.share) * block.total
    by_time = lasts(block, amps) / lasts(fresh, amps)
    return min(by_time, max(block.start - block.drawn / block.capacity, 0.0))


def lasts(block, amps):
    """Hours until the near well is empty, minute by minute and a straight line in the last."""
    now, hours, part = copy(block), 0.0, 1.0 / 60.0
    if now.near <= 0.0:
        return 0.0
    while True:
        before = now.near
        now.near, now.far = seeping(now, amps, part)
        if now.near <= 0.0:
            return hours + part * before / (before - now.near)
        hours += part
