"""
Changes with their sign; one that rounds to nothing has none.

Depends on: nothing.
"""

from __future__ import annotations


def signed(value: float, digits: int = 0) -> str:
    """
    Return a change with its sign.

    Parameters
    ----------
    value : float
        The change, in the unit that is printed.
    digits : int
        Decimals. [count]

    Examples
    --------
    >>> signed(2.04, 1), signed(-2.0), signed(-0.04, 1)
    ('+2.0', '-2', '0.0')
    """
    text = f"{value:+.{digits}f}"
    return text if float(text) else text[1:]


def points(share: float) -> str:
    """
    Return a change of charge in whole points.

    Examples
    --------
    >>> points(0.21), points(-0.01), points(-0.004)
    ('+21 points', '-1 point', '0 points')
    """
    told = signed(100.0 * share)
    return f"{told} point{'' if told in {'+1', '-1'} else 's'}"
