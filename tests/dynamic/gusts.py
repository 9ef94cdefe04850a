"""
Gusts second by second, along and across the wind, to a published spectrum.

Shares no code with the package. A series repeats after exactly its own length, so its mean and
standard deviation over one length are those asked for, with no luck of the draw in them.
"""

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]

ACROSS = 0.8
"""Gusts across over gusts along: IEC 61400-1 as read in a public coastal library. [1]"""


def froya_shape(frequency_per_s: Array, wind_10m_mps: float, height_m: float) -> Array:
    """Return the shape of the NORSOK / ISO 19901-1 (Froya) spectrum, its size left open."""
    reduced = (
        172.0
        * frequency_per_s
        * (height_m / 10.0) ** (2.0 / 3.0)
        * (wind_10m_mps / 10.0) ** -0.75
    )
    return (1.0 + reduced**0.468) ** (-5.0 / (3.0 * 0.468))


def kaimal_shape(frequency_per_s: Array, wind_mps: float, height_m: float) -> Array:
    """Return the shape of the IEC 61400-1 (Kaimal) spectrum, its size left open."""
    passing_s = 5.67 * height_m / wind_mps
    return (1.0 + 6.0 * frequency_per_s * passing_s) ** (-5.0 / 3.0)


def frequencies_per_s(seconds: int) -> Array:
    """Return what a series of that many seconds is made of."""
    return np.arange(1, (seconds - 1) // 2 + 1) / seconds


def share_below(shape: Array, frequency_per_s: Array, cut_per_s: float) -> float:
    """Return the share of the variance of a series in gusts slower than a frequency."""
    return float(shape[frequency_per_s <= cut_per_s].sum() / shape.sum())


def gust_pair(
    shape: Array, *, seconds: int, sigma_mps: float, across: float, rng: np.random.Generator
) -> tuple[Array, Array]:
    """Return gusts along and across, each (seconds,), of random phase and set spread."""
    amplitude = np.sqrt(shape / shape.sum())
    pair = []
    for size in (1.0, across):
        lines = np.zeros(seconds // 2 + 1, dtype=np.complex128)
        phase = rng.uniform(0.0, 2.0 * np.pi, shape.size)
        lines[1 : shape.size + 1] = amplitude * np.exp(1j * phase)
        pair.append(np.fft.irfft(lines, n=seconds) * seconds / np.sqrt(2.0) * size * sigma_mps)
    return pair[0], pair[1]
