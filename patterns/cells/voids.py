"""The opening beads leave in one face of a net: the face inset by half a bead, its corners rounded."""

import math
from dataclasses import dataclass

import numpy as np

from patterns.cells.planar import Curve
from patterns.errors import InputError

_ROUND_OFF = 1e-9  # lengths below this part of the face's size are nothing
_STRAIGHT = 1e-9  # a corner whose sides turn by less (sine) is none
_LEAST_WAIST = 0.02  # bead widths between tips that face each other: closer than that, they touch


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
        Corners, anticlockwise, mm. Corners above 180 degrees are kept sharp (mitred); those of 180 degrees, where a
        line of the net ends on a side, are none.
    """

    def __init__(self, face: np.ndarray) -> None:
        face = _without_straight_corners(face)
        sides = np.concatenate([face[1:], face[:1]]) - face
        self.along = sides / np.sqrt((sides**2).sum(axis=1))[:, None]
        self.size = float(np.ptp(face, axis=0).max())
        self._offset = self.along[:, 0] * face[:, 1] - self.along[:, 1] * face[:, 0]
        self._find_corners()
        self.convex = bool((self.turn > 0).all())

    def _find_corners(self) -> None:
        """Find corner k, where side k begins: its place at depth 0, its velocity, the turn there.

        Side k lies where the inward normal (-y, x) of its direction meets ``_offset`` + depth.
        """
        before, offset = np.roll(self.along, 1, axis=0), np.roll(self._offset, 1)
        sine = before[:, 0] * self.along[:, 1] - before[:, 1] * self.along[:, 0]
        self.turn = np.arctan2(sine, (before * self.along).sum(axis=1))  # positive in a convex corner
        self.start = (offset[:, None] * self.along - self._offset[:, None] * before) / sine[:, None]
        self.velocity = (self.along - before) / sine[:, None]
        self.length = self._lengths(self.start)
        self.rate = self._lengths(self.velocity)

    def _lengths(self, corners: np.ndarray) -> np.ndarray:
        found: np.ndarray = ((np.roll(corners, -1, axis=0) - corners) * self.along).sum(axis=1)
        return found

    def corners(self, depth: float) -> np.ndarray:
        """Return the corners (n, 2) at a depth (mm), mitred."""
        found: np.ndarray = self.start + depth * self.velocity
        return found

    def advance(self, depth: float) -> float:
        """Drop the sides of a convex polygon that shrink to nothing before ``depth``.

        Returns the depth reached: less than ``depth`` where the polygon vanishes on the way.
        """
        reached = 0.0
        while True:
            ends = np.where(self.rate < 0, -self.length / np.minimum(self.rate, -1e-300), np.inf)
            side = int(ends.argmin())
            if ends[side] >= depth - _ROUND_OFF * self.size:
                return depth
            reached = max(reached, float(ends[side]))
            turn = self.turn[side] + self.turn[(side + 1) % len(ends)]
            if len(ends) == 3 or turn >= math.pi - 1e-9:
                return reached
            self.along = np.delete(self.along, side, axis=0)
            self._offset = np.delete(self._offset, side)
            self._find_corners()

    def room(self) -> np.ndarray:
        """Return what a polygon with reflex corners asks of inset d and corner radius r, as rows (a, b, c).

        All a + b d + c r must be 0 or more: every side keeps room for the fillets at its ends, and a circle of the
        radius passes between two reflex corners, which are taken to be mirror images that move towards each other.
        """
        tangent = np.where(self.turn > 0, np.tan(np.maximum(self.turn, 0) / 2), 0)
        rows = np.column_stack([self.length, self.rate, -(tangent + np.roll(tangent, -1))])
        reflex = np.flatnonzero(self.turn < 0)
        waists = []
        for i, first in enumerate(reflex):
            for second in reflex[i + 1 :]:
                across = self.start[second] - self.start[first]
                gap = float(np.sqrt(across @ across))
                closing = (self.velocity[second] - self.velocity[first]) @ across / gap
                waists.append([gap, closing - 2 * _LEAST_WAIST, -2.0])
        return np.vstack([rows, *waists])


def _without_straight_corners(face: np.ndarray) -> np.ndarray:
    """Return the corners (n, 2) at which the outline turns."""
    after, before = np.roll(face, -1, axis=0) - face, face - np.roll(face, 1, axis=0)
    sine = before[:, 0] * after[:, 1] - before[:, 1] * after[:, 0]
    cosine = (before * after).sum(axis=1)
    turns: np.ndarray = face[(np.abs(sine) > _STRAIGHT * np.hypot(sine, cosine)) | (cosine < 0)]
    return turns


def inradius(face: np.ndarray) -> float:
    """Return the radius (mm) of the largest circle in a convex polygon given anticlockwise."""
    return Inset(face).advance(math.inf)


def smallest_scale(face: np.ndarray, width: float, radius: float) -> float:
    """Return the least factor on a face (mm) at which this bead leaves a void for this corner radius."""
    shape = Inset(face)
    if shape.convex:
        return (width / 2 + radius) / shape.advance(math.inf)
    rest, inset, fillet = shape.room().T
    return float((-(inset * width / 2 + fillet * radius) / rest).max())


def void_area(face: np.ndarray, width: float, radius: float) -> float:
    """Return the exact area (mm^2) of a void; arguments and errors as for `void_in`."""
    return _Opening(face, width, radius).area


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
        If the bead leaves no opening, or the radius does not fit; for a convex face the largest is the inradius of
        the void.
    """
    opening = _Opening(face, width, radius)
    return Void(opening.outline(), opening.area)


class _Opening:
    """Sides that survive, and the corners between them."""

    def __init__(self, face: np.ndarray, width: float, radius: float) -> None:
        self.shape, self.radius, self.depth = Inset(face), radius, width / 2 + radius
        slack = _ROUND_OFF * self.shape.size
        limit = self._limit(width / 2)
        if limit < -slack:
            raise InputError(
                f"a bead {width:.4g} mm wide leaves no opening: use a larger pitch or a lower fill"
            )
        if radius > limit + slack:
            raise InputError(
                f"corner radius {radius:.4g} mm does not fit: the smallest void takes at most "
                f"{max(limit, 0):.4g} mm; lower the radius or the fill"
            )
        self._sharp = self.shape.corners(width / 2)
        x, y = self._sharp.T
        self._sharp_area = float(x @ np.roll(y, -1) - y @ np.roll(x, -1)) / 2
        self.closed = self._sharp_area <= slack * self.shape.size
        self._turn = np.maximum(self.shape.turn, 0) if radius > 0 else np.zeros(len(self._sharp))

    def _limit(self, inset: float) -> float:
        """Return the largest radius (mm) that fits, or one at least as large as asked for; negative if no void."""
        if self.shape.convex:
            reached = self.shape.advance(self.depth)
            self.depth = min(self.depth, reached)
            return reached - inset
        rest, rate, fillet = self.shape.room().T
        left = rest + rate * inset
        if left.min() < -_ROUND_OFF * self.shape.size:
            return -1.0
        needs = fillet < 0
        return float((left[needs] / -fillet[needs]).min())

    @property
    def area(self) -> float:
        if self.closed:
            return 0.0
        return self._sharp_area - float(self.radius**2 * (np.tan(self._turn / 2) - self._turn / 2).sum())

    def outline(self) -> tuple[Curve, ...]:
        """Sides and fillets in turn; a side as good as gone joins its neighbours in its middle."""
        if self.closed:
            return ()
        centre, along, rounded = self.shape.corners(self.depth), self.shape.along, self._turn[:, None] > 0
        outward = self.radius * np.column_stack([along[:, 1], -along[:, 0]])
        enter = np.where(rounded, centre + np.roll(outward, 1, axis=0), self._sharp)
        leave = np.where(rounded, centre + outward, self._sharp)
        step = np.roll(enter, -1, axis=0) - leave
        gone = np.sqrt((step**2).sum(axis=1)) <= 1e-6 * self.depth
        leave[gone] += step[gone] / 2
        enter[(np.flatnonzero(gone) + 1) % len(gone)] = leave[gone]
        curves = []
        for k in range(len(centre)):
            if rounded[k]:
                curves.append(Curve("arc", np.array([enter[k], centre[k], leave[k]])))
            if not gone[k]:
                curves.append(Curve("line", np.array([leave[k], enter[(k + 1) % len(enter)]])))
        return tuple(curves)
