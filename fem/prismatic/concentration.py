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
from fem.prismatic.stress_field import StressField, largest_principal, tensor, von_mises
from patterns.cells.cell import PlanCell
from patterns.errors import InputError

CASES = ("tension_1", "tension_2", "tension_3", "shear_23", "shear_13", "shear_12")
_SHARES = (1 - np.cos(np.pi * np.arange(17) / 16)) / 2  # along a free edge, both ends included
_ZOOM = 33
_MOST_SPOTS = 1500  # samples among which places of peaks are looked for
_PROPORTIONS, _RANDOM_MIXTURES = (0.3, 1.0, 3.0), 60
_FIRST_ORDER, _LAST_ORDER, _FINENESS = 6, 8, (1.0, 1.6)
# Error left at the last order over the change it brought, if an order takes two thirds of the error off: 1/3 + 1/9 ...
_LEFT = 0.5


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
        found: np.ndarray = unit[large[np.unique(largest_principal(stress).argmax(axis=1))]]
        return found

    def under(self, mean: np.ndarray) -> Peak | None:
        """Return the peaks over the largest entry of a mean stress (6,) in Voigt order; None without load path."""
        if not self.field.carries(mean):
            return None
        unit = mean / np.abs(mean).max()
        principal, von_mises_ = (self._largest(unit, measure) for measure in _MEASURES)
        return Peak(
            principal=principal.value,
            von_mises=von_mises_.value,
            place=principal.place,
            von_mises_place=von_mises_.place,
            error=principal.error,
            von_mises_error=von_mises_.error,
        )

    def _largest(self, unit: np.ndarray, measure: "Measure") -> "_Largest":
        """Return the largest value of a stress measure with its relative error.

        Peaks of successive orders may be alike by chance while the stress around them still moves, so the error is at
        least what is left of the change of stress, by any component, where the peak lies.
        """
        values = [measure(finder.unit @ (finder.field.compliance @ unit)) for finder in self._finders]
        found = [
            finder.zoomed(int(each.argmax()), unit)
            for finder, each in zip(self._finders, values, strict=True)
        ]
        peaks = [float(measure(stress).max()) for _, stress in found]
        x, last = found[-1]
        _, before = self._finders[-2].zoomed(int(values[-1].argmax()), unit)
        change = float(np.abs(np.linalg.eigvalsh(tensor(last - before))).max())
        place = x[int(measure(last).argmax())]
        return _Largest(peaks[-1], _pair(place), max(_spread(peaks), _LEFT * change / abs(peaks[-1])))

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


@dataclass(frozen=True)
class _Largest:
    """Largest value of a stress measure, its place and its relative error."""

    value: float
    place: tuple[float, float]
    error: float


class _Finder:
    """Stress of one solution, sampled everywhere, and zoomed in along the surface."""

    def __init__(self, field: StressField) -> None:
        self.field = field
        surface, inside = field.surface(_SHARES), field.interior
        self._x = np.concatenate([surface.x, inside.x])
        self.unit = np.concatenate([surface.unit, inside.unit])

    def zoomed(self, sample: int, mean: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
        """Return places (n, 2) and stress (n, 6) under a mean stress about a sample: on its free edge, or itself."""
        strain = self.field.compliance @ mean
        edge, place = divmod(sample, len(_SHARES))
        if edge >= len(self.field.edges):
            return self._x[[sample]], self.unit[[sample]] @ strain
        low, high = _SHARES[max(place - 1, 0)], _SHARES[min(place + 1, len(_SHARES) - 1)]
        near = self.field.on_edge(edge, np.linspace(low, high, _ZOOM))
        return near.x, near.unit @ strain


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
