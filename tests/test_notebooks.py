"""
Every notebook is committed without outputs, speaks the public Python names alone, and its cells
run from top to bottom, each with something to show that a browser can.
"""

import ast
import json
import sys
from pathlib import Path

import pytest

import energysim

NOTEBOOKS = sorted((Path(__file__).parents[1] / "notebooks").glob("*.ipynb"))
each_notebook = pytest.mark.parametrize("path", NOTEBOOKS, ids=lambda path: path.stem)


def cells(path: Path) -> list[dict]:
    return [
        cell
        for cell in json.loads(path.read_text(encoding="utf-8"))["cells"]
        if cell["cell_type"] == "code"
    ]


def tree_of(cell: dict) -> ast.Module:
    return ast.parse("".join(cell["source"]))


def test_each_user_has_a_notebook():
    assert [path.stem for path in NOTEBOOKS] == ["case_sizes", "runtime_charts", "tide_day"]


@each_notebook
def test_a_notebook_is_committed_without_outputs(path):
    for cell in cells(path):
        assert cell["outputs"] == []
        assert cell["execution_count"] is None


@each_notebook
def test_the_first_code_cell_holds_the_parameters(path):
    tagged = [cell["metadata"].get("tags", []) for cell in cells(path)]
    assert tagged[0] == ["parameters"]
    assert not any(tagged[1:])


@each_notebook
def test_a_notebook_says_that_its_data_is_invented(path):
    notebook = json.loads(path.read_text(encoding="utf-8"))
    assert "invented" in "".join(notebook["cells"][0]["source"])


@each_notebook
def test_a_notebook_uses_the_public_names_alone(path):
    nodes = [node for cell in cells(path) for node in ast.walk(tree_of(cell))]
    imported = {
        alias.name for node in nodes if isinstance(node, ast.Import) for alias in node.names
    }
    assert imported <= {"energysim"} | sys.stdlib_module_names
    assert not any(isinstance(node, ast.ImportFrom) for node in nodes)
    attributes = [node for node in nodes if isinstance(node, ast.Attribute)]
    asked = {
        node.attr
        for node in attributes
        if isinstance(node.value, ast.Name) and node.value.id == "energysim"
    }
    assert asked
    assert asked <= set(energysim.__all__)
    assert not any(node.attr.startswith("_") for node in attributes)


@pytest.mark.slow
@each_notebook
def test_a_notebook_runs_from_top_to_bottom(path, monkeypatch, capsys):
    monkeypatch.chdir(path.parent)
    names: dict = {"__name__": "__main__"}
    shown = []
    for number, cell in enumerate(cells(path)):
        tree, where = tree_of(cell), f"{path.name}:{number}"
        last = tree.body[-1]
        if not isinstance(last, ast.Expr) or "print" in ast.dump(last.value):
            exec(compile(tree, where, "exec"), names)
            continue
        exec(compile(ast.Module(tree.body[:-1], []), where, "exec"), names)
        shown.append(eval(compile(ast.Expression(last.value), where, "eval"), names))
    assert capsys.readouterr().out.strip()
    assert shown
    for thing in shown:
        content = thing._repr_svg_() if hasattr(thing, "_repr_svg_") else thing.to_html()
        assert "<svg" in content or "<td" in content
