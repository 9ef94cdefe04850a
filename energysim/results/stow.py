"""
Whether a bank fits the lockers: what comes out of the search, for tables and pages.

Depends on: nothing.
"""

from dataclasses import dataclass
from typing import Literal


@dataclass(frozen=True, slots=True, kw_only=True)
class StowPlace:
    """Where one block stands, with its box and, lying, the room past its terminals."""

    locker: str
    block: str
    pose: str  # "upright", "on its side", "on its end"
    from_end_m: float
    from_side_m: float
    takes_length_m: float  # along the locker
    takes_width_m: float  # across it


@dataclass(frozen=True, slots=True, kw_only=True)
class StowRemedy:
    """How much larger one locker would have to be inside; zero where it need not."""

    locker: str
    length_m: float
    width_m: float
    height_m: float


@dataclass(frozen=True, slots=True, kw_only=True)
class StowOpening:
    """What an opening lacks for a block to go through."""

    locker: str
    block: str
    length_m: float
    width_m: float


@dataclass(frozen=True, slots=True, kw_only=True)
class StowResult:
    """The answer, its reasons in numbers, and the same in words."""

    verdict: Literal["fits", "does not fit", "not decided"]
    headline: str  # the answer in a few words, with how much it misses
    upright: str  # the same if none may lie down
    blocks: int  # how many there are
    most: int  # how many of them go in
    most_proved: bool
    only_just: bool  # fits, but not with every case a little larger
    places: tuple[StowPlace, ...]
    remedies: tuple[StowRemedy, ...]
    remedies_proved: bool
    openings: tuple[StowOpening, ...]
    arrangement: tuple[str, ...]
    missing: tuple[str, ...]
    cautions: tuple[str, ...]
    rules: tuple[str, ...]

    @property
    def fits(self) -> bool | None:
        """True, False, or None when it was not decided."""
        return {"fits": True, "does not fit": False}.get(self.verdict)
