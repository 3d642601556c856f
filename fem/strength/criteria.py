"""What strength asks of a beam: its parts with their thickness and modulus, and stresses in the lines of its core."""

from dataclasses import dataclass

import numpy as np
import shapely

from fem.bending.bending import BendTest
from fem.printed.core import CoreCell
from fem.printed.weld_plane import WeldPlane
from fem.printed.zones import zone_stiffness
from patterns.outlines.layout import Layout, Zone

# What the fillet at a joint of lines, a quarter bead in radius, adds to stress: 1.91 to 2.02 where square cells stretch
# (set fill 0.2 to 0.8); 1.46 in the plan and 1.37 along axis 3 where they bend.
STRETCH_FILLET, BEND_FILLET = 2.0, 1.5
# Peak over mean stress of a stretched line by statics, square cells. Where lines turn instead (hexagonal), the mean
# strain along them is larger than their own, and this limits it.
_LEAST_NOTCH = 1.75


@dataclass(frozen=True)
class Beam:
    """What strength needs to know of a beam and its test."""

    layout: Layout
    test: BendTest
    beads: np.ndarray
    young: float
    poisson: float
    core: CoreCell | None
    weld: WeldPlane


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
