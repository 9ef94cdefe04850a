"""
How charts look: column widths, type sizes, and pens that differ in more than colour.

Colours are those of Okabe and Ito's set (from memory) that stand out from white by 3 to 1 or
more; every pen also has its own dash, marker and hatch, so that a grey print tells them apart.

Depends on: units; matplotlib inside the functions.
"""

from __future__ import annotations

from contextlib import contextmanager
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any, Final, NamedTuple

from energysim.units import parse_quantity

if TYPE_CHECKING:
    from collections.abc import Iterator

    from energysim.unit_format import System

INCH_M: Final = 0.0254
WIDTHS_IN: Final = {"single": 3.5, "double": 7.2}
"""A column and two of them: 89 mm and 183 mm, within what journals ask (guidelines differ)."""

NARROWEST_IN: Final = 2.5
WIDEST_IN: Final = 20.0
NARROW_IN: Final = 5.0  # below this, panels stand under one another

INK: Final = "#000000"
SOFT_INK: Final = "#444444"  # 9.7 to 1 on white
RULE: Final = "#b0b0b0"
TEXT_PT: Final = 7.0
TITLE_PT: Final = 9.0

Dash = tuple[float, tuple[float, ...]]


class Pen(NamedTuple):
    """How one of several lines, bars or areas is drawn."""

    colour: str
    dash: Dash
    marker: str
    hatch: str
    width: float = 1.3


_DASHES: Final[tuple[Dash, ...]] = (
    (0.0, ()),
    (0.0, (5.0, 1.6)),
    (0.0, (1.2, 1.4)),
    (0.0, (6.0, 1.6, 1.2, 1.6)),
    (0.0, (10.0, 2.5)),
    (0.0, (3.0, 1.2, 1.2, 1.2, 1.2, 1.2)),
)
_COLOURS: Final = ("#0072B2", "#D55E00", "#009E73", "#CC79A7", "#000000", "#56564f")
_GREYS: Final = ("#000000", "#5c5c5c", "#2e2e2e", "#787878", "#000000", "#5c5c5c")
_MARKERS: Final = ("o", "s", "^", "D", "v", "P")
_HATCHES: Final = ("", "////", "\\\\\\\\", "xxxx", "----", "||||")
MOST_OPTIONS: Final = len(_COLOURS)


@dataclass(frozen=True, slots=True, kw_only=True)
class Look:
    """What the caller chose about a chart's looks."""

    width_in: float = WIDTHS_IN["single"]
    grey: bool = False
    system: System = "us"

    @property
    def narrow(self) -> bool:
        """Whether panels stand under one another."""
        return self.width_in < NARROW_IN

    @property
    def tint(self) -> str:
        """A light fill that black text can stand on."""
        return "#dcdcdc" if self.grey else "#cfe5f3"

    @property
    def edge(self) -> str:
        """The colour of hatches and of what ends a region."""
        return "#5c5c5c" if self.grey else "#D55E00"

    def pen(self, number: int) -> Pen:
        """Return the pen of the first, second... line; there are as many as `MOST_OPTIONS`."""
        if not 0 <= number < MOST_OPTIONS:
            raise ValueError(
                f"{number + 1} options on one chart cannot be told apart; "
                f"at most {MOST_OPTIONS} can"
            )
        colours = _GREYS if self.grey else _COLOURS
        return Pen(colours[number], _DASHES[number], _MARKERS[number], _HATCHES[number])


def width_in(text: str) -> float:
    """
    Return a chart's width in inches: "single", "double", or a length with its unit.

    Raises
    ------
    ValueError
        The text is no width, or narrower or wider than a chart can be drawn.
    """
    width = WIDTHS_IN.get(text)
    if width is None:
        width = parse_quantity(text, "length") / INCH_M
    if not NARROWEST_IN <= width <= WIDEST_IN:
        raise ValueError(
            f"a width of {text!r} cannot be drawn; from {NARROWEST_IN:g} in to {WIDEST_IN:g} in"
        )
    return width


@contextmanager
def applied() -> Iterator[None]:
    """Draw and save in the house's style; the caller's own settings come back afterwards."""
    import matplotlib as mpl  # noqa: PLC0415 - start-up

    settings: dict[str, Any] = {
        "font.family": ["DejaVu Sans"],
        "font.size": TEXT_PT,
        "axes.titlesize": TEXT_PT,
        "axes.titleweight": "bold",
        "axes.titlelocation": "left",
        "axes.titley": 1.0,  # where it is told; looking for a free place takes time
        "axes.labelsize": TEXT_PT,
        "axes.spines.top": False,
        "axes.spines.right": False,
        "axes.linewidth": 0.6,
        "axes.edgecolor": SOFT_INK,
        "axes.unicode_minus": True,
        "xtick.labelsize": TEXT_PT,
        "ytick.labelsize": TEXT_PT,
        "xtick.major.width": 0.6,
        "ytick.major.width": 0.6,
        "xtick.major.size": 3.0,
        "ytick.major.size": 3.0,
        "xtick.minor.size": 1.8,
        "hatch.linewidth": 0.5,
        "lines.linewidth": 1.3,
        "pdf.fonttype": 42,
        "svg.fonttype": "path",
        "svg.hashsalt": "energysim",
        "figure.dpi": 100.0,
        "savefig.dpi": 600.0,
        "path.simplify": True,
    }
    with mpl.rc_context(settings):  # type: ignore[arg-type,unused-ignore]
        yield
