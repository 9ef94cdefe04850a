"""
`energysim rig`: is the boat wired well, for the currents of its own day.

Depends on: rig, scenario, report.
"""

from __future__ import annotations

import sys
from typing import Annotated

import typer

from energysim.cli.command import Command
from energysim.cli.day import ScenarioPath, Units


def register(app: typer.Typer) -> None:
    """Add the command of this file."""
    app.command("rig", cls=Command)(rig)


def rig(
    file: ScenarioPath,
    units: Annotated[Units, typer.Option(help="Units to print.")] = Units.US,
    as_json: Annotated[bool, typer.Option("--json", help="One JSON document instead.")] = False,
) -> None:
    """
    Look at wiring, breaker, plug, gas, straps, charger and shaft, one line each.

    Every line has its number, its limit and the standard it comes from, and ends as pass, look
    again or caution. A planning estimate, never an approval.

    energysim rig estuary.toml
    """
    from energysim.rig import check_rig
    from energysim.scenario.load import load_scenario

    result = check_rig(load_scenario(file))
    from energysim.report.rig import rig_document, rig_page

    if as_json:
        from energysim.report.document import document_text

        sys.stdout.write(document_text(rig_document(result)))
        return
    from energysim.cli.page import show

    show(rig_page(result, system=units.value))
