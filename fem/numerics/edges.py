"""Cut curves into edges by one size function, alike on curves that are one curve in the periodic plan."""

import math
from collections.abc import Sequence

import numpy as np
from scipy.spatial import cKDTree

from patterns.cells.planar import Curve, PeriodicPair, Planar

_LARGEST_TURN = 0.8  # rad of an arc in one edge: a quarter turn gets at least two
_STEP = 1.1  # sizes are rounded down to powers of it, so that many sizes make few search trees
SHARES = (1 + np.cos(np.pi * np.arange(7, 0, -1) / 8)) / 2  # Chebyshev-Lobatto points inside an edge


class Path:
    """A curve by its arc length (a spline: by the length of its chords): position at any share u of it."""

    def __init__(self, curve: Curve) -> None:
        self.curve = curve
        points = np.asarray(curve.points, dtype=float)
        self.turn = 0.0  # rad, of an arc; splines are left to their size
        if curve.kind == "line":
            self.length = float(np.linalg.norm(points[1] - points[0]))
        elif curve.kind == "arc":
            start, self._centre, end = points
            first, last = start - self._centre, end - self._centre
            self._start = np.arctan2(first[1], first[0])
            self._sweep = np.arctan2(first[0] * last[1] - first[1] * last[0], first @ last)
            self.turn = abs(float(self._sweep))
            self.length = float(np.linalg.norm(first)) * self.turn
        else:
            from scipy.interpolate import CubicSpline  # takes a third of a small cell's time to load

            chord = np.concatenate([[0], np.cumsum(np.linalg.norm(np.diff(points, axis=0), axis=1))])
            self._spline = CubicSpline(chord, points)
            self.length = float(chord[-1])
        self._points = points

    def at(self, u: np.ndarray) -> np.ndarray:
        """Points (n, 2) at the shares ``u`` of the length; the ends are exactly the given ends."""
        u = np.asarray(u, dtype=float)[:, None]
        start, end = self._points[0], self._points[-1]
        if self.curve.kind == "line":
            straight: np.ndarray = start + u * (end - start)
            return straight
        if self.curve.kind == "arc":
            angle = self._start + u * self._sweep
            radius = np.linalg.norm(start - self._centre)
            found = self._centre + radius * np.hstack([np.cos(angle), np.sin(angle)])
        else:
            found = self._spline(u[:, 0] * self.length)
        result: np.ndarray = np.where(u <= 0, start, np.where(u >= 1, end, found))
        return result

    def least_radius(self) -> float:
        """Smallest radius of curvature of a spline in mm."""
        u = np.linspace(0, self.length, 8 * len(self._points))
        (x1, y1), (x2, y2) = self._spline(u, 1).T, self._spline(u, 2).T
        return float(1 / max(np.max(np.abs(x1 * y2 - y1 * x2) / np.hypot(x1, y1) ** 3), 1e-12))


class SizeField:
    """Wanted edge length: the smallest of the general one and each local one grown with distance."""

    def __init__(self, planar: Planar, size: float, growth: float, fine_points: np.ndarray | None) -> None:
        self._size, self._growth = size, growth
        sources: dict[int, list[np.ndarray]] = {}
        for curve in planar.curves:
            if curve.size is not None and curve.size < size:
                path = Path(curve)
                shares = np.linspace(0, 1, max(3, int(2 * path.length / curve.size) + 2))
                sources.setdefault(_class(curve.size / size), []).append(path.at(shares))
        for x, y, local in fine_points if fine_points is not None else ():
            if local < size:
                sources.setdefault(_class(local / size), []).append(np.array([[x, y]]))
        self._trees = [
            (size * _STEP**k, cKDTree(np.concatenate(points))) for k, points in sorted(sources.items())
        ]

    def at(self, points: np.ndarray) -> np.ndarray:
        """Wanted edge length (n,) in mm at points (n, 2)."""
        wanted = np.full(len(points), self._size)
        for local, tree in self._trees:
            distance, _ = tree.query(points)
            wanted = np.minimum(wanted, local + self._growth * distance)
        return wanted


def _class(ratio: float) -> int:
    return math.floor(math.log(ratio) / math.log(_STEP) + 1e-9)


def cut_curves(curves: list[Path], pairs: Sequence[PeriodicPair], wanted: SizeField) -> list[np.ndarray]:
    """Return the shares of its length at which each curve is cut.

    Curves that are one curve in the periodic plan get the same cuts.
    """
    leader = list(range(len(curves)))

    def lead(k: int) -> int:
        while leader[k] != k:
            k = leader[k]
        return k

    for pair in pairs:
        leader[lead(pair.curve - 1)] = lead(pair.partner - 1)
    groups: dict[int, list[int]] = {}
    for k in range(len(curves)):
        groups.setdefault(lead(k), []).append(k)
    cuts: list[np.ndarray] = [np.empty(0)] * len(curves)
    for members in groups.values():
        shares = np.unique(np.concatenate([_sample(curves[k], wanted) for k in members]))
        demand = np.max([curves[k].length / wanted.at(curves[k].at(shares)) for k in members], axis=0)
        steps = np.concatenate([[0], np.cumsum(np.diff(shares) * (demand[1:] + demand[:-1]) / 2)])
        turn = max(curves[k].turn for k in members)
        needed = max(1, int(np.ceil(steps[-1] - 1e-9)), int(np.ceil(turn / _LARGEST_TURN)))
        cut = np.interp(np.linspace(0, steps[-1], needed + 1), steps, shares)
        cut[0], cut[-1] = 0, 1
        for k in members:
            cuts[k] = cut
    return cuts


def _sample(path: Path, wanted: SizeField) -> np.ndarray:
    """Shares dense enough to follow the size function along a curve."""
    shares = np.linspace(0, 1, 33)
    for _ in range(12):  # halve where the wanted size is far below the sampling step
        step = np.diff(shares) * path.length
        middle = (shares[1:] + shares[:-1]) / 2
        sizes = wanted.at(path.at(shares))
        coarse = step > 0.5 * np.minimum(sizes[1:], sizes[:-1])
        if not coarse.any():
            break
        shares = np.sort(np.concatenate([shares, middle[coarse]]))
    return shares


def halve(cuts: list[np.ndarray], pairs: Sequence[PeriodicPair], chosen: set[int]) -> list[np.ndarray]:
    """Return the cuts with every edge of the chosen curves, and of their periodic copies, halved."""
    grown = True
    while grown:
        ties = [(pair.curve - 1, pair.partner - 1) for pair in pairs]
        more = {b for a, b in ties if a in chosen} | {a for a, b in ties if b in chosen}
        grown = not more <= chosen
        chosen = chosen | more
    return [
        np.sort(np.concatenate([cut, (cut[1:] + cut[:-1]) / 2])) if k in chosen else cut
        for k, cut in enumerate(cuts)
    ]
