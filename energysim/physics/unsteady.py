"""
What unsteadiness costs: power grows faster than thrust, so its mean is above that of the mean.

Gusts: work out the whole power at the few winds of `gust_nodes`, and take `mean_over_nodes`.
Bursts: work out the power while the motor is on, and take `burst_mean_power_w`. The closed
forms here are for the ideal propeller; they check the rest and make rules of thumb.

Depends on: `physics.bounds`.
"""

from functools import cache
from typing import Final

import numpy as np
from numpy.typing import ArrayLike, NDArray

from energysim.physics.bounds import bounded

GREATEST_INTENSITY: Final = 0.5
"""Above this a wind is no longer a mean with gusts about it (ours)."""

_MOST_NODES: Final = 32


def normal_nodes(count: int) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    r"""
    Return the points at which to ask a function its mean over a normal error.

    Parameters
    ----------
    count : int
        Number of points, 1 to 32.

    Returns
    -------
    node : ndarray, shape (count,)
        Standard deviations from the mean, symmetric about it, rising. [1]
    weight : ndarray, shape (count,)
        Share of each point; together one. [1]

    Raises
    ------
    ValueError
        If `count` is outside the range above.

    Notes
    -----
    Gauss-Hermite quadrature, exact for polynomials up to degree 2 count - 1: points and weights
    are the eigenvalues, and the squared first components of the eigenvectors, of the symmetric
    matrix with :math:`\sqrt 1, \sqrt 2, \ldots` beside an empty diagonal [1]_.

    References
    ----------
    .. [1] Golub and Welsch 1969, Math. Comp. 23, from memory; held in the tests to the nodes of
       a general numerical library.

    Examples
    --------
    >>> node, weight = normal_nodes(3)
    >>> node.round(6).tolist(), weight.round(6).tolist()
    ([-1.732051, 0.0, 1.732051], [0.166667, 0.666667, 0.166667])
    """
    if not 1 <= count <= _MOST_NODES:
        raise ValueError(f"count = {count}; it must be from 1 to {_MOST_NODES}")
    node, weight = _golub_welsch(int(count))
    return node.copy(), weight.copy()


def gust_nodes(
    intensity: ArrayLike, *, count: int
) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    r"""
    Return a few winds that stand for all the gusts and lulls about a mean wind.

    Parameters
    ----------
    intensity : array_like, shape (...)
        Standard deviation of the wind by its mean, 0 to 0.5. [1]
    count : int
        Number of winds, 1 to 32. Five where the motor can always follow, nine where gusts
        meet its limit or a stream they relieve; see Notes.

    Returns
    -------
    factor : ndarray, shape (count, ...)
        By what to multiply the mean wind, rising along the first axis, never negative. [1]
    weight : ndarray, shape (count,)
        Share of the time each stands for; together one. [1]

    Raises
    ------
    ValueError
        If an intensity or `count` is outside the range above.

    Notes
    -----
    .. math:: x_i = 1 + \max(-1, \min(1, I z_i))

    with the :math:`z_i` of `normal_nodes`. The mean of the factors is 1, of their squares
    :math:`1 + I^2`, of their cubes :math:`1 + 3 I^2`, all to rounding, while
    :math:`I z_n \le 1`: five winds up to an intensity of 0.350, seven to 0.266, nine to 0.221.

    Above that the rarest lull would blow backwards. It is called a calm, and the rarest gust is
    cut to match (ours), which keeps the mean and loses a little of the variance. Of the mean
    cube it takes at most 0.4 % up to an intensity of 0.35 and 6 % at 0.5.

    Assumptions: gusts along the wind, normally distributed. Real ones reach a little further
    up than down; gusts across are in `gust_penalty`.

    A smooth power is met to 0.3 % from five winds on. A power with a kink is not. Worst found,
    wherever the kink is: for a power that stops growing at the motor's limit, as a share of
    its mean; for one that is nothing until the wind outdoes a stream that carries its load, as
    a share of the power the mean wind would cost without that stream:

    ============  =====  =====  =====  =====  =====  =====
    winds           5      7      9      5      7      9
    intensity     0.15   0.15   0.15   0.35   0.35   0.35
    motor limit   3.5 %  2.5 %  1.9 %  9.3 %  6.7 %  5.2 %
    relief        0.5 %  0.3 %  0.2 %  1.7 %  1.4 %  1.3 %
    ============  =====  =====  =====  =====  =====  =====

    The worst limit is the one met exactly at the mean wind, and there the error says too much
    power rather than too little. Do not count the time off station with these weights: a
    single wind stands for a fifth to a half of it.

    Examples
    --------
    >>> factor, weight = gust_nodes(0.2, count=5)
    >>> round(float(mean_over_nodes(factor**3, weight=weight)), 9)
    1.12
    """
    spread = bounded(intensity, name="intensity", low=0.0, high=GREATEST_INTENSITY)
    node, weight = normal_nodes(count)
    factor = np.multiply.outer(node, spread)
    np.clip(factor, -1.0, 1.0, out=factor)
    factor += 1.0
    return factor, weight


def mean_over_nodes(values: ArrayLike, *, weight: ArrayLike) -> NDArray[np.float64]:
    r"""
    Return the mean over the gusts of anything worked out at each of their winds.

    Parameters
    ----------
    values : array_like, shape (count, ...)
        What was worked out, such as electrical power, one entry a wind. [any]
    weight : array_like, shape (count,)
        Weights that came with the winds. [1]

    Returns
    -------
    mean : ndarray, shape (...)
        In the unit of `values`. [any]

    Raises
    ------
    ValueError
        If there are not as many values as weights, or one is not finite.

    Examples
    --------
    >>> float(mean_over_nodes([100.0, 200.0, 400.0], weight=[0.25, 0.5, 0.25]))
    225.0
    """
    value = np.asarray(values, dtype=np.float64)
    share = bounded(weight, name="weight", low=0.0)
    if share.ndim != 1 or value.shape[:1] != share.shape:
        raise ValueError(
            f"values has shape {value.shape}; its leading axis must match weight, of shape "
            f"{share.shape}"
        )
    mean = np.asarray(np.tensordot(share, value, axes=1), dtype=np.float64)
    if not np.isfinite(mean).all():
        raise ValueError("values holds a number that is not finite; it must be finite")
    return mean


def gust_penalty(
    intensity: ArrayLike, *, exponent: ArrayLike, lateral_intensity: ArrayLike
) -> NDArray[np.float64]:
    r"""
    Return what gusts multiply the mean of a power of the wind by: 2 for thrust, 3 for power.

    Parameters
    ----------
    intensity : array_like, shape (...)
        Standard deviation along the wind by its mean, 0 to 0.5. [1]
    exponent : array_like, broadcastable with `intensity`
        Power of the wind, at least 1: 2 for the thrust against it, 3 for the ideal power. [1]
    lateral_intensity : array_like, broadcastable with `intensity`
        The same across the wind, 0 to 0.5; 0 if the boat is held head to the mean wind and
        only the wind along it counts, else about 0.8 of `intensity`. [1]

    Returns
    -------
    penalty : ndarray, shape (...)
        At least 1. [1]

    Raises
    ------
    ValueError
        If an argument is outside the range above.

    Notes
    -----
    .. math:: 1 + \tfrac12 n (n - 1) I_u^2 + \tfrac12 n I_v^2

    Exact along the wind for n of 2 and 3 (the signed cube); otherwise good to second order.
    At the same mean thrust gusts cost the penalty of 3 over that of 2 to the power 1.5.

    Assumptions: still water and an ideal propeller. A stream or hull drag in the balance
    weakens or turns round the effect: there, take the mean over `gust_nodes`.

    References
    ----------
    .. [1] Ours, by expansion about the mean; 0.8 is the IEC 61400-1 ratio, as read in the
       documentation of a public coastal library.

    Examples
    --------
    >>> round(float(gust_penalty(0.2, exponent=3.0, lateral_intensity=0.0)), 4)
    1.12
    """
    along = bounded(intensity, name="intensity", low=0.0, high=GREATEST_INTENSITY)
    across = bounded(
        lateral_intensity, name="lateral_intensity", low=0.0, high=GREATEST_INTENSITY
    )
    n = bounded(exponent, name="exponent", low=1.0)
    return np.asarray(1.0 + 0.5 * n * ((n - 1.0) * along**2 + across**2))


def burst_thrust_n(mean_thrust_n: ArrayLike, *, duty: ArrayLike) -> NDArray[np.float64]:
    r"""
    Return the thrust to make while the motor is on, so that bursts give the mean wanted.

    Parameters
    ----------
    mean_thrust_n : array_like, shape (...)
        Thrust the boat needs on average. [N]
    duty : array_like, broadcastable with `mean_thrust_n`
        Share of the time the motor is on, above 0 and up to 1. [1]

    Returns
    -------
    thrust_n : ndarray, shape (...)
        Thrust of a burst; the caller sees whether the motor has it. [N]

    Raises
    ------
    ValueError
        If a thrust is not finite or a duty outside the range above.

    Notes
    -----
    .. math:: T_\mathrm{on} = T / D
    """
    return np.asarray(bounded(mean_thrust_n, name="mean_thrust_n") / _duty(duty))


def burst_mean_power_w(
    on_power_w: ArrayLike, *, duty: ArrayLike, idle_power_w: ArrayLike
) -> NDArray[np.float64]:
    r"""
    Return the mean power of a motor worked in bursts, to compare with holding steadily.

    Parameters
    ----------
    on_power_w : array_like, shape (...)
        Electrical power during a burst, from the motor's own curve at `burst_thrust_n`. [W]
    duty : array_like, broadcastable with `on_power_w`
        Share of the time the motor is on, above 0 and up to 1. [1]
    idle_power_w : array_like, broadcastable with `on_power_w`
        Power drawn between bursts by electronics left on, zero or more. [W]

    Returns
    -------
    power_w : ndarray, shape (...)
        Mean electrical power. [W]

    Raises
    ------
    ValueError
        If a power is negative or a duty outside the range above.

    Notes
    -----
    .. math:: \bar P = D\,P(T/D) + (1 - D)\,P_\mathrm{idle}

    Assumptions: full thrust at once, none the moment the motor stops, and a boat that averages
    the bursts: in wind it moves between them, and has to be brought back. A motor whose
    electronics draw much while on and nothing between can gain by bursts at a light load.

    References
    ----------
    .. [1] Ours.

    Examples
    --------
    >>> float(burst_mean_power_w(800.0, duty=0.25, idle_power_w=4.0))
    203.0
    """
    on = bounded(on_power_w, name="on_power_w", low=0.0)
    idle = bounded(idle_power_w, name="idle_power_w", low=0.0)
    share = _duty(duty)
    return np.asarray(share * on + (1.0 - share) * idle)


def ideal_burst_penalty(duty: ArrayLike) -> NDArray[np.float64]:
    r"""
    Return the power of bursts by that of steady thrust, for an ideal propeller.

    The limit a real motor comes near at heavy load; at light load its own losses hide it.

    Parameters
    ----------
    duty : array_like, shape (...)
        Share of the time the motor is on, above 0 and up to 1. [1]

    Returns
    -------
    penalty : ndarray, shape (...)
        At least 1. [1]

    Raises
    ------
    ValueError
        If a duty is outside the range above.

    Notes
    -----
    .. math:: D\,(1/D)^{3/2} = D^{-1/2}

    since ideal power goes with thrust to the power 1.5 at a standstill. The heat in the
    bank's resistance goes with the current squared: at the same mean current it grows as
    :math:`1/D`, at the same mean thrust as :math:`1/D^2`.

    References
    ----------
    .. [1] Ours, from momentum theory.

    Examples
    --------
    >>> ideal_burst_penalty([1.0, 0.25])
    array([1., 2.])
    """
    return np.asarray(1.0 / np.sqrt(_duty(duty)))


def _duty(duty: ArrayLike) -> NDArray[np.float64]:
    """Return the duty once it is a share of the time that can give thrust."""
    return bounded(duty, name="duty", low=0.0, high=1.0, above=True)


@cache
def _golub_welsch(count: int) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    """Return nodes and weights, made symmetric to the last bit so that odd means vanish."""
    beside = np.sqrt(np.arange(1.0, count))
    value, vector = np.linalg.eigh(np.diag(beside, 1) + np.diag(beside, -1))
    weight = vector[0] ** 2
    weight = 0.5 * (weight + weight[::-1])
    return 0.5 * (value - value[::-1]), weight / weight.sum()
