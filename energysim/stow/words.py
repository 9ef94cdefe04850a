"""
What the search of the lockers came to, in plain words.

Sizes that are missing are rounded up: a locker made larger by the figure shown is large enough.

Depends on: results.stow, scenario.locker, unit_format.
"""

import math
from collections import Counter
from collections.abc import Sequence
from typing import Final

from energysim.results.stow import StowOpening, StowPlace, StowRemedy
from energysim.scenario.locker import Locker
from energysim.unit_format import System, format_quantity

MEASURE: Final = (
    "A planning estimate from outside sizes: measure the locker, and the case with its lid, "
    "posts, straps and cables, before buying."
)
ONLY_JUST: Final = (
    "Only just: with each case 2 mm larger the search finds no arrangement, and cases of one "
    "group differ by about that much.",
)
_EDGES: Final = (
    ("height_m", "high", "low"),
    ("length_m", "long", "short"),
    ("width_m", "wide", "narrow"),
)


def headline(
    verdict: str,
    *,
    remedies: Sequence[StowRemedy],
    remedies_proved: bool,
    openings: Sequence[StowOpening],
    several: bool,
    system: System,
) -> str:
    """Say the answer in a few words, with the least that is missing."""
    if verdict != "does not fit":
        return verdict
    if openings:
        least = min(openings, key=lambda one: max(one.length_m, one.width_m))
        place = f"{least.locker}: " if several else ""
        return f"{place}opening {_more(max(least.length_m, least.width_m), system)} too small"
    if remedies:
        best = min(remedies, key=lambda one: one.length_m + one.width_m + one.height_m)
        place = f"{best.locker}: " if several else ""
        most = "" if remedies_proved else "up to "
        lacks = [
            f"{most}{_more(getattr(best, edge), system)} too {little}"
            for edge, _, little in _EDGES
            if getattr(best, edge)
        ]
        return place + " and ".join(lacks)
    return "does not fit"


def missing(
    verdict: str,
    *,
    total: int,
    most: int,
    most_proved: bool,
    remedies: Sequence[StowRemedy],
    remedies_proved: bool,
    past_openings: bool,
    openings: Sequence[StowOpening],
    system: System,
) -> tuple[str, ...]:
    """Say what would have to be larger, a line each."""
    count = f"{most}" if most_proved else f"at least {most}"
    lines = [f"{count} of {total} go in."]
    if verdict == "not decided":
        lines = [
            f"not decided: the search was cut short; {count} of {total} go in.",
        ]
    lines += [
        f"{one.block} does not go through the opening of {one.locker}: it lacks "
        + " and ".join(
            f"{_more_both(size_m, system)} {way}"
            for size_m, way in ((one.length_m, "one way"), (one.width_m, "the other way"))
            if size_m
        )
        + "."
        for one in openings
    ]
    through = " (through an opening large enough)" if past_openings else ""
    least = "" if remedies_proved else "; less may do, the search was cut short"
    lines += [
        f"All go in if {one.locker} is "
        + " and ".join(
            f"{_more_both(getattr(one, edge), system)} {_comparative(large)}"
            for edge, large, _ in _EDGES
            if getattr(one, edge)
        )
        + f"{through}{least}."
        for one in remedies
    ]
    if not remedies and not openings:
        lines.append("No single edge of a locker made larger lets all of them in.")
    return tuple(lines)


def arrangement(places: Sequence[StowPlace], system: System) -> tuple[str, ...]:
    """Tell a person with a tape where each block goes."""
    lines: list[str] = []
    for locker in dict.fromkeys(place.locker for place in places):
        here = [place for place in places if place.locker == locker]
        kinds = Counter(f"{place.block} {place.pose}" for place in here)
        lines.append(f"{locker}: " + ", ".join(f"{n} x {kind}" for kind, n in kinds.items()))
        lines += [
            f"  {place.block}: {_at(place.from_end_m, system)} from the end, "
            f"{_at(place.from_side_m, system)} from the side; takes "
            f"{_at(place.takes_length_m, system)} along, "
            f"{_at(place.takes_width_m, system)} across"
            for place in here
        ]
    return tuple(lines)


def rules(lockers: Sequence[Locker], system: System) -> tuple[str, ...]:
    """State what was searched, and the clearances that were kept."""
    lines = [
        "One layer, edges along the walls, either way round; 'does not fit' is said only after "
        "every arrangement within these rules was ruled out.",
        "Upright; lying only where chemistry or maker allows, then with the gap past the "
        "terminals kept along the floor.",
    ]
    if any(one.hatch_length_m is not None for one in lockers):
        lines.append(
            "Through the opening square on: upright, or tilted where the case may be tipped; "
            "room inside to stand it up again is not looked at."
        )
    for one in lockers:
        opening = "the whole top opens"
        if one.hatch_length_m is not None and one.hatch_width_m is not None:
            size = f"{_given(one.hatch_length_m, system)} x {_given(one.hatch_width_m, system)}"
            free = _given(one.hatch_gap_m, system)
            opening = f"opening in the {one.hatch_in} {size}, less {free} a side"
        box = f", box {_given(one.box_wall_m, system)}" if one.box_wall_m else ", no boxes"
        lines.append(
            f"{one.name}: kept free {_given(one.wall_gap_m, system)} at walls, "
            f"{_given(one.case_gap_m, system)} between cases, "
            f"{_given(one.terminal_gap_m, system)} past terminals{box}; {opening}."
        )
    return tuple(lines)


def lifting(name: str, mass_kg: float | None, system: System) -> str:
    """Caution about the weight of one block."""
    if mass_kg is None:
        return f"{name}: mass not known; plan on two people to lift it."
    limit = "50 lb" if system == "us" else "23 kg"
    return (
        f"{name}: {format_quantity(mass_kg, 'mass', system=system)} each; above {limit} lift "
        "with two people (NIOSH reference load 51 lb, from memory)."
    )


def lying(name: str, upright: str) -> str:
    """Caution about a case that lies down."""
    return (
        f"{name} lies down here (all upright: {upright}): only with the maker's word for it, "
        "and never upside down."
    )


def tilted(name: str, locker: str) -> str:
    """Caution about a case that goes in tilted."""
    return f"{name} goes through the opening of {locker} only tilted: have the maker's word."


def _comparative(word: str) -> str:
    """Make "higher" of "high", "wider" of "wide"."""
    return f"{word}r" if word.endswith("e") else f"{word}er"


def _at(size_m: float, system: System) -> str:
    """Give a place or a size to the nearest tenth."""
    return f"{size_m / 0.0254:.1f} in" if system == "us" else f"{size_m / 0.01:.1f} cm"


def _given(size_m: float, system: System) -> str:
    """Give back what was typed, to the hundredth."""
    size, unit = (size_m / 0.0254, "in") if system == "us" else (size_m / 0.01, "cm")
    return f"{round(size, 2):g} {unit}"


def _more(size_m: float, system: System) -> str:
    """Round up to the next tenth; a hair of rounding left over does not count."""
    unit_m, unit = (0.0254, "in") if system == "us" else (0.01, "cm")
    return f"{math.ceil(size_m / unit_m * 10.0 - 1e-6) / 10.0:.1f} {unit}"


def _more_both(size_m: float, system: System) -> str:
    """Round up the same way, with centimetres beside inches."""
    if system == "metric":
        return _more(size_m, system)
    return f"{_more(size_m, 'us')} ({_more(size_m, 'metric')})"
