"""
The bank's day as lines to read: the two laws, the blocks, the house's own bank.

Depends on: results.bank, unit_format.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from energysim.unit_format import format_quantity

if TYPE_CHECKING:
    from energysim.results.bank import BankResult, BlockResult, HouseResult, LawResult
    from energysim.unit_format import System

LAW_WORDS = {"kinetic": "the two wells", "peukert": "Peukert's law"}
LEAVES_LESS = {"kinetic": "the two wells leave less", "peukert": "Peukert's law leaves less"}
WARM_K = 3.0  # of a block above the coolest: worth a word
WORTH_AH = 0.05


def law_lines(bank: BankResult) -> list[str]:
    """Return what each law of discharge says of the day, the lower one named."""
    told, other = bank.laws
    words = f"By {LAW_WORDS[told.law]} {_law(told)}, by {LAW_WORDS[other.law]} {_law(other)}"
    if bank.lower_law:
        words += f": {LEAVES_LESS[bank.lower_law]}"
    lines = [words + "."]
    if bank.rate is not None:
        rate = bank.rate
        low, high = (f"{end:.0%}" for end in sorted((rate.slow_end_soc, rate.fast_end_soc)))
        between = f"{low} to {high}" if low != high else f"{low} throughout"
        lines.append(
            f"The pace at which charge comes through inside a block is not on its label: from "
            f"{rate.slow_per_h:.2g} to {rate.fast_per_h:.2g} per hour ({rate.rate_per_h:.2g} "
            f"taken) it is {between}."
        )
    return lines


def _law(law: LawResult) -> str:
    """Tell one law's day in a few words."""
    if law.end_at is not None:
        return f"it gives out at {law.end_at:%H:%M}"
    words = f"{law.end_soc:.0%} at the end"
    if law.limit_reached_at is not None:
        words += f" (your limit at {law.limit_reached_at:%H:%M})"
    return words


def block_lines(bank: BankResult, *, system: System = "us") -> list[str]:
    """Return what is worth saying of single blocks, of warmth, and of what was put in."""
    lines = []
    if bank.supplied_ah >= WORTH_AH:
        lines.append(f"Into it on the way: {bank.supplied_ah:.1f} Ah.")
    if bank.uneven is not None:
        lines += [_block(block, system) for block in bank.blocks]
        lines.append(
            f"The weakest is {bank.uneven.weakest}; with every block like the best the bank "
            f"ends at {bank.uneven.even_end_soc:.0%}."
        )
    if bank.highest_degc - min(block.highest_degc for block in bank.blocks) >= WARM_K:
        warmest = max(bank.blocks, key=lambda block: block.highest_degc)
        lines.append(f"The warmest is {warmest.name}: {_warmth(warmest, system)}.")
    return lines


def _warmth(block: BlockResult, system: System) -> str:
    return format_quantity(block.highest_degc, "temperature", system=system)


def _block(block: BlockResult, system: System) -> str:
    """Tell one kind of block."""
    name = block.name[0].upper() + block.name[1:]
    return (
        f"{name}: {block.soc:.0%} left at that rate, {block.charge:.0%} "
        f"({block.charge_ah:.0f} Ah) by ampere-hours, lowest {block.lowest_voltage_v:.1f} V, "
        f"warmest {_warmth(block, system)}."
    )


def house_lines(house: HouseResult) -> list[str]:
    """Return the day of the house's own bank."""
    words = (
        f"The house's own bank gives {house.drawn_ah:.1f} Ah and ends at {house.end_soc:.0%}"
    )
    if house.end_at is not None:
        return [f"{words}: it gives out at {house.end_at:%H:%M}."]
    if house.limit_reached_at is not None:
        limit = f"{house.limit_soc:.0%}"
        return [f"{words}: below its {limit} limit from {house.limit_reached_at:%H:%M}."]
    return [words + "."]
