"""The stiffness of a run: a line through a window of the loading curve, with its sensitivity to that window."""

from dataclasses import dataclass
from typing import Literal

import numpy as np

from validation.rig.signals import smoothed

Method = Literal["fraction", "strain", "steepest"]

FRACTIONS = (0.10, 0.40)
"""Window in parts of the peak force."""

STRAINS = (0.0005, 0.0025)
"""Window in strain of the outer fibre, ISO 178 and ISO 527-1."""

FEWEST = 10
"""Points of a window below which no error is stated."""

_OTHERS = ((0.10, 0.25), (0.25, 0.40), (0.05, 0.40), (0.15, 0.50), (0.10, 0.55))
_SMOOTHNESS = 0.99
_WINDOW_SHARE = 0.2


@dataclass(frozen=True)
class Slope:
    """A fitted line.

    ``value`` in N/mm with ``error`` (about two standard deviations, or half of ``low`` to ``high`` if that is more;
    None below `FEWEST` points, whose scatter says too little), ``low`` and ``high`` from other windows. ``origin`` is
    the travel in mm where the line meets zero force. The window goes from ``start`` to ``stop``, each (travel mm,
    force N), and holds ``points`` samples.
    """

    method: Method
    value: float
    error: float | None
    low: float
    high: float
    origin: float
    start: tuple[float, float]
    stop: tuple[float, float]
    points: int


def fit_slope(
    travel: np.ndarray,
    force: np.ndarray,
    reference: float,
    method: Method = "fraction",
    strain_per_mm: float | None = None,
) -> Slope | None:
    """Return the slope of a loading curve, or None if it has too few points or does not rise.

    Parameters
    ----------
    travel, force : ndarray, shape (n,)
        From contact to the first drop, only where the rig advances; mm and N.
    reference : float
        The force in N that fractions refer to.
    method : str
        ``"fraction"``: least squares between 10 and 40 % of the reference; ``"strain"``: chord between 0.05 and 0.25 %
        strain (least squares from five points up); ``"steepest"``: the steepest straight fifth of the travel, slope by
        Theil and Sen.
    strain_per_mm : float, optional
        Outer-fibre strain per mm of travel, for ``"strain"``.
    """
    if len(force) < 3 or float(np.ptp(travel)) <= 0:
        return None
    main = _line(travel, force, *_between_forces(force, reference, *FRACTIONS))
    if main is None:
        return None
    if method == "steepest":
        main = _steepest(travel, force) or main
    elif method == "strain":
        if strain_per_mm is None:
            return None
        main = _strain_line(travel, force, _origin(main), strain_per_mm)
        if main is None:
            return None
    if not main.k > 0:
        return None
    others = [_line(travel, force, *_between_forces(force, reference, a, b)) for a, b in _OTHERS]
    slopes = [main.k, *(line.k for line in others if line is not None and line.points >= 4)]
    low, high = min(slopes), max(slopes)
    error = max(2 * main.error, 0.5 * (high - low)) if main.points >= FEWEST else None
    return Slope(method, main.k, error, low, high, _origin(main), main.start, main.stop, main.points)


@dataclass(frozen=True)
class _Line:
    k: float
    error: float
    middle: tuple[float, float]
    start: tuple[float, float]
    stop: tuple[float, float]
    points: int


def _origin(line: _Line) -> float:
    """Return the travel at which a line meets zero force."""
    return line.middle[0] - line.middle[1] / line.k


def _between_forces(force: np.ndarray, reference: float, low: float, high: float) -> tuple[int, int]:
    """Return the samples between two parts of a force, by its running maximum without noise; never fewer than three.

    Ends found on the smoothed curve keep the noise from choosing the points, which would flatten the line.
    """
    rising = np.maximum.accumulate(smoothed(force, len(force) // 100))
    start, stop = (int(k) for k in np.searchsorted(rising, [low * reference, high * reference]))
    stop = min(stop, len(force) - 1)
    while stop - start < 2 and (start > 0 or stop < len(force) - 1):
        if stop < len(force) - 1 and (
            start == 0 or rising[stop + 1] - high * reference < low * reference - rising[start - 1]
        ):
            stop += 1
        else:
            start -= 1
    return start, stop + 1


def _line(travel: np.ndarray, force: np.ndarray, start: int, stop: int) -> _Line | None:
    """Return the least-squares line through samples ``start`` to ``stop`` (not included), or None."""
    u, f = travel[start:stop], force[start:stop]
    if len(u) < 2:
        return None
    du = u - u.mean()
    sxx = float(du @ du)
    if sxx <= 0:
        return None
    k = float(du @ f) / sxx
    if not k > 0:
        return None
    rest = f - f.mean() - k * du
    error = float(np.sqrt(rest @ rest / max(len(u) - 2, 1) / sxx))
    middle = float(u.mean()), float(f.mean())
    ends = [(float(x), middle[1] + k * (float(x) - middle[0])) for x in (u[0], u[-1])]
    return _Line(k, error, middle, ends[0], ends[1], len(u))


def _strain_line(travel: np.ndarray, force: np.ndarray, origin: float, strain_per_mm: float) -> _Line | None:
    """Return the line between the two strains, counted from where the line itself meets zero force."""
    reach = np.maximum.accumulate(travel)
    line = None
    for _ in range(30):
        ends = np.searchsorted(reach, [origin + eps / strain_per_mm for eps in STRAINS])
        few = ends[1] - ends[0] < 5
        line = _chord(travel, force, origin, strain_per_mm) if few else _line(travel, force, *ends)
        if line is None or abs(_origin(line) - origin) < 1e-3 * STRAINS[0] / strain_per_mm:
            break
        origin = _origin(line)
    return line


def _chord(travel: np.ndarray, force: np.ndarray, origin: float, strain_per_mm: float) -> _Line | None:
    """Return the chord between the two strains, by interpolation."""
    x = [origin + eps / strain_per_mm for eps in STRAINS]
    reach = np.maximum.accumulate(travel)
    if x[1] > reach[-1] or x[0] < reach[0] - 1e-9:
        return None
    y = np.interp(x, reach, force)
    k = float((y[1] - y[0]) / (x[1] - x[0]))
    if not k > 0:
        return None
    start, stop = (float(x[0]), float(y[0])), (float(x[1]), float(y[1]))
    return _Line(k, 0.0, start, start, stop, 2)


def _steepest(travel: np.ndarray, force: np.ndarray) -> _Line | None:
    """Return the steepest line over a fifth of the travel that fits well, or None."""
    from scipy.stats import theilslopes

    bins = min(200, len(force) // 2)
    if bins < 10:
        return None
    edges = np.linspace(travel[0], travel[-1], bins + 1)
    which = np.clip(np.searchsorted(edges, travel, side="right") - 1, 0, bins - 1)
    count = np.bincount(which, minlength=bins)
    filled = count > 0
    u = np.bincount(which, travel, bins)[filled] / count[filled]
    f = np.bincount(which, force, bins)[filled] / count[filled]
    width = max(5, int(_WINDOW_SHARE * len(u)))
    if len(u) < width + 1:
        return None
    windows_u = np.lib.stride_tricks.sliding_window_view(u, width)
    windows_f = np.lib.stride_tricks.sliding_window_view(f, width)
    du = windows_u - windows_u.mean(axis=1, keepdims=True)
    df = windows_f - windows_f.mean(axis=1, keepdims=True)
    sxx, sxy, syy = (du * du).sum(axis=1), (du * df).sum(axis=1), (df * df).sum(axis=1)
    with np.errstate(divide="ignore", invalid="ignore"):
        slopes, fits = sxy / sxx, sxy**2 / (sxx * syy)
    good = np.flatnonzero(np.isfinite(slopes) & (fits >= _SMOOTHNESS) & (slopes > 0))
    if not len(good):
        return None
    best = int(good[np.argmax(slopes[good])])
    x, y = windows_u[best], windows_f[best]
    k, _, low, high = (float(v) for v in theilslopes(y, x, 0.95))
    middle = float(np.median(x)), float(np.median(y - k * x) + k * np.median(x))
    ends = [(float(e), middle[1] + k * (float(e) - middle[0])) for e in (x[0], x[-1])]
    points = int(((travel >= x[0]) & (travel <= x[-1])).sum())
    return _Line(k, 0.25 * (high - low), middle, ends[0], ends[1], points)
