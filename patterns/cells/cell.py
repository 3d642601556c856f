"""Periodic plan cell of a prismatic pattern."""

from dataclasses import dataclass

import numpy as np

from patterns.cells.planar import PeriodicPair, Planar


@dataclass(frozen=True)
class Line:
    """Centre-line of a bead in the cell: points (n, 2) in mm along it, and its width in mm."""

    points: np.ndarray
    width: float


@dataclass(frozen=True)
class PlanCell:
    """One period of a prismatic pattern in the plan.

    The solid is a fundamental domain (one representative of every material point), not always a parallelogram:
    it is made of the faces of the line lattice, each a ring between its centre-lines and its inset void.

    Attributes
    ----------
    pattern : str
        Slug of the pattern.
    lattice : ndarray, shape (2, 2)
        Rows are the two period vectors in mm, anticlockwise.
    planar : Planar
        Solid regions; curves that are neither shared nor paired are free (void outlines).
    pairs : tuple of PeriodicPair
        Curves of the domain's rim that are one curve in the periodic plan.
    lines : tuple of Line
        Centre-lines near the domain (with all periodic copies that reach it). A material point belongs to every line
        within half a width of it; where several meet, the material is the mean of theirs.
    bead_width : float
        w in mm.
    corner_radius : float
        Radius of the voids' corners in mm; 0 for sharp corners.
    pitch : float
        mm, as the pattern defines it.
    set_fill, geometric_fill : float
        Deposited line length x w per plan area, and exact covered area / plan area.
    """

    pattern: str
    lattice: np.ndarray
    planar: Planar
    pairs: tuple[PeriodicPair, ...]
    lines: tuple[Line, ...]
    bead_width: float
    corner_radius: float
    pitch: float
    set_fill: float
    geometric_fill: float

    @property
    def area(self) -> float:
        """Plan area of one period in mm^2, voids included."""
        (ax, ay), (bx, by) = self.lattice
        return float(ax * by - ay * bx)
