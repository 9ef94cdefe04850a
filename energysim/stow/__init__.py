"""
Do these batteries go into these lockers.

Depends on: stow.block, stow.fit.
"""

from energysim.stow.block import Block
from energysim.stow.fit import fit_blocks

__all__ = ["Block", "fit_blocks"]
