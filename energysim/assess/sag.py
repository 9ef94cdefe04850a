"""
Where the worst moment within a step pulls the bank lower than its mean does.

Depends on: assess.reading, simulate, plan, clock.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from energysim.clock import clock_after

if TYPE_CHECKING:
    from energysim.assess.reading import Reading
    from energysim.plan import DayPlan
    from energysim.simulate import Flows

SAG_TOLERANCE_V = 0.01  # where the motor's own end is the cut-off, the sums meet to rounding


def sag_warnings(plan: DayPlan, flows: Flows, reading: Reading) -> tuple[str, ...]:
    """
    Say where a gust or a burst pulls the bank below its cut-off.

    The bank is followed at the mean power of each step; the sag of the worst moment within a
    step is looked at here, and costs nothing but this warning.
    """
    sag_v = (flows.resistance_ohm[:, 0] - plan.bank.cable_ohm[0]) * reading.peak_current_a
    lowest = flows.emf_v[:, 0] - sag_v
    cutoff_v = float(plan.bank.cutoff_voltage_v[0])
    alive = flows.level[:-1, 0] > 0.0
    under = alive & (lowest < cutoff_v - SAG_TOLERANCE_V) & (reading.off_s <= 0.0)
    if not under.any():
        return ()
    first = int(np.argmax(under))
    worst = float(lowest[under].min())
    when = clock_after(plan.start, float(plan.edges_s[first]))
    return (
        f"from {when:%H:%M} a gust or a burst can pull the bank to {worst:.1f} V, below its "
        f"cut-off of {cutoff_v:.1f} V: it may cut out, though the mean of the step can be had",
    )
