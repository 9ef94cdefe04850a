"""
Reading between given points in time, with numpy alone.

Two ways, each for its kind of series: a cubic spline where samples are close and even (it
follows a tidal curve best), and a curve that keeps between its neighbours where they are far
apart or uneven (it cannot invent a peak).

Depends on: nothing.
"""

import numpy as np
from numpy.typing import ArrayLike, NDArray


def checked_nodes(
    at_s: ArrayLike, value: ArrayLike, *, name: str, least: int
) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    """
    Return given points as arrays once they are fit to read between.

    Parameters
    ----------
    at_s : array_like, shape (nodes,)
        Times of the given points. [s]
    value : array_like, shape (nodes,)
        What was given at those times. [any]
    name : str
        What the caller calls `value`, for the message.
    least : int
        Fewest points that will do.

    Returns
    -------
    at_s : ndarray, shape (nodes,)
        The times. [s]
    value : ndarray, shape (nodes,)
        The values. [any]

    Raises
    ------
    ValueError
        If there are too few points, the shapes differ, a number is not finite, or the times
        do not increase.
    """
    nodes_s = np.asarray(at_s, dtype=np.float64)
    given = np.asarray(value, dtype=np.float64)
    if nodes_s.ndim != 1 or given.shape != nodes_s.shape:
        raise ValueError(
            f"{name} has shape {given.shape} and its times {nodes_s.shape}; "
            "they must be one row each, of the same length"
        )
    if nodes_s.size < least:
        raise ValueError(f"{name} has {nodes_s.size} points; at least {least} are needed")
    if not (np.isfinite(nodes_s).all() and np.isfinite(given).all()):
        raise ValueError(f"{name} and its times must be finite numbers")
    steps = np.diff(nodes_s)
    if (steps <= 0.0).any():
        first = int(np.argmax(steps <= 0.0))
        raise ValueError(
            f"the times of {name} must increase; {nodes_s[first + 1]:g} s follows "
            f"{nodes_s[first]:g} s (point {first + 2})"
        )
    return nodes_s, given


def checked_times(time_s: ArrayLike, at_s: NDArray[np.float64]) -> NDArray[np.float64]:
    """
    Return the times wanted as an array once they lie inside the given span.

    Parameters
    ----------
    time_s : array_like, shape (...)
        Times wanted. [s]
    at_s : ndarray, shape (nodes,)
        Times of the given points, increasing. [s]

    Returns
    -------
    time_s : ndarray, shape (...)
        The times wanted. [s]

    Raises
    ------
    ValueError
        If one is outside the span or not a number.
    """
    wanted_s = np.asarray(time_s, dtype=np.float64)
    first_s, last_s = at_s[0], at_s[-1]
    if wanted_s.size:
        low_s, high_s = wanted_s.min(), wanted_s.max()
        if not (low_s >= first_s and high_s <= last_s):  # written so that NaN fails too
            raise ValueError(
                f"time_s runs from {low_s:g} to {high_s:g} s, outside the given span of "
                f"{first_s:g} to {last_s:g} s"
            )
    return wanted_s


def interpolate_cubic(
    time_s: ArrayLike, *, at_s: ArrayLike, value: ArrayLike
) -> NDArray[np.float64]:
    r"""
    Return values from a smooth cubic spline through given points.

    Hourly samples of a tidal stream lose their peaks when joined by straight lines; a spline
    with continuous curvature gives them back.

    Parameters
    ----------
    time_s : array_like, shape (...)
        Times wanted, inside the span of `at_s`. [s]
    at_s : array_like, shape (nodes,)
        Times of the given points, increasing; at least four. [s]
    value : array_like, shape (nodes,)
        What was given at those times. [any]

    Returns
    -------
    value : ndarray, shape (...)
        In the unit of `value`. [any]

    Raises
    ------
    ValueError
        If the points cannot be used, or a time wanted is outside their span.

    Notes
    -----
    The curvatures :math:`M_i` solve, with :math:`h_i` the steps,

    .. math:: h_{i-1} M_{i-1} + 2 (h_{i-1}+h_i) M_i + h_i M_{i+1}
              = 6 \left(\frac{y_{i+1}-y_i}{h_i} - \frac{y_i-y_{i-1}}{h_{i-1}}\right)

    and the third derivative is continuous at the second and the last but one point
    ("not a knot"), so a cubic comes back exactly.

    Assumptions: the samples resolve the curve. Over wide or uneven steps it can overshoot;
    use `interpolate_monotone` there.
    """
    nodes_s, given = checked_nodes(at_s, value, name="value", least=4)
    wanted_s = checked_times(time_s, nodes_s)
    h = np.diff(nodes_s)
    slope = np.diff(given) / h
    curvature = _not_a_knot_curvature(h, slope)
    # Per interval, in the distance d from its left end: y + d (b + d (c + d e)).
    c = 0.5 * curvature[:-1]
    e = np.diff(curvature) / (6.0 * h)
    b = slope - h * (2.0 * curvature[:-1] + curvature[1:]) / 6.0
    left = _interval(wanted_s, nodes_s)
    d = wanted_s - nodes_s[left]
    return np.asarray(given[left] + d * (b[left] + d * (c[left] + d * e[left])))


def interpolate_monotone(
    time_s: ArrayLike, *, at_s: ArrayLike, value: ArrayLike
) -> NDArray[np.float64]:
    """
    Return values from a curve that never leaves the range of its two neighbours.

    For points typed by hand, far apart or uneven, where a spline could invent a peak.

    Parameters
    ----------
    time_s : array_like, shape (...)
        Times wanted, inside the span of `at_s`. [s]
    at_s : array_like, shape (nodes,)
        Times of the given points, increasing; at least two. [s]
    value : array_like, shape (nodes,)
        What was given at those times. [any]

    Returns
    -------
    value : ndarray, shape (...)
        In the unit of `value`. [any]

    Raises
    ------
    ValueError
        If the points cannot be used, or a time wanted is outside their span.

    Notes
    -----
    Piecewise cubic Hermite. The slope at an inner point is the weighted harmonic mean of the
    slopes on its two sides, zero where they differ in sign [1]_; at an end it is that of the
    parabola through three points, cut back where it would overshoot.

    References
    ----------
    .. [1] F. N. Fritsch and J. Butland, "A method for constructing local monotone piecewise
       cubic interpolants", SIAM J. Sci. Stat. Comput. 5(2), 1984 (from memory; checked in
       the tests against scipy's interpolator of the same construction).
    """
    nodes_s, given = checked_nodes(at_s, value, name="value", least=2)
    wanted_s = checked_times(time_s, nodes_s)
    h = np.diff(nodes_s)
    slope = np.diff(given) / h
    tangent = _monotone_tangents(h, slope)
    c = (3.0 * slope - 2.0 * tangent[:-1] - tangent[1:]) / h
    e = (tangent[:-1] + tangent[1:] - 2.0 * slope) / h**2
    left = _interval(wanted_s, nodes_s)
    d = wanted_s - nodes_s[left]
    return np.asarray(given[left] + d * (tangent[left] + d * (c[left] + d * e[left])))


def _interval(wanted_s: NDArray[np.float64], nodes_s: NDArray[np.float64]) -> NDArray[np.intp]:
    """Index of the interval each time falls in; the last point belongs to the last one."""
    left = np.searchsorted(nodes_s, wanted_s, side="right") - 1
    return np.asarray(np.minimum(left, nodes_s.size - 2))


def _not_a_knot_curvature(
    h: NDArray[np.float64], slope: NDArray[np.float64]
) -> NDArray[np.float64]:
    """Second derivatives at the points; forward elimination and back substitution."""
    # The end conditions M0 = (1+r) M1 - r M2 (r = h0/h1) and its mirror are put into the
    # first and last inner equation, which leaves a tridiagonal, diagonally dominant system.
    below = h[:-1].copy()
    above = h[1:].copy()
    diagonal = 2.0 * (h[:-1] + h[1:])
    right = 6.0 * np.diff(slope)
    first, last = h[0] / h[1], h[-1] / h[-2]
    diagonal[0] += h[0] * (1.0 + first)
    above[0] -= h[0] * first
    diagonal[-1] += h[-1] * (1.0 + last)
    below[-1] -= h[-1] * last
    inner = _solve_tridiagonal(below, diagonal, above, right)
    start = (1.0 + first) * inner[0] - first * inner[1]
    end = (1.0 + last) * inner[-1] - last * inner[-2]
    return np.concatenate(([start], inner, [end]))


def _solve_tridiagonal(
    below: NDArray[np.float64],
    diagonal: NDArray[np.float64],
    above: NDArray[np.float64],
    right: NDArray[np.float64],
) -> NDArray[np.float64]:
    """Thomas' algorithm, on Python floats: for some hundred points faster than arrays."""
    a, b, c, r = below.tolist(), diagonal.tolist(), above.tolist(), right.tolist()
    n = len(b)
    for i in range(1, n):
        ratio = a[i] / b[i - 1]
        b[i] -= ratio * c[i - 1]
        r[i] -= ratio * r[i - 1]
    for i in range(n - 1, -1, -1):
        r[i] = (r[i] - (c[i] * r[i + 1] if i + 1 < n else 0.0)) / b[i]
    return np.asarray(r, dtype=np.float64)


def _monotone_tangents(
    h: NDArray[np.float64], slope: NDArray[np.float64]
) -> NDArray[np.float64]:
    """Slopes at the points that keep each piece between its ends."""
    if slope.size == 1:
        return np.repeat(slope, 2)
    before, after = slope[:-1], slope[1:]
    heavy_after = 2.0 * h[1:] + h[:-1]
    heavy_before = h[1:] + 2.0 * h[:-1]
    same_way = before * after > 0.0
    inner = np.zeros_like(before)
    mean = heavy_after[same_way] / before[same_way] + heavy_before[same_way] / after[same_way]
    inner[same_way] = (heavy_after + heavy_before)[same_way] / mean
    start = _end_tangent(h[0], h[1], slope[0], slope[1])
    end = _end_tangent(h[-1], h[-2], slope[-1], slope[-2])
    return np.concatenate(([start], inner, [end]))


def _end_tangent(h0: float, h1: float, slope0: float, slope1: float) -> float:
    """Slope of the end parabola, zero or three times the end slope where it overshoots."""
    tangent = ((2.0 * h0 + h1) * slope0 - h0 * slope1) / (h0 + h1)
    if tangent * slope0 <= 0.0:
        return 0.0
    if slope0 * slope1 <= 0.0 and abs(tangent) > 3.0 * abs(slope0):
        return 3.0 * slope0
    return tangent
