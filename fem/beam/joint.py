"""The joint of core and walls: bonded as modelled, or open, so that core and skin only bend side by side.

What a print's joint really carries lies in between. Where skin and core bend about one common axis anyway, as in a
core that walls surround evenly, an open joint takes nothing off EI.
"""

import math
from dataclasses import dataclass, replace

import numpy as np
import shapely
from skfem import MeshTri, MeshTri2

from fem.beam.carrying import bent, webs
from fem.beam.response import Response
from fem.beam.section_model import SectionModel, element_stiffness
from fem.bending.beam_theory import plane_moments
from fem.section.mesh import SectionMesh
from fem.section.solve import solve_section
from fem.strength.criteria import Beam
from patterns.errors import InputError, SolverError
from patterns.outlines.areas import polygons
from patterns.outlines.layout import Layout, Zone

# Open over bonded EI above which the joint is not looked at further.
_ALIKE = 0.98
_JUST_BEFORE = 1e-9  # of a curvature


@dataclass(frozen=True)
class Joint:
    """Results with an open joint; N mm2, N/mm and N.

    Attributes
    ----------
    EI, stiffness : float
    breaking_force : float or None
    """

    EI: float
    stiffness: float
    breaking_force: float | None


def open_joint(
    beam: Beam, zones: tuple[Zone, ...], mesh: SectionMesh, response: Response, moduli: dict[str, float]
) -> Joint | None:
    """Return the best estimate with an open joint; None where it changes EI by less than 2 % in beam theory.

    In tension skin and core stretch alike, joined or not: None.

    ``moduli`` are the zones' Young's moduli along the beam by role, MPa. Core and skin share neither nodes nor shear:
    pieces bend together, each about its own axis (`fem.section.parts`).
    """
    angle = beam.test.load_angle_deg
    if beam.test.is_pulled or open_over_bonded(beam.layout, moduli, angle) > _ALIKE:
        return None
    core = np.array([zone.role == "core" for zone in zones])[mesh.zone]
    parted = SectionMesh(separated(mesh.mesh, core), mesh.zone)
    C = element_stiffness(beam, zones, parted)
    try:
        section = solve_section(parted.mesh, C)
    except (InputError, SolverError):  # a core that cannot stand alone carries nothing without its walls
        section = solve_section(parted.mesh, np.where(core[:, None, None], 0.0, C))
    model = SectionModel(zones, parted, section)
    parts = replace(response, best=model.elastic(angle), webs=webs(beam, model), bent=None, model={})
    at_best = parts.at({})
    moment = _side_by_side(beam, model, response)
    forces = [] if moment is None else [moment / beam.test.moment_per_force]
    rest = parts.force(at_best)
    forces += [] if rest is None else [float(rest[0])]
    return Joint(
        EI=parts.best["EI"],
        stiffness=float(parts.stiffness(at_best)[0]),
        breaking_force=min(forces, default=None),
    )


def _side_by_side(beam: Beam, model: SectionModel, response: Response) -> float | None:
    """Return the largest moment of pieces bent to one curvature, each about its own axis; None where none is known.

    Of the sum of their curves, which falls only where one of them breaks.
    """
    skin = [zone.area for zone in model.zones if zone.role != "core"]
    pieces = polygons(shapely.union_all(skin, grid_size=1e-6)) + polygons(beam.layout.area("core"))
    at_best = response.at({})
    alone = [found for piece in pieces if (found := bent(beam, model, piece)) is not None]
    if not alone or any(one.missing(at_best) for one in alone):
        return None
    curves = [one.curve(at_best, np.ones(1)) for one in alone]
    at = np.unique(np.concatenate([curve.curvature * (1 - _JUST_BEFORE) for curve in curves]))
    sums = [np.interp(at, curve.curvature, curve.moment, right=0.0) for curve in curves]
    return float(np.sum(sums, axis=0).max())


def open_over_bonded(layout: Layout, moduli: dict[str, float], angle_deg: float) -> float:
    """Return EI of core and pieces of skin bending side by side over that of the whole, by beam theory; 1 without core.

    Plane sections: every piece about its own axis, against all about the common one.
    """
    skin = [zone for zone in layout.zones if zone.role in ("wall", "face")]
    core = layout.area("core")
    if core.is_empty or not skin or moduli.get("core", 0.0) == 0:
        return 1.0
    pieces = [
        [(part, moduli[zone.role]) for zone in skin for part in polygons(zone.area.intersection(piece))]
        for piece in polygons(shapely.union_all([zone.area for zone in skin], grid_size=1e-6))
    ]
    pieces += [[(piece, moduli["core"])] for piece in polygons(core)]
    apart = np.sum([_stiffness(piece) for piece in pieces], axis=0)
    whole = _stiffness([part for piece in pieces for part in piece])
    return _along(apart, angle_deg) / _along(whole, angle_deg)


def _stiffness(parts: list[tuple[shapely.Geometry, float]]) -> np.ndarray:
    """Return EI (2, 2) of joined areas with their moduli about their common axis."""
    EA, first, second = 0.0, np.zeros(2), np.zeros((2, 2))
    for area, E in parts:
        A, S, K = plane_moments(area)
        EA, first, second = EA + E * A, first + E * S, second + E * K
    return second - np.outer(first, first) / EA


def _along(K: np.ndarray, angle_deg: float) -> float:
    turn = math.radians(angle_deg)
    load = np.array([-math.sin(turn), math.cos(turn)])
    return float(1 / (load @ np.linalg.solve(K, load)))


def separated(mesh: MeshTri, apart: np.ndarray) -> MeshTri:
    """Return the mesh with the elements ``apart`` (bool, one per element) on nodes of their own, numbered as before."""
    rows = mesh.dofs.element_dofs if isinstance(mesh, MeshTri2) else mesh.t
    own = rows + mesh.doflocs.shape[1] * apart
    # corners first, as the mesh class wants them
    corners, middles = np.unique(own[:3]), np.unique(own[3:])
    order = np.concatenate([corners, middles])
    numbers = np.argsort(order)
    t = numbers[np.searchsorted(order, own, sorter=numbers)]
    return type(mesh)(mesh.doflocs[:, order % mesh.doflocs.shape[1]], t)
