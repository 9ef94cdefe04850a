"""
Learn from a logged day: read the log, fit drag, wind and bank to it, say what it cannot tell.

`read_log` lays a log on the plan's clock; `learn` fits the factors; `overlay_text` and
`scenario_text` write them where `energysim day` can use them.
"""

from energysim.learn.ask import learn
from energysim.learn.log import DayLog, read_log
from energysim.learn.overlay import overlay_text, scenario_text, settings

__all__ = ["DayLog", "learn", "overlay_text", "read_log", "scenario_text", "settings"]
