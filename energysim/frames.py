"""
Results as DataFrames, for whoever asks from Python: each column bears its unit in brackets.

The step table of one day is in `results`. Shares and states of charge are ratios.

Depends on: results. pandas is imported only when a table is asked for.
"""

from __future__ import annotations

import math
from dataclasses import fields
from typing import TYPE_CHECKING, Final

from energysim.results.day import LegResult

if TYPE_CHECKING:
    from collections.abc import Mapping

    import pandas as pd

    from energysim.results.day import DayResult
    from energysim.results.odds import OddsResult, Percentiles

UNITS: Final = {
    "n": "N", "a": "A", "ah": "Ah", "wh": "Wh", "s": "s", "deg": "deg", "m": "m",
}  # fmt: skip
"""Of the suffixes the fields of a leg bear."""

WORDS: Final = ("verb", "start", "end", "cause")


def changes_frame(result: DayResult) -> pd.DataFrame:
    """
    Return what to change about a day as a DataFrame, the most helpful first.

    Parameters
    ----------
    result : DayResult
        A day run with its changes.

    Returns
    -------
    DataFrame
        Indexed by the change. What could not be tried says why under `skipped`, and has no
        numbers.
    """
    import pandas as pd  # noqa: PLC0415 - costs more than a whole day's run

    rows = []
    for change in result.changes:
        tried = not change.skipped
        rows.append(
            {
                "change": change.name,
                "outcome": change.outcome,
                "end_soc [1]": change.end_soc if tried else math.nan,
                "end_soc_change [1]": change.end_soc_change if tried else math.nan,
                "off_station [s]": change.off_station_s if tried else math.nan,
                "off_station_change [s]": change.off_station_change_s if tried else math.nan,
                "skipped": change.skipped,
            }
        )
    names = ["change", "outcome", "end_soc [1]", "end_soc_change [1]", "off_station [s]"]
    names += ["off_station_change [s]", "skipped"]
    return pd.DataFrame(rows, columns=names).set_index("change")


def legs_frame(result: DayResult) -> pd.DataFrame:
    """
    Return the legs of a day as a DataFrame, a row a leg.

    Parameters
    ----------
    result : DayResult
        A day that was run.

    Returns
    -------
    DataFrame
        `mean_thrust` is what is wanted, `peak_current` that of the gusts, `soc_after` what is
        left at the leg's end; NaN where a leg has no such number.
    """
    import pandas as pd  # noqa: PLC0415 - costs more than a whole day's run

    names = {field.name: _with_unit(field.name) for field in fields(LegResult)}
    rows = [{name: getattr(leg, key) for key, name in names.items()} for leg in result.legs]
    return pd.DataFrame(rows, columns=list(names.values()))


def _with_unit(key: str) -> str:
    """Return a field of a leg as a column: its suffix as a unit in brackets."""
    if key == "name":
        return "leg"
    name, _, suffix = key.rpartition("_")
    if suffix in UNITS:
        return f"{name} [{UNITS[suffix]}]"
    return key if key in WORDS else f"{key} [1]"


def days_frame(days: Mapping[str, DayResult]) -> pd.DataFrame:
    """
    Return several days side by side as a DataFrame: the same plan with other gear, say.

    Parameters
    ----------
    days : mapping of str to DayResult
        By the name of each.

    Returns
    -------
    DataFrame
        A row for each, in the order given. `to_spare` is the charge left above the plan's
        limit, `full_after` the time at the charger, NaN where there is none or it never fills.

    Raises
    ------
    ValueError
        There are no days.
    """
    if not days:
        raise ValueError("days is empty; give at least one")
    import pandas as pd  # noqa: PLC0415 - costs more than a whole day's run

    rows = []
    for name, day in days.items():
        full_h = None if day.recharge is None else day.recharge.full_h
        rows.append(
            {
                "option": name,
                "outcome": day.outcome,
                "end_soc [1]": day.end_soc,
                "limit_soc [1]": day.limit_soc,
                "to_spare [1]": day.end_soc - day.limit_soc,
                "charge_drawn [Ah]": day.charge_drawn_ah,
                "energy_drawn [Wh]": day.energy_drawn_wh,
                "peak_current [A]": day.peak_current_a,
                "lowest_voltage [V]": day.lowest_voltage_v,
                "off_station [s]": day.off_station_s,
                "full_after [h]": math.nan if full_h is None else full_h,
            }
        )
    return pd.DataFrame(rows).set_index("option")


def odds_frame(odds: OddsResult) -> pd.DataFrame:
    """
    Return the odds of a day as a DataFrame, a row for each leg.

    Parameters
    ----------
    odds : OddsResult
        What `run_odds` returned.

    Returns
    -------
    DataFrame
        `held` is the chance that the leg is held, with the 95 % interval of the counting
        beside it; p10, p50 and p90 are what a tenth of the days stay below, half of them, and
        nine tenths. NaN where the bow motor has no part in the leg.
    """
    import pandas as pd  # noqa: PLC0415 - costs more than a whole day's run

    return pd.DataFrame(
        [
            {
                "leg": leg.name,
                "verb": leg.verb,
                "start": leg.start,
                "end": leg.end,
                "held [1]": math.nan if leg.held is None else leg.held.chance,
                "held_low [1]": math.nan if leg.held is None else leg.held.low,
                "held_high [1]": math.nan if leg.held is None else leg.held.high,
                **_spread("off_station", "s", leg.off_station_s),
                **_spread("soc_after", "1", leg.soc_after),
            }
            for leg in odds.legs
        ]
    )


def _spread(name: str, unit: str, spread: Percentiles | None) -> dict[str, float]:
    """Return the three columns of a quantity."""
    return {
        f"{name}_{part} [{unit}]": math.nan if spread is None else getattr(spread, part)
        for part in ("p10", "p50", "p90")
    }
