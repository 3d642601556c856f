"""Stress concentration: the largest stress in the beads over the mean stress of the cell."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from functools import lru_cache
from itertools import combinations

import numpy as np

from fem.prismatic.cell_mesh import mesh_cell, sharp_corners
from fem.prismatic.homogenise import Homogenised
from fem.prismatic.periodic import close_period
from fem.prismatic.plan_system import PlanSystem
from fem.prismatic.stress_field import Samples, StressField, largest_principal, von_mises
from patterns.cells.cell import PlanCell
from patterns.errors import InputError

CASES = ("tension_1", "tension_2", "tension_3", "shear_23", "shear_13", "shear_12")
_SHARES = (1 - np.cos(np.pi * np.arange(17) / 16)) / 2  # along a free edge, both ends included
_ZOOM = 33
_MOST_SPOTS = 1500  # samples among which places of peaks are looked for
_PROPORTIONS, _RANDOM_MIXTURES = (0.3, 1.0, 3.0), 60
_FIRST_ORDER, _LAST_ORDER, _FINENESS = 6, 8, (1.0, 1.6)


@dataclass(frozen=True)
class Peak:
    """The largest stresses under one mean stress, over that stress.

    Attributes
    ----------
    principal, von_mises : float
        Largest principal and von Mises stress over mean stress.
    place, von_mises_place : tuple of float
        Where, mm.
    error, von_mises_error : float
        Estimated relative errors.
    """

    principal: float
    von_mises: float
    place: tuple[float, float]
    von_mises_place: tuple[float, float]
    error: float
    von_mises_error: float


class Concentration:
    """Stress factors of a cell for any mean stress.

    Attributes
    ----------
    corner_radius : float
        mm.
    peaks : dict of str to Peak or None
        For each unit mean stress by the names of `CASES`; None where there is no load path.
    field : StressField
        The most accurate solution.
    """

    def __init__(self, corner_radius: float, fields: Sequence[StressField]) -> None:
        self.corner_radius, self.field = corner_radius, fields[-1]
        self._finders = [_Finder(field) for field in fields]
        self.peaks = {name: self.under(np.eye(6)[k]) for k, name in enumerate(CASES)}

    @property
    def relative_error(self) -> float:
        """Largest estimated relative error of the peaks."""
        return max(max(p.error, p.von_mises_error) for p in self.peaks.values() if p is not None)

    def factors(self) -> np.ndarray:
        """Return the largest principal stress over each unit mean stress, (6,); nan without load path."""
        return np.array([np.nan if peak is None else peak.principal for peak in self.peaks.values()])

    def hot_spots(self) -> np.ndarray:
        """Return the stress (n, 6, 6) by unit mean stress at the places where some mean stress has its peak.

        The places of the peaks under single stresses, pairs of them in several proportions, and random mixtures. The
        largest principal stress of ``hot_spots @ mean`` is that of the cell, but for peaks between samples.
        """
        unit = self._finders[-1].unit @ self.field.compliance
        large = np.argsort(-np.linalg.norm(unit, axis=(1, 2)))[:_MOST_SPOTS]
        stress = np.einsum("nij,dj->dni", unit[large], _mixtures())
        return unit[large[np.unique(largest_principal(stress).argmax(axis=1))]]

    def under(self, mean: np.ndarray) -> Peak | None:
        """Return the peaks over the largest entry of a mean stress (6,) in Voigt order; None without load path."""
        if not self.field.carries(mean):
            return None
        unit = mean / np.abs(mean).max()
        principal, von_mises_ = ([finder.largest(unit, f) for finder in self._finders] for f in _MEASURES)
        return Peak(
            principal=principal[-1][0],
            von_mises=von_mises_[-1][0],
            place=principal[-1][1],
            von_mises_place=von_mises_[-1][1],
            error=_spread([value for value, _ in principal]),
            von_mises_error=_spread([value for value, _ in von_mises_]),
        )

    def along(self, angle_deg: float) -> Peak | None:
        """Return the peaks under a mean tension of 1 along a direction of the plan, from axis 1."""
        c, s = np.cos(np.radians(angle_deg)), np.sin(np.radians(angle_deg))
        tension = np.array([c * c, s * s, 0, 0, 0, c * s])
        peak = self.under(tension)
        return None if peak is None else _scaled(peak, float(np.abs(tension).max()))


def concentration(cell: PlanCell, solved: Homogenised, tolerance: float = 5e-3) -> Concentration:
    """Return the stress concentration of a prismatic cell.

    Three successive orders are compared; the order is raised, then the mesh refined, until their peaks agree.

    Parameters
    ----------
    cell : PlanCell
        The cell.
    solved : Homogenised
        What `fem.prismatic.homogenise.homogenise` returned for it.
    tolerance : float
        Largest relative error wanted of a peak.

    Raises
    ------
    InputError
        If the outline has sharp inside corners: stress has no limit there, and none is given.
    """
    if len(corners := sharp_corners(cell)):
        raise InputError(
            f"{cell.pattern}: stress grows without limit at {len(corners)} sharp corners; "
            "give a corner radius above 0 (a quarter of the bead width is usual)"
        )
    period, material, stiffness = solved.fields.period, solved.fields.material, solved.stiffness
    for fineness in _FINENESS:
        if fineness > 1:
            period = close_period(mesh_cell(cell, fineness), cell.lattice)
        fields: list[StressField] = []
        for order in range(_FIRST_ORDER, _LAST_ORDER + 1):
            system = PlanSystem(period, material, order)
            orders = (order,) if fields else (order - 2, order - 1, order)
            fields = fields[-2:] + [StressField(period, material, system.solve(p), stiffness) for p in orders]
            found = Concentration(cell.corner_radius, fields)
            if found.relative_error <= tolerance:
                return found
    return found


def radius_exponents(found: Concentration, other: Concentration) -> dict[str, float | None]:
    """Return n for each unit mean stress so that its largest principal stress goes like (corner radius)^n.

    From one cell at two radii, close to each other; None where there is no load path. A small radius at a corner
    that would be sharp without it has the exponent of the sharp corner's stress field (Williams 1952).
    """
    step = np.log(other.corner_radius / found.corner_radius)
    return {
        case: None if peak is None or near is None else float(np.log(near.principal / peak.principal) / step)
        for (case, peak), near in zip(found.peaks.items(), other.peaks.values(), strict=True)
    }


Measure = Callable[[np.ndarray], np.ndarray]
_MEASURES: tuple[Measure, ...] = (largest_principal, von_mises)


class _Finder:
    """Search for the largest stress of one solution: sampled everywhere, then zoomed in along the surface."""

    def __init__(self, field: StressField) -> None:
        self._field = field
        surface, inside = field.surface(_SHARES), field.interior
        self._x = np.concatenate([surface.x, inside.x])
        self.unit = np.concatenate([surface.unit, inside.unit])

    def largest(self, mean: np.ndarray, measure: Measure) -> tuple[float, tuple[float, float]]:
        """Return the largest value of a stress measure under a mean stress (6,), and where."""
        strain = self._field.compliance @ mean
        values = measure(self.unit @ strain)
        best = int(values.argmax())
        edge, place = divmod(best, len(_SHARES))
        if edge >= len(self._field.edges):
            return float(values[best]), _pair(self._x[best])
        near = self._zoom(edge, place)
        values = measure(near.unit @ strain)
        best = int(values.argmax())
        return float(values[best]), _pair(near.x[best])

    def _zoom(self, edge: int, place: int) -> Samples:
        """Stress between the neighbours of a sample on a free edge."""
        low, high = _SHARES[max(place - 1, 0)], _SHARES[min(place + 1, len(_SHARES) - 1)]
        return self._field.on_edge(edge, np.linspace(low, high, _ZOOM))


@lru_cache(maxsize=1)
def _mixtures() -> np.ndarray:
    """Return mean stresses (n, 6): each alone, pairs, and random ones, of both signs."""
    one = np.eye(6)
    pairs = [
        a * one[i] + b * one[j]
        for i, j in combinations(range(6), 2)
        for a in (1.0, -1.0)
        for b in (*_PROPORTIONS, *(-p for p in _PROPORTIONS))
    ]
    random = np.random.default_rng(0).standard_normal((_RANDOM_MIXTURES, 6))
    return np.concatenate([one, -one, pairs, random])


def _spread(values: Sequence[float]) -> float:
    """Relative error of the last of three successive values, which may approach from both sides."""
    first, second, last = values
    return max(abs(last - second), abs(second - first) / 2) / abs(last)


def _pair(x: np.ndarray) -> tuple[float, float]:
    return float(x[0]), float(x[1])


def _scaled(peak: Peak, factor: float) -> Peak:
    return replace(peak, principal=factor * peak.principal, von_mises=factor * peak.von_mises)
