"""
A kind of block to be stowed, and what its chemistry lets be done with it.

Depends on: nothing.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType
from typing import Final, NamedTuple

# 50 lb, common practice; the NIOSH reference load is 51 lb, from memory.
LIFT_ALONE_KG: Final = 50 * 0.45359237


class Posture(NamedTuple):
    """What a chemistry lets be done with a case."""

    may_lie: bool
    may_tip: bool


# Common practice, no source. A maker's word goes before any of it.
POSTURES: Final[Mapping[str, Posture]] = MappingProxyType(
    {
        "flooded": Posture(may_lie=False, may_tip=False),
        "agm": Posture(may_lie=True, may_tip=True),
        "gel": Posture(may_lie=True, may_tip=True),
        "lfp": Posture(may_lie=False, may_tip=True),
    }
)
UNKNOWN_POSTURE: Final = Posture(may_lie=False, may_tip=False)


@dataclass(frozen=True, slots=True, kw_only=True)
class Block:
    """One kind of block to be stowed."""

    name: str
    length_m: float
    width_m: float
    height_m: float
    count: int
    chemistry: str = ""  # says how it may stand; unknown ones only upright
    mass_kg: float | None = None
    may_lie: bool | None = None  # the maker's word, instead of the chemistry's
    may_tip: bool | None = None
    lockers: tuple[str, ...] = ()  # where it may go; anywhere when empty

    @property
    def posture(self) -> Posture:
        """What may be done with it."""
        usual = POSTURES.get(self.chemistry, UNKNOWN_POSTURE)
        lie = usual.may_lie if self.may_lie is None else self.may_lie
        tip = usual.may_tip if self.may_tip is None else self.may_tip
        return Posture(may_lie=lie, may_tip=tip or lie)
