"""
From a scenario to a day that can be run: the only place that knows both files and physics.

Each file builds one part and returns plain frozen records; what was assumed and what is
doubtful comes back beside it as sentences.
"""

from energysim.build.day import DayAsked, build_day, build_days

__all__ = ["DayAsked", "build_day", "build_days"]
