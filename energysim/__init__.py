"""Battery bank energy simulator for a day of fishing under an electric bow motor."""

__version__ = "0.1.0"
