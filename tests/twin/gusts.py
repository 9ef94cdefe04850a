"""The twin's gusts: how gusty the wind is, the winds that stand for it, and what they ask."""

import math
from bisect import bisect_right
from functools import cache

from .reading import PACKAGE, rows_of

# The zeros of the fifth Hermite polynomial x^5 - 10 x^3 + 15 x, and the weights that go with
# them in Gauss's rule for a normal variable: worked out by hand, exact.
INNER, OUTER = math.sqrt(5.0 - math.sqrt(10.0)), math.sqrt(5.0 + math.sqrt(10.0))
DEVIATIONS = (-OUTER, -INNER, 0.0, INNER, OUTER)
RARE, COMMON = (7.0 - 2.0 * math.sqrt(10.0)) / 60.0, (7.0 + 2.0 * math.sqrt(10.0)) / 60.0
SHARES = (RARE, COMMON, 8.0 / 15.0, COMMON, RARE)

USUAL_EXPOSURE = "off-sea"
FAR = 6.0  # deviations


@cache
def _listed(exposure, period):
    """The strongest 3 s over the mean of a period, as the data file has it."""
    titles, *rows = rows_of(PACKAGE / "data" / "gust_factors.csv")
    return next(
        float(row[titles.index("gust_factor")])
        for row in rows
        if row[0] == exposure and float(row[1]) == period and float(row[2]) == 3.0
    )


def usual_gust(raw):
    """Gust over mean where the forecast is silent."""
    return _listed(raw["wind"].get("exposure", USUAL_EXPOSURE), 600.0)


def intensity_of(raw, gust_over_mean):
    """
    Standard deviation over mean.

    Three deviations make the strongest gust of an hour, and the same wind's gusts of ten
    minutes stand lower by as much as the table says.
    """
    exposure = raw["wind"].get("exposure", USUAL_EXPOSURE)
    hour = _listed(exposure, 3600.0)
    deviations = 3.0 * (_listed(exposure, 600.0) - 1.0) / (hour - 1.0)
    return min(max((gust_over_mean - 1.0) / deviations, 0.05), 0.35)


def winds_of(mean, intensity):
    """Five winds; a lull that would blow backwards is a calm, and its gust is cut to match."""
    return [mean * (1.0 + min(max(intensity * z, -1.0), 1.0)) for z in DEVIATIONS]


def mean_of(values):
    return sum(share * value for share, value in zip(SHARES, values, strict=True))


def line_through(thrusts, z):
    """Thrust at so many deviations: straight between the five, straight on beyond them."""
    index = min(max(bisect_right(DEVIATIONS, z) - 1, 0), 3)
    low, high = DEVIATIONS[index], DEVIATIONS[index + 1]
    part = (z - low) / (high - low)
    return thrusts[index] + part * (thrusts[index + 1] - thrusts[index])


def share_above(thrusts, limit):
    """Share of the time a thrust is above a limit, by adding up little bits of the bell."""
    return sum(bit for z, bit in bell() if line_through(thrusts, z) > limit)


@cache
def bell():
    """The bell of the normal law in little bits: (deviation, share)."""
    step = 0.02
    middles = [-FAR + (k + 0.5) * step for k in range(round(2.0 * FAR / step))]
    return [(z, step * math.exp(-0.5 * z * z) / math.sqrt(2.0 * math.pi)) for z in middles]
