"""
What a chart is drawn from: the file's own day, bank or motor, or those of its options.

Depends on: charts, comparison, odds, reach, runner, scenario, errors, cli.progress.
"""

from __future__ import annotations

import sys
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any, Final, Literal

import typer

from energysim.cli.progress import telling

if TYPE_CHECKING:
    from collections.abc import Sequence

    from energysim.charts import ChartRow
    from energysim.comparison.expand import Asked
    from energysim.scenario.load import LoadedScenario

NAMES_TOLD: Final = 30


@dataclass(frozen=True, slots=True, kw_only=True)
class Wanted:
    """What the command line says about a chart's results."""

    over: Literal["thrust", "wind"]  # of hours of hold
    angle_deg: float | None
    options: tuple[str, ...] | None  # by name; empty: all of them; None: the file itself alone


def refuse_kind(row: ChartRow, wanted: Wanted) -> None:
    """Refuse what this command cannot draw, and say what can."""
    if row.result == "season":
        raise typer.BadParameter(
            "a season is drawn where it is worked out: "
            "energysim season FILE --from DATE --to DATE --chart season.svg",
            param_hint="KIND",
        )
    if wanted.options is not None and not row.several:
        why = (
            "shows all options as it is"
            if row.result == "options"
            else "shows one result at a time"
        )
        raise typer.BadParameter(f"the {row.kind!r} chart {why}", param_hint="--options")


def chart_result(
    row: ChartRow, loaded: LoadedScenario, wanted: Wanted, *, shift_s: float
) -> Any:
    """
    Work out what a chart is drawn from.

    Parameters
    ----------
    row : ChartRow
        The kind of chart.
    loaded : LoadedScenario
        The scenario, what-ifs laid over it.
    wanted : Wanted
        What of it.
    shift_s : float
        How much later the plan starts. [s]

    Returns
    -------
    record, or dict of str to record
        By the names of the options where they are asked for.
    """
    if row.result == "options":
        from energysim.comparison import compare

        return compare(loaded, progress=telling("options"))
    if wanted.options is None:
        return _one(row, loaded, wanted, shift_s)
    return _of_options(row, loaded, wanted, shift_s)


def _one(row: ChartRow, loaded: LoadedScenario, wanted: Wanted, shift_s: float) -> Any:
    if row.result in {"day", "night", "trips"}:
        from energysim.runner import run_day

        day = run_day(loaded, shift_s=shift_s, with_changes=False)
        if row.result == "day":
            return day
        from energysim.reach import night_course, trip_costs

        return (night_course if row.result == "night" else trip_costs)(loaded, day)
    if row.result == "odds":
        from energysim.odds import run_odds

        return run_odds(loaded, shift_s=shift_s, progress=telling("days"))
    from energysim.reach import hold_hours, hold_map, motor_curve

    if row.result == "motor":
        return motor_curve(loaded)
    if row.result == "hold":
        return hold_hours(loaded, over=wanted.over, angle_deg=wanted.angle_deg)
    return hold_map(loaded, angle_deg=wanted.angle_deg)


def _of_options(
    row: ChartRow, loaded: LoadedScenario, wanted: Wanted, shift_s: float
) -> dict[str, Any]:
    """Work out every option's; what cannot be is told, and left out."""
    from energysim.errors import ScenarioError

    found: dict[str, Any] = {}
    refused: ScenarioError | None = None
    chosen = _chosen(row, loaded, wanted.options or ())
    tell = telling("options")
    for done, (name, asked) in enumerate(chosen, start=1):
        why = asked.reason
        if asked.loaded is not None:
            try:
                found[name] = _one(row, asked.loaded, wanted, shift_s)
            except ScenarioError as error:
                refused = refused or error
                why = "; ".join(problem.reason for problem in error.problems)
        if tell is not None:
            tell(done, len(chosen))
        if why:
            print(f"left out: {name}: {why}", file=sys.stderr)
    if not found and refused is not None:
        raise refused
    return found


def _chosen(
    row: ChartRow, loaded: LoadedScenario, names: Sequence[str]
) -> list[tuple[str, Asked]]:
    """Return the options to draw, each with what it is called on the chart."""
    from energysim.charts.drawings import most_results
    from energysim.comparison import options_of

    asked = {one.name: one for one in options_of(loaded)}
    known = "; ".join(list(asked)[:NAMES_TOLD]) + ("; ..." if len(asked) > NAMES_TOLD else "")
    for name in names:
        if name not in asked:
            raise typer.BadParameter(
                f"{name!r} is none of the options; they are {known}", param_hint="--option"
            )
    chosen = [(name, asked[name]) for name in (names or asked)]
    if row.result == "motor":
        chosen = _alike_once(chosen)
    most = most_results(row)
    if len(chosen) > most:
        raise typer.BadParameter(
            f"{len(chosen)} options, and the {row.kind!r} chart shows {most} at most; "
            f"pick some with --option; they are {known}",
            param_hint="--options",
        )
    return chosen


def _alike_once(chosen: Sequence[tuple[str, Asked]]) -> list[tuple[str, Asked]]:
    """Return options of one motor as one."""
    by_motor: dict[str, list[tuple[str, Asked]]] = {}
    for name, one in chosen:
        motor = "" if one.loaded is None else one.loaded.scenario.motor.model_dump_json()
        by_motor.setdefault(motor, []).append((name, one))
    return [
        (same[0][0] if len(same) == 1 else f"{same[0][0]} and {len(same) - 1} more", same[0][1])
        for same in by_motor.values()
    ]
