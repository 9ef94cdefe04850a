"""
A chart as the bytes of a file: SVG, PDF or PNG, the same bytes every time.

Depends on: charts.draw, charts.describe, charts.svg, charts.tables, charts.style.
"""

from __future__ import annotations

import io
from typing import TYPE_CHECKING, Any, Final

from energysim.charts.catalogue import chart_row
from energysim.charts.columns import table_csv
from energysim.charts.describe import description, subtitle
from energysim.charts.style import Look, applied
from energysim.charts.svg import accessible
from energysim.charts.tables import chart_tables

if TYPE_CHECKING:
    from collections.abc import Mapping

    from matplotlib.figure import Figure

FORMATS: Final = ("svg", "pdf", "png")


def chart_bytes(
    figure: Figure,
    kind: str,
    result: Any,
    *,
    file_format: str = "svg",
    look: Look | None = None,
    editable_text: bool = False,
) -> bytes:
    """
    Return a drawn chart as a file's content.

    Parameters
    ----------
    figure : Figure
        What `draw` returned.
    kind, result
        What it was drawn from, for the title and the description.
    file_format : {"svg", "pdf", "png"}
        PNG has 600 dots an inch; PDF carries its font.
    look : Look, optional
        As drawn, for the units of the description.
    editable_text : bool
        Leave the letters of an SVG letters, for whoever edits it; they look as drawn only where
        the font is installed. Otherwise they are outlines.

    Returns
    -------
    content : bytes
        The same for the same chart and the same matplotlib.

    Raises
    ------
    ValueError
        The format is not one of the three.
    """
    if file_format not in FORMATS:
        raise ValueError(
            f"file_format = {file_format!r} is not known; choose from {', '.join(FORMATS)}"
        )
    import matplotlib as mpl  # noqa: PLC0415 - start-up

    look = look or Look()
    row = chart_row(kind)
    named: Mapping[str, Any] = result if isinstance(result, dict) else {"": result}
    title = f"{row.title}: {subtitle(row, named)}"
    told = description(row, named, look.system)
    metadata: dict[str, dict[str, Any]] = {
        "svg": {"Date": None},
        "pdf": {"Title": title, "Subject": told, "CreationDate": None},
        "png": {"Title": title, "Description": told},
    }
    out = io.BytesIO()
    with applied(), mpl.rc_context({"svg.fonttype": "none" if editable_text else "path"}):
        if file_format == "svg":
            _print_svg(figure, out, metadata["svg"])
        else:
            figure.savefig(out, format=file_format, metadata=metadata[file_format])
    if file_format != "svg":
        return out.getvalue()
    text = accessible(
        out.getvalue().decode(), title=title, description=told, prefix=f"chart-{kind}"
    )
    return text.encode()


def _print_svg(figure: Figure, out: io.BytesIO, metadata: dict[str, Any]) -> None:
    """Write the SVG as it stands: `savefig` would first draw it once more for nothing."""
    from matplotlib.backends.backend_svg import FigureCanvasSVG  # noqa: PLC0415 - start-up

    canvas, dots = figure.canvas, figure.dpi
    try:
        canvas_svg: Any = FigureCanvasSVG(figure)
        canvas_svg.print_svg(out, metadata=metadata)
    finally:
        figure.dpi = dots
        figure.set_canvas(canvas)


def numbers_csv(kind: str, result: Any, *, look: Look | None = None) -> str:
    """Return the plotted numbers of a chart as CSV, in the units that are drawn."""
    named: Mapping[str, Any] = result if isinstance(result, dict) else {"": result}
    return table_csv(chart_tables(chart_row(kind), named, (look or Look()).system))
