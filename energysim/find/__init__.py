"""
Questions turned round: which hold, wind, stream, bank, start or motor is sure enough.

`find` answers one of `QUESTIONS`; `scan` finds where any function reaches a level.
"""

from energysim.find.questions import QUESTIONS
from energysim.find.run import find
from energysim.find.scan import Scan, Stretch, scan

__all__ = ["QUESTIONS", "Scan", "Stretch", "find", "scan"]
