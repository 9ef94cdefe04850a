"""
What a look at the rigging came to: a list of checks, each with its number and its limit.

Nothing here says that a rig may be used; the three verdicts are "pass", "look again" and
"caution".

Depends on: nothing of the package.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

PASS: Final = "pass"
LOOK_AGAIN: Final = "look again"
CAUTION: Final = "caution"
VERDICTS: Final = (PASS, LOOK_AGAIN, CAUTION)
"""From what needs nothing to what needs most."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Figure:
    """A number of a check, or words where there is none."""

    value: float | None  # in the house unit of its dimension
    dimension: str  # of `unit_table`; "share" for a ratio; "" for words alone
    words: str = ""  # printed in place of the number: "6 AWG"


@dataclass(frozen=True, slots=True, kw_only=True)
class RigCheck:
    """One line of the page."""

    key: str  # "breaker_voltage": for programs
    group: str
    name: str
    number: Figure | None  # None: not known
    bound: str  # "at least" or "at most"; "" where there is no limit
    limit: Figure | None
    verdict: str  # one of `VERDICTS`
    why: str
    unknown: tuple[str, ...]  # what the scenario does not say, and what was taken in its place
    source: str  # standard and edition


@dataclass(frozen=True, slots=True, kw_only=True)
class RigResult:
    """The whole answer."""

    title: str
    summary: str  # what was looked at: "36 V of lithium iron phosphate, 52 A motor"
    verdict: str  # the worst of the checks
    checks: tuple[RigCheck, ...]  # by group, the worst first within a group
    load_current_a: float  # what the feed is sized for
    peak_current_a: float  # of this day, in the feed
    charging_voltage_v: float  # of the whole bank
    drop_energy_wh: float  # lost in leads and contacts on this day
    drop_energy_share: float  # of what the bank gave
    cautions: tuple[str, ...]


def worst(verdicts: tuple[str, ...]) -> str:
    """Return the verdict that needs most."""
    return max(verdicts, key=VERDICTS.index, default=PASS)
