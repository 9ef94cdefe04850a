"""
A chart for a notebook: it shows itself, and hands over the numbers it was drawn from.

Depends on: charts, files. matplotlib and pandas are imported when they are needed.
"""

from __future__ import annotations

import io
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Any

from energysim.charts import Look, chart_bytes, draw, numbers_csv, width_in
from energysim.files import write_whole

if TYPE_CHECKING:
    import pandas as pd

    from energysim.unit_format import System


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Picture:
    """A chart of the catalogue with its results; a notebook shows it as it is."""

    kind: str
    result: Any
    look: Look

    def content(self, file_format: str = "svg") -> bytes:
        """Return the chart as a file's content: "svg", "pdf" or "png"."""
        figure = draw(self.kind, self.result, look=self.look)
        return chart_bytes(
            figure, self.kind, self.result, file_format=file_format, look=self.look
        )

    def save(self, path: str | Path, *, force: bool = False) -> None:
        """Write the chart to a file; its ending says what to write."""
        target = Path(path)
        content = self.content(target.suffix.removeprefix(".").lower())
        write_whole(target, content, force=force)

    def frame(self) -> pd.DataFrame:
        """Return the plotted numbers as a DataFrame, in the units that are drawn."""
        import pandas as pd  # noqa: PLC0415 - start-up

        return pd.read_csv(io.StringIO(numbers_csv(self.kind, self.result, look=self.look)))

    def _repr_svg_(self) -> str:
        """Return what a notebook shows."""
        return self.content().decode()


def picture(
    kind: str,
    result: Any,
    *,
    width: str = "double",
    grey: bool = False,
    system: System = "us",
) -> Picture:
    """
    Return a chart of the catalogue that a notebook shows as it is.

    Parameters
    ----------
    kind : str
        A row of the catalogue: "day", "voltage", "legs", "night", "odds", "motor",
        "hold", "endurance", "options", "trips", "season".
    result : record, or mapping of str to record
        What the row is drawn from; a mapping puts several on one chart where it takes them.
    width : str
        "single", "double" or a length with its unit, "120 mm".
    grey : bool
        For a grey print.
    system : {"us", "metric"}
        The units that are drawn.

    Returns
    -------
    Picture
        With `frame()` for the numbers and `save(path)` for print.

    Raises
    ------
    ValueError
        The width is none.
    """
    return Picture(
        kind=kind, result=result, look=Look(width_in=width_in(width), grey=grey, system=system)
    )
