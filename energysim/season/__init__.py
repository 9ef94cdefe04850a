"""
A season of one plan: laid on every date, in the tide of the date and a wind of its month.

`run_season` gives the calendar of one boat, `run_fleet` that of many.
"""

from energysim.season.run import run_fleet, run_season

__all__ = ["run_fleet", "run_season"]
