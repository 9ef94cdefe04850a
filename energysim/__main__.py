"""Run the command line as `python -m energysim`."""

from energysim.cli import main

main()
