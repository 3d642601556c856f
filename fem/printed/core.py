"""The homogenised core of a printed beam: one cell per pattern, solved once for a unit modulus."""

from collections.abc import Mapping
from dataclasses import asdict, dataclass, fields, replace
from functools import lru_cache
from typing import Any

import numpy as np

from fem.material.stiffness import isotropic
from fem.numerics.read_only import locked
from fem.printed.cell_store import CellStore, kept
from fem.printed.neighbours import neighbours
from fem.printed.plateau import crossing_plateau, prismatic_plateau, stretched_plateau
from patterns.cells.cell import PlanCell
from patterns.cells.layered import LayeredCell
from patterns.cells.stack import StackedCell
from patterns.errors import InputError
from patterns.fill import default_corner_radius
from patterns.infill import Infill

# Share of the bead's Young's modulus below which a core direction counts as having no stiffness of its own.
_NEGLIGIBLE = 1e-9
# Couplings below this share of their diagonal are what the mesh leaves of the zeros of a symmetric cell.
_UNCOUPLED = 1e-6


@dataclass(frozen=True)
class CoreCell:
    """Stiffness and stress factors of a core for beads of Young's modulus 1 MPa, print axes.

    Attributes
    ----------
    in_line : bool
        Whether the lines of all layers lie bead on bead; else they cross and weld where they do.
    stiffness : ndarray, shape (6, 6)
        Per MPa of bead modulus.
    relative_error : float
        Discretisation error of the worst engineering constant.
    geometric_fill : float
        Volume share of beads.
    pitch : float
        mm, as the pattern defines it.
    directions : ndarray, shape (n, 2)
        Unit vectors of the line families in the layer; empty where they have no few directions.
    concentration : ndarray, shape (6,) or None
        Largest principal over mean stress for each unit mean stress, Voigt order; 0 where there is no load path. With
        the corners of a quarter of the bead width that the strength's fillet factors belong to, where they fit.
    hot_spots : ndarray, shape (n, 6, 6), or None
        Stress by unit mean stress where peaks are, see `fem.prismatic.concentration.Concentration.hot_spots`.
    bars : ndarray, shape (6,), or None
        Fibre stress of crossing beads over each unit mean stress, see `fem.layered.struts`.
    plateau : ndarray, shape (6,), or None
        Mean stress at plastic collapse per unit yield stress, Voigt order; see `fem.printed.plateau`.
    """

    in_line: bool
    stiffness: np.ndarray
    relative_error: float
    geometric_fill: float
    pitch: float
    directions: np.ndarray
    concentration: np.ndarray | None
    hot_spots: np.ndarray | None = None
    bars: np.ndarray | None = None
    plateau: np.ndarray | None = None

    def arrays(self) -> dict[str, np.ndarray]:
        """Return the cell as named arrays, to be kept on disk."""
        return {
            item.name: np.asarray(value)
            for item in fields(self)
            if (value := getattr(self, item.name)) is not None
        }

    @classmethod
    def from_arrays(cls, arrays: Mapping[str, np.ndarray]) -> "CoreCell":
        """Return the cell from what `arrays` gave; KeyError, TypeError or ValueError if others gave it."""
        stiffness = arrays["stiffness"]
        if stiffness.shape != (6, 6) or not np.isfinite(stiffness).all() or arrays["directions"].ndim < 1:
            raise ValueError("no stiffness of a cell")
        numbers = {name: float(arrays[name]) for name in ("relative_error", "geometric_fill", "pitch")}
        return cls(
            in_line=bool(arrays["in_line"]),
            stiffness=stiffness,
            directions=arrays["directions"],
            concentration=arrays.get("concentration"),
            hot_spots=arrays.get("hot_spots"),
            bars=arrays.get("bars"),
            plateau=arrays.get("plateau"),
            **numbers,
        )

    def stacked(self, ratio: float) -> "CoreCell":
        """Return the core with its lines stacked bead on bead: modulus across the layers ``ratio`` times the bead's.

        Lines in line have the grooves of any stack between their layers. Stretching axis 3 turns an isotropic bead
        into one of that modulus and leaves the cell as it is, so the stiffness follows exactly; cells with real beads
        hold their grooves already.
        """
        if not self.in_line:
            return self
        stretch = np.array([1.0, 1.0, ratio**0.5, ratio**0.25, ratio**0.25, 1.0])
        return replace(self, stiffness=self.stiffness * np.outer(stretch, stretch))

    def mixed(self, other: "CoreCell", share: float) -> "CoreCell":
        """Return this cell on a share of the volume and another on the rest, side by side: the mean of both."""

        def mean(one: Any, two: Any) -> Any:
            return None if one is None or two is None else share * one + (1 - share) * two

        numbers = ("stiffness", "relative_error", "geometric_fill", "bars", "plateau")
        return replace(self, **{name: mean(getattr(self, name), getattr(other, name)) for name in numbers})

    def modulus(self, axis: int) -> float:
        """Young's modulus along print axis 0, 1 or 2 per MPa of bead modulus; 0 without a load path."""
        block = self.stiffness[:3, :3]
        if block[axis, axis] < _NEGLIGIBLE:
            return 0.0
        return float(1 / np.linalg.pinv(block, rcond=_NEGLIGIBLE)[axis, axis])


@dataclass(frozen=True)
class CellKey:
    """Everything that a core's cell depends on: cores of one key share one cell.

    Attributes
    ----------
    infill : Infill
        At phase 0, for a cell has no place in the beam; lines that follow an outline as they are where straight.
    nu : float
        Poisson's ratio of the bead.
    """

    infill: Infill
    nu: float

    def stored(self) -> dict[str, Any]:
        """Return the key as plain data, the pattern by its name."""
        plain = {item.name: getattr(self.infill, item.name) for item in fields(self.infill)}
        return plain | {
            "cell": "core",
            "pattern": self.infill.pattern.slug,
            "bead": asdict(self.infill.bead),
            "nu": self.nu,
        }


def core_cell(infill: Infill, nu: float, store: CellStore | None = None, scatter: float = 0.0) -> CoreCell:
    """Return the cell of what fills a core; from ``store`` where it was kept before.

    Where bead widths scatter (SD over mean) so that only some neighbours of crossing layers touch, the mean of two
    cells: of touching beads and of those apart.
    """
    two = neighbours(infill.bead, infill.pitch, scatter)
    if not 0 < two.share < 1 or not isinstance(infill.cell(), LayeredCell):
        return _cell(cell_key(infill, nu), store)
    touching, apart = (
        _cell(cell_key(replace(infill, bead=bead), nu), store) for bead in (two.touching, two.apart)
    )
    return locked(touching.mixed(apart, two.share))


def cell_key(infill: Infill, nu: float) -> CellKey:
    """Return what a core's cell depends on."""
    return CellKey(infill.straight().shifted(0.0), nu)


@lru_cache(maxsize=512)
def _cell(wanted: CellKey, store: CellStore | None) -> CoreCell:
    return locked(kept(store, wanted.stored(), lambda: solve_core(wanted).arrays(), CoreCell.from_arrays))


def solve_core(wanted: CellKey) -> CoreCell:
    """Solve a core's cell, whether it is kept or not."""
    cell = wanted.infill.cell()
    material = isotropic(1.0, wanted.nu)
    if isinstance(cell, PlanCell):
        return _solve_plan(wanted.infill, cell, material)
    return _solve_layers(wanted.infill, cell, wanted.nu)


def _solve_plan(infill: Infill, cell: PlanCell, material: np.ndarray) -> CoreCell:
    from fem.prismatic.concentration import concentration
    from fem.prismatic.homogenise import homogenise

    solved = homogenise(cell, material)
    notched = _with_usual_corners(infill, cell)
    peaks = None
    if notched.corner_radius > 0:
        peaks = concentration(notched, solved if notched is cell else homogenise(notched, material))
    return CoreCell(
        in_line=infill.pattern.alike,
        stiffness=_uncoupled(solved.stiffness),
        relative_error=solved.relative_error,
        geometric_fill=cell.geometric_fill,
        pitch=infill.pitch,
        directions=_families([line.points for line in cell.lines]),
        concentration=peaks.factors() if peaks else None,
        hot_spots=peaks.hot_spots() if peaks else None,
        plateau=prismatic_plateau(infill, cell),
    )


def _with_usual_corners(infill: Infill, cell: PlanCell) -> PlanCell:
    """Return the cell whose peaks are taken: with the corners that a bead makes by itself, where they fit.

    Strength takes the share of the fillet away again, which is known for those corners only; without this a radius of
    a few micrometres would break lines that a sharp corner does not.
    """
    usual = default_corner_radius(cell.bead_width)
    if usual == cell.corner_radius:
        return cell
    try:
        found = replace(infill, corner_radius=usual).cell()
    except InputError:
        return cell
    return found if isinstance(found, PlanCell) else cell


def _solve_layers(infill: Infill, cell: LayeredCell | StackedCell, nu: float) -> CoreCell:
    from fem.layered.layered import homogenise_layered
    from fem.layered.struts import strut_factors

    solved = homogenise_layered(cell, isotropic(1.0, nu))
    stiffness = _uncoupled(solved.stiffness)
    if isinstance(cell, LayeredCell):
        angles = np.radians(infill.angles_deg)
        directions, bars = np.column_stack([np.cos(angles), np.sin(angles)]), strut_factors(cell)
        plateau = crossing_plateau(infill, solved.geometric_fill, bars)
    else:
        directions, bars = np.zeros((0, 2)), None
        plateau = stretched_plateau(stiffness, nu, solved.geometric_fill)
    return CoreCell(
        in_line=infill.pattern.alike,
        stiffness=stiffness,
        relative_error=solved.relative_error,
        geometric_fill=solved.geometric_fill,
        pitch=infill.pitch,
        directions=directions,
        concentration=None,
        bars=bars,
        plateau=plateau,
    )


def _uncoupled(C: np.ndarray) -> np.ndarray:
    """Return C with negligible couplings set to zero, so that a section of uncoupled parts is solved in parts."""
    scale = np.sqrt(np.outer(np.diag(C), np.diag(C)))
    return np.where(np.abs(C) <= _UNCOUPLED * scale, 0.0, C)


def _families(lines: list[np.ndarray]) -> np.ndarray:
    """Return the distinct directions of straight lines, shape (n, 2); empty for more than eight."""
    steps = np.vstack([np.diff(points, axis=0) for points in lines])
    angles = np.unique(np.round(np.degrees(np.arctan2(steps[:, 1], steps[:, 0])) % 180, 3) % 180)
    if len(angles) > 8:
        return np.zeros((0, 2))
    return np.column_stack([np.cos(np.radians(angles)), np.sin(np.radians(angles))])
