"""
Battery bank energy simulator for a day of fishing under an electric bow motor.

`load` reads a scenario file, `run` runs its day, `frame` and `legs_frame` turn the result into
tables. Nothing heavy is imported until one of them is asked for.
"""

from typing import TYPE_CHECKING, Any

__version__ = "0.1.0"
__all__ = ["DayResult", "__version__", "frame", "legs_frame", "load", "run"]

if TYPE_CHECKING:
    from energysim.results import DayResult, frame, legs_frame
    from energysim.runner import run_day as run
    from energysim.scenario.load import load_scenario as load

_PUBLIC = {
    "load": ("energysim.scenario.load", "load_scenario"),
    "run": ("energysim.runner", "run_day"),
    "DayResult": ("energysim.results", "DayResult"),
    "frame": ("energysim.results", "frame"),
    "legs_frame": ("energysim.results", "legs_frame"),
}


def __getattr__(name: str) -> Any:
    """Import a public name when it is first asked for (PEP 562)."""
    if name not in _PUBLIC:
        raise AttributeError(f"module {__name__!r} has no attribute {name!r}")
    from importlib import import_module  # noqa: PLC0415

    module, attribute = _PUBLIC[name]
    value = globals()[name] = getattr(import_module(module), attribute)
    return value


def __dir__() -> list[str]:
    """List the public names, loaded or not."""
    return sorted(__all__)
