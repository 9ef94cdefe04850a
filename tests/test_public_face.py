"""What a program sees of the package: a few names, each explained, imported when asked for."""

import ast
import inspect
import json
import re
import subprocess
import sys
from pathlib import Path

import pytest

import energysim

ROOT = Path(__file__).parents[1]
NAMES = sorted(set(energysim.__all__) - {"__version__"})


def run_apart(code):
    """Run a few lines in a Python of their own and return what they print as JSON."""
    done = subprocess.run(
        [sys.executable, "-c", code], capture_output=True, text=True, check=True, cwd=ROOT
    )
    return json.loads(done.stdout)


@pytest.mark.parametrize("name", NAMES)
def test_a_public_name_is_explained(name):
    told = inspect.getdoc(getattr(energysim, name))
    assert told
    assert told.splitlines()[0].endswith(".")


@pytest.mark.parametrize(
    "name", [name for name in NAMES if inspect.isfunction(getattr(energysim, name))]
)
def test_a_public_function_has_a_type_for_everything(name):
    function = getattr(energysim, name)
    signature = inspect.signature(function)
    assert signature.return_annotation is not inspect.Signature.empty
    for argument in signature.parameters.values():
        assert argument.annotation is not inspect.Parameter.empty, argument.name


def test_the_package_alone_loads_none_of_its_modules():
    loaded = run_apart(
        "import energysim, json, sys;"
        "print(json.dumps([m for m in sys.modules if m.startswith('energysim.')"
        " or m in {'numpy', 'pandas', 'scipy', 'matplotlib', 'pydantic'}]))"
    )
    assert loaded == []


def test_no_public_name_loads_what_only_draws_or_tables_need():
    loaded = run_apart(
        "import energysim, json, sys;"
        "[getattr(energysim, name) for name in energysim.__all__];"
        "print(json.dumps([m for m in sys.modules if m in {'pandas', 'scipy', 'matplotlib'}]))"
    )
    assert loaded == []


@pytest.mark.parametrize("turn", [1, -1], ids=["in order", "the other way round"])
def test_a_name_means_the_same_whatever_was_asked_for_before(turn):
    # A module of the same name would take its place once something else has imported it.
    kinds = run_apart(
        f"import energysim, json; names = sorted(energysim.__all__)[::{turn}];"
        "[getattr(energysim, name) for name in names];"
        "print(json.dumps({n: type(getattr(energysim, n)).__name__ for n in names}))"
    )
    assert "module" not in kinds.values()


def test_a_type_checker_is_told_the_same_names():
    tree = ast.parse((ROOT / "energysim" / "__init__.py").read_text(encoding="utf-8"))
    (guarded,) = [node for node in tree.body if isinstance(node, ast.If)]
    told = {
        alias.asname or alias.name: (node.module, alias.name)
        for node in guarded.body
        if isinstance(node, ast.ImportFrom)
        for alias in node.names
    }
    assert told == energysim._PUBLIC
    assert set(told) == set(NAMES)


def test_the_developers_page_lists_every_name():
    page = (ROOT / "DEVELOPERS.md").read_text(encoding="utf-8")
    listed = page.split("## From Python")[1].split("\n## ")[0]
    assert set(re.findall(r"`(\w+)[`(]", listed)) >= set(NAMES)


def test_a_name_that_is_not_there_is_refused():
    with pytest.raises(AttributeError, match="no attribute 'sail'"):
        _ = energysim.sail
