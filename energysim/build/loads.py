"""
What each leg asks of the bow motor: at the mean wind, in its gusts, and in the worst one.

Depends on: physics, build.gusts, build.questions.
"""

from __future__ import annotations

from dataclasses import dataclass, fields
from typing import TYPE_CHECKING, Any, Final, NamedTuple

import numpy as np

from energysim.build.gusts import gusty_winds
from energysim.build.questions import VERBS, asks, legs_begin, stretches
from energysim.physics.drift_gust import drift_in_gust_load
from energysim.physics.station import Load, creep_load, drift_load, hold_load

if TYPE_CHECKING:
    from collections.abc import Callable, Sequence

    from numpy.typing import NDArray

    from energysim.build.questions import Afloat, Stretch
    from energysim.build.timeline import Timeline

    Array = NDArray[np.float64]

LOADS_EVERY_S: Final = 300.0
"""
Time between the steps at which loads are worked out; between them thrust is read along straight
lines, because wind and stream change over hours (ours; tested against every step). [s]
"""

STEADY_BETWEEN: Final = {
    "heading_deg", "thrust_off_bow_deg", "course_deg", "steady_headings", "swung", "astern",
}  # fmt: skip
"""Parts of a load that may jump, and so are not read between steps."""

MEAN: Final = 0
"""Row of the mean wind among the winds of a day; those of its gusts follow."""

LAWS: dict[str, Callable[..., Load]] = {
    "hold": hold_load,
    "creep": creep_load,
    "drift": drift_load,
}


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class LegLoads:
    """The loads of a day. Arrays (steps,) unless said; zero where the motor is not in use."""

    load: Load  # at the mean wind
    node_thrust_n: Array  # (nodes, steps), at the winds of the gusty step
    node_inflow_mps: Array  # (nodes, steps)
    node_share: Array  # (nodes,)
    node_deviation: Array  # (nodes,)
    gust_thrust_n: Array
    gust_inflow_mps: Array
    duty: Array  # least share of the time the motor runs


def motor_in_use(timeline: Timeline) -> NDArray[np.bool_]:
    """Return the steps in which the bow motor is down and switched on."""
    verbs = [leg.verb in VERBS for leg in timeline.legs]
    return np.array([*verbs, False])[timeline.leg_of_step]


def build_loads(days: Sequence[Afloat]) -> list[LegLoads]:
    """
    Return each day's loads, at the mean wind, at the winds of its gusts, and at the worst.

    All legs of one kind, of all days, go through the laws at once. A held boat follows its
    steady heading from step to step within a leg; each leg begins with the bow to the stream.
    In a gust it turns to the heading of that wind nearest the one it lay on (held to a dynamic
    model of the boat in tests/dynamic: at the heading of the mean wind the power would be a
    quarter out).

    Returns
    -------
    list of LegLoads
        One a day, the same to rounding as if the day were built alone.
    """
    works = [_begun(day) for day in days]
    for kind, some in stretches(days, every_s=LOADS_EVERY_S).items():
        law, given = LAWS[kind.verb], asks(kind, some, days)
        free = kind.verb != "creep" and not kind.insists
        fresh = {"fresh": legs_begin(some, days)} if free else {}
        winds = np.concatenate([works[one.day].winds_mps[:, one.there] for one in some], axis=1)
        mean = law(winds[MEAN], **given, **fresh)
        gusty = in_gusts(law, winds[MEAN + 1 :], mean, given, free=free)
        end = 0
        for one in some:
            begin, end = end, end + one.there.size
            work, when = works[one.day], days[one.day].timeline.middles_s[one.chosen]
            _spread(mean, slice(begin, end), work.load, one, when_s=when)
            for known, out in (
                (gusty.thrust_n, work.thrust_n),
                (gusty.inflow_mps, work.inflow_mps),
            ):
                out[:, one.chosen] = _between(known[:, begin:end], one.few, when_s=when)
    return [_of_day(day, work) for day, work in zip(days, works, strict=True)]


class _Work(NamedTuple):
    """The loads of one day while they are filled in."""

    winds_mps: Array  # (1 + nodes + 1, steps): the mean, those of the gusts, the forecast gust
    node_share: Array  # (nodes,)
    node_deviation: Array  # (nodes,)
    load: Load  # at the mean wind
    thrust_n: Array  # (nodes + 1, steps), at all winds but the first
    inflow_mps: Array  # (nodes + 1, steps)


def _begun(day: Afloat) -> _Work:
    """Return a day in which the bow motor does nothing, to be filled in."""
    around = day.surroundings
    nodes, share, deviation = gusty_winds(around.wind_mps, around.gust_intensity)
    winds = np.concatenate([around.wind_mps[None], nodes, around.gust_mps[None]])
    flags = {"swung", "astern"}
    idle: dict[str, Any] = {
        field.name: np.zeros(winds.shape[1:], dtype=bool if field.name in flags else float)
        for field in fields(Load)
    }
    thrust, inflow = np.zeros(winds[1:].shape), np.zeros(winds[1:].shape)
    return _Work(winds, share, deviation, Load(**idle), thrust, inflow)


def _of_day(day: Afloat, work: _Work) -> LegLoads:
    """Return the day's loads, all of them filled in."""
    duties = [leg.duty if leg.style == "burst" else 1.0 for leg in day.scenario.legs]
    return LegLoads(
        load=work.load,
        node_thrust_n=work.thrust_n[:-1],
        node_inflow_mps=work.inflow_mps[:-1],
        node_share=work.node_share,
        node_deviation=work.node_deviation,
        gust_thrust_n=work.thrust_n[-1],
        gust_inflow_mps=work.inflow_mps[-1],
        duty=np.array([*duties, 1.0])[day.timeline.leg_of_step],
    )


def in_gusts(
    law: Callable[..., Load], winds: Array, mean: Load, given: dict[str, Any], *, free: bool
) -> Load:
    """Return the load at the winds of the gusts, the boat turned with them."""
    if law is drift_load:
        around = {key: value for key, value in given.items() if key != "drift_speed_mps"}
        return drift_in_gust_load(winds, **around, settled=mean)
    return law(winds, **given, **({"near_deg": mean.heading_deg} if free else {}))


def _spread(known: Load, own: slice, load: Load, stretch: Stretch, *, when_s: Array) -> None:
    """Write loads known at a few steps into every step: numbers between, the rest as before."""
    chosen, few = stretch.chosen, stretch.few
    before = np.searchsorted(few, np.arange(chosen.size), side="right") - 1
    for field in fields(Load):
        row = getattr(known, field.name)[own]
        jumps = field.name in STEADY_BETWEEN
        values = row[before] if jumps else np.interp(when_s, when_s[few], row)
        getattr(load, field.name)[chosen] = values
    # A swing happens once, at the step it was found at.
    swung = np.zeros(chosen.shape, dtype=bool)
    swung[few] = known.swung[own]
    load.swung[chosen] = swung


def _between(values: Array, few: NDArray[np.intp], *, when_s: Array) -> Array:
    """Read each row at every step, straight in time between the few it is known at."""
    return np.stack([np.interp(when_s, when_s[few], row) for row in values])
