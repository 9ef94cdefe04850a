"""
The load on the bow motor: holding a spot, creeping along, slowing a drift.

One place to import them from; each has a module of its own.

Depends on: `physics.boat`, `physics.creep`, `physics.drift`, `physics.hold`, `physics.load`.
"""

from energysim.physics.boat import Boat, Chop
from energysim.physics.creep import creep_load
from energysim.physics.drift import drift_load
from energysim.physics.hold import hold_load
from energysim.physics.load import Load

__all__ = ["Boat", "Chop", "Load", "creep_load", "drift_load", "hold_load"]
