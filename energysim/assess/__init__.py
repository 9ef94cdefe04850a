"""Read the flows of a run and say what they mean: ends, legs, the tightest hour, the sag."""

from energysim.assess.legs import read_legs
from energysim.assess.limits import BankEnd, below_cutoff, falls_to
from energysim.assess.reading import THRUST_TOLERANCE, Reading, available_thrust_n, read_flows
from energysim.assess.sag import sag_warnings
from energysim.assess.tightest import tightest_hour

__all__ = [
    "THRUST_TOLERANCE",
    "BankEnd",
    "Reading",
    "available_thrust_n",
    "below_cutoff",
    "falls_to",
    "read_flows",
    "read_legs",
    "sag_warnings",
    "tightest_hour",
]
