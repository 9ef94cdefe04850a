"""
The leads: do they carry the current, and do they lose little enough on the way.

Depends on: rig.facts, rig.laid, rig.line, conductors, physics.
"""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING, Final

import numpy as np

from energysim.conductors import conductors
from energysim.physics.conductor import required_size
from energysim.results.rig import CAUTION, LOOK_AGAIN, PASS, Figure, RigCheck
from energysim.rig import sources
from energysim.rig.laid import CLASSES, drop_energy_wh, lay, leads_ohm
from energysim.rig.line import amperes, at_best, both_lengths, volts, words

if TYPE_CHECKING:
    from energysim.rig.facts import RigFacts
    from energysim.rig.laid import Laid

GROUP: Final = "The leads"
OUTER_CLASS: Final = 0.10
BEST_INSULATION_DEGC: Final = 105.0
TINNING_NOT_TOLD: Final = "tinned or bare not told: tinned taken, 4 % more resistance"


def check_leads(facts: RigFacts, laid: Laid) -> list[RigCheck]:
    """Return the checks of the leads."""
    return [
        _ampacity(facts, laid),
        _size(facts, laid),
        *_drops(facts, laid),
        _kind(facts),
    ]


def _not_given(facts: RigFacts) -> tuple[str, ...]:
    if facts.leads.given:
        return ()
    return (f"no [cable]: {facts.leads.size} over {both_lengths(_length_m(facts))} taken",)


def _length_m(facts: RigFacts) -> float:
    return facts.leads.length_m or 0.0


def _ampacity(facts: RigFacts, laid: Laid) -> RigCheck:
    """Compare the load with what the size there is may carry."""
    unknown = (*_not_given(facts), *laid.unknown)
    laid_as = (
        f"{laid.insulation_degc:g} degC insulation, {laid.conductor_count} conductors together"
        if laid.conductor_count > 1
        else f"{laid.insulation_degc:g} degC insulation, alone in free air"
    )
    if laid.in_engine_space:
        laid_as += ", through an engine space"
    limit = None if laid.ampacity_a is None else amperes(laid.ampacity_a)
    if laid.ampacity_a is None:
        verdict, why = LOOK_AGAIN, "The size of the cable is not told, only its resistance."
        unknown = ("size not told: what it may carry is not known", *laid.unknown)
    elif facts.leads.place == -1:
        verdict, why = CAUTION, f"{facts.leads.size} is thinner than 16 AWG, the least of all."
    else:
        counted = conductors().name[facts.leads.place or 0]
        why = f"{facts.leads.size}, {laid_as}."
        if counted != facts.leads.size:
            why = f"{facts.leads.size} counts as {counted}, the next listed below; {laid_as}."
        if facts.wiring.insulation_degc is None:
            why += f" Marked {BEST_INSULATION_DEGC:g} degC it may carry {_best_a(facts):.0f} A."
        if laid.ampacity_a == 0.0:
            why += " The tables allow that insulation nothing there."
        enough = facts.load_a <= laid.ampacity_a * (1.0 + 1e-12)
        verdict = PASS if enough else CAUTION
        if not facts.leads.given:
            verdict = at_best(verdict, LOOK_AGAIN)
    return RigCheck(
        key="cable_ampacity",
        group=GROUP,
        name="Current the cable may carry",
        number=amperes(facts.load_a),
        bound="at most",
        limit=limit,
        verdict=verdict,
        why=why,
        unknown=unknown,
        source=sources.AMPACITY,
    )


def _best_a(facts: RigFacts) -> float:
    """Return what the cable might carry as it lies if its jacket says the most."""
    best = facts.wiring.model_copy(update={"insulation_degc": BEST_INSULATION_DEGC})
    return lay(replace(facts, wiring=best)).ampacity_a or 0.0


def _size_figure(place: int) -> Figure:
    """Return a listed size, or say that the list ends before it."""
    table = conductors()
    if place >= len(table.name):
        return words(f"more than {table.name[-1]}")
    return Figure(
        value=float(table.least_area_m2[place]), dimension="area", words=table.name[place]
    )


def _size(facts: RigFacts, laid: Laid) -> RigCheck:
    """Compare the size there is with the larger of the sizes by drop and by current."""
    leads, table = facts.leads, conductors()
    unknown = list(_not_given(facts))
    if facts.wiring.drop_class is None:
        unknown.append("drop class not told: 3 % taken")
    unknown += laid.unknown
    if leads.length_m is None or leads.place is None:
        carries = int(np.sum(laid.size_ampacity_a < facts.load_a))
        return RigCheck(
            key="cable_size",
            group=GROUP,
            name="Cable size",
            number=None,
            bound="at least",
            limit=_size_figure(carries),
            verdict=LOOK_AGAIN,
            why="By the current alone; by the drop the length would have to be known.",
            unknown=("size and length not told, only the resistance", *laid.unknown),
            source=sources.SIZE,
        )
    classes = np.array([laid.drop_class, *CLASSES.values()])
    wanted = required_size(
        facts.load_a,
        round_trip_m=2.0 * leads.length_m,
        allowed_drop_v=classes * facts.motor_voltage_v,
        size_ampacity_a=laid.size_ampacity_a,
        conductors=table,
    )
    needed = int(wanted.size[0])
    rules = "the drop rules" if wanted.ruled_by_drop[0] else "the current rules"
    if wanted.by_drop[0] == wanted.by_ampacity[0]:
        rules = "both ask for the same"
    by_drop, by_current = (
        _size_figure(int(place[0])).words for place in (wanted.by_drop, wanted.by_ampacity)
    )
    others: dict[str, list[str]] = {}
    for share, place in zip(CLASSES.values(), wanted.size[1:], strict=True):
        if int(place) != needed:
            others.setdefault(_size_figure(int(place)).words, []).append(f"{share:.0%}")
    at_others = " ".join(f"At {' or '.join(at)} {name}." for name, at in others.items())
    if leads.place >= needed:
        verdict = PASS if leads.given else LOOK_AGAIN
    else:
        # Too thin for its class is a matter of thrust; for its current, of fire.
        enough = leads.place >= int(wanted.size[-1])
        verdict = LOOK_AGAIN if enough else CAUTION
    return RigCheck(
        key="cable_size",
        group=GROUP,
        name="Cable size",
        number=Figure(value=leads.area_m2, dimension="area", words=leads.size),
        bound="at least",
        limit=_size_figure(needed),
        verdict=verdict,
        why=(
            f"{facts.load_a:.0f} A, {both_lengths(2.0 * leads.length_m)} out and back, "
            f"{facts.motor_voltage_v:g} V. By a drop of {laid.drop_class:.0%} {by_drop}, by "
            f"the current {by_current}: {rules}. {at_others}".rstrip()
        ),
        unknown=tuple(unknown),
        source=sources.SIZE,
    )


def _drops(facts: RigFacts, laid: Laid) -> list[RigCheck]:
    """Tell the true drop at full current and at this day's peak."""
    leads = facts.leads
    unknown = list(_not_given(facts))
    if facts.wiring.drop_class is None:
        unknown.append("drop class not told: 3 % taken")
    if facts.wiring.tinned is None and leads.resistance_ohm is None:
        unknown.append(TINNING_NOT_TOLD)
    lost_wh = drop_energy_wh(facts, laid)
    share = lost_wh / facts.energy_drawn_wh if facts.energy_drawn_wh > 0.0 else 0.0
    rows = []
    for key, name, current, more in (
        ("drop_at_full_current", "Volts lost at full current", facts.load_a, ""),
        (
            "drop_at_day_peak",
            "Volts lost at this day's peak",
            facts.peak_a,
            f" Over the day leads and contacts turn {lost_wh:.1f} Wh to heat, {share:.1%} of "
            "what the bank gives (from each step's mean current: a little low in gusts).",
        ),
    ):
        drop = float(leads_ohm(facts, laid, current)) * current
        contacts = leads.contact_resistance_ohm * current
        of_rated = drop / facts.motor_voltage_v
        verdict = PASS
        if of_rated > laid.drop_class:
            verdict = LOOK_AGAIN if of_rated <= OUTER_CLASS else CAUTION
        if not leads.given:
            verdict = at_best(verdict, LOOK_AGAIN)
        measured = "as measured" if leads.resistance_ohm is not None else "as warm as it runs"
        rows.append(
            RigCheck(
                key=key,
                group=GROUP,
                name=name,
                number=volts(drop),
                bound="at most",
                limit=volts(laid.drop_class * facts.motor_voltage_v),
                verdict=verdict,
                why=(
                    f"{of_rated:.1%} of {facts.motor_voltage_v:g} V at {current:.0f} A, "
                    f"{measured}; plugs, breaker and lugs {contacts:.2f} V on top; "
                    f"{(drop + contacts) * current:.0f} W in all.{more}"
                ),
                unknown=tuple(unknown),
                source=sources.DROP,
            )
        )
    return rows


def _kind(facts: RigFacts) -> RigCheck:
    """Ask for stranded, tinned copper."""
    stranded, tinned = facts.wiring.stranded, facts.wiring.tinned
    unknown = []
    if stranded is None:
        unknown.append("stranded or solid not told")
    if tinned is None:
        unknown.append(TINNING_NOT_TOLD)
    if stranded is False:
        verdict = CAUTION
    elif stranded is None or tinned is not True:
        verdict = LOOK_AGAIN
    else:
        verdict = PASS
    told = {True: "stranded", False: "solid", None: ""}[stranded]
    metal = {True: "tinned", False: "bare copper", None: ""}[tinned]
    both = ", ".join(part for part in (told, metal) if part)
    return RigCheck(
        key="cable_kind",
        group=GROUP,
        name="Kind of cable",
        number=words(both) if both else None,
        bound="",
        limit=words("stranded, tinned"),
        verdict=verdict,
        why="Solid wire breaks where a boat shakes it; bare copper rots from the ends.",
        unknown=tuple(unknown),
        source=sources.CONDUCTOR,
    )
