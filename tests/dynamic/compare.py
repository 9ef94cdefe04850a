"""
Write the table that sets the quasi-steady model beside the dynamic twin.

Run from the root of the project, about two minutes:

    python -m tests.dynamic.compare

It writes table.csv, one row a condition, and table.md, the same in short with the errors it
implies and how far they hang on what the twin assumes.
"""

import csv
import sys
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any, Final

import numpy as np
from numpy.typing import NDArray

from .conditions import INTENSITY, Condition, conditions
from .controller import Helm
from .gusts import ACROSS
from .runs import gusty_power_w, slow_gusts_power_w, steady, twin_watches
from .twin import Watch

HERE = Path(__file__).parent
TABLE: Final = HERE / "table.csv"
REPORT: Final = HERE / "table.md"

RULES: Final[Mapping[str, Callable[[Condition, float], float]]] = {
    "no gusts": lambda row, _: steady(row).power_w,
    "5 winds": lambda row, i: gusty_power_w(row, intensity=i, count=5),
    "9 winds": lambda row, i: gusty_power_w(row, intensity=i, count=9),
    "slow gusts, 5 winds": lambda row, i: slow_gusts_power_w(
        row, intensity=i, count=5, answer_s=20.0
    ),
    "slow gusts, 9 winds": lambda row, i: slow_gusts_power_w(
        row, intensity=i, count=9, answer_s=20.0
    ),
}
"""Ways for the package to count gusts, by the name they have in the report."""

CHOSEN: Final = "5 winds"
"""The way held to the published band."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Assumption:
    """One thing about the twin changed, to see whether the answer hangs on it."""

    words: str
    helm: Helm = field(default_factory=Helm)
    intensity: float = INTENSITY
    spectrum: str = "froya"
    height_m: float | None = None
    across: float = ACROSS


ASSUMPTIONS: Final = (
    Assumption(words="as published"),
    Assumption(words="no watch circle", helm=Helm(watch_circle_m=0.0)),
    Assumption(words="watch circle of 3 m", helm=Helm(watch_circle_m=3.0)),
    Assumption(words="brisker helm (0.4 rad/s)", helm=Helm(quickness_per_s=0.4)),
    Assumption(words="lazier helm (0.12 rad/s)", helm=Helm(quickness_per_s=0.12)),
    Assumption(words="Kaimal spectrum of 10 m", spectrum="kaimal", height_m=10.0),
    Assumption(words="Kaimal spectrum of the boat's height", spectrum="kaimal"),
    Assumption(words="no gusts across the wind", across=0.0),
    Assumption(words="gust intensity 0.10", intensity=0.10),
    Assumption(words="gust intensity 0.25", intensity=0.25),
    Assumption(words="gust intensity 0.35", intensity=0.35),
)

GROUPS: Final[Mapping[str, Callable[[Condition], bool]]] = {
    "up to 90 deg": lambda row: row.angle_deg <= 90.0 and row.boat != "weak skiff",
    "135 deg": lambda row: row.angle_deg == 135.0,
    "160 deg": lambda row: row.angle_deg == 160.0,
    "180 deg": lambda row: row.angle_deg == 180.0,
    "weak motor": lambda row: row.boat == "weak skiff",
    "all": lambda _: True,
}


def table_rows(rows: list[Condition], watch: Watch) -> list[dict[str, Any]]:
    """Return the rows of table.csv."""
    table = []
    for at, row in enumerate(rows):
        still = steady(row)
        table.append(
            {
                "boat": row.boat,
                "wind_kn": row.wind_kn,
                "stream_kn": row.stream_kn,
                "angle_deg": row.angle_deg,
                "twin_thrust_n": round(float(watch.thrust_n[:, at].mean()), 2),
                "twin_power_w": round(float(watch.power_w[:, at].mean()), 2),
                "twin_power_spread_w": round(float(np.ptp(watch.power_w[:, at])), 2),
                "twin_off_wind_deg": round(float(watch.off_wind_deg[:, at].mean()), 1),
                "twin_swing_deg": round(float(watch.swing_deg[:, at].mean()), 1),
                "twin_rms_m": round(float(watch.rms_m[:, at].mean()), 2),
                "twin_most_m": round(float(watch.most_m[:, at].max()), 2),
                "twin_duty": round(float(watch.duty[:, at].mean()), 3),
                "twin_saturated": round(float(watch.saturated[:, at].mean()), 3),
                "most_thrust_n": round(still.most_thrust_n, 1),
                "steady_thrust_n": round(still.thrust_n, 2),
                "steady_off_wind_deg": round(still.off_wind_deg, 1),
                **{
                    _column(name): round(rule(row, INTENSITY), 2)
                    for name, rule in RULES.items()
                },
            }
        )
    return table


def _column(rule: str) -> str:
    """Return the column of a way to count gusts."""
    return rule.replace(",", "").replace(" ", "_") + "_power_w"


def errors(table: list[dict[str, Any]], rule: str) -> NDArray[np.float64]:
    """Return how far the package is above the twin, as shares of the twin's mean power."""
    return np.array(
        [float(row[_column(rule)]) / float(row["twin_power_w"]) - 1.0 for row in table]
    )


def band(error: NDArray[np.float64]) -> str:
    """Return mean, 90 % band and worst of some errors, in percent."""
    size = 100.0 * np.abs(error)
    return f"{100.0 * error.mean():+.1f} / {np.quantile(size, 0.9):.1f} / {size.max():.1f}"


def percent(share: float) -> str:
    """Return a share in words."""
    return f"{100.0 * share:.1f} %"


def named(row: Mapping[str, Any]) -> str:
    """Return a condition in words."""
    return (
        f"{row['boat']}, {float(row['wind_kn']):.0f} kn of wind, "
        f"{float(row['stream_kn']):.1f} kn of stream, {float(row['angle_deg']):.0f} deg apart"
    )


def report(table: list[dict[str, Any]], rows: list[Condition], swings: list[str]) -> str:
    """Return table.md."""
    chosen = errors(table, CHOSEN)
    worst = int(np.argmax(np.abs(chosen)))
    size = np.abs(chosen)
    facing = np.array([GROUPS["up to 90 deg"](row) for row in rows])
    opposed = np.array([row.angle_deg >= 160.0 for row in rows])
    lines = [
        "# The quasi-steady model beside a boat that moves",
        "",
        "Written by `python -m tests.dynamic.compare`; do not edit by hand.",
        "",
        f"{len(rows)} conditions, each the mean of three watches of 20 minutes in gusts of "
        f"intensity {INTENSITY} along the wind and 0.8 of that across it, Froya spectrum. The "
        "twin shares coefficients with the package but no code. Angle is from where the stream "
        "comes to where the wind comes: 180 deg is wind against stream.",
        "",
        "With gusts of full intensity counted at five winds along the mean, the package's mean "
        f"power is within {percent(np.quantile(size, 0.9))} of the twin's in 90 % of the "
        f"conditions: within {percent(size[facing].max())} in all where wind and stream "
        "come from no more than 90 deg apart and the motor holds, and within "
        f"{percent(np.quantile(size[opposed], 0.9))} in 90 % of those 160 deg and more apart. "
        f"The worst is {named(table[worst])}: {100 * chosen[worst]:+.1f} %.",
        "",
        "Without gusts the twin comes to rest at the package's heading and thrust; exactly "
        "opposed it may lie as the mirror image, or go on sheering a few degrees. Head to the "
        "wind the package says a little too little, for want of the gusts across the wind (see "
        "the twin without them). Wind against stream the boat sheers about, and the answer "
        f"hangs on where it lies: of {opposed.sum()} conditions 160 deg and more apart, "
        f"{(chosen[opposed] < -0.005).sum()} are charged too little and "
        f"{(chosen[opposed] > 0.005).sum()} too much. Exactly opposed, a wind that "
        "just beats the stream is charged up to a quarter too little. Counting slow gusts "
        "alone is better at 135 and 160 deg and worse up to 90 and at 180, because the gusts "
        "across cost about what the quick ones spare.",
        "",
        "What this cannot show: both sides take the same coefficients, which are good to about "
        "35 %; there is no chop, no roll, no shallow water and no error of position in the "
        "twin, and its helm never rests, so that its duty is near 1 wherever there is a load.",
        "",
        "## Ways to count gusts",
        "",
        "Mean / 90 % band / worst, in percent of the twin's mean power; above zero: too much.",
        "",
        "| way | " + " | ".join(GROUPS) + " |",
        "|---|" + "---|" * len(GROUPS),
    ]
    for rule in RULES:
        error = errors(table, rule)
        cells = [band(error[np.array([test(row) for row in rows])]) for test in GROUPS.values()]
        lines.append(f"| {rule} | " + " | ".join(cells) + " |")
    lines += [
        "",
        "Slow gusts: intensity times the root of the share of gusts slower than 20 s, Kaimal "
        "spectrum of 10 m.",
        "",
        f"## What the twin assumes (the package counting {CHOSEN})",
        "",
        "| twin | " + " | ".join(GROUPS) + " | rms m | most m |",
        "|---|" + "---|" * (len(GROUPS) + 2),
        *swings,
        "",
        "## Condition by condition",
        "",
        "Thrust in N, power in W, bow off the wind in degrees; dynamic, then quasi-steady.",
        "",
        "| boat | wind kn | stream kn | angle | thrust | thrust, mean wind | power | power, 5 "
        "winds | error % | off wind | off wind | swing | duty | at limit | rms m | most m |",
        "|---|" + "---|" * 15,
    ]
    for row, error in zip(table, chosen, strict=True):
        lines.append(
            f"| {row['boat']} | {row['wind_kn']:.0f} | {row['stream_kn']:.1f} "
            f"| {row['angle_deg']:.0f} | {row['twin_thrust_n']:.1f} "
            f"| {row['steady_thrust_n']:.1f} | {row['twin_power_w']:.1f} "
            f"| {row[_column(CHOSEN)]:.1f} | {100 * error:+.1f} "
            f"| {row['twin_off_wind_deg']:.0f} | {row['steady_off_wind_deg']:.0f} "
            f"| {row['twin_swing_deg']:.0f} | {row['twin_duty']:.2f} "
            f"| {row['twin_saturated']:.2f} | {row['twin_rms_m']:.1f} "
            f"| {row['twin_most_m']:.1f} |"
        )
    return "\n".join(lines) + "\n"


def swing_line(what: Assumption, rows: list[Condition]) -> str:
    """Return how the chosen way does when the twin assumes something else."""
    watch = twin_watches(
        rows,
        helm=what.helm,
        intensity=what.intensity,
        spectrum=what.spectrum,
        spectrum_height_m=what.height_m,
        across=what.across,
    )
    power = np.array([RULES[CHOSEN](row, what.intensity) for row in rows])
    error = power / watch.power_w.mean(axis=0) - 1.0
    cells = [band(error[np.array([test(row) for row in rows])]) for test in GROUPS.values()]
    held = np.array([row.boat != "weak skiff" for row in rows])
    return (
        f"| {what.words} | "
        + " | ".join(cells)
        + f" | {watch.rms_m[:, held].mean():.2f} | {watch.most_m[:, held].max():.1f} |"
    )


def main() -> None:
    """Write both tables."""
    rows = conditions()
    table = table_rows(rows, twin_watches(rows, helm=Helm()))
    with TABLE.open("w", newline="", encoding="utf-8") as file:
        writer = csv.DictWriter(file, fieldnames=list(table[0]), lineterminator="\n")
        writer.writeheader()
        writer.writerows(table)
    swings = [swing_line(what, rows) for what in ASSUMPTIONS]
    REPORT.write_text(report(table, rows, swings), encoding="utf-8")
    sys.stderr.write(f"wrote {TABLE} and {REPORT}\n")


if __name__ == "__main__":
    main()
