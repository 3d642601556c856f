"""Moment and curvature of a section of fibres, from first yield to the last break.

Plane sections: the strain of a fibre at height h above the origin, towards the side in tension, is e0 + kappa h.
Fibres of one kind are elastic, then perfectly plastic, tension and compression apart, until one of them reaches the
kind's fracture strain. A crack then runs through all fibres of that kind: from there on they only press. A section
between two breaks therefore answers with a force and a moment that never fall with strain and curvature (Drucker's
postulate), so that its moment is largest just before a break, and only breaks have to be looked at.

Strips are as wide as the section on the mean between two heights, and N and M follow from running sums of their
moments in closed form: a look-up per kind and bend of its law, whatever the number of strips.
"""

from collections.abc import Callable
from dataclasses import dataclass
from functools import cached_property

import numpy as np

# A strain beyond which nothing is followed; a fracture strain of infinity stops here.
FAR = 10.0
_STEPS, _CLOSE = 60, 1e-11
Falling = Callable[[np.ndarray, np.ndarray], tuple[np.ndarray, np.ndarray]]


@dataclass(frozen=True)
class Fibres:
    """A section as strips of several kinds of fibre.

    Attributes
    ----------
    heights : ndarray, shape (m + 1,)
        Borders of the strips, rising towards the side in tension, mm.
    widths : ndarray, shape (k, m)
        Width of each kind within each strip, mm.
    moduli : ndarray, shape (k,)
        Young's modulus of each kind along the beam, MPa.
    """

    heights: np.ndarray
    widths: np.ndarray
    moduli: np.ndarray

    @cached_property
    def constants(self) -> np.ndarray:
        """Constant terms (3, k, m) of area, first and second moment below a height within each strip."""
        powers = np.arange(1, 4)[:, None]
        rungs = self.heights**powers / powers  # (3, m + 1)
        inside = self.widths * (rungs[:, None, 1:] - rungs[:, None, :-1])
        below = np.cumsum(inside, axis=2) - inside
        return below - self.widths * rungs[:, None, :-1]

    @cached_property
    def totals(self) -> np.ndarray:
        """Area, first and second moment (3, k) of each kind about the origin, mm^2 to mm^4."""
        powers = np.arange(1, 4)[:, None]
        rungs = self.heights**powers / powers
        found: np.ndarray = np.einsum("km,pm->pk", self.widths, np.diff(rungs, axis=1))
        return found

    @cached_property
    def tops(self) -> np.ndarray:
        """Height (k,) of the outermost fibre of each kind on the side in tension, mm."""
        last = self.widths.shape[1] - np.argmax(self.widths[:, ::-1] > 0, axis=1)
        found: np.ndarray = self.heights[last]
        return found

    @cached_property
    def bottoms(self) -> np.ndarray:
        """Height (k,) of the outermost fibre of each kind on the side in compression, mm."""
        found: np.ndarray = self.heights[np.argmax(self.widths > 0, axis=1)]
        return found

    @cached_property
    def axis(self) -> float:
        """Height of the elastic neutral axis, mm."""
        return float(self.moduli @ self.totals[1] / (self.moduli @ self.totals[0]))

    @cached_property
    def EI(self) -> float:
        """Elastic bending stiffness about the neutral axis, N mm^2."""
        EA = self.moduli @ self.totals[0]
        return float(self.moduli @ self.totals[2] - EA * self.axis**2)

    def below(self, heights: np.ndarray, order: int) -> np.ndarray:
        """Return area (order 1), first (2) or second moment (3) of each kind below heights (k, n)."""
        place = self._place(heights)
        return self._looked_up(heights, place, order)

    def _place(self, heights: np.ndarray) -> np.ndarray:
        return np.clip(np.searchsorted(self.heights, heights) - 1, 0, self.widths.shape[1] - 1)

    def _looked_up(self, heights: np.ndarray, place: np.ndarray, order: int) -> np.ndarray:
        kind = np.arange(len(self.moduli))[:, None]
        found: np.ndarray = (
            self.constants[order - 1][kind, place] + self.widths[kind, place] * heights**order / order
        )
        return found


@dataclass(frozen=True)
class Laws:
    """Stress and strain of each kind of fibre, one column per draw.

    Attributes
    ----------
    tension, compression : ndarray, shape (k, n)
        Plateau stresses, MPa, both positive; 0 in tension for what only presses.
    fracture : ndarray, shape (k, n)
        Tensile strain at which the kind cracks, infinity for never.
    growth : ndarray, shape (k, n) or (n,)
        Moduli over those of the fibres.
    """

    tension: np.ndarray
    compression: np.ndarray
    fracture: np.ndarray
    growth: np.ndarray

    def fracture_at(self, kind: np.ndarray) -> np.ndarray:
        """Return the fracture strain (n,) of one kind per draw, `FAR` where it never breaks."""
        found: np.ndarray = np.minimum(self.fracture[kind, np.arange(len(kind))], FAR)
        return found

    def moduli(self, fibres: Fibres) -> np.ndarray:
        """Return Young's modulus (k, n) of each kind, MPa."""
        answer: np.ndarray = fibres.moduli[:, None] * self.growth
        return answer

    def of(self, draws: np.ndarray) -> "Laws":
        """Return the laws of some of the draws."""
        return Laws(
            self.tension[:, draws],
            self.compression[:, draws],
            self.fracture[:, draws],
            self.growth[..., draws],
        )


@dataclass(frozen=True)
class State:
    """Fibres with their laws and which kinds hold: what answers to a strain e0 and a curvature."""

    fibres: Fibres
    laws: Laws
    whole: np.ndarray

    def of(self, draws: np.ndarray) -> "State":
        """Return the state of some of the draws; itself for all of them."""
        if len(draws) == self.whole.shape[1]:
            return self
        return State(self.fibres, self.laws.of(draws), self.whole[:, draws])

    @cached_property
    def _bends(self) -> tuple[np.ndarray, np.ndarray, np.ndarray, np.ndarray]:
        """Modulus (k, n), tension plateau that is left, and the strains at which the law bends."""
        E = self.laws.moduli(self.fibres)
        tension = np.where(self.whole, self.laws.tension, 0.0)
        return E, tension, tension / E, -self.laws.compression / E

    def _between(
        self, e0: np.ndarray, curvature: np.ndarray
    ) -> tuple[np.ndarray, np.ndarray, np.ndarray, np.ndarray]:
        """Return the heights (k, n) between which fibres are elastic, and their strips."""
        _, _, yields, crushes = self._bends
        low, high = self.fibres.heights[0], self.fibres.heights[-1]
        upper = np.clip((yields - e0) / curvature, low, high)
        lower = np.clip((crushes - e0) / curvature, low, high)
        return lower, upper, self.fibres._place(lower), self.fibres._place(upper)

    def force(self, e0: np.ndarray, curvature: np.ndarray) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
        """Return the axial force (n,) and its derivatives by e0 and by the curvature."""
        E, tension, _, _ = self._bends
        lower, upper, i, j = self._between(e0, curvature)
        look = self.fibres._looked_up
        area_low, area_high = look(lower, i, 1), look(upper, j, 1)
        A = area_high - area_low
        S = look(upper, j, 2) - look(lower, i, 2)
        ends = tension * (self.fibres.totals[0][:, None] - area_high) - self.laws.compression * area_low
        by_strain, by_curvature = (E * A).sum(axis=0), (E * S).sum(axis=0)
        return ends.sum(axis=0) + e0 * by_strain + curvature * by_curvature, by_strain, by_curvature

    def moment(self, e0: np.ndarray, curvature: np.ndarray) -> np.ndarray:
        """Return the moment (n,) about the origin."""
        E, tension, _, _ = self._bends
        lower, upper, i, j = self._between(e0, curvature)
        look = self.fibres._looked_up
        first_low, first_high = look(lower, i, 2), look(upper, j, 2)
        second = look(upper, j, 3) - look(lower, i, 3)
        parts = tension * (self.fibres.totals[1][:, None] - first_high) - self.laws.compression * first_low
        found: np.ndarray = (parts + E * (e0 * (first_high - first_low) + curvature * second)).sum(axis=0)
        return found

    def without_force(self, curvature: np.ndarray) -> np.ndarray:
        """Return e0 (n,) at which a curvature above 0 needs no axial force; the middle where several do."""
        reach = 2 * FAR + np.abs(curvature) * np.abs(self.fibres.heights).max()
        start = -curvature * self.fibres.axis

        def fall(e0: np.ndarray, rows: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
            force, by_strain, _ = self.of(rows).force(e0, curvature[rows])
            return -force, -by_strain

        return _root(fall, -reach, reach, start)

    def pivoted(self, kind: np.ndarray) -> np.ndarray:
        """Return the curvature (n,) at which the outermost fibre of a kind (n,) is at its fracture strain.

        Infinity where the kind has no fibre that reaches it.
        """
        strain = self.laws.fracture_at(kind)
        top = self.fibres.tops[kind]
        depth = top - self.fibres.heights[0]
        most = np.full(len(kind), 1e4) * FAR / (self.fibres.heights[-1] - self.fibres.heights[0])

        def fall(curvature: np.ndarray, rows: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
            height = top[rows]
            force, by_strain, by_curvature = self.of(rows).force(strain[rows] - curvature * height, curvature)
            return force, by_curvature - height * by_strain

        arm = np.where(top > self.fibres.axis, top - self.fibres.axis, depth)
        found = _root(fall, np.full(len(kind), 1e-12), most, strain / arm)
        return np.where(found > 0.99 * most, np.inf, found)


def _root(function: Falling, low: np.ndarray, high: np.ndarray, start: np.ndarray) -> np.ndarray:
    """Return where functions (n,) that fall from low to high are zero.

    Newton's steps; the middle of the bracket where one leaves it or the last one did not halve the value. Those that
    are found are left alone as soon as they are half of those asked.
    """
    found: np.ndarray = np.clip(start, low, high)
    rows = np.arange(len(start))
    x, low, high, before = found.copy(), low.copy(), high.copy(), np.full(len(start), np.inf)
    for _ in range(_STEPS):
        value, slope = function(x, rows)
        low, high = np.where(value > 0, x, low), np.where(value > 0, high, x)
        with np.errstate(divide="ignore", invalid="ignore"):
            step = x - value / slope
        inside = (step >= low) & (step <= high) & (np.abs(value) <= before / 2)
        moved, before = np.where(inside, step, (low + high) / 2), np.abs(value)
        open_ = np.abs(moved - x) > _CLOSE * np.abs(moved) + 1e-300
        found[rows] = x = moved
        if not open_.any():
            break
        if 2 * open_.sum() <= len(rows):
            rows, x, low, high, before = (values[open_] for values in (rows, x, low, high, before))
    return found
