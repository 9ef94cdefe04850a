"""The twin's night at the charger, second by second."""

import math

from .reading import amount


def hours_to_full(bank, charger):
    """Hours from the plug until the slowest block is full; an output to a block."""
    return max(_to_full(bank, charger, block) for string in bank.strings for block in string)


def _to_full(bank, charger, block):
    kind = bank.label.kind
    volts = bank.label.scale * (
        kind["charge_voltage_v"] + kind["charge_voltage_rise_per_degc"] * (bank.warm - 25.0)
    )
    amps = amount(charger["current"], "current")
    if "circuit" in charger:
        outputs = sum(len(string) for string in bank.strings)
        share = amount(charger["circuit"], "power") * charger.get("efficiency", 0.85) / outputs
        amps = min(amps, share / volts)
    takes = kind["charge_acceptance_per_h"] * min(
        1.0, math.exp(kind["acceptance_rise_per_degc"] * (bank.warm - 25.0))
    )
    state, seconds = block.start - block.drawn / block.ledger, 0
    bands = list(
        zip((*kind["charge_band_edges"], 1.0), kind["charge_band_efficiency"], strict=True)
    )
    while state < kind["full_soc"]:
        kept = next(share for edge, share in bands if state < edge)
        state += kept * min(amps / block.ledger, takes * (1.0 - state)) / 3600.0
        seconds += 1
    return seconds / 3600.0
