"""The opening beads leave in one face of a net: the face inset by half a bead, its corners rounded."""

import math
from collections.abc import Callable
from dataclasses import dataclass

import numpy as np

from patterns.errors import InputError
from patterns.planar import Curve

_ROUND_OFF = 1e-9  # lengths below this part of the face's size are nothing


@dataclass(frozen=True)
class Void:
    """Outline of an opening, anticlockwise, and its exact area (mm^2); no curves where it closes."""

    curves: tuple[Curve, ...]
    area: float


class Inset:
    """A polygon whose sides all move inwards alike, so that every corner moves along a straight line.

    Parameters
    ----------
    face : ndarray, shape (n, 2)
        Corners, anticlockwise, mm. Corners above 180 degrees are kept sharp (mitred).
    """

    def __init__(self, face: np.ndarray) -> None:
        sides = np.roll(face, -1, axis=0) - face
        self.along = sides / np.linalg.norm(sides, axis=1)[:, None]
        self.size = float(np.ptp(face, axis=0).max())
        self._normal = np.column_stack([-self.along[:, 1], self.along[:, 0]])
        self._offset = np.einsum("ij,ij->i", self._normal, face)
        self._find_corners()
        self.convex = bool((self.turn > 0).all())

    def _find_corners(self) -> None:
        """Find corner k, where side k begins: its place at depth 0, its velocity, the turn there."""
        before = np.roll(self.along, 1, axis=0)
        sine = before[:, 0] * self.along[:, 1] - before[:, 1] * self.along[:, 0]
        cosine = np.einsum("ij,ij->i", before, self.along)
        self.turn = np.arctan2(sine, cosine)  # positive in a convex corner
        pair = np.stack([np.roll(self._normal, 1, axis=0), self._normal], axis=1)
        value = np.stack([np.roll(self._offset, 1), self._offset], axis=1)
        self.start = np.linalg.solve(pair, value[..., None])[..., 0]
        self.velocity = np.linalg.solve(pair, np.ones((len(pair), 2, 1)))[..., 0]

    def corners(self, depth: float) -> np.ndarray:
        """Return the corners (n, 2) at a depth (mm), mitred."""
        return self.start + depth * self.velocity

    def lengths(self, depth: float) -> np.ndarray:
        """Return the signed side lengths (n,) at a depth; negative ones have turned over."""
        here = self.corners(depth)
        return np.einsum("ij,ij->i", np.roll(here, -1, axis=0) - here, self.along)

    def advance(self, depth: float) -> float:
        """Drop the sides of a convex polygon that shrink to nothing before ``depth``.

        Returns the depth reached: less than ``depth`` where the polygon vanishes on the way.
        """
        reached = 0.0
        while True:
            length, rate = self.lengths(0), self.lengths(1) - self.lengths(0)
            with np.errstate(divide="ignore"):
                ends = np.where(rate < 0, -length / np.minimum(rate, -1e-300), np.inf)
            side = int(ends.argmin())
            if ends[side] >= depth - _ROUND_OFF * self.size:
                return depth
            reached = max(reached, float(ends[side]))
            turn = self.turn[side] + self.turn[(side + 1) % len(ends)]
            if len(ends) == 3 or turn >= math.pi - 1e-9:
                return reached
            self.along, self._normal, self._offset = (
                np.delete(values, side, axis=0) for values in (self.along, self._normal, self._offset)
            )
            self._find_corners()


def inradius(face: np.ndarray) -> float:
    """Return the radius (mm) of the largest circle in a convex polygon given anticlockwise."""
    return Inset(face).advance(math.inf)


def largest_radius(face: np.ndarray, width: float) -> float:
    """Return the largest corner radius (mm) of the void in a face; negative if the bead leaves none.

    For a convex face it is the inradius of the void. A face with corners above 180 degrees needs room for the
    fillets on its sides, and a circle of the radius must pass between any two parts of the void's outline.
    """
    shape = Inset(face)
    if shape.convex:
        return shape.advance(math.inf) - width / 2
    if not _fits(shape, width / 2, 0.0):
        return -1.0
    return _bisect(lambda radius: _fits(shape, width / 2, radius), 0.0, shape.size)


def smallest_scale(face: np.ndarray, width: float, radius: float) -> float:
    """Return the least factor on a face (mm) at which this bead leaves a void for this corner radius."""
    shape = Inset(face)
    if shape.convex:
        return (width / 2 + radius) / shape.advance(math.inf)
    shrink = _bisect(lambda s: _fits(shape, s * width / 2, s * radius), 0.0, shape.size / width)
    return 1 / shrink


def void_in(face: np.ndarray, width: float, radius: float) -> Void:
    """Return the void of a face between beads on its sides.

    Parameters
    ----------
    face : ndarray, shape (n, 2)
        Corners on the centre-lines, anticlockwise, mm.
    width : float
        Bead width, mm.
    radius : float
        Corner radius, mm. The void is the morphological opening of the inset face by a disc of this radius:
        corners below 180 degrees become arcs, sides too short for them vanish, corners above stay sharp.

    Raises
    ------
    InputError
        If the bead leaves no opening or the radius is above `largest_radius`.
    """
    limit, tolerance = largest_radius(face, width), _ROUND_OFF * float(np.ptp(face, axis=0).max())
    if limit < -tolerance:
        raise InputError(f"a bead {width:.4g} mm wide leaves no opening: use a larger pitch or a lower fill")
    if radius > limit + tolerance:
        raise InputError(
            f"corner radius {radius:.4g} mm does not fit: the smallest void takes at most "
            f"{max(limit, 0):.4g} mm; lower the radius or the fill"
        )
    if limit <= tolerance:
        return Void((), 0.0)
    shape, depth = Inset(face), width / 2 + min(radius, limit)
    if shape.convex:
        shape.advance(depth)
    sharp = shape.corners(width / 2)
    turn = np.maximum(shape.turn, 0) if radius > 0 else np.zeros(len(sharp))
    fillets = radius**2 * (np.tan(turn / 2) - turn / 2).sum()
    return Void(_outline(shape, depth, radius, sharp, turn > 0), _area(sharp) - float(fillets))


def _outline(
    shape: Inset, depth: float, radius: float, sharp: np.ndarray, rounded: np.ndarray
) -> tuple[Curve, ...]:
    """Sides and fillets in turn; a side as good as gone joins its neighbours in its middle."""
    centre = shape.corners(depth)
    outward = radius * np.column_stack([shape.along[:, 1], -shape.along[:, 0]])
    enter = np.where(rounded[:, None], centre + np.roll(outward, 1, axis=0), sharp)
    leave = np.where(rounded[:, None], centre + outward, sharp)
    step = np.roll(enter, -1, axis=0) - leave
    gone = np.linalg.norm(step, axis=1) <= 1e-6 * depth
    leave[gone] += step[gone] / 2
    enter[np.roll(gone, 1)] = leave[gone]
    curves = []
    for k in range(len(centre)):
        if rounded[k]:
            curves.append(Curve("arc", np.array([enter[k], centre[k], leave[k]])))
        if not gone[k]:
            curves.append(Curve("line", np.array([leave[k], enter[(k + 1) % len(enter)]])))
    return tuple(curves)


def _fits(shape: Inset, inset: float, radius: float) -> bool:
    """Whether a face with reflex corners keeps all its sides at this inset, with room for the fillets."""
    slack = _ROUND_OFF * shape.size
    sharp, convex = shape.corners(inset), shape.turn > 0
    tangent = np.where(convex, radius * np.tan(np.maximum(shape.turn, 0) / 2), 0)
    if (shape.lengths(inset) < tangent + np.roll(tangent, -1) - slack).any():
        return False
    n, ends = len(sharp), np.roll(sharp, -1, axis=0)
    centre = np.where(convex[:, None], shape.corners(inset + radius), sharp)
    for k in range(n):
        far = [j for j in range(n) if j not in (k, (k - 1) % n)]
        room = radius if convex[k] else 2 * radius
        if (_distances(centre[k], sharp[far], ends[far]) < room - slack).any():
            return False
    return _area(sharp) > 0


def _distances(point: np.ndarray, start: np.ndarray, end: np.ndarray) -> np.ndarray:
    """Distances (n,) from a point to straight pieces."""
    side = end - start
    share = np.einsum("ij,ij->i", point - start, side) / np.einsum("ij,ij->i", side, side)
    return np.linalg.norm(start + np.clip(share, 0, 1)[:, None] * side - point, axis=1)


def _bisect(holds: Callable[[float], bool], low: float, high: float) -> float:
    """Return the largest value up to which a condition holds, to 13 digits of ``high``."""
    while high - low > 1e-13 * high:
        middle = (low + high) / 2
        low, high = (middle, high) if holds(middle) else (low, middle)
        if high < 1e-12:
            break
    return low


def _area(corners: np.ndarray) -> float:
    x, y = corners.T
    return float(x @ np.roll(y, -1) - y @ np.roll(x, -1)) / 2
