"""
Battery bank energy simulator for a day of fishing under an electric bow motor.

`load` reads a scenario file, `run` runs its day, `frame` and `legs_frame` turn the result into
tables, `draw` draws it, `check_rig` looks at its wiring. Nothing heavy is imported until one of
them is asked for.
"""

from typing import TYPE_CHECKING, Any

__version__ = "0.1.0"
__all__ = [
    "DayResult",
    "__version__",
    "check_rig",
    "draw",
    "frame",
    "hold_hours",
    "hold_map",
    "legs_frame",
    "load",
    "motor_curve",
    "run",
]

if TYPE_CHECKING:
    from energysim.charts import draw
    from energysim.reach import hold_hours, hold_map, motor_curve
    from energysim.results import DayResult, frame, legs_frame
    from energysim.rig import check_rig
    from energysim.runner import run_day as run
    from energysim.scenario.load import load_scenario as load

_PUBLIC = {
    "load": ("energysim.scenario.load", "load_scenario"),
    "run": ("energysim.runner", "run_day"),
    "DayResult": ("energysim.results", "DayResult"),
    "frame": ("energysim.results", "frame"),
    "legs_frame": ("energysim.results", "legs_frame"),
    "draw": ("energysim.charts", "draw"),
    "check_rig": ("energysim.rig", "check_rig"),
    "hold_hours": ("energysim.reach", "hold_hours"),
    "hold_map": ("energysim.reach", "hold_map"),
    "motor_curve": ("energysim.reach", "motor_curve"),
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
