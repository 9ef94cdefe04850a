"""
How far a boat's bank and motor reach, apart from one day's plan.

Hours of hold over thrust, over wind, and over wind and stream; the motor's curve; the course of
the night; what a trip costs over its depth. Everything goes through the same build and the same
loop as a day.
"""

from energysim.reach.hold import hold_hours, hold_map
from energysim.reach.motor import motor_curve
from energysim.reach.night import night_course
from energysim.reach.trips import trip_costs

__all__ = ["hold_hours", "hold_map", "motor_curve", "night_course", "trip_costs"]
