"""
The leads between bank and motor as one resistance.

Depends on: scenario, physics.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

from energysim.physics.cable import STRANDED, awg_area_m2, feed_resistance_ohm

if TYPE_CHECKING:
    from energysim.scenario.model import Scenario

USUAL_CABLE: Final = ("6 AWG", 6, 6.1)  # common practice: console to bow on a small open boat


def leads_ohm(scenario: Scenario) -> tuple[float, tuple[str, ...]]:
    """Return the resistance of leads and contacts in ohm, and what was assumed of them."""
    table = scenario.cable
    if table is not None and table.resistance_ohm is not None:
        return table.resistance_ohm + table.contact_resistance_ohm, ()
    notes: tuple[str, ...] = ()
    if table is None or table.length_m is None or table.gauge is None:
        name, awg, length = USUAL_CABLE
        area, contacts = float(awg_area_m2(awg)), 0.002
        notes = (
            f"{name} leads over {length:g} m (20 ft), and 2 mohm of contacts (common practice)",
        )
    else:
        gauge, length = table.gauge, table.length_m
        contacts = table.contact_resistance_ohm
        area = (
            gauge.area_m2 if gauge.area_m2 is not None else float(awg_area_m2(gauge.awg or 0))
        )
    ohm = feed_resistance_ohm(
        length,
        area_m2=area,
        temperature_degc=scenario.day.air_temperature_degc,
        lay_factor=STRANDED,
        contact_resistance_ohm=contacts,
    )
    return float(ohm), notes
