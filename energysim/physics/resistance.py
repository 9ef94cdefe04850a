"""
Laws of a hull's resistance, each by itself: friction, skin, residuary, cross-flow, shallows.

Depends on: `physics.bounds`.
"""

import numpy as np
from numpy.typing import ArrayLike, NDArray

from energysim.physics.bounds import bounded

LOWEST_REYNOLDS = 1.0e5
"""Below this the friction coefficient stays put (ours); a boat at about 0.02 m/s. [1]"""


def ittc57_friction_coefficient(reynolds: ArrayLike) -> NDArray[np.float64]:
    r"""
    Return the friction coefficient of a hull's skin.

    Parameters
    ----------
    reynolds : array_like, shape (...)
        Reynolds number on the waterline length, zero or more. [1]

    Returns
    -------
    coefficient : ndarray, shape (...)
        Friction over velocity pressure and wetted area. [1]

    Raises
    ------
    ValueError
        If a Reynolds number is negative.

    Notes
    -----
    .. math:: C_F = \frac{0.075}{(\log_{10} Re - 2)^2}

    Turbulent flow over the whole skin. The line runs off to infinity at 100, so below 1e5 its
    value there is kept (ours): the force is a few hundredths of a newton by then.

    References
    ----------
    .. [1] ITTC 1957 model-ship correlation line, read in Morrall 1970, NPL Ship Report 142.

    Examples
    --------
    >>> round(float(ittc57_friction_coefficient(1e7)), 6)
    0.003
    """
    number = bounded(reynolds, name="reynolds", low=0.0)
    log = np.log10(np.maximum(number, LOWEST_REYNOLDS)) - 2.0
    return np.asarray(0.075 / (log * log))


def wetted_area_chine_m2(
    length_m: ArrayLike, *, beam_m: ArrayLike, draft_m: ArrayLike, volume_m3: ArrayLike
) -> NDArray[np.float64]:
    r"""
    Return the wetted skin of a wide, shallow hull with chines and a transom.

    Parameters
    ----------
    length_m, beam_m, draft_m : array_like, broadcastable together
        Waterline length, waterline beam and draft of the hull. [m]
    volume_m3 : array_like, broadcastable with `length_m`
        Displaced volume. [m^3]

    Returns
    -------
    area_m2 : ndarray, shape (...)
        Wetted area without the transom. [m^2]

    Raises
    ------
    ValueError
        If an argument is not above zero.

    Notes
    -----
    .. math::

        S = \nabla^{2/3}\; 2.262 \sqrt{L / \nabla^{1/3}}
            \left(1 + 0.046\,\frac{B}{T} + 0.00287\,\frac{B^2}{T^2}\right)

    Within 6 % of two meshed V-bottom hulls we measured, where formulas for ships were 22 to
    34 % short.

    References
    ----------
    .. [1] Mercier and Savitsky 1973, from memory.
    """
    length = bounded(length_m, name="length_m", low=0.0, above=True)
    beam = bounded(beam_m, name="beam_m", low=0.0, above=True)
    draft = bounded(draft_m, name="draft_m", low=0.0, above=True)
    edge = np.cbrt(bounded(volume_m3, name="volume_m3", low=0.0, above=True))
    ratio = beam / draft
    shape = 1.0 + ratio * (0.046 + 0.00287 * ratio)
    return np.asarray(edge * edge * 2.262 * np.sqrt(length / edge) * shape)


def wetted_area_round_m2(
    length_m: ArrayLike, *, draft_m: ArrayLike, volume_m3: ArrayLike
) -> NDArray[np.float64]:
    r"""
    Return the wetted skin of a round-bilged hull of ship shape, for comparison.

    Parameters
    ----------
    length_m, draft_m : array_like, broadcastable together
        Waterline length and draft. [m]
    volume_m3 : array_like, broadcastable with `length_m`
        Displaced volume. [m^3]

    Returns
    -------
    area_m2 : ndarray, shape (...)
        Wetted area. [m^2]

    Raises
    ------
    ValueError
        If an argument is not above zero.

    Notes
    -----
    .. math:: S = 1.7\,L\,T + \nabla / T

    About a quarter short on the wide, shallow hulls of this package.

    References
    ----------
    .. [1] Denny-Mumford, as eq. 18 of UFC 4-159-03, Design: Moorings, 2005.

    Examples
    --------
    >>> round(float(wetted_area_round_m2(4.85, draft_m=0.192, volume_m3=0.9)), 2)
    6.27
    """
    length = bounded(length_m, name="length_m", low=0.0, above=True)
    draft = bounded(draft_m, name="draft_m", low=0.0, above=True)
    volume = bounded(volume_m3, name="volume_m3", low=0.0, above=True)
    return np.asarray(1.7 * length * draft + volume / draft)


def residuary_per_weight(
    froude: ArrayLike, *, froude_nodes: ArrayLike, per_weight_nodes: ArrayLike
) -> NDArray[np.float64]:
    r"""
    Return the wave-making part of the resistance over the boat's weight.

    Parameters
    ----------
    froude : array_like, shape (...)
        Froude number on the waterline length, zero or more. [1]
    froude_nodes : array_like, shape (nodes,)
        Froude numbers measured at, increasing, above zero, at least two. [1]
    per_weight_nodes : array_like, shape (nodes,)
        Residuary resistance over weight measured there. [1]

    Returns
    -------
    per_weight : ndarray, shape (...)
        Residuary resistance over weight. [1]

    Raises
    ------
    ValueError
        If a Froude number is negative, or the nodes are not as said above.

    Notes
    -----
    Read between nodes as :math:`R/(W\,Fn^2)`, a straight line in :math:`Fn` that starts from
    zero at rest, so that the force rises smoothly from nothing and meets every node (ours).
    Past the last node the last line is carried on to twice its Froude number, then held
    (ours): good for a rough figure, since the boat is then beyond what a bow motor does.
    """
    number = bounded(froude, name="froude", low=0.0)
    at = bounded(froude_nodes, name="froude_nodes", low=0.0, above=True)
    ratio = bounded(per_weight_nodes, name="per_weight_nodes", low=0.0)
    if at.ndim != 1 or at.size < 2 or ratio.shape != at.shape or (np.diff(at) <= 0.0).any():
        raise ValueError(
            f"froude_nodes = {at} and per_weight_nodes = {ratio}; they must be two rows of "
            "equal length, at least two long, the first increasing"
        )
    curve = ratio / (at * at)
    beyond = max(curve[-1] + at[-1] * (curve[-1] - curve[-2]) / (at[-1] - at[-2]), curve[-1])
    nodes = np.concatenate(([0.0], at, [2.0 * at[-1]]))
    values = np.concatenate(([0.0], curve, [beyond]))
    return np.asarray(np.interp(number, nodes, values) * number * number)


def hoerner_cross_flow_coefficient(
    beam_over_two_drafts: ArrayLike, *, ratio_nodes: ArrayLike, coefficient_nodes: ArrayLike
) -> NDArray[np.float64]:
    """
    Return the sideways drag coefficient of a rounded ship section.

    Parameters
    ----------
    beam_over_two_drafts : array_like, shape (...)
        Beam over twice the draft, above zero. [1]
    ratio_nodes, coefficient_nodes : array_like, shape (nodes,)
        The curve (data/hoerner_crossflow.csv), ratios increasing. [1]

    Returns
    -------
    coefficient : ndarray, shape (...)
        On waterline length times draft; the end values are kept outside the curve. [1]

    Raises
    ------
    ValueError
        If a ratio is not above zero.

    Notes
    -----
    Small fishing boats sit at 3.7 to 5.7, near or past the flat end (0.56), and their corners
    are sharp: the days are worked with 1.0 instead (see `physics.hull`).

    References
    ----------
    .. [1] Hoerner 1965, digitised in Leite et al. 1998; read in a public marine-systems code
       library, not in the book.
    """
    ratio = bounded(beam_over_two_drafts, name="beam_over_two_drafts", low=0.0, above=True)
    return np.asarray(np.interp(ratio, np.asarray(ratio_nodes), np.asarray(coefficient_nodes)))


def shallow_water_coefficient(
    deep_coefficient: ArrayLike, *, draft_m: ArrayLike, depth_m: ArrayLike
) -> NDArray[np.float64]:
    r"""
    Return the sideways drag coefficient where the bottom is near.

    Parameters
    ----------
    deep_coefficient : array_like, shape (...)
        Coefficient in deep water, 0 to 3.2. [1]
    draft_m : array_like, broadcastable with `deep_coefficient`
        Draft of the hull, above zero. [m]
    depth_m : array_like, broadcastable with `deep_coefficient`
        Depth of the water, no less than the draft. [m]

    Returns
    -------
    coefficient : ndarray, shape (...)
        Between the deep one and 3.2, the value of a hull that touches. [1]

    Raises
    ------
    ValueError
        If an argument is outside the range above.

    Notes
    -----
    .. math:: C = C_0 + (3.2 - C_0)\,(T / d)^2

    References
    ----------
    .. [1] UFC 4-159-03, Design: Moorings, 2005, eq. 11. Its exponent was lost in the copy
       read; 2 is the whole number that fits its table 4-6.

    Examples
    --------
    >>> round(float(shallow_water_coefficient(1.0, draft_m=0.2, depth_m=0.6)), 3)
    1.244
    """
    deep = bounded(deep_coefficient, name="deep_coefficient", low=0.0, high=3.2)
    draft = bounded(draft_m, name="draft_m", low=0.0, above=True)
    depth = bounded(depth_m, name="depth_m", low=0.0, above=True)
    share = bounded(draft / depth, name="draft_m / depth_m", low=0.0, high=1.0)
    return np.asarray(deep + (3.2 - deep) * share * share)
