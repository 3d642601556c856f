"""Straight lines and true arcs from the corners of tiles: polygons as a planar map."""

import math
from collections.abc import Callable, Sequence
from functools import partial
from itertools import combinations, pairwise

import numpy as np
from shapely import Polygon
from shapely.geometry.polygon import orient

from patterns.cells.planar import Curve, Planar, Region
from patterns.outlines.outline import SNAP_MM

_OFF = 1.5 * SNAP_MM  # corners this close to a line or circle lie on it, rounding included
_LARGEST_STEP = np.radians(16)  # turn from one side to the next along an arc: larger ones are corners
_LARGEST_ARC = np.radians(120)  # swept by one arc: a planar map takes less than half a turn
_CUSP = math.cos(math.radians(20))  # cosine of the angle between borders that nearly touch where they meet
_CUT_SHORT = 5e-3  # mm between an arc and the straight line that leads into a cusp

Point = tuple[float, float]


def planar_map(polygons: Sequence[Polygon], tags: Sequence[int] | np.ndarray) -> Planar:
    """Return the polygons as regions bounded by lines and arcs.

    Runs of three or more sides whose corners lie on one circle and turn by at most 16 degrees each become arcs,
    so a circle or fillet drawn as a fine polygon is meshed as the curve it stands for. Where borders meet at a
    cusp, the last tenths of a millimetre stay straight: no curved triangle fits between curves that touch.

    Parameters
    ----------
    polygons : sequence of Polygon
        Tiles that share every vertex of their common borders, see `fem.section.tiles.tile`.
    tags : sequence or array of int
        Tag of each region.
    """
    rings = [[list(ring.coords) for ring in (p.exterior, *p.interiors)] for p in map(orient, polygons)]
    beside = _neighbours([ring for polygon in rings for ring in polygon])
    chains, cusps = _chains(beside), _cusps(beside)
    curves: list[Curve] = []
    numbers: dict[tuple[Point, Point], tuple[int, ...]] = {}  # by first side, in each sense
    for chain in chains:
        pieces = _pieces(np.array(chain), np.array([point in cusps for point in chain]))
        made = tuple(range(len(curves) + 1, len(curves) + len(pieces) + 1))
        curves += pieces
        numbers[chain[0], chain[1]] = made
        numbers[chain[-1], chain[-2]] = tuple(-k for k in reversed(made))
    regions = []
    for polygon, tag in zip(rings, tags, strict=True):
        outer, *holes = [
            tuple(k for side in pairwise(ring) for k in numbers.get(side, ())) for ring in polygon
        ]
        regions.append(Region(outer, tuple(holes), int(tag)))
    return Planar(tuple(curves), tuple(regions))


def _neighbours(rings: list[list[Point]]) -> dict[Point, list[Point]]:
    """Corners at the other ends of the sides that meet in each corner."""
    beside: dict[Point, list[Point]] = {}
    for ring in rings:
        for a, b in pairwise(ring):
            for here, there in ((a, b), (b, a)):
                if there not in beside.setdefault(here, []):
                    beside[here].append(there)
    return beside


def _cusps(beside: dict[Point, list[Point]]) -> set[Point]:
    """Corners where two sides leave in nearly the same direction."""
    found = set()
    for (y, z), ends in beside.items():
        arms = [(end[0] - y, end[1] - z) for end in ends]
        for (a, b), (c, d) in combinations(arms, 2):
            if a * c + b * d > _CUSP * math.hypot(a, b) * math.hypot(c, d):
                found.add((y, z))
    return found


def _chains(beside: dict[Point, list[Point]]) -> list[list[Point]]:
    """Return runs of sides between junctions, where other than two sides meet; the rest are closed runs."""
    left = {(a, b) for a, ends in beside.items() for b in ends}
    chains = []
    for start in [point for point, ends in beside.items() if len(ends) != 2]:
        for following in beside[start]:
            if (start, following) in left:
                chains.append(_walk(start, following, beside, left))
    for start in beside:
        if (start, beside[start][0]) in left:
            chains.append(_from_corner(_walk(start, beside[start][0], beside, left)))
    return chains


def _walk(
    start: Point, following: Point, beside: dict[Point, list[Point]], left: set[tuple[Point, Point]]
) -> list[Point]:
    """Points from ``start`` to the next junction or back to ``start``; the sides are taken out of ``left``."""
    chain = [start, following]
    while len(beside[chain[-1]]) == 2 and chain[-1] != start:
        one, other = beside[chain[-1]]
        chain.append(other if one == chain[-2] else one)
    for a, b in pairwise(chain):
        left -= {(a, b), (b, a)}
    return chain


def _from_corner(loop: list[Point]) -> list[Point]:
    """Turn a closed run so that it starts at its sharpest corner, or else at an end of its longest side."""
    points = np.array([loop[-2], *loop])
    sharp = np.round(np.abs(turns(points)), 6)
    k = int(np.argmax(sharp))
    if sharp[k] <= _LARGEST_STEP:
        k = int(np.argmax(np.round(np.linalg.norm(np.diff(points[1:], axis=0), axis=1), 6)))
    return [*loop[k:-1], *loop[: k + 1]]


def turns(points: np.ndarray) -> np.ndarray:
    """Return the signed turn, rad, at every inner point of a polyline."""
    side = np.diff(points, axis=0)
    a, b = side[:-1], side[1:]
    found: np.ndarray = np.arctan2(a[:, 0] * b[:, 1] - a[:, 1] * b[:, 0], (a * b).sum(axis=1))
    return found


def _pieces(points: np.ndarray, cusp: np.ndarray) -> list[Curve]:
    """Lines and arcs along a chain, each as long as the corners allow; lines next to a cusp."""
    pieces: list[Curve] = []
    turn = np.concatenate([[0.0], turns(points), [0.0]])
    i, last = 0, len(points) - 1
    while i < last:
        straight = _furthest(i, last, partial(_on_line, points))
        bent = _furthest(i, last, partial(_on_arc, points, turn))
        if bent > straight and _even_sides(points[i : bent + 1]) >= 3:
            run = points[i : bent + 1]
            start = _led_straight(run) if cusp[i] else 0
            end = len(run) - 1 - (_led_straight(run[::-1]) if cusp[bent] else 0)
            if end - start >= 3:
                pieces += [Curve("line", run[[0, start]])] if start else []
                pieces += _arcs(run[start : end + 1], turn[i + start + 1 : i + end])
                pieces += [Curve("line", run[[end, -1]])] if end < len(run) - 1 else []
            else:
                pieces += [Curve("line", side) for side in np.stack([run[:-1], run[1:]], axis=1)]
            i = bent
        else:
            pieces.append(Curve("line", points[[i, straight]]))
            i = straight
    return pieces


def _furthest(i: int, last: int, fits: Callable[[int, int], bool]) -> int:
    """Largest j up to ``last`` with ``fits(i, j)``, which holds for i + 1 and, once lost, stays lost."""
    good, step = i + 1, 1
    while good < last and fits(i, min(good + step, last)):
        good, step = min(good + step, last), 2 * step
    while step > 1:
        step //= 2
        if good + step <= last and fits(i, good + step):
            good += step
    return good


def _led_straight(run: np.ndarray) -> int:
    """How many sides of an arc one straight line may replace at its start."""
    return _furthest(0, len(run) - 1, partial(_on_line, run, off=_CUT_SHORT))


def _on_line(points: np.ndarray, i: int, j: int, off: float = _OFF) -> bool:
    along, arm = points[j] - points[i], points[i + 1 : j] - points[i]
    length = np.linalg.norm(along)
    return bool(length > 0 and np.abs(arm[:, 0] * along[1] - arm[:, 1] * along[0]).max() <= off * length)


def _on_arc(points: np.ndarray, turn: np.ndarray, i: int, j: int) -> bool:
    inner = turn[i + 1 : j]
    if np.abs(inner).max() > _LARGEST_STEP or (inner * np.sign(inner[0]) <= 0).any():
        return False
    if abs(inner.sum()) > 2 * np.pi:
        return False
    centre, radius = _circle(points[i : j + 1])
    return bool(np.abs(np.linalg.norm(points[i : j + 1] - centre, axis=1) - radius).max() <= _OFF)


def _even_sides(points: np.ndarray) -> int:
    """How many sides are at least half as long as the longest: one alone is a line between two fillets."""
    length = np.linalg.norm(np.diff(points, axis=0), axis=1)
    return int((length >= length.max() / 2).sum())


def _circle(points: np.ndarray) -> tuple[np.ndarray, float]:
    """Centre and radius of the nearest circle, by least squares of the squared radius (Kasa 1976)."""
    middle = points.sum(axis=0) / len(points)
    arm = points - middle
    moments, square = arm.T @ arm, (arm * arm).sum(axis=1)
    det = moments[0, 0] * moments[1, 1] - moments[0, 1] ** 2
    if det <= 0:
        return middle, np.inf
    p, q = arm.T @ square / (2 * det)
    y, z = moments[1, 1] * p - moments[0, 1] * q, moments[0, 0] * q - moments[0, 1] * p
    return middle + (y, z), float(np.sqrt(y * y + z * z + square.sum() / len(points)))


def _arcs(points: np.ndarray, turn: np.ndarray) -> list[Curve]:
    """Arcs through corners of one circle, cut so that none sweeps more than a third of a turn."""
    sweep = float(turn.sum()) * len(points) / (len(points) - 1)
    count = math.ceil(abs(sweep) / _LARGEST_ARC - 1e-9)
    _, radius = _circle(points)
    cuts = np.round(np.linspace(0, len(points) - 1, count + 1)).astype(int)
    arcs = []
    for start, end in zip(points[cuts[:-1]], points[cuts[1:]], strict=True):
        chord = end - start
        half = float(np.linalg.norm(chord)) / 2
        inward = np.array([-chord[1], chord[0]]) / (2 * half) * np.sign(sweep)
        centre = (start + end) / 2 + inward * math.sqrt(max(radius**2 - half**2, 0.0))
        arcs.append(Curve("arc", np.array([start, centre, end])))
    return arcs
