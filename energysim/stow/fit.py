"""
Do these batteries go into these lockers: from a scenario's lockers and blocks to the answer.

Depends on: physics.stowage, results.stow, scenario.locker, stow.block, stow.words, errors.
"""

from collections.abc import Sequence
from typing import Final

from energysim.errors import Problem, ScenarioError
from energysim.physics.stowage import MOST_CASES, MOST_KINDS, Stowage, stow
from energysim.physics.stowage_pose import Case, Gaps, Room
from energysim.results.stow import StowOpening, StowPlace, StowRemedy, StowResult
from energysim.scenario.locker import Locker
from energysim.stow import words
from energysim.stow.block import LIFT_ALONE_KG, Block
from energysim.unit_format import System

CASE_SPREAD_M: Final = 0.002  # cases of one group differ by about this much, as read


def fit_blocks(
    lockers: Sequence[Locker], blocks: Sequence[Block], *, system: System = "us"
) -> StowResult:
    """
    Return whether blocks can stand in lockers, how, or what is missing.

    Parameters
    ----------
    lockers : sequence of Locker
        From the scenario, the one to fill first in front.
    blocks : sequence of Block
        What is to be stowed.
    system : {"us", "metric"}
        Whose units the lines are in.

    Returns
    -------
    result : StowResult
        "does not fit" only as a proof within the rules it states; "not decided" when the
        search was cut short, or there are more blocks than it takes on.

    Raises
    ------
    ScenarioError
        When there is no locker, two bear one name, or a block names one that is not there.
    """
    _checked_names(lockers, blocks)
    rules = words.rules(lockers, system)
    total = sum(block.count for block in blocks)
    if total > MOST_CASES or len(blocks) > MOST_KINDS:
        why = f"more than {MOST_CASES} blocks or {MOST_KINDS} kinds are not searched"
        return StowResult(
            verdict="not decided",
            headline="not decided",
            upright="not decided",
            blocks=total,
            most=0,
            most_proved=False,
            only_just=False,
            places=(),
            remedies=(),
            remedies_proved=False,
            openings=(),
            arrangement=(),
            missing=(f"not decided: {why}",),
            cautions=_lifting(blocks, system),
            rules=rules,
        )
    standing = _stowed(lockers, blocks, lie=False)
    lies = standing.verdict != "fits" and any(block.posture.may_lie for block in blocks)
    found = _stowed(lockers, blocks) if lies else standing
    names = [locker.name for locker in lockers]
    places = tuple(
        StowPlace(
            locker=names[spot.room],
            block=blocks[spot.kind].name,
            pose=spot.pose,
            from_end_m=spot.along_m,
            from_side_m=spot.across_m,
            takes_length_m=spot.size_along_m,
            takes_width_m=spot.size_across_m,
        )
        for spot in found.placed
    )
    remedies = _remedies(found, names)
    openings = () if places else _openings(found, names, blocks)
    larger = _stowed(lockers, blocks, lie=lies, larger_m=CASE_SPREAD_M) if places else found
    only_just = bool(places) and not larger.placed
    upright = _headline(standing, names, blocks, system)
    return StowResult(
        verdict=found.verdict,
        headline="fits lying down"
        if places and lies
        else _headline(found, names, blocks, system),
        upright=upright,
        blocks=total,
        most=found.most,
        most_proved=found.most_proved,
        only_just=only_just,
        places=places,
        remedies=remedies,
        remedies_proved=found.remedies_proved,
        openings=openings,
        arrangement=words.arrangement(places, system),
        missing=()
        if places
        else words.missing(
            found.verdict,
            total=total,
            most=found.most,
            most_proved=found.most_proved,
            remedies=remedies,
            remedies_proved=found.remedies_proved,
            past_openings=found.remedies_past_openings,
            openings=openings,
            system=system,
        ),
        cautions=(
            *(words.ONLY_JUST if only_just else ()),
            *_turned(found, names, blocks, upright),
            *_lifting(blocks, system),
            words.MEASURE,
        ),
        rules=rules,
    )


def _checked_names(lockers: Sequence[Locker], blocks: Sequence[Block]) -> None:
    """Refuse names that lead nowhere, or two ways."""
    problems = []
    names = [locker.name for locker in lockers]
    if not names:
        problems.append(Problem(reason="there is no locker", hint="add [[locker]]"))
    for number, name in enumerate(names):
        if name in names[:number]:
            reason = "two lockers bear this name"
            problems.append(
                Problem(path=f"locker[{number + 1}].name", value=name, reason=reason)
            )
    for block in blocks:
        problems += [
            Problem(
                path=block.name,
                value=name,
                reason="there is no such locker",
                hint=f"the lockers are {', '.join(names)}",
            )
            for name in block.lockers
            if name not in names
        ]
    if problems:
        raise ScenarioError(problems)


def _stowed(
    lockers: Sequence[Locker],
    blocks: Sequence[Block],
    *,
    lie: bool = True,
    larger_m: float = 0.0,
) -> Stowage:
    """Search, with none lying or every case a little larger if asked."""
    rooms = [
        Room(
            length_m=locker.length_m,
            width_m=locker.width_m,
            height_m=locker.height_m,
            hatch_length_m=locker.hatch_length_m,
            hatch_width_m=locker.hatch_width_m,
            hatch_in_side=locker.hatch_in == "side",
            gaps=Gaps(
                wall_m=locker.wall_gap_m,
                case_m=locker.case_gap_m,
                terminal_m=locker.terminal_gap_m,
                box_m=locker.box_wall_m,
                hatch_m=locker.hatch_gap_m,
            ),
        )
        for locker in lockers
    ]
    cases = [
        Case(
            length_m=block.length_m + larger_m,
            width_m=block.width_m + larger_m,
            height_m=block.height_m + larger_m,
            may_lie=lie and block.posture.may_lie,
            may_tip=block.posture.may_tip,
        )
        for block in blocks
    ]
    may_go = [
        [not block.lockers or locker.name in block.lockers for locker in lockers]
        for block in blocks
    ]
    return stow(cases, counts=[block.count for block in blocks], rooms=rooms, may_go=may_go)


def _headline(
    found: Stowage, names: Sequence[str], blocks: Sequence[Block], system: System
) -> str:
    """Say one search in a few words."""
    remedies = _remedies(found, names)
    blocked = found.fits_but_for_openings or not remedies
    return words.headline(
        found.verdict,
        remedies=remedies,
        remedies_proved=found.remedies_proved,
        openings=_openings(found, names, blocks) if blocked else (),
        several=len(names) > 1,
        system=system,
    )


def _remedies(found: Stowage, names: Sequence[str]) -> tuple[StowRemedy, ...]:
    """Name the lockers that would have to be larger."""
    return tuple(
        StowRemedy(
            locker=names[one.room],
            length_m=one.length_m,
            width_m=one.width_m,
            height_m=one.height_m,
        )
        for one in found.remedies
    )


def _openings(
    found: Stowage, names: Sequence[str], blocks: Sequence[Block]
) -> tuple[StowOpening, ...]:
    """List the openings a block does not go through, of the lockers it may go to."""
    return tuple(
        StowOpening(
            locker=name,
            block=block.name,
            length_m=way.length_short_m,
            width_m=way.width_short_m,
        )
        for block, ways in zip(blocks, found.passages, strict=True)
        for name, way in zip(names, ways, strict=True)
        if way.how == "not at all" and (not block.lockers or name in block.lockers)
    )


def _turned(
    found: Stowage, names: Sequence[str], blocks: Sequence[Block], upright: str
) -> tuple[str, ...]:
    """Caution about cases that lie, or go in tilted."""
    used = sorted({(spot.kind, spot.room) for spot in found.placed})
    lying = sorted({spot.kind for spot in found.placed if spot.pose != "upright"})
    return (
        *(words.lying(blocks[kind].name, upright) for kind in lying),
        *(
            words.tilted(blocks[kind].name, names[room])
            for kind, room in used
            if found.passages[kind][room].how == "tilted"
        ),
    )


def _lifting(blocks: Sequence[Block], system: System) -> tuple[str, ...]:
    """Caution about what one person should not lift alone; an unknown mass as well."""
    return tuple(
        words.lifting(block.name, block.mass_kg, system)
        for block in blocks
        if block.mass_kg is None or block.mass_kg > LIFT_ALONE_KG
    )
