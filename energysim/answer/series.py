"""
The step table of a day, keyed as data/columns.csv.

Depends on: assess, plan, simulate.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    from energysim.assess import Reading
    from energysim.plan import DayPlan
    from energysim.simulate import Flows


def day_series(plan: DayPlan, flows: Flows, reading: Reading) -> dict[str, NDArray[np.float64]]:
    """Return the step table; state of charge and the books are those at each step's end."""
    around = plan.surroundings
    steps = len(reading.step_s)
    return {
        "elapsed": plan.edges_s[:-1],
        "step": reading.step_s,
        "wind": around.wind_mps,
        "wind_from": around.wind_from_deg,
        "gust": around.gust_mps,
        "wave_height": around.wave_height_m,
        "wave_length": around.wave_length_m,
        "stream": around.stream_mps,
        "stream_toward": around.stream_toward_deg,
        "heading": plan.load.heading_deg,
        "steady_headings": plan.load.steady_headings,
        "thrust_wanted": plan.demand.thrust_n[:, 0],
        "thrust_given": flows.thrust_n[:, 0],
        "thrust_available": reading.available_n,
        "water_speed": plan.demand.inflow_mps[:, 0],
        "motor_power": flows.motor_power_w[:, 0],
        "current": flows.current_a[:, 0] * flows.carried_share[:, 0],
        "peak_current": reading.peak_current_a,
        "supply_current": flows.supply_a[:steps, 0],
        "rest_voltage": flows.emf_v[:, 0],
        "bank_voltage": flows.bank_voltage_v[:, 0],
        "motor_voltage": flows.bus_voltage_v[:, 0],
        "soc": reading.soc[1:],
        "charge": reading.books.charge[1:, 0],
        "drawn_charge": flows.drawn_ah[1:, 0],
        "drawn_energy": flows.drawn_wh[1:, 0],
        "bank_temperature": flows.degc[1:, 0],
        "off_station": reading.off_s,
    }
