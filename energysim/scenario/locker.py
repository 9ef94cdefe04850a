"""
The [[locker]] tables: where batteries may stand, and what else is in there.

The clearances are common practice, no source, except where a key says otherwise: each is an
input, and each default is printed as an assumption.

Depends on: scenario.table, scenario.fields.
"""

from collections.abc import Iterator, Mapping
from typing import Annotated, Literal, Self

from pydantic import Field, model_validator

from energysim.errors import RefusedValueError
from energysim.scenario.fields import Name, Quantity
from energysim.scenario.table import ScenarioTable, needs, only_with, refused

InsideLength = Annotated[float, Quantity("length", low="2 in", high="5 m")]
Opening = Annotated[float, Quantity("length", low="1 in", high="5 m")]
Clearance = Annotated[float, Quantity("length", low="0 in", high="24 in")]
FromBow = Annotated[float, Quantity("length", low="0 m", high="15 m")]


class Locker(ScenarioTable):
    """One locker: a box with an opening, and the room kept free inside it."""

    name: Name = Field(description="What it is called aboard, each locker its own.")
    length_m: InsideLength = Field(alias="length", description="Inside, along the floor.")
    width_m: InsideLength = Field(alias="width", description="Inside, across the floor.")
    height_m: InsideLength = Field(
        alias="height", description="Inside, floor to the underside of the lid."
    )
    hatch_length_m: Opening | None = Field(
        None,
        alias="hatch_length",
        description="Of the clear opening; the whole top when left out.",
    )
    hatch_width_m: Opening | None = Field(
        None,
        alias="hatch_width",
        description="Of the clear opening, the other way; its height in a side hatch.",
    )
    hatch_in: Literal["lid", "side"] = Field(
        "lid", description="Whether cases go in from above or through a side."
    )
    wall_gap_m: Clearance = Field(
        "0.5 in",
        alias="wall_gap",
        validate_default=True,
        description="Kept between a case and the walls (common practice, no source).",
    )
    case_gap_m: Clearance = Field(
        "0.5 in",
        alias="case_gap",
        validate_default=True,
        description="Kept between two cases (common practice, no source).",
    )
    terminal_gap_m: Clearance = Field(
        "2 in",
        alias="terminal_gap",
        validate_default=True,
        description="Kept over the terminals, for cables (common practice, no source).",
    )
    box_wall_m: Clearance = Field(
        "0 in",
        alias="box_wall",
        validate_default=True,
        description="Of a box or tray around each case: its wall and its floor (none: ours).",
    )
    hatch_gap_m: Clearance = Field(
        "0.25 in",
        alias="hatch_gap",
        validate_default=True,
        description="Kept on each side of a case going through the opening (ours).",
    )
    place: Literal["bow", "console", "stern"] | None = Field(
        None, description="Roughly where in the boat it is."
    )
    from_bow_m: FromBow | None = Field(
        None,
        alias="from_bow",
        description="From the stem to the middle of the locker, instead of the place.",
    )
    holds_fuel: bool | None = Field(
        None, description="Whether a tank or fuel fittings share it; not known when left out."
    )
    charger_above: bool | None = Field(
        None, description="Whether the charger hangs above the cases; not known when left out."
    )
    vented: bool | None = Field(
        None, description="Whether its highest point opens to outside; not known when left out."
    )

    @classmethod
    def key_faults(cls, given: Mapping[str, object]) -> Iterator[RefusedValueError]:
        """Ask for both edges of an opening, and for one place."""
        edges = ("hatch_length", "hatch_width")
        because = "an opening has two edges"
        yield from needs(given, "hatch_length", because=because, keys=edges[1:])
        yield from needs(given, "hatch_width", because=because, keys=edges[:1])
        if given.get("hatch_in") == "side" and not any(edge in given for edge in edges):
            yield RefusedValueError(
                "needs the size of the opening",
                "add hatch_length (level) and hatch_width (upright)",
                where=("hatch_in",),
            )
        yield from only_with(given, "hatch_gap", companions=edges)
        if "place" in given and "from_bow" in given:
            yield RefusedValueError(
                "cannot stand beside 'place': each says where the locker is",
                "keep one of: place; from_bow",
                where=("from_bow",),
            )

    def unused_keys(self) -> frozenset[str]:
        """Name what means nothing under a lid that opens whole."""
        return frozenset({"hatch_gap", "hatch_in"} if self.hatch_length_m is None else ())

    @model_validator(mode="after")
    def _check(self) -> Self:
        """Refuse an opening no locker of this size can have."""
        longest = max(self.width_m, self.length_m)
        upright = self.hatch_in == "side"
        faults = []
        for key, edge_m, room_m in (
            ("hatch_length", self.hatch_length_m, longest),
            ("hatch_width", self.hatch_width_m, self.height_m if upright else longest),
        ):
            if edge_m is not None and edge_m > room_m + 1e-9:
                faults.append(RefusedValueError("is more than the locker itself", where=(key,)))
        return refused(self, *faults)
