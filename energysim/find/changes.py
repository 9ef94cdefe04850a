"""
The changes of a scenario each question tries, as paths and new values.

Depends on: scenario, catalogue, build, physics, errors, clock.
"""

from __future__ import annotations

from math import sqrt
from typing import TYPE_CHECKING, Any

from energysim.build.block import SECONDS_PER_HOUR, build_block
from energysim.build.wells import build_discharge, with_implied
from energysim.clock import clock_after, seconds_between
from energysim.physics.discharge import RESERVE_CURRENT_A
from energysim.scenario.timeline import leg_times
from energysim.scenario.wind_files import read_wind_file

if TYPE_CHECKING:
    from energysim.scenario.load import LoadedScenario

    Changes = dict[str, Any]


def hold_for(loaded: LoadedScenario, leg: int, length_s: float) -> Changes:
    """
    Return the changes that give a leg another length; later ones keep theirs and their gaps.

    Parameters
    ----------
    loaded : LoadedScenario
        The day.
    leg : int
        Which, from 0.
    length_s : float
        How long it is to be. [s]
    """
    times = leg_times(loaded.scenario.day, loaded.scenario.legs)
    later_s = length_s - seconds_between(times[leg].start, times[leg].end)
    changes: Changes = {
        f"leg[{leg + 1}].until": None,
        f"leg[{leg + 1}].for": _text(length_s, "s"),
    }
    for number, (start, end) in enumerate(times[leg + 1 :], start=leg + 1):
        row = f"leg[{number + 1}]"
        gap = seconds_between(times[number - 1].end, start)
        moved = f"{clock_after(start, later_s):%Y-%m-%d %H:%M:%S%z}" if gap > 0.0 else None
        changes |= {
            f"{row}.start": moved,
            f"{row}.until": None,
            f"{row}.for": _text(seconds_between(start, end), "s"),
        }
    return changes


def wind_times(loaded: LoadedScenario, factor: float) -> Changes:
    """Return the changes that make the wind of every hour, and its gusts, so much stronger."""
    wind = loaded.scenario.wind

    def speeds(speed_mps: float, gust_mps: float | None) -> Changes:
        row = {"speed": _text(factor * speed_mps, "m/s")}
        if gust_mps is not None:
            row["gust"] = _text(factor * gust_mps, "m/s")
        return row

    if wind.file is not None:
        record = read_wind_file(
            loaded.folder / wind.file, timezone=loaded.scenario.day.timezone
        )
        rows = [
            {"at": f"{at:%Y-%m-%d %H:%M:%S%z}", "from": _text(bearing, "deg")}
            | speeds(speed, gust)
            for at, speed, bearing, gust in zip(*record, strict=True)
        ]
        return {"wind.file": None, "wind.hour": rows}
    if wind.hours:
        return {
            f"wind.hour[{place}].{key}": value
            for place, hour in enumerate(wind.hours, start=1)
            for key, value in speeds(hour.speed_mps, hour.gust_mps).items()
        }
    return {
        f"wind.{key}": value
        for key, value in speeds(wind.speed_mps or 0.0, wind.gust_mps).items()
    }


def strongest_wind_mps(loaded: LoadedScenario) -> float:
    """Return the strongest mean wind of the forecast."""
    wind = loaded.scenario.wind
    if wind.file is not None:
        path = loaded.folder / wind.file
        return max(read_wind_file(path, timezone=loaded.scenario.day.timezone).speed_mps)
    return max((hour.speed_mps for hour in wind.hours), default=wind.speed_mps or 0.0)


def stream_times(loaded: LoadedScenario, factor: float) -> Changes:
    """Return the change that makes the stream so much faster."""
    stream = loaded.scenario.stream
    return {"stream.scale": factor * (1.0 if stream is None else stream.scale)}


def capacity_times(loaded: LoadedScenario, factor: float) -> Changes:
    """
    Return the changes that make every block so much larger, with the same cells in it.

    What a block gives in a given time, its acceptance and its mass grow in proportion, its
    resistance falls. A reserve, and what is taken for one, is written as a rating, which grows
    as the others do; minutes at 25 A would not.
    """
    bank = loaded.scenario.bank
    block = build_block(bank)
    ratings = [
        _rating(one.time_s / SECONDS_PER_HOUR, factor * one.capacity_ah) for one in bank.ratings
    ]
    discharge = build_discharge(bank, block)
    reserve_counts = (
        block.reserve_min is not None
        and not block.is_lithium
        and block.capacity_ah / block.rated_time_h < RESERVE_CURRENT_A
    )
    if reserve_counts and block.reserve_min is not None and bank.peukert_exponent is None:
        hours = block.reserve_min / 60.0
        ratings.append(_rating(hours, factor * RESERVE_CURRENT_A * hours))
    elif not ratings:
        hours, charge_ah = (float(pair[1]) for pair in with_implied(block, discharge.exponent))
        ratings.append(_rating(hours, factor * charge_ah))
    changes: Changes = {
        "bank.battery": None,
        "bank.reserve": None,
        "bank.chemistry": block.chemistry.key,
        "bank.capacity": _text(factor * block.capacity_ah, "Ah"),
        "bank.rated_time": _text(block.rated_time_h, "h"),
        "bank.block_voltage": _text(block.voltage_v, "V"),
        "bank.block_mass": _text(factor * block.mass_kg, "kg"),
        "bank.rating": ratings,
    }
    if bank.resistance_ohm is not None:
        changes["bank.resistance"] = _text(bank.resistance_ohm / factor, "ohm")
    for place, row in enumerate(bank.blocks, start=1):
        if row.resistance_ohm is not None:
            ohm = _text(row.resistance_ohm / factor, "ohm")
            changes[f"bank.block[{place}].resistance"] = ohm
    return changes


def thrust_times(loaded: LoadedScenario, factor: float) -> Changes:
    """
    Return the changes that make a motor of another class: thrust and currents in proportion.

    A propeller that is given grows in area with the thrust, so that it is loaded as before; a
    breaker grows with the current. Voltage, mass and idle current stay.
    """
    motor = loaded.scenario.motor
    changes: Changes = {}
    for key, value, unit in (
        ("thrust", motor.thrust_n, "N"),
        ("max_current", motor.max_current_a, "A"),
        ("current_limit", motor.current_limit_a, "A"),
    ):
        if value is not None:
            changes[f"motor.{key}"] = _text(factor * value, unit)
    if motor.propeller_diameter_m is not None:
        wider = sqrt(factor) * motor.propeller_diameter_m
        changes["motor.propeller_diameter"] = _text(wider, "m")
    for place, point in enumerate(motor.bench, start=1):
        changes[f"motor.bench[{place}].thrust"] = _text(factor * point.thrust_n, "N")
        changes[f"motor.bench[{place}].current"] = _text(factor * point.current_a, "A")
    return changes


def _rating(time_h: float, capacity_ah: float) -> Changes:
    """Return one more line of a label."""
    return {"time": _text(time_h, "h"), "capacity": _text(capacity_ah, "Ah")}


def _text(value: float, unit: str) -> str:
    """Spell a quantity as a scenario does, without losing any of it."""
    return f"{value:.12f} {unit}"
