"""Closed-form beam theory of a printed section: what a handbook gives without finite elements."""

import math
from dataclasses import dataclass

import numpy as np
import shapely

from patterns.outlines.layout import Layout

MODELS = ("solid bar", "walls only", "rule of mixtures", "transformed section")


@dataclass(frozen=True)
class TheoryBeam:
    """Bending stiffness, outer-fibre section modulus and axial stiffness of one closed-form model.

    Attributes
    ----------
    model : str
        One of `MODELS`.
    EI : float
        N mm^2, about the modulus-weighted centroid, along the load.
    stress_per_moment : float
        Largest axial stress of the stiffest outer zone per moment, 1/mm^3.
    EA : float
        N.
    """

    model: str
    EI: float
    stress_per_moment: float
    EA: float


def area_moments(area: shapely.Geometry, angle_deg: float = 0.0) -> tuple[float, float, float]:
    """Return area (mm^2), first and second moment (mm^3, mm^4) of a plane area about the origin along the load.

    The height is z turned about x by ``angle_deg``, as in ``Section.bending_stiffness``. Exact for polygons
    (Green's theorem on every ring).
    """
    turn = math.radians(angle_deg)
    total = np.zeros(3)
    for polygon in shapely.get_parts(area):
        for place, ring in enumerate((polygon.exterior, *polygon.interiors)):
            yz = np.asarray(ring.coords)[:, :2]
            height = math.cos(turn) * yz[:, 1] - math.sin(turn) * yz[:, 0]
            across = math.cos(turn) * yz[:, 0] + math.sin(turn) * yz[:, 1]
            h0, h1 = height[:-1], height[1:]
            cross = across[:-1] * h1 - across[1:] * h0
            sums = np.array(
                [
                    cross.sum() / 2,
                    (cross * (h0 + h1)).sum() / 6,
                    (cross * (h0**2 + h0 * h1 + h1**2)).sum() / 12,
                ]
            )
            # Rings may run either way: the first one adds, the holes take away.
            total += (1 if place == 0 else -1) * np.sign(sums[0]) * sums
    return float(total[0]), float(total[1]), float(total[2])


def theory_beams(
    layout: Layout, zone_moduli: dict[str, float], solid_modulus: float, fill: float, angle_deg: float = 0.0
) -> dict[str, TheoryBeam]:
    """Return the closed-form models of a section by name.

    Parameters
    ----------
    layout : Layout
        The zones.
    zone_moduli : dict
        Young's modulus along the beam of each role, MPa; of the core the homogenised one.
    solid_modulus : float
        Young's modulus of the solid print along the beam, MPa.
    fill : float
        Geometric fill of the core, for the rule of mixtures.
    angle_deg : float
        Turns the load from z about the beam's axis.
    """
    zones = {zone.role: zone.area for zone in layout.zones}
    skin = {role: zone_moduli[role] for role in zones if role in ("wall", "face")}
    cases: dict[str, list[tuple[shapely.Geometry, float]]] = {
        "solid bar": [(layout.outline, solid_modulus)],
        "walls only": [(zones[role], E) for role, E in skin.items()],
        "rule of mixtures": [(zones[role], E) for role, E in skin.items()]
        + ([(zones["core"], fill * solid_modulus)] if "core" in zones else []),
        "transformed section": [
            (area, zone_moduli[role]) for role, area in zones.items() if role in zone_moduli
        ],
    }
    return {model: _beam(model, parts, angle_deg) for model, parts in cases.items() if parts}


def _beam(model: str, parts: list[tuple[shapely.Geometry, float]], angle_deg: float) -> TheoryBeam:
    """Unsymmetric bending: a beam free to bend sideways under a load in one plane (handbooks)."""
    EA, first, second = 0.0, np.zeros(2), np.zeros((2, 2))
    for area, E in parts:
        A, S, K = plane_moments(area)
        EA, first, second = EA + E * A, first + E * S, second + E * K
    centre = first / EA
    K = second - EA * np.outer(centre, centre)
    turn = math.radians(angle_deg)
    load = np.array([-math.sin(turn), math.cos(turn)])
    slope = np.linalg.solve(K, load)  # strain per moment is slope . (position - centre)
    stress = max(
        E * float(np.abs((shapely.get_coordinates(area) - centre) @ slope).max()) for area, E in parts
    )
    return TheoryBeam(model, float(1 / (load @ slope)), stress, EA)


def plane_moments(area: shapely.Geometry) -> tuple[float, np.ndarray, np.ndarray]:
    """Return area, first moments (2,) and second moments (2, 2) of a plane area about the origin in (y, z)."""
    A, z, zz = area_moments(area)
    _, minus_y, yy = area_moments(area, 90.0)
    diagonal = area_moments(area, 45.0)[2]  # (zz - 2 yz + yy)/2
    yz = (zz + yy) / 2 - diagonal
    return A, np.array([-minus_y, z]), np.array([[yy, yz], [yz, zz]])
