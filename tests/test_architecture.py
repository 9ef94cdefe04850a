"""The floors of the house: what may import what, and what `--help` must not wait for."""

import re
import shutil
import subprocess
import sys
import tomllib
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[1]
HEAVY = {"numpy", "pandas", "scipy", "matplotlib", "pydantic", "jinja2"}


def imported_by(statement):
    """The modules a fresh interpreter has loaded after a statement."""
    done = subprocess.run(
        [sys.executable, "-X", "importtime", "-c", statement],
        capture_output=True,
        text=True,
        check=True,
        cwd=ROOT,
    )
    lines = (line.rpartition("|")[2].strip() for line in done.stderr.splitlines())
    return {line for line in lines if re.fullmatch(r"[\w.]+", line)}


@pytest.mark.parametrize("statement", ["import energysim.cli", "import energysim.cli.app"])
def test_the_command_line_starts_without_the_heavy_libraries(statement):
    loaded = imported_by(statement)
    assert statement.rpartition(" ")[2] in loaded
    assert not {name.partition(".")[0] for name in loaded} & HEAVY


def test_the_check_of_what_is_loaded_sees_what_is_loaded():
    assert "numpy" in imported_by("import energysim.simulate")


def test_a_day_as_json_needs_no_tables_and_no_charts():
    scenario = ROOT / "scenarios" / "estuary" / "estuary.toml"
    loaded = imported_by(
        "from energysim.runner import run_day;"
        "from energysim.scenario.load import load_scenario;"
        "from energysim.report.document import day_document, document_text;"
        f"document_text(day_document(run_day(load_scenario({str(scenario)!r}))))"
    )
    assert not {name.partition(".")[0] for name in loaded} & {"pandas", "scipy", "matplotlib"}


@pytest.mark.parametrize(
    ("statement", "needed", "not_needed"),
    [
        ("from energysim.report import page, compare_page", "jinja2", "rich"),
        ("from energysim.report import text", "rich", "jinja2"),
        ("from energysim.report import compare, odds, document", "json", "rich"),
    ],
    ids=["pages", "text", "documents"],
)
def test_a_page_needs_no_terminal_a_terminal_no_template(statement, needed, not_needed):
    loaded = {name.partition(".")[0] for name in imported_by(statement)}
    assert needed in loaded
    assert not_needed not in loaded


@pytest.mark.slow
def test_the_import_contracts_hold():
    command = shutil.which("lint-imports", path=str(Path(sys.executable).parent))
    if command is None:
        pytest.skip("import-linter is not installed")
    done = subprocess.run([command], capture_output=True, text=True, check=False, cwd=ROOT)
    assert done.returncode == 0, done.stdout[-3000:]


def test_the_contracts_are_written_down():
    settings = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))
    contracts = settings["tool"]["importlinter"]["contracts"]
    kinds = {contract["type"] for contract in contracts}
    assert {"layers", "forbidden"} <= kinds
    pure = [c for c in contracts if "energysim.physics" in c.get("source_modules", ())]
    assert any({"pandas", "pydantic"} <= set(c["forbidden_modules"]) for c in pure)


def test_the_public_names_stay_what_they_are_after_use():
    # A submodule of the same name would take a function's place once it is imported.
    import energysim  # noqa: PLC0415

    first = energysim.run
    assert energysim.run is first
    assert callable(energysim.load)
    assert set(energysim.__all__) <= set(dir(energysim))
