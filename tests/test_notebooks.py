"""Every notebook is committed without outputs, and its cells run from top to bottom."""

import json
from pathlib import Path

import pytest

NOTEBOOKS = sorted((Path(__file__).parents[1] / "notebooks").glob("*.ipynb"))


def cells(path: Path) -> list[dict]:
    return [
        cell
        for cell in json.loads(path.read_text(encoding="utf-8"))["cells"]
        if cell["cell_type"] == "code"
    ]


def test_there_are_notebooks():
    assert NOTEBOOKS


@pytest.mark.parametrize("path", NOTEBOOKS, ids=lambda path: path.stem)
def test_a_notebook_is_committed_without_outputs(path):
    for cell in cells(path):
        assert cell["outputs"] == []
        assert cell["execution_count"] is None


@pytest.mark.parametrize("path", NOTEBOOKS, ids=lambda path: path.stem)
def test_the_first_code_cell_holds_the_parameters(path):
    assert cells(path)[0]["metadata"]["tags"] == ["parameters"]


@pytest.mark.slow
@pytest.mark.parametrize("path", NOTEBOOKS, ids=lambda path: path.stem)
def test_a_notebook_runs_from_top_to_bottom(path, monkeypatch, capsys):
    monkeypatch.chdir(path.parent)
    names: dict = {"__name__": "__main__"}
    for number, cell in enumerate(cells(path)):
        source = "".join(cell["source"])
        exec(compile(source, f"{path.name}:{number}", "exec"), names)
    assert capsys.readouterr().out.strip()
