"""
The files of many boats, and what is told of their seasons.

Depends on: scenario, report, files, errors, cli.page.
"""

from __future__ import annotations

import sys
from pathlib import Path
from typing import TYPE_CHECKING

from energysim.errors import FileError, Problem, ScenarioError

if TYPE_CHECKING:
    from collections.abc import Iterable, Sequence

    from energysim.results.season import SeasonResult
    from energysim.scenario.load import LoadedScenario


def read_fleet(named: Sequence[str]) -> list[tuple[str, LoadedScenario]]:
    """
    Read every file, and every scenario of every folder; tell what is wrong with all at once.

    Raises
    ------
    ScenarioError, FileError
        A file is no scenario or cannot be read, or a folder holds none.
    """
    from energysim.scenario.load import load_scenario

    files: list[str] = []
    for name in named:
        if Path(name).is_dir():
            inside = sorted(str(path) for path in Path(name).glob("*.toml"))
            if not inside:
                raise FileError(f"{name}: holds no scenario (no file that ends in .toml)")
            files += inside
        else:
            files.append(name)
    problems: list[Problem] = []
    boats = []
    for file in files:
        try:
            boats.append((file, load_scenario(file)))
        except ScenarioError as error:
            problems += error.problems
    if problems:
        raise ScenarioError(problems)
    return boats


def tell_fleet(
    files: Sequence[str],
    results: Iterable[SeasonResult],
    *,
    csv: Path | None,
    force: bool,
    as_json: bool,
) -> None:
    """Write and print the seasons of many boats; of each only what is told is held."""
    from energysim.cli.page import show
    from energysim.cli.written import write
    from energysim.report.document import document_text
    from energysim.report.fleet import (
        boat_line,
        fleet_csv,
        fleet_csv_head,
        fleet_document,
        fleet_page,
    )

    lines, rows, whole = [], [fleet_csv_head()], []
    result: SeasonResult | None = None
    for file, result in zip(files, results, strict=True):
        lines.append(boat_line(file, result))
        if csv is not None:
            rows.append(fleet_csv(file, result))
        if as_json:
            whole.append((file, result))
    if csv is not None:
        write(csv, "".join(rows), force=force)
    if as_json:
        sys.stdout.write(document_text(fleet_document(whole)))
    elif result is not None:
        show(fleet_page(lines, result))
