"""
The night at the charger and the days of a trip, as lines to read.

Depends on: results.recharge, unit_format, report.in_units.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

from energysim.report.in_units import sentence
from energysim.unit_format import format_quantity

if TYPE_CHECKING:
    from collections.abc import Iterator, Mapping

    from energysim.results.recharge import OutputNight, Recharge, TripDay, TripResult
    from energysim.unit_format import System

USUAL_DEGC: Final = 25.0  # what charge voltages are given for
WORTH_V = 0.2  # a change of charge voltage that is worth a line; some eight degrees


def recharge_lines(night: Recharge, *, system: System = "us") -> list[str]:
    """
    Return the night in a few sentences.

    Parameters
    ----------
    night : Recharge
        The night at the charger.
    system : {"us", "metric"}
        The units printed.
    """
    lines = list(_when(night))
    if night.slowest:
        late = "is full last" if night.full_h is not None else "is never full"
        lines.append(f"{_capital(night.slowest)} {late}.")
    if _unlike(night):
        lines += [_output(output) for output in night.outputs]
    if night.wall_power_w > 0.0:
        cost = ""
        if night.cost is not None:
            cost = f" By {night.ready_by:%H:%M} that costs {night.cost:.2f} {night.currency}."
        lines.append(
            f"From the wall: {night.wall_energy_wh / 1000.0:.2f} kWh to full; "
            f"{night.wall_power_w:.0f} W, {night.apparent_power_va:.0f} VA at the start.{cost}"
        )
    lines.append(f"By {night.ready_by:%H:%M}: {night.soc_when_ready:.0%}.")
    volts, usual_v = night.charge_voltage_v, night.charge_voltage_25_v
    if abs(volts - usual_v) > WORTH_V:
        warmth, usual = (
            format_quantity(degc, "temperature", system=system)
            for degc in (night.temperature_degc, USUAL_DEGC)
        )
        lines.append(
            f"At {warmth} a block wants {volts:.1f} V of the charger, "
            f"not the {usual_v:.1f} V of {usual}: switch its temperature compensation on."
        )
    if night.note:
        lines.append(sentence(night.note, system=system))
    return lines


def trip_lines(trip: TripResult, *, words: Mapping[str, str]) -> list[str]:
    """
    Return the days of a trip, a line each, and what they leave out.

    Parameters
    ----------
    trip : TripResult
        The days.
    words : mapping of str to str
        What each outcome of a day is called.
    """
    lines = [_day(day, trip, words) for day in trip.days]
    if trip.fails_on is None:
        lines.append(f"Every one of the {len(trip.days)} days holds.")
    elif trip.fails_on > 1:
        before = trip.fails_on - 1
        held = "The first day holds" if before == 1 else f"The first {before} days hold"
        lines.append(f"{held}; day {trip.fails_on} does not.")
    lines.append(_capital(trip.note) + ".")
    return lines


def _when(night: Recharge) -> Iterator[str]:
    """Say when the bank is full, where it ever is."""
    if night.full_h is None or night.full_at is None:
        return
    marks = (("80%", night.to_80_h), ("95%", night.to_95_h))
    steps = "".join(f"{mark} after {hours:.1f} h, " for mark, hours in marks if hours)
    amps = f"{night.output_current_a:.1f} A an output"
    if _unlike(night):
        amps = f"{len(night.outputs)} outputs"
    yield (
        f"Plugged in at {night.plugged_in_at:%H:%M}, {amps}: {steps}full "
        f"({100 * night.full_soc:g}%) after {night.full_h:.1f} h, at {night.full_at:%H:%M}."
    )


def _unlike(night: Recharge) -> bool:
    """Say whether outputs or their blocks differ by what can be read off a page."""
    first = night.outputs[0]
    return any(
        abs(output.current_a - first.current_a) > 0.05
        or abs(output.soc_when_ready - first.soc_when_ready) > 0.005
        or abs((output.full_h or 0.0) - (first.full_h or 0.0)) > 0.05
        for output in night.outputs
    )


def _output(output: OutputNight) -> str:
    """Tell one output."""
    amps = f"{output.current_a:.1f} A"
    if output.current_a < output.rated_current_a - 0.05:
        amps += f" of its {output.rated_current_a:g} A"
    full = "never full" if output.full_h is None else f"full after {output.full_h:.1f} h"
    return (
        f"{_capital(output.blocks)}: {amps}, {full}, {output.soc_when_ready:.0%} when it is "
        "wanted."
    )


def _day(day: TripDay, trip: TripResult, words: Mapping[str, str]) -> str:
    """Tell one day of a trip."""
    text = (
        f"Day {day.day}: starts at {day.start_charge:.0%} by ampere-hours, ends at "
        f"{day.end_charge:.0%} ({day.end_soc:.0%} at the rate you draw): {words[day.outcome]}"
    )
    if day.day == len(trip.days):
        return text + "."
    text += "; full again" if day.full_by_morning else f"; {day.morning_charge:.0%} by morning"
    if day.next_start_charge < day.morning_charge - 0.005:
        text += f", {day.next_start_charge:.0%} after the time ashore"
    return text + "."


def _capital(text: str) -> str:
    """Begin with a capital."""
    return text[:1].upper() + text[1:]
