"""
Charts: rows of a catalogue, drawn from results.

`draw` makes a figure or fills given axes, `save` turns one into the bytes of a file, `table`
returns the plotted numbers as CSV. matplotlib is imported when the first chart is drawn.
"""

from typing import TYPE_CHECKING, Any

from energysim.charts.catalogue import ChartRow, chart_row, charts
from energysim.charts.style import Look, width_in

if TYPE_CHECKING:
    from energysim.charts.draw import draw
    from energysim.charts.save import FORMATS, chart_bytes, numbers_csv

__all__ = [
    "FORMATS", "ChartRow", "Look", "chart_bytes", "chart_row", "charts", "draw", "numbers_csv",
    "width_in",
]  # fmt: skip

_LATE = {
    "draw": "energysim.charts.draw",
    "chart_bytes": "energysim.charts.save",
    "numbers_csv": "energysim.charts.save",
    "FORMATS": "energysim.charts.save",
}


def __getattr__(name: str) -> Any:
    """Import what draws when it is first asked for (PEP 562)."""
    if name not in _LATE:
        raise AttributeError(f"module {__name__!r} has no attribute {name!r}")
    from importlib import import_module  # noqa: PLC0415

    value = globals()[name] = getattr(import_module(_LATE[name]), name)
    return value
