"""From the stress fields of a section to failure criteria, zone by zone."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import shapely

from fem.bending.bending import BendTest
from fem.printed.core import CoreCell
from fem.printed.weld_plane import WeldPlane
from fem.printed.zones import zone_stiffness
from fem.strength.failure import Criterion, dimpling_stress, wrinkling_stress
from patterns.outlines.layout import Layout, Zone

_ROUND_OFF = 1e-5
# What the fillet at a joint of lines, a quarter bead in radius, adds to stress: 1.91 to 2.02 where square cells stretch
# (set fill 0.2 to 0.8); 1.46 in the plan and 1.37 along axis 3 where they bend.
STRETCH_FILLET, BEND_FILLET = 2.0, 1.5
# Peak over mean stress of a stretched line by statics, square cells. Where lines turn instead (hexagonal), the mean
# strain along them is larger than their own, and this limits it.
_LEAST_NOTCH = 1.75
_DIMPLING = "sandwich handbooks (from memory)"
_WRINKLING = "Hoff and Mautner 1945 (from memory), at least the panel's own buckling"


@dataclass(frozen=True)
class StressedSection:
    """Stress per newton on the beam at the points of a meshed section, beam axes.

    Attributes
    ----------
    zones : ndarray of int, shape (n,)
        Zone of each point, by its place among the zones that carry.
    points : ndarray, shape (n, 2)
        (y, z) in mm.
    bending, shear : ndarray, shape (n, 6)
        MPa/N under the largest moment and under the largest shear force.
    """

    zones: np.ndarray
    points: np.ndarray
    bending: np.ndarray
    shear: np.ndarray


@dataclass(frozen=True)
class Beam:
    """What the criteria need to know besides the stresses."""

    layout: Layout
    test: BendTest
    beads: np.ndarray
    young: float
    poisson: float
    core: CoreCell | None
    weld: WeldPlane


def criteria(beam: Beam, zones: Sequence[Zone], stressed: StressedSection) -> list[Criterion]:
    """Return the criteria of walls and faces that buckle; what yields and breaks is `fem.strength.bent`'s and `webs`'.

    Crush at nose and jaws is the test's, see `fem.strength.crush`.
    """
    found: list[Criterion] = []
    for number, zone in enumerate(zones):
        here = stressed.zones == number
        if zone.role != "core":
            found += _buckling(beam, zone, stressed.points[here], stressed.bending[here])
    # A stress far below the section's largest is round-off of one that is zero.
    least = _ROUND_OFF * float(np.abs(stressed.bending).max())
    return [criterion for criterion in found if criterion.stress > least]


def _worst(stress: np.ndarray, points: np.ndarray) -> tuple[float, tuple[float, float]]:
    """Return the largest value and its place."""
    at = int(np.argmax(stress))
    return float(stress[at]), (float(points[at, 0]), float(points[at, 1]))


def line_strains(core: CoreCell, sig: np.ndarray) -> np.ndarray:
    """Return the largest tensile strain times bead modulus over the line families, shape (n,): mean strut stress."""
    strain = sig @ np.linalg.pinv(core.stiffness, rcond=1e-9).T
    n = core.directions
    along = np.outer(strain[:, 0], n[:, 0] ** 2) + np.outer(strain[:, 1], n[:, 1] ** 2)
    along += np.outer(strain[:, 5], n[:, 0] * n[:, 1])
    found: np.ndarray = along.max(axis=1)
    return found


def line_stretch(core: CoreCell, sig: np.ndarray, peak: np.ndarray) -> np.ndarray:
    """Return the mean tension (n,) in the most stretched lines, given their largest stress."""
    found: np.ndarray = np.minimum(np.maximum(line_strains(core, sig), 0.0), peak / _LEAST_NOTCH)
    return found


def without_notch(peak: np.ndarray, stretch: np.ndarray) -> np.ndarray:
    """Return the stress of lines without the fillets' share, from the largest stress and that of mean stretch."""
    return stretch + np.maximum(peak - STRETCH_FILLET * stretch, 0.0) / BEND_FILLET


def _buckling(beam: Beam, zone: Zone, points: np.ndarray, bending: np.ndarray) -> list[Criterion]:
    """Wrinkling and dimpling of a wall or face on the compressed side.

    However soft the core, a wall or face keeps the buckling stress of its own panel between its neighbours.
    """
    inside = beam.layout.area("core")
    stress, place = _worst(-bending[:, 0], points)
    thickness = thickness_at(beam.layout, zone.role, place)
    if inside.is_empty or stress <= 0 or thickness == 0:
        return []
    left, low, right, high = inside.bounds
    specimen = beam.layout.specimen
    # a flat beam has its walls at the sides, one on edge its faces; upright walls go around, so there the place tells
    at_sides = {"flat": "wall", "on_edge": "face"}.get(beam.layout.printing.orientation)
    by_place = abs(place[0]) / specimen.width > abs(place[1]) / specimen.depth
    sideways = zone.role == at_sides if at_sides else by_place
    panel = high - low if sideways else right - left
    E_face = axial_modulus(beam, zone)

    def buckling(mode: str, what: str, limit: float, source: str) -> Criterion:
        return Criterion(mode, what, stress, place, "young_mpa", source, share=limit / beam.young)

    alone = dimpling_stress(E_face, beam.poisson, thickness, panel)
    if beam.core is None:
        return [buckling("dimpling", f"{zone.role} panel {panel:.3g} mm wide", alone, _DIMPLING)]
    gap = min(beam.core.pitch - beam.layout.printing.bead.width, panel)
    core = next(zone for zone in beam.layout.zones if zone.role == "core")
    C = zone_stiffness(core, beam.layout, beam.beads, beam.core.stiffness * beam.young, np.array([place]))[0]
    supported = wrinkling_stress(
        E_face, modulus(C, 1 if sideways else 2), float(C[5, 5] if sideways else C[4, 4])
    )
    found = [buckling("wrinkling", f"{zone.role} on the core", max(supported, alone), _WRINKLING)]
    if gap > 0:
        dimple = dimpling_stress(E_face, beam.poisson, thickness, gap)
        found.append(
            buckling("dimpling", f"{zone.role} between core lines {gap:.3g} mm apart", dimple, _DIMPLING)
        )
    return found


def thickness_at(layout: Layout, role: str, place: tuple[float, float]) -> float:
    """Return the thickness of walls, or of the faces on the side of a place, mm."""
    printing = layout.printing
    if role == "wall":
        return printing.walls * printing.bead.width
    left, low, right, high = layout.outline.bounds
    # Layers rise with z in a flat beam, against y in one on edge.
    top = place[1] > (low + high) / 2 if printing.orientation == "flat" else place[0] < (left + right) / 2
    return (printing.top_layers if top else printing.bottom_layers) * printing.bead.height


def axial_modulus(beam: Beam, zone: Zone) -> float:
    """Return Young's modulus of a wall or face along the beam, MPa."""
    middle = np.array(shapely.get_coordinates(zone.area)[:1])
    C = zone_stiffness(zone, beam.layout, beam.beads, np.zeros((6, 6)), middle)[0]
    return modulus(C, 0)


def modulus(C: np.ndarray, axis: int) -> float:
    """Young's modulus along a beam axis, 0 without a load path."""
    if C[axis, axis] <= 0:
        return 0.0
    return float(1 / np.linalg.pinv(C, rcond=1e-9)[axis, axis])
