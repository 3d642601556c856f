"""Stress inside a plan cell under any mean stress, on the surface and in the interior."""

from dataclasses import dataclass
from functools import cached_property

import numpy as np

from fem.material.stiffness import compliance, powerless
from fem.numerics.triangle import EDGES, quadrature
from fem.prismatic.periodic import Period
from fem.prismatic.plan_elements import Material, Places, strains
from fem.prismatic.plan_system import Solution

_CORNERS = np.array([[0.0, 1.0, 0.0], [0.0, 0.0, 1.0]])  # reference vertices
_INTERIOR = 6  # degree of the rule whose points stand for the interior


@dataclass(frozen=True)
class Samples:
    """Stress at points of the solid.

    Attributes
    ----------
    x : ndarray, shape (n, 2)
        mm.
    unit : ndarray, shape (n, 6, 6)
        Voigt stress in MPa by unit mean strain.
    """

    x: np.ndarray
    unit: np.ndarray


class StressField:
    """Stress of one solution of a cell.

    Parameters
    ----------
    period : Period
        Closed mesh.
    material : ndarray (6, 6) or Material
        Stiffness.
    solution : Solution
        Unit solutions.
    stiffness : ndarray, shape (6, 6)
        Mean stiffness, exactly zero where no load can pass.
    """

    def __init__(
        self, period: Period, material: np.ndarray | Material, solution: Solution, stiffness: np.ndarray
    ) -> None:
        self.period, self.material, self.solution = period, material, solution
        self._void = powerless(stiffness)
        self.compliance = compliance(stiffness)
        self.edges = np.argwhere(period.free)

    def carries(self, mean: np.ndarray) -> bool:
        """Return whether a mean stress (6,) has a load path: whether it lies in the range of the stiffness."""
        size = np.abs(mean).max()
        return bool(size > 0 and np.abs(self._void.T @ mean).max(initial=0) < 1e-6 * size)

    def at(self, elements: np.ndarray, points: np.ndarray) -> Samples:
        """Return the stress at reference points (2, q) of some elements (m,), m x q samples in that order."""
        places = Places(self.period, elements, points, self.solution.order)
        eps = strains(places, self.solution.displacement[elements])
        C = self.material if isinstance(self.material, np.ndarray) else self.material.sample(places.x)[0]
        return Samples(places.x.reshape(-1, 2), (C @ eps).reshape(-1, 6, 6))

    def on_edge(self, number: int, shares: np.ndarray) -> Samples:
        """Return the stress at shares (q,) of the length of one free edge, by its row in ``edges``."""
        element, edge = self.edges[number]
        return self.at(np.array([element]), _edge_points(edge, shares))

    def surface(self, shares: np.ndarray) -> Samples:
        """Return the stress on all free edges, edge by edge, at shares (q,) of their lengths."""
        n, q = len(self.edges), len(shares)
        x, unit = np.empty((n, q, 2)), np.empty((n, q, 6, 6))
        for edge in range(3):
            rows = self.edges[:, 1] == edge
            part = self.at(self.edges[rows, 0], _edge_points(edge, shares))
            x[rows], unit[rows] = part.x.reshape(-1, q, 2), part.unit.reshape(-1, q, 6, 6)
        return Samples(x.reshape(-1, 2), unit.reshape(-1, 6, 6))

    @cached_property
    def interior(self) -> Samples:
        """Stress inside the elements."""
        return self.at(np.arange(len(self.period.vertex)), quadrature(_INTERIOR)[0])


def _edge_points(edge: int, shares: np.ndarray) -> np.ndarray:
    """Points (2, q) of the reference triangle on a local edge."""
    a, b = EDGES[edge]
    found: np.ndarray = _CORNERS[:, [a]] + (_CORNERS[:, [b]] - _CORNERS[:, [a]]) * shares
    return found


def largest_principal(stress: np.ndarray) -> np.ndarray:
    """Return the largest principal stress (...,) of Voigt stresses (..., 6)."""
    return np.linalg.eigvalsh(tensor(stress))[..., -1]


def von_mises(stress: np.ndarray) -> np.ndarray:
    """Return the von Mises stress (...,) of Voigt stresses (..., 6)."""
    a, b, c, d, e, f = np.moveaxis(stress, -1, 0)
    found: np.ndarray = np.sqrt(((a - b) ** 2 + (b - c) ** 2 + (c - a) ** 2) / 2 + 3 * (d**2 + e**2 + f**2))
    return found


def tensor(stress: np.ndarray) -> np.ndarray:
    """Return stress tensors (..., 3, 3) of Voigt stresses (..., 6)."""
    return stress[..., [0, 5, 4, 5, 1, 3, 4, 3, 2]].reshape(*stress.shape[:-1], 3, 3)
