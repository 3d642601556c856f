"""How far a mean stiffness still is from its limit, from the energies of three successive orders.

Displacement orders are nested, so the mean stiffness falls, as a quadratic form, towards its limit. Along every
principal direction of the last fall the rest is extrapolated by Szabo's rule: with N the number of unknowns and
e_p the error left at order p, log(e_p/e_q) is proportional to log(N_p/N_q). The rule is exact for algebraic convergence
and too careful for smooth cells, which converge almost geometrically, so the exponent is taken two thirds of the way
from geometric (1) to Szabo's. Where a small algebraic part hides behind an exponential one (sharp corners,
material that jumps inside elements) the rule would be misled, and the error is then taken to shrink no faster
than p^-rate.

B. Szabo and I. Babuska, Finite Element Analysis, 1991, chapter 4 (from memory).
"""

import math
from collections.abc import Sequence

import numpy as np

from fem.material.stiffness import engineering

_MANDEL = np.sqrt([1, 1, 1, 2, 2, 2])  # makes the quadratic form independent of the axes
_LARGEST = 10.0  # times the last fall, where the falls do not shrink
SHARP_RATE = 2.0
"""Order p shrinks the energy error of a stress singularity r^(a-1) as p^(-4a), and a >= 1/2 at any corner."""
JUMP_RATE = 1.5
"""Observed where the bead direction jumps inside elements: p^-1.4 to p^-2 in square, triangular, kagome, hexagonal and
rhombic cells against meshes five times finer."""
SMALL_RATIO = 0.1
"""Poisson's ratios below this size have their error compared with it, since they may pass through zero."""


def remaining(
    stiffness: Sequence[np.ndarray], unknowns: Sequence[int], order: int, rate: float = math.inf
) -> np.ndarray:
    """Estimate what the last of three stiffness matrices has too much.

    Parameters
    ----------
    stiffness : sequence of 3 ndarray, shape (6, 6)
        Mean stiffness at three successive orders, MPa.
    unknowns : sequence of 3 int
        Unknowns behind them.
    order : int
        The last order p.
    rate : float
        The error is taken to shrink no faster than p^-rate.

    Returns
    -------
    ndarray, shape (6, 6)
        Positive semi-definite D, MPa: the limit is about ``stiffness[-1] - D``.
    """
    first, second, last = (_MANDEL[:, None] * C * _MANDEL for C in stiffness)
    strength, modes = np.linalg.eigh(last)
    held = strength > 1e-10 * strength[-1]
    scale = modes[:, held] / np.sqrt(strength[held])
    falls, directions = np.linalg.eigh(scale.T @ (second - last) @ scale)
    earlier = np.einsum("ik,ij,jk->k", directions, scale.T @ (first - second) @ scale, directions)
    szabo = math.log(unknowns[1] / unknowns[2]) / math.log(unknowns[0] / unknowns[1])
    Q = (2 * szabo + 1) / 3
    ratio = (1 - 1 / order) ** rate
    rest = [max(_rest(a, b, Q), b * ratio / (1 - ratio)) for a, b in zip(earlier, falls, strict=True)]
    back = modes[:, held] * np.sqrt(strength[held]) @ directions / _MANDEL[:, None]
    found: np.ndarray = back * rest @ back.T
    return found


def _rest(earlier: float, fall: float, Q: float) -> float:
    """Solve e = (fall + e) ((fall + e)/(earlier + fall + e))^Q for the error left."""
    if fall <= 0:
        return 0.0  # round-off
    if earlier <= 0 or fall >= 0.9 * Q * earlier:
        return _LARGEST * fall
    e = 0.0
    for _ in range(100):
        new = (fall + e) * ((fall + e) / (earlier + fall + e)) ** Q
        if abs(new - e) < 1e-3 * fall:
            break
        e = new
    return float(min(new, _LARGEST * fall))


def relative_errors(C: np.ndarray, D: np.ndarray) -> dict[str, float | None]:
    """Return the relative error of every engineering constant when C is D too stiff; None where it is undefined.

    A Poisson's ratio is a quotient of compliances whose errors may cancel by luck, so it gets at least the error of its
    Young's modulus.
    """
    now, limit = engineering(C).as_dict(), engineering(C - D).as_dict()
    found: dict[str, float | None] = {}
    for name, value in now.items():
        other, scale = limit[name], abs(value or 0.0)
        if value is None or other is None:
            found[name] = None
        elif name.startswith("nu"):
            own = abs(value - other)
            young = found[f"E{name[2]}"]
            found[name] = max(own, scale * (young or 0.0)) / max(scale, SMALL_RATIO)
        else:
            found[name] = abs(value - other) / scale
    return found
