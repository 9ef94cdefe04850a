"""
One block of members: their weather, loads, demand and bank, the same whoever asks for them.

Depends on: physics, plan, wanted, simulate, build.propeller, build.members.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from energysim.build.members.asked import Asked, asked_of
from energysim.build.members.bank import banks_of
from energysim.build.members.draws import draw_block, first_of
from energysim.build.members.loads import loads_of
from energysim.build.members.weather import weather_of
from energysim.build.propeller import build_immersion
from energysim.physics.draws import BLOCK
from energysim.wanted import Wanted

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from energysim.build.members.draws import Draws
    from energysim.build.members.plan import MembersPlan
    from energysim.simulate import Bank

    Array = NDArray[np.float64]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class BlockOfMembers:
    """A block, at the instants of its plan. Arrays (members,) unless said."""

    draws: Draws
    wanted: Wanted  # (instants, members)
    asked: Asked  # (instants, members)
    bank: Bank
    power_factor: Array  # of the motor's power at every thrust
    strongest_wind_mps: Array  # of the day, at the boat
    strongest_stream_mps: Array


def members_of_block(plan: MembersPlan, block: int) -> BlockOfMembers:
    """
    Work out one block of members, up to what they ask of their banks.

    Parameters
    ----------
    plan : MembersPlan
        The day.
    block : int
        Which block, from 0: members 256 block to 256 block + 255.
    """
    draws = draw_block(plan.spreads, seed=plan.seed, block=block, at_s=plan.instants.at_s)
    if plan.width < BLOCK:
        draws = first_of(draws, plan.width)
    boat, motor = plan.day.boat, plan.day.motor
    around = weather_of(plan.instants, draws, scenario=plan.scenario, boat=boat)
    loads = loads_of(plan.afloat._replace(surroundings=around), plan.places, draws, plan.table)
    in_use = plan.in_use[:, None]
    shape = loads.thrust_n.shape
    thrust_ratio = torque_ratio = np.ones((shape[0], 1))
    if plan.scenario.chop is not None and plan.scenario.motor.shaft_length_m is not None:
        thrust_ratio, torque_ratio, _, _ = build_immersion(
            plan.scenario,
            around,
            loads.heading_deg,
            np.broadcast_to(in_use, shape),
            boat,
            motor,
        )
    wanted = Wanted(
        step_s=np.ones((shape[0], 1)),  # of the instants no length is asked
        thrust_n=loads.thrust_n,
        inflow_mps=loads.inflow_mps,
        node_thrust_n=loads.node_thrust_n,
        node_inflow_mps=loads.node_inflow_mps,
        node_share=loads.node_share,
        node_deviation=loads.node_deviation,
        gust_thrust_n=loads.node_thrust_n[-1],
        gust_inflow_mps=loads.node_inflow_mps[-1],
        duty=plan.duty[:, None],
        in_use=in_use,
        thrust_ratio=thrust_ratio,
        torque_ratio=torque_ratio,
    )
    power_factor = draws.factor["motor"]
    asked = asked_of(
        wanted,
        motor,
        current_limit_a=float(plan.day.bank.current_limit_a[0]),
        power_factor=power_factor,
    )
    return BlockOfMembers(
        draws=draws,
        wanted=wanted,
        asked=asked,
        bank=banks_of(plan.day, draws, aged_fraction=plan.aged_fraction),
        power_factor=power_factor,
        strongest_wind_mps=np.broadcast_to(around.wind_mps.max(axis=0), plan.width),
        strongest_stream_mps=np.broadcast_to(around.stream_mps.max(axis=0), plan.width),
    )
