"""
That the benchmarks run, at sizes that say nothing about time: nothing here is timed.

The one thing they claim beside times is that the three ways through a day end alike.
"""

import importlib
import json
import subprocess
import sys
from pathlib import Path

import pytest

HERE = Path(__file__).parent
# The step is a minute on one side and nothing on the other; halving it promises 0.001.
ALIKE_SOC = 0.0005

# A stand-in that counts what it is told, where the battery library is not installed.
STAND_IN = """
from types import SimpleNamespace


def default(kind):
    assert kind == "LeadAcid"
    parts = {name: SimpleNamespace() for name in ("ParamsCell", "ParamsPack", "Controls")}
    battery = SimpleNamespace(**parts, StateCell=SimpleNamespace())

    def setup():
        full = battery.ParamsCell.leadacid_q20
        battery.StateCell.q0 = battery.StateCell.qmax_lifetime = full
        battery.StateCell.q1_0 = 0.0

    def execute(verbosity):
        controls = battery.Controls
        battery.StateCell.q0 -= controls.input_current * controls.dt_hr

    battery.setup, battery.execute = setup, execute
    return battery
"""


@pytest.fixture
def script(monkeypatch):
    """A script by its name; they find each other as they do when one is run."""
    monkeypatch.syspath_prepend(str(HERE))
    return importlib.import_module


@pytest.mark.slow
def test_all_benchmarks_run_and_say_why_the_library_is_left_out(script, monkeypatch):
    everything, library = script("all"), script("library")

    def not_here(_):
        raise library.MissingLibraryError("there is no network")

    monkeypatch.setattr(library, "installed", not_here)
    page = everything.run_all(everything.TINY, rounds=1)
    assert "was not measured: there is no network." in page
    for title in ("## Starting", "## One day's bank", "## Whole answers"):
        assert title in page
    whole = page.partition("## Whole answers")[2]
    rows = [line for line in whole.splitlines() if line.startswith("| a") or "odds" in line]
    assert [row.split(" | ")[1] for row in rows] == ["days in it", "1", "1", "4", "2", "7", "2"]
    assert str(Path.home()) not in page


@pytest.mark.parametrize("name", ["shipped", "Peukert", "strained"])
def test_the_integrator_ends_the_day_where_the_loop_does(script, name):
    naive = script("naive")
    (changes,) = (changes for title, changes in naive.DAYS.items() if name in title)
    plan = naive.planned(changes)
    ours, theirs = naive.by_the_loop(plan), naive.by_solve_ivp(plan)
    assert ours.drawn_ah > 30.0
    assert theirs.soc == pytest.approx(ours.soc, abs=ALIKE_SOC)
    assert theirs.drawn_ah == pytest.approx(ours.drawn_ah, rel=0.001)


@pytest.mark.parametrize("law", ["kinetic", "peukert"])
def test_the_integrator_stops_where_the_loop_says_the_bank_is_empty(script, law):
    naive = script("naive")
    # A cut-off of a block so low ends nothing before its level does.
    changes = {"bank.capacity_fraction": 0.3, "bank.cutoff_voltage": "9 V"}
    plan = naive.planned(changes | {"bank.law": law})
    ours, theirs = naive.by_the_loop(plan), naive.by_solve_ivp(plan)
    assert ours.soc == theirs.soc == 0.0
    assert theirs.drawn_ah == pytest.approx(ours.drawn_ah, rel=0.001)


def test_the_script_of_the_library_steps_through_a_load_and_tells_the_end(tmp_path):
    (tmp_path / "PySAM").mkdir()
    (tmp_path / "PySAM" / "BatteryStateful.py").write_text(STAND_IN)
    about = tmp_path / "NREL_PySAM-0.0.dist-info"
    about.mkdir()
    (about / "METADATA").write_text("Metadata-Version: 2.1\nName: NREL-PySAM\nVersion: 0.0\n")
    load = {
        "currents_a": [6.0] * 30 + [0.0] * 30,
        "step_s": 60.0,
        "ratings_ah": {"20.0": 60.0, "10.0": 55.0, "1.0": 40.0},
        "rounds": 1,
    }
    done = subprocess.run(
        [sys.executable, str(HERE / "library_steps.py")],
        input=json.dumps(load),
        capture_output=True,
        text=True,
        check=True,
        env={"PYTHONPATH": str(tmp_path)},
    )
    told = json.loads(done.stdout)
    assert told["charge"] == pytest.approx(1.0 - 3.0 / 60.0)  # 6 A for half an hour
    assert told["processor_s"] > 0.0
    assert told["version"] == "0.0"


@pytest.mark.slow
def test_an_environment_that_cannot_be_filled_is_a_reason_and_not_a_failure(
    script, monkeypatch, tmp_path, capsys
):
    library = script("library")

    def empty_environment(folder, **_):
        (folder / "bin").mkdir()
        (folder / "bin" / "python").symlink_to(sys.executable)

    monkeypatch.setattr(library.venv, "create", empty_environment)
    monkeypatch.setenv("PIP_NO_INDEX", "1")
    with pytest.raises(library.MissingLibraryError, match="could not install"):
        library.installed(tmp_path, name="no-such-battery-library")
    assert capsys.readouterr().err
