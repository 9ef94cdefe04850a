"""
A gusty wind made up second by second, to a given spectrum.

For models that follow the boat through each gust; a day's bill is worked out without one, with
`physics.unsteady`.

Depends on: `physics.bounds`.
"""

import numpy as np
from numpy.typing import ArrayLike, NDArray

from energysim.physics.bounds import bounded


def series_frequencies_per_s(steps: int, *, step_s: float) -> NDArray[np.float64]:
    r"""
    Return the frequencies a series of gusts is made of, to take a density at.

    Parameters
    ----------
    steps : int
        Length of the series, at least 3.
    step_s : float
        Time from one value to the next, above zero. [s]

    Returns
    -------
    frequency_per_s : ndarray, shape ((steps - 1) // 2,)
        From one swing in the whole series to just under one in two steps. [1/s]

    Raises
    ------
    ValueError
        If there are too few steps or the step is not above zero.
    """
    if steps < 3:
        raise ValueError(f"steps = {steps}; it must be at least 3")
    step = float(bounded(step_s, name="step_s", low=0.0, above=True))
    return np.arange(1, (steps - 1) // 2 + 1) / (steps * step)


def gust_series_mps(
    density_m2ps: ArrayLike, *, steps: int, step_s: float, seed: int
) -> NDArray[np.float64]:
    r"""
    Return a series of gusts about the mean wind that has a given spectrum.

    Add it to a mean wind to drive a model that follows the boat second by second.

    Parameters
    ----------
    density_m2ps : array_like, shape (frequencies, ...)
        Spectral density at `series_frequencies_per_s` of the same steps. [m2/s]
    steps : int
        Length of the series, at least 3.
    step_s : float
        Time from one value to the next, above zero. [s]
    seed : int
        Of the random phases: the same seed gives the same series.

    Returns
    -------
    gust_mps : ndarray, shape (steps, ...)
        Departure from the mean wind, zero on average; trailing axes are independent. [m/s]

    Raises
    ------
    ValueError
        If a density is negative or there are not as many as frequencies.

    Notes
    -----
    .. math:: u(t) = \sum_k \sqrt{2 S(f_k)\,\Delta f}\,\cos(2 \pi f_k t + \varphi_k),
              \quad \Delta f = 1 / (N \Delta t)

    with even random phases, summed by a fast Fourier transform. Every series has exactly the
    variance of its lines; a real hour strays from it. Gusts slower than the series or quicker
    than two steps are left out, and the series bites its own tail. The sum of many lines is
    nearly Gaussian, so in a light, gusty wind it can turn the total below zero: the caller
    says what a wind against itself means.
    """
    frequency = series_frequencies_per_s(steps, step_s=step_s)
    density = bounded(density_m2ps, name="density_m2ps", low=0.0)
    if density.shape[:1] != frequency.shape:
        raise ValueError(
            f"density_m2ps has shape {density.shape}; its leading axis must hold the "
            f"{frequency.size} values of series_frequencies_per_s"
        )
    spacing = 1.0 / (steps * step_s)
    phase = np.random.default_rng(seed).uniform(0.0, 2.0 * np.pi, density.shape)
    lines = np.zeros((steps // 2 + 1, *density.shape[1:]), dtype=np.complex128)
    half_amplitude = 0.5 * steps * np.sqrt(2.0 * density * spacing)
    lines[1 : frequency.size + 1] = half_amplitude * np.exp(1j * phase)
    return np.asarray(np.fft.irfft(lines, n=steps, axis=0), dtype=np.float64)
