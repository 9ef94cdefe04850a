"""
Bank against bank on one day: expand the options, run them together, put them in order.

Depends on: compare.run.
"""

from energysim.compare.run import compare

__all__ = ["compare"]
