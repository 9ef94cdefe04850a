"""The twin's bank through the day: strings of blocks, a motor and a house."""

import math
from itertools import combinations
from types import SimpleNamespace

from .blocks import after, availability, label_of, level, make_block, margin, ohm_of, volts_of
from .gusts import FAR, line_through, share_above
from .motor import amps_and_volts, demand, root, thrust_from, wide_open
from .reading import amount, degc

NO_MORE_S = 1e-9  # of a step, when the last of it is through


def make_bank(raw, motor_volts):
    """Blocks, strings and leads from the label: every single block by itself."""
    given, day = raw["bank"], raw["day"]
    label = label_of(given)
    series = given.get("series", round(motor_volts / label.volts))
    parallel = given.get("parallel", 1)
    warm = degc(given.get("temperature", day["water_temperature"]))
    rows = {(row.get("string", 1), row["number"]): row for row in given.get("block", [])}
    strings = [
        [
            make_block(label, given, rows.get((string, number), {}), warm, warm)
            for number in range(1, series + 1)
        ]
        for string in range(1, parallel + 1)
    ]
    for tap in given.get("tapped", []):
        block = strings[tap.get("string", 1) - 1][tap.get("number", 1) - 1]
        block.tap += amount(tap["load"], "power")
    return SimpleNamespace(
        label=label,
        strings=strings,
        alive=[all(level(block) > 0.0 for block in string) for string in strings],
        mass=series * parallel * label.mass,
        leads=leads_ohm(raw["cable"], degc(day["air_temperature"])),
        cutoff=series * strings[0][0].cutoff,
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
    # At each end the house is served first, at the voltage the bus has then.
    to_cutoff = (emf - bank.cutoff) / inner
    at_cutoff = to_cutoff - bank.house / max(bank.cutoff - bank.leads * to_cutoff, 1.0)
    to_drop = (emf - motor.lets_go) / ohm - bank.house / motor.lets_go
    amps = max(min(at_full, motor.limit, to_drop, at_cutoff), 0.0)
    bus = _held_power(bank.house, emf - ohm * amps, ohm) or 0.5 * emf
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


def tapped_a(block):
    """What hangs on the block alone draws, the string's own current left out."""
    if block.tap == 0.0:
        return 0.0
    volts, ohm = volts_of(block), ohm_of(block)
    return block.tap / _held_power(block.tap, volts, ohm)


def given_by(bank, step, emf, inner):
    """What the motor and the house get: total and motor current, thrust."""
    motor, thrust = step.motor, step.thrust
    got = carry(step.watts, bank.house, emf, inner + bank.leads, motor)
    given = thrust
    if got is not None:
        amps, bus = got
        total = amps + bank.house / bus
    if step.watts > 0.0 and (
        got is None
        or bus < max(step.volts, motor.lets_go)
        or amps > motor.limit
        or emf - total * inner < bank.cutoff
    ):
        amps, bus, given = limited(bank, motor, emf, inner, step.inflow, thrust)
        total = amps + bank.house / bus
    elif got is None:
        raise ValueError("the house load alone is more than the bank carries")
    # The house is served down to the cut-off and no further.
    return min(total, max((emf - bank.cutoff) / inner, amps)), given


def settle(bank, step):
    """
    The strings' currents: of all sets of living strings the one that is at peace.

    Each string in it gives, and none left out stands higher than the terminals.
    """
    emfs, ohms = [], []
    for string in bank.strings:
        emfs.append(sum(volts_of(block) - ohm_of(block) * tapped_a(block) for block in string))
        ohms.append(sum(ohm_of(block) for block in string))
    living = [number for number, alive in enumerate(bank.alive) if alive]
    for size in range(len(living), 0, -1):
        for chosen in combinations(living, size):
            inner = 1.0 / sum(1.0 / ohms[k] for k in chosen)
            emf = inner * sum(emfs[k] / ohms[k] for k in chosen)
            total, thrust = given_by(bank, step, emf, inner)
            volts = emf - inner * total
            amps = {k: (emfs[k] - volts) / ohms[k] for k in chosen}
            waiting = [k for k in living if k not in chosen]
            if min(amps.values()) >= -1e-9 and all(emfs[k] <= volts + 1e-9 for k in waiting):
                return SimpleNamespace(
                    emf=emf, inner=inner, total=total, thrust=thrust,
                    amps={k: max(amps.get(k, 0.0), 0.0) for k in living},
                )  # fmt: skip
    raise ValueError("no set of strings is at peace")


def boards_open(bank, amps):
    """Open the strings a block of which is under its board's voltage."""
    opened = False
    for number, current in amps.items():
        for block in bank.strings[number]:
            through = current + tapped_a(block)
            if volts_of(block) - ohm_of(block) * through < block.board - 1e-6:
                bank.alive[number] = False
                opened = True
    return opened


def live(bank, amps, seconds):
    """Carry the blocks on until the time is up or a string is empty; the seconds it took."""

    def fate(number, time):
        return [
            after(block, amps[number] + tapped_a(block), time, ohm_of(block))
            for block in bank.strings[number]
        ]

    shortest, dies = seconds, None
    for number in amps:
        if min(margin(block) for block in fate(number, seconds)) < 0.0:
            time = root(
                lambda s, k=number: -min(margin(block) for block in fate(k, s)), 0.0, seconds
            )
            if time < shortest or dies is None:
                shortest, dies = min(time, shortest), number
    for number in range(len(bank.strings)):
        if number in amps:
            bank.strings[number] = fate(number, shortest)
        else:  # it cools, and its wells level out to no avail
            bank.strings[number] = [
                after(block, 0.0, shortest, 0.0) for block in bank.strings[number]
            ]
    if dies is not None:
        bank.alive[dies] = False
    return shortest


def discharge(bank, steps):
    """
    Carry the bank through the day.

    A step has seconds, motor watts, net thrust, needed volts, inflow, the motor as wet as it
    is, and what its gusts ask for. Where a string dies the rest of the step begins anew.
    """
    drawn = off = 0.0
    for step in steps:
        left, first = step.seconds, None
        while left > NO_MORE_S and any(bank.alive):
            now = settle(bank, step)
            if boards_open(bank, now.amps):
                continue
            first = first or now
            took = live(bank, now.amps, left)
            drawn += now.total * took / 3600.0
            left -= took
        missed = left if left > NO_MORE_S else 0.0
        if first is None:
            off += step.seconds if step.thrust > 0.0 else 0.0
        elif first.thrust < 0.995 * step.thrust:
            off += step.seconds
        elif step.thrust > 0.0:
            off += missed or step.seconds * gusts_beyond(bank, step, first.emf, first.inner)
    return SimpleNamespace(soc=bank_soc(bank), drawn=drawn, off=off)


def bank_soc(bank):
    """The weakest block of each string, strings weighted by capacity."""
    weights = [min(block.capacity for block in string) for string in bank.strings]
    socs = [
        min(availability(block) for block in string) if alive else 0.0
        for string, alive in zip(bank.strings, bank.alive, strict=True)
    ]
    pairs = zip(weights, socs, strict=True)
    return sum(weight * soc for weight, soc in pairs) / sum(weights)
