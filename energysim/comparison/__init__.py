"""
Bank against bank on one day: expand the options, run them together, put them in order.

Depends on: comparison.run.
"""

from energysim.comparison.run import compare, options, options_of

__all__ = ["compare", "options", "options_of"]
