"""
A look at the rigging as a page of text and as one JSON document.

Depends on: results.rig, report.sections, report.terminal, unit_format, unit_table.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Any, Final

from rich.console import Group
from rich.padding import Padding
from rich.table import Table
from rich.text import Text

from energysim.report.sections import Section
from energysim.report.terminal import section, title
from energysim.results.rig import CAUTION, LOOK_AGAIN, PASS, VERDICTS
from energysim.unit_format import System, format_quantity
from energysim.unit_table import DIMENSIONS

if TYPE_CHECKING:
    from rich.console import RenderableType

    from energysim.results.rig import Figure, RigCheck, RigResult

SCHEMA: Final = 1
STYLES: Final = {PASS: "green", LOOK_AGAIN: "yellow", CAUTION: "red"}
_HEADLINE_STYLES: Final = STYLES | {PASS: ""}  # green would read as an approval
SUFFIXES: Final = {
    "current": "a",
    "voltage": "v",
    "length": "m",
    "area": "m2",
    "force": "n",
    "power": "w",
    "time": "s",
}
"""The ending of a JSON key whose number is of a dimension."""

VERDICT_COLUMN: Final = 12
NAME_COLUMN: Final = 36
SMALL_AREA_M2: Final = 0.1  # below it people think in square inches or centimetres
SHORT_M: Final = 3.0  # shafts and the way to a breaker are told in inches or centimetres
RESTS_ON: Final = "*"
TELL_IT: Final = (
    "tell it in [wiring], [breaker], [plug], [cord], [vent], [mounting] and [[locker]] of the "
    "scenario"
)


def rig_page(result: RigResult, *, system: System) -> RenderableType:
    """
    Return the whole answer as something rich can print.

    Parameters
    ----------
    result : RigResult
        What was found.
    system : str
        "us" or "metric": the units printed.
    """
    parts: list[RenderableType] = [
        title(f"How {result.title!r} is rigged"),
        Padding(Text(_headline(result), _HEADLINE_STYLES[result.verdict]), (1, 2, 0, 2)),
        Padding(Text(f"{result.summary}."), (1, 2, 0, 2)),
    ]
    for group in dict.fromkeys(check.group for check in result.checks):
        parts.append(title(f"\n{group}"))
        parts += [_check(check, system) for check in result.checks if check.group == group]
    unknown = _all_unknown(result)
    parts += section(
        Section(
            title=f"Not told, and taken on the careful side ({RESTS_ON})",
            lines=(*unknown, TELL_IT) if unknown else (),
        )
    )
    parts += section(Section(title="Cautions", lines=tuple(result.cautions)))
    return Group(*parts)


def rig_document(result: RigResult) -> dict[str, Any]:
    """Return the answer as plain data, ready for `json`: SI, the unit in every key."""
    return {
        "schema": SCHEMA,
        "title": result.title,
        "summary": result.summary,
        "verdict": result.verdict,
        "load_current_a": _number(result.load_current_a),
        "peak_current_a": _number(result.peak_current_a),
        "charging_voltage_v": _number(result.charging_voltage_v),
        "drop_energy_wh": _number(result.drop_energy_wh),
        "drop_energy_share": _number(result.drop_energy_share),
        "checks": [_check_document(check) for check in result.checks],
        "cautions": list(result.cautions),
    }


def _check_document(check: RigCheck) -> dict[str, Any]:
    """Return one line; a number stands as `number_a`, words as `number_words`."""
    return {
        "key": check.key,
        "group": check.group,
        "name": check.name,
        **_figure_document("number", check.number),
        "bound": check.bound,
        **_figure_document("limit", check.limit),
        "verdict": check.verdict,
        "why": check.why,
        "unknown": list(check.unknown),
        "source": check.source,
    }


def _figure_document(name: str, figure: Figure | None) -> dict[str, Any]:
    if figure is None:
        return {}
    found: dict[str, Any] = {}
    if figure.value is not None:
        found[f"{name}_{SUFFIXES[figure.dimension]}"] = _number(figure.value)
    if figure.words:
        found[f"{name}_words"] = figure.words
    return found


def _number(value: float) -> float:
    """Drop the digits that are only rounding."""
    return float(f"{value:.10g}")


def _headline(result: RigResult) -> str:
    """Count the verdicts, the worst first."""
    counts = {word: sum(check.verdict == word for check in result.checks) for word in VERDICTS}
    told = [
        f"{counts[CAUTION]} caution{'s' if counts[CAUTION] != 1 else ''}",
        f"{counts[LOOK_AGAIN]} to look at again",
        f"{counts[PASS]} within the limit looked at",
    ]
    return f"{', '.join(told)}. A planning estimate, never an approval."


def _check(check: RigCheck, system: System) -> RenderableType:
    """Return one check: the line, and below it why and by what standard."""
    line = Table.grid(padding=(0, 1))
    line.add_column(width=VERDICT_COLUMN, no_wrap=True)
    line.add_column(width=NAME_COLUMN)
    line.add_column(overflow="fold")
    mark = RESTS_ON if check.unknown else ""
    line.add_row(
        Text(f"  {check.verdict}", STYLES[check.verdict]),
        Text(check.name),
        Text(f"{_against(check, system)}{mark}"),
    )
    below = Text(f"{check.why} [{check.source}]", "dim")
    return Group(line, Padding(below, (0, 0, 0, VERDICT_COLUMN + 1)))


def _against(check: RigCheck, system: System) -> str:
    """Write the number and its limit: "60 A, at most 84 A"."""
    number = "not told" if check.number is None else _shown(check.number, system)
    if check.limit is None:
        return number
    limit = _shown(check.limit, system)
    return f"{number}, {check.bound or 'wanted:'} {limit}"


def _shown(figure: Figure, system: System) -> str:
    """Write a figure as a rigger would."""
    if figure.words or figure.value is None:
        return figure.words
    value, dimension = figure.value, figure.dimension
    if dimension == "area" and value < SMALL_AREA_M2:
        unit = "in2" if system == "us" else "cm2"
        return f"{value / DIMENSIONS['area'].factors[unit]:.1f} {unit}"
    if dimension == "length" and value < SHORT_M:
        unit = "in" if system == "us" else "cm"
        return f"{value / DIMENSIONS['length'].factors[unit]:.0f} {unit}"
    digits = {"voltage": 2 if value < 10.0 else 1, "force": 0, "current": 0, "area": 2}
    places = digits.get(dimension)
    if dimension == "current" and value < 100.0 and abs(value - round(value)) >= 0.05:
        places = 1
    return format_quantity(value, dimension, system=system, digits=places)


def _all_unknown(result: RigResult) -> list[str]:
    """Return everything that was not told, each once."""
    return list(dict.fromkeys(line for check in result.checks for line in check.unknown))
