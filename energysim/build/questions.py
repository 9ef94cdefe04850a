"""
What the laws of holding are asked: the steps of several days that one law answers at once.

A law takes points that stand side by side; which day or leg a point belongs to it need not
know. So the days that are built together ask each law once.

Depends on: scenario, catalogue, physics, plan, build.timeline.
"""

from __future__ import annotations

from dataclasses import fields, is_dataclass, replace
from typing import TYPE_CHECKING, Any, Final, NamedTuple

import numpy as np

from energysim.catalogue import drift_table
from energysim.physics.station import Boat, Chop
from energysim.physics.wave_drift import drift_forces

if TYPE_CHECKING:
    from collections.abc import Callable, Iterable, Iterator, Sequence

    from numpy.typing import NDArray

    from energysim.build.timeline import Timeline
    from energysim.plan import Surroundings
    from energysim.scenario.leg import Leg
    from energysim.scenario.model import Scenario

    Array = NDArray[np.float64]

VERBS: Final = ("hold", "creep", "drift")
"""What a leg can ask of the bow motor."""


class Afloat(NamedTuple):
    """One day on the water: all that its loads are worked out from."""

    scenario: Scenario
    timeline: Timeline
    surroundings: Surroundings
    boat: Boat


class Kind(NamedTuple):
    """What tells points apart for the laws; points of one kind are answered at once."""

    verb: str
    over: str
    insists: bool  # on a heading
    hull: str  # the boats may differ in size, not in type: a type has its own tables
    chop: bool
    depth_m: float | None  # of the water; None where it is deep


class Stretch(NamedTuple):
    """The steps of one day that are of one kind."""

    day: int
    chosen: NDArray[np.intp]  # steps
    few: NDArray[np.intp]  # places in `chosen` that are worked out
    there: NDArray[np.intp]  # the steps at those places


def stretches(days: Sequence[Afloat], *, every_s: float) -> dict[Kind, list[Stretch]]:
    """
    Sort the steps in which the bow motor is in use by what their law must be asked.

    Parameters
    ----------
    days : sequence of Afloat
        The days that are built together.
    every_s : float
        Time between the steps that are worked out. [s]

    Returns
    -------
    dict
        For each kind the stretches of all days, a day's legs of that kind in one stretch.
    """
    sorted_out: dict[Kind, list[Stretch]] = {}
    for number, day in enumerate(days):
        timeline = day.timeline
        for kind, chosen in kinds_of(day):
            few = every(timeline.edges_s[chosen], timeline.leg_of_step[chosen], every_s)
            there = chosen[few]
            chop = bool(day.surroundings.wave_height_m[there].any())
            own = kind._replace(chop=kind.chop and chop)
            sorted_out.setdefault(own, []).append(Stretch(number, chosen, few, there))
    return sorted_out


def kinds_of(day: Afloat) -> Iterator[tuple[Kind, NDArray[np.intp]]]:
    """Yield each kind of leg a day has under the bow motor, and its steps."""
    scenario, timeline, _, _ = day
    legs = [_of_leg(leg) for leg in scenario.legs]
    for own in dict.fromkeys(own for own in legs if own is not None):
        of_kind = np.array([*(leg == own for leg in legs), False])
        chosen = np.flatnonzero(of_kind[timeline.leg_of_step])
        if chosen.size:
            yield (
                Kind(
                    *own,
                    hull=scenario.boat.hull,
                    chop=scenario.chop is not None,
                    depth_m=None if scenario.chop is None else scenario.chop.depth_m,
                ),
                chosen,
            )


def _of_leg(leg: Leg) -> tuple[str, str, bool] | None:
    """Return what tells legs of one day apart; None where the bow motor is not in use."""
    return (leg.do, leg.over, leg.heading is not None) if leg.do in VERBS else None


def every(start_s: Array, leg_of_step: NDArray[np.intp], interval_s: float) -> NDArray[np.intp]:
    """Return steps so far apart, with the first and last of every leg among them."""
    marks = np.floor(start_s / interval_s)
    turns = np.flatnonzero((np.diff(marks) != 0) | (np.diff(leg_of_step) != 0))
    legs = np.flatnonzero(np.diff(leg_of_step))
    ends = np.array([0, start_s.size - 1])
    return np.array(sorted({*turns + 1, *legs, *ends}), dtype=np.intp)


def legs_begin(some: Sequence[Stretch], days: Sequence[Afloat]) -> NDArray[np.bool_]:
    """Return the points at which a boat begins anew: a leg's first, and so a day's."""
    return _laid(
        np.append(True, np.diff(days[one.day].timeline.leg_of_step[one.there]) != 0)
        for one in some
    )


def asks(kind: Kind, some: Sequence[Stretch], days: Sequence[Afloat]) -> dict[str, Any]:
    """
    Return what the law of a kind asks for at the points, besides the wind's strength.

    Where the surroundings are known for many members, (steps, members), so are the answers:
    what is the same for all of them is (points, 1).

    Parameters
    ----------
    kind : Kind
        Of the points.
    some : sequence of Stretch
        The points, stretch after stretch.
    days : sequence of Afloat
        The days they belong to.

    Returns
    -------
    dict
        Keyword arguments of the law; every array is (points,), and so are those numbers of
        the boat in which the days differ.
    """

    def around(name: str) -> Array:
        return _laid(getattr(days[one.day].surroundings, name)[one.there] for one in some)

    def of_the_leg(number: Callable[[Leg], float | None]) -> Array:
        values = ([number(leg) or 0.0 for leg in days[one.day].scenario.legs] for one in some)
        rows = _laid(
            np.array(own)[days[one.day].timeline.leg_of_step[one.there]]
            for one, own in zip(some, values, strict=True)
        )
        return _beside_members(rows, around("wind_mps").ndim)

    boat: Boat = _side_by_side(
        [days[one.day].boat for one in some], counts=[one.there.size for one in some]
    )
    given: dict[str, Any] = {
        "wind_from_deg": around("wind_from_deg"),
        "stream_mps": around("stream_mps"),
        "stream_toward_deg": around("stream_toward_deg"),
        "boat": boat,
        "depth_m": kind.depth_m,
        "chop": _chop(kind, around, boat) if kind.chop else None,
    }
    if kind.verb == "creep":
        given["course_deg"] = of_the_leg(lambda leg: leg.course_deg)
        given["speed_mps"] = of_the_leg(lambda leg: leg.speed_mps)
        given["over_ground"] = kind.over == "ground"
    elif kind.verb == "drift":
        given["drift_speed_mps"] = of_the_leg(lambda leg: leg.drift_speed_mps)
    elif kind.insists:
        given["heading_deg"] = _laid(_given_heading(one, days[one.day]) for one in some)
    return given


def _beside_members(rows: Array, axes: int) -> Array:
    """Return one number a point so that it broadcasts against members, if there are any."""
    return rows.reshape(-1, *(1,) * (axes - 1))


def _laid(rows: Iterable[NDArray[Any]]) -> NDArray[Any]:
    """Lay the rows of the stretches one after the other."""
    return np.concatenate(list(rows))


def _side_by_side(values: Sequence[Any], *, counts: Sequence[int]) -> Any:
    """Return one record for the points of all; what differs becomes an array (points,)."""
    first = values[0]
    if is_dataclass(first) and not isinstance(first, type):
        parts = {
            field.name: _side_by_side(
                [getattr(one, field.name) for one in values], counts=counts
            )
            for field in fields(first)
        }
        return replace(first, **parts)
    if all(np.array_equal(first, other) for other in values[1:]):
        return first
    return np.repeat(np.array(values, dtype=np.float64), counts)


def _chop(kind: Kind, around: Callable[[str], Array], boat: Boat) -> Chop:
    """Return the push of the chop at the points."""
    height = around("wave_height_m")
    forces = drift_forces(
        height,
        wavelength_m=np.where(height > 0.0, around("wave_length_m"), 1.0),
        length_m=boat.hull.length_wl_m,
        beam_m=boat.hull.beam_wl_m,
        water_density_kgpm3=boat.water_density_kgpm3,
        table=drift_table(kind.hull),
    )
    return Chop(from_deg=around("wave_from_deg"), forces=forces)


def _given_heading(one: Stretch, day: Afloat) -> Array:
    """Return the heading each leg insists on, at each point."""
    around = day.surroundings
    into = {
        "wind": around.wind_from_deg[one.there],
        "stream": np.mod(around.stream_toward_deg[one.there] + 180.0, 360.0),
    }
    leg_of_step = day.timeline.leg_of_step[one.there]
    heading = np.zeros(around.wind_from_deg[one.there].shape)
    for number in set(leg_of_step.tolist()):
        given = day.scenario.legs[number].heading
        here = leg_of_step == number
        heading[here] = into[given][here] if isinstance(given, str) else given
    return heading
