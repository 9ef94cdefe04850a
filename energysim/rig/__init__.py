"""
Is the boat wired well: from a scenario and its day to a list of checks.

Each file looks at one part and returns its checks; `read` is the only one that reads the
scenario and the day.
"""

from energysim.rig.look import check_facts, check_rig
from energysim.rig.read import read_facts

__all__ = ["check_facts", "check_rig", "read_facts"]
