"""
The habits of the physics, read out of its own source.

Every public function there documents each argument, gives its unit in brackets, and the unit
agrees with the suffix of the name; every module says what it depends on.
"""

import ast
import importlib
import inspect
import pkgutil
import re
from pathlib import Path

import pytest

import energysim.physics

# What may stand in the brackets behind an argument whose name ends so.
UNITS = {
    "mps": {"m/s"},
    "n": {"N"},
    "w": {"W"},
    "wh": {"Wh"},
    "ah": {"Ah"},
    "a": {"A"},
    "v": {"V"},
    "vs": {"V s"},
    "ohm": {"ohm"},
    "s": {"s"},
    "h": {"h"},
    "min": {"min"},
    "deg": {"deg"},
    "degc": {"degC"},
    "kg": {"kg"},
    "m": {"m"},
    "m2": {"m2", "m^2"},
    "m2ps": {"m2/s", "m^2/s"},
    "m3": {"m3", "m^3"},
    "m3ps": {"m3/s", "m^3/s"},
    "kgpm3": {"kg/m3", "kg/m^3"},
    "pa": {"Pa"},
    "rps": {"rev/s", "1/s"},
    "nm": {"N m"},
    "nmpa": {"N m/A"},
    "degph": {"deg/h"},
    "psu": {"psu"},
}
# Per something, as `resistance_ohm_per_100ah`: the bracket has to hold a fraction.
PER = "per"
WITHOUT_UNIT = {"1", "count", "mixed", "record", "text", "any", "as value", "flag"}
NUMBERS = re.compile(r"ArrayLike|float|NDArray")

ALLOWED = {
    "__future__", "bisect", "collections", "dataclasses", "energysim", "enum", "functools",
    "itertools", "math", "numpy", "re", "typing",
}  # fmt: skip

MODULES = [
    importlib.import_module(f"energysim.physics.{info.name}")
    for info in pkgutil.iter_modules(energysim.physics.__path__)
]
FUNCTIONS = [
    pytest.param(function, id=f"{module.__name__.rpartition('.')[2]}.{name}")
    for module in MODULES
    for name, function in inspect.getmembers(module, inspect.isfunction)
    if function.__module__ == module.__name__ and not name.startswith("_")
]


def sections(docstring):
    """Split a numpy docstring into its named sections."""
    parts = re.split(r"^(\w[\w ]*)\n-{3,}$", inspect.cleandoc(docstring), flags=re.MULTILINE)
    return {"": parts[0], **dict(zip(parts[1::2], parts[2::2], strict=True))}


def documented(section):
    """Each argument of a Parameters section with its unit, "" where none is given."""
    found = {}
    for entry in filter(None, re.split(r"^(?=\S)", section.strip("\n"), flags=re.MULTILINE)):
        head, _, told = entry.partition(" : ")
        names = [name.strip().lstrip("*") for name in head.split(",")]
        bracket = re.search(r"\[([^\[\]]+)\]\.?\s*\Z", told.strip())
        units = [unit.strip() for unit in bracket[1].split(",")] if bracket else [""]
        if len(units) != len(names):
            units *= len(names)
        found.update(zip(names, units, strict=False))
    return found


def suffix_of(name):
    """The unit part of a name, "" for a ratio or a count."""
    words = name.split("_")
    if PER in words:
        return PER
    last = words[-1]
    return last if len(words) > 1 and last in UNITS else ""


@pytest.mark.parametrize("function", FUNCTIONS)
def test_every_argument_is_explained_with_the_unit_its_name_bears(function):
    arguments = list(inspect.signature(function).parameters)
    told = sections(function.__doc__ or "")
    if "Parameters" not in told:
        # Inner functions of a loop may do with one line; they name what does the checking.
        assert len(told[""].splitlines()) <= 3
        assert not told.keys() - {"", "Examples"}
        return
    explained = documented(told["Parameters"])
    assert list(explained) == arguments
    for name, unit in explained.items():
        suffix = suffix_of(name)
        annotation = str(inspect.signature(function).parameters[name].annotation)
        if not unit:
            # Records say the units of their fields themselves; text and switches have none.
            assert not suffix, f"{name}: no unit in brackets ends its description"
            assert not NUMBERS.search(annotation), f"{name}: no unit for {annotation}"
        elif suffix == PER:
            above = UNITS.get(name.partition("_per_")[0].rpartition("_")[2], set())
            assert "/" in unit or unit in WITHOUT_UNIT | above, f"{name}: {unit}"
        elif suffix:
            assert unit in UNITS[suffix], f"{name}: {unit}"
        else:
            assert unit in WITHOUT_UNIT, f"{name}: {unit}"


@pytest.mark.parametrize("function", FUNCTIONS)
def test_whatever_comes_back_bears_its_unit(function):
    told = sections(function.__doc__ or "")
    if "Parameters" not in told:
        return
    assert "Returns" in told
    if not NUMBERS.search(str(inspect.signature(function).return_annotation)):
        return  # a record, whose fields bear their units
    assert re.search(r"\[[^\[\]]+\]", told["Returns"]), "no unit in Returns"


@pytest.mark.parametrize("function", FUNCTIONS)
def test_all_but_the_first_argument_or_a_pair_is_given_by_name(function):
    if "Parameters" not in sections(function.__doc__ or ""):
        return
    kinds = [part.kind for part in inspect.signature(function).parameters.values()]
    # What belongs together may stand bare: a current before and now, points and their times, or
    # the three columns of a pull test.
    if function.__module__ == "energysim.physics.bench":
        kinds = kinds[2:]
    assert all(kind is inspect.Parameter.KEYWORD_ONLY for kind in kinds[2:])


@pytest.mark.parametrize("module", MODULES, ids=lambda module: module.__name__)
def test_every_module_ends_by_saying_what_it_depends_on(module):
    last = inspect.cleandoc(module.__doc__).split("\n\n")[-1]
    assert last.startswith("Depends on: ")


@pytest.mark.parametrize("module", MODULES, ids=lambda module: module.__name__)
def test_physics_asserts_prints_and_imports_nothing_it_should_not(module):
    tree = ast.parse(Path(module.__file__).read_text(encoding="utf-8"))
    roots = set()
    for node in ast.walk(tree):
        assert not isinstance(node, ast.Assert)
        if isinstance(node, ast.Call) and isinstance(node.func, ast.Name):
            assert node.func.id not in {"print", "open", "input"}
        if isinstance(node, ast.Import):
            roots |= {alias.name.partition(".")[0] for alias in node.names}
        if isinstance(node, ast.ImportFrom):
            root, _, rest = (node.module or "").partition(".")
            roots.add(root)
            if root == "energysim":
                assert rest.partition(".")[0] in {"physics", "constants"}
    standard = {
        "bisect",
        "collections",
        "dataclasses",
        "functools",
        "math",
        "typing",
        "itertools",
    }
    assert roots <= standard | {"numpy", "energysim", "__future__", "enum", "re"}
