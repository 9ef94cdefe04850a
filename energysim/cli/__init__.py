"""
The command line: the only place that prints or exits.

stdout carries the answer, stderr everything else. Heavy imports stay inside the commands, so
that `--help` is quick.

Depends on: everything.
"""

from energysim.cli.app import main

__all__ = ["main"]
