"""
The tables of what is compared: [[option]] rows, and the [options] they are expanded by.

A row has a name and any other keys of the scenario, laid over it. What a row or a place of the
grid comes to is worked out by `comparison.expand`.

Depends on: pydantic, errors, scenario.fields, scenario.prices, scenario.table.
"""

from collections.abc import Iterator, Mapping
from datetime import date
from typing import Annotated, Any, Literal

from pydantic import ConfigDict, Field

from energysim.errors import RefusedValueError
from energysim.scenario.fields import Count, Name, ReadBy
from energysim.scenario.prices import Price
from energysim.scenario.table import ScenarioTable

THE_FILE = "as it is"
"""What the scenario itself is called beside its options."""

Rank = Literal["day", "hold", "weight", "price", "years"]


def _read_case(value: object) -> str:
    """Take a case by its number or by its name: 31, "31M", "GC2"."""
    if isinstance(value, int) and not isinstance(value, bool) and value > 0:
        return str(value)
    if isinstance(value, str) and value.strip():
        return value.strip()
    raise RefusedValueError("is not a battery case", 'such as 31 or "GC2"')


def _read_date(value: object) -> date:
    """Take a day as TOML has it, or the same in quotes."""
    if type(value) is date:
        return value
    if isinstance(value, str):
        try:
            return date.fromisoformat(value.strip())
        except ValueError:
            pass
    raise RefusedValueError("is not a date", "write it as 2026-05-16")


CaseName = Annotated[
    str, ReadBy(_read_case, {"anyOf": [{"type": "string"}, {"type": "integer"}]})
]
Day = Annotated[date, ReadBy(_read_date, {"type": "string"})]


class Option(ScenarioTable):
    """One option: its name, and any keys of the scenario to lay over it."""

    # What else stands here is checked where it is laid over the scenario, as part of that.
    model_config = ConfigDict(extra="allow")

    name: Name = Field(description="What it is called in the answer.")

    @property
    def keys(self) -> dict[str, Any]:
        """What is laid over the scenario, as written."""
        return dict(self.model_extra or {})

    @classmethod
    def key_faults(cls, given: Mapping[str, object]) -> Iterator[RefusedValueError]:
        """Keep a comparison from standing inside itself."""
        for key in given:
            if key.partition(".")[0] in {"option", "options"}:
                yield RefusedValueError("cannot stand inside an option", where=(key,))


class Options(ScenarioTable):
    """How options are expanded, what they are held against, and what each block costs."""

    baseline: Name | None = Field(
        None, description="The option the others are held against; the file itself without."
    )
    rank: Rank = Field("day", description="What the options are put in order by.")
    cases: tuple[CaseName, ...] = Field(
        (), strict=False, description="Cases of the list to try: 24, 27, 31."
    )
    chemistries: tuple[Name, ...] = Field(
        (), strict=False, description="Chemistries to try in each case."
    )
    strings: tuple[Count, ...] = Field(
        (1,), strict=False, min_length=1, description="Strings of each to try, side by side."
    )
    block_prices: dict[str, Price] = Field(
        default_factory=dict,
        description="Of one block, by its name in the list; in the currency of [prices].",
    )
    prices_of: Day | None = Field(None, description="The day the prices were asked.")

    @classmethod
    def key_faults(cls, given: Mapping[str, object]) -> Iterator[RefusedValueError]:
        """Ask for both sides of a grid."""
        sides = ("cases", "chemistries")
        for key, other in (sides, sides[::-1]):
            if given.get(key) and not given.get(other):
                yield RefusedValueError(
                    f"is missing beside {key!r}: a grid has both", where=(other,)
                )
        if "strings" in given and not given.get("cases"):
            yield RefusedValueError(
                "says nothing without 'cases' and 'chemistries'", where=("strings",)
            )

    def unused_keys(self) -> frozenset[str]:
        """Name what means nothing without a grid."""
        return frozenset() if self.cases else frozenset({"strings"})
