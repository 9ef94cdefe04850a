"""
Battery bank energy simulator for a day of fishing under an electric bow motor.

`load` reads a scenario file, `changed` lays other keys over it, `run` runs its day, `run_odds`
its odds; names that end in `frame` turn results into tables, `picture` and `draw` draw them.
DEVELOPERS.md ("From Python") lists the rest. Nothing heavy is imported until it is asked for.
"""

from typing import TYPE_CHECKING, Any

__version__ = "0.1.0"
__all__ = [
    "Block",
    "DayResult",
    "OddsResult",
    "__version__",
    "batteries",
    "changed",
    "changes_frame",
    "check_rig",
    "compare",
    "days_frame",
    "draw",
    "fit_blocks",
    "frame",
    "hold_hours",
    "hold_map",
    "legs_frame",
    "load",
    "motor_curve",
    "night_course",
    "odds_frame",
    "options",
    "picture",
    "run",
    "run_odds",
    "trip_costs",
]

if TYPE_CHECKING:
    from energysim.catalogue import batteries
    from energysim.charts import draw
    from energysim.comparison import compare, options
    from energysim.frames import changes_frame, days_frame, legs_frame, odds_frame
    from energysim.odds import run_odds
    from energysim.pictures import picture
    from energysim.reach import hold_hours, hold_map, motor_curve, night_course, trip_costs
    from energysim.results.day import DayResult, frame
    from energysim.results.odds import OddsResult
    from energysim.rig import check_rig
    from energysim.runner import run_day as run
    from energysim.scenario.load import load_scenario as load
    from energysim.scenario.whatif import changed
    from energysim.stow import Block, fit_blocks

_PUBLIC = {
    "Block": ("energysim.stow", "Block"),
    "DayResult": ("energysim.results.day", "DayResult"),
    "OddsResult": ("energysim.results.odds", "OddsResult"),
    "batteries": ("energysim.catalogue", "batteries"),
    "changed": ("energysim.scenario.whatif", "changed"),
    "changes_frame": ("energysim.frames", "changes_frame"),
    "check_rig": ("energysim.rig", "check_rig"),
    "compare": ("energysim.comparison", "compare"),
    "days_frame": ("energysim.frames", "days_frame"),
    "draw": ("energysim.charts", "draw"),
    "fit_blocks": ("energysim.stow", "fit_blocks"),
    "frame": ("energysim.results.day", "frame"),
    "hold_hours": ("energysim.reach", "hold_hours"),
    "hold_map": ("energysim.reach", "hold_map"),
    "legs_frame": ("energysim.frames", "legs_frame"),
    "load": ("energysim.scenario.load", "load_scenario"),
    "motor_curve": ("energysim.reach", "motor_curve"),
    "night_course": ("energysim.reach", "night_course"),
    "odds_frame": ("energysim.frames", "odds_frame"),
    "options": ("energysim.comparison", "options"),
    "picture": ("energysim.pictures", "picture"),
    "run": ("energysim.runner", "run_day"),
    "run_odds": ("energysim.odds", "run_odds"),
    "trip_costs": ("energysim.reach", "trip_costs"),
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
