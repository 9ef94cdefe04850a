"""
What a logged day taught: frozen records that the page and the command line read.

Depends on: nothing of the package.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from datetime import datetime


@dataclass(frozen=True, slots=True, kw_only=True)
class Learned:
    """One factor, as the log has it."""

    key: str  # of the scenario: "boat.drag_factor"
    name: str
    before: float  # what the scenario says
    value: float  # fitted; of a factor that is not told, what the list of spreads leaves
    low: float  # the interval holds the truth 95 times in 100, of this model and its noise
    high: float
    told: bool  # by the log; otherwise the interval is what was known before
    at_the_edge: bool  # of what was searched: the interval is open there
    why_not: str  # "" when told
    written: str  # as a scenario writes it; "" when it is not to be written
    note: str  # what is written, where the key does not say it
    caution: str  # where what is written is not what was fitted
    low_as_forecast: float  # the interval if wind and stream were forecast, not measured
    high_as_forecast: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Misfit:
    """How well one reading is met."""

    name: str  # "current", "voltage" or "soc"
    unit: str
    bins: int
    left_out: int  # bins that fit nothing
    worst_at: datetime | None  # of those left out
    mean_logged: float
    rms_before: float  # of logged less computed, with the scenario's own factors
    rms_after: float
    memory_s: float  # over how long what is left hangs together


@dataclass(frozen=True, slots=True, kw_only=True)
class LegFit:
    """One leg's amperes: logged, as planned, and as fitted."""

    name: str
    verb: str
    bins: int
    logged_a: float
    before_a: float
    after_a: float


@dataclass(frozen=True, slots=True, kw_only=True)
class LearnResult:
    """The whole answer."""

    title: str
    log_name: str
    first: datetime  # row of the log inside the plan
    last: datetime
    factors: tuple[Learned, ...]
    misfits: tuple[Misfit, ...]
    legs: tuple[LegFit, ...]
    drag_against_wind: float | None  # correlation of the two; None unless both are told
    push_spread: float | None  # of both moved together, one standard deviation
    with_prior: bool
    cannot_tell: tuple[str, ...]
    notes: tuple[str, ...]
