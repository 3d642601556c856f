"""The second model of a beam: every core line drawn, nothing homogenised.

Upright beams whose layers are alike are drawn in their section, flat and on-edge beams in a slice one period long. The
ratio to the homogenised section, over line phases, is the model error that an estimate's band carries.
"""

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
import shapely

from fem.beam.response import Response
from fem.beam.section_model import beads_of, mesh_layout, solve_layout
from fem.printed.zones import zone_stiffness
from fem.section.mesh import section_mesh
from fem.section.result import Section
from fem.section.solve import solve_section
from fem.slices.slice_error import affordable_grid, slice_ratio
from fem.strength.criteria import Beam
from patterns.errors import InputError, SolverError
from patterns.outlines.areas import EMPTY, polygons
from patterns.outlines.layout import Layout
from patterns.paths.covered import covered
from patterns.remark import Remark

PHASES = (0.0, 0.25, 0.5, 0.75)
SLICE_PHASES = (0.0, 0.25, 0.5)  # beyond, a beam with a plane of symmetry along it has their mirror images
# Pieces of line smaller than this share of a squared bead width carry nothing and only spoil the mesh.
_CRUMB = 0.02


@dataclass(frozen=True)
class Resolved:
    """A section with its lines drawn.

    Attributes
    ----------
    section : Section
    elements : int
    dropped_area : float
        mm^2 of loose pieces that touch nothing and were left out.
    """

    section: Section
    elements: int
    dropped_area: float


@dataclass(frozen=True)
class ModelError:
    """Resolved over homogenised stiffness at each phase, and unbonded over bonded; by EI, GA, GJ and EA.

    Attributes
    ----------
    phases : tuple of float
    resolved : dict of str to tuple of float
        Ratio per phase.
    unbonded : dict of str to float
        EI and GA of walls and core bending side by side without a joint, over those of the joined section; empty for
        slices.
    elements : int
        Of the finest resolved mesh; boxes of a slice.
    """

    phases: tuple[float, ...]
    resolved: dict[str, tuple[float, ...]]
    unbonded: dict[str, float]
    elements: int


def model_limits(error: ModelError) -> dict[str, tuple[float, float]]:
    """Return the least and largest ratio of the other models to the homogenised, bonded one; 1 included."""
    found = {}
    for name, ratios in error.resolved.items():
        low = min(1.0, *ratios) * min(1.0, error.unbonded.get(name, 1.0))
        found[name] = (low, max(1.0, *ratios))
    return found


def with_model_error(
    response: Response, beam: Beam, values: dict[str, float]
) -> tuple[Response, list[Remark]]:
    """Return the response with the model error in it, or unchanged with a remark on why it could not be had."""
    try:
        return replace(response, model=model_limits(model_error(beam, values))), []
    except (InputError, SolverError) as error:
        return response, [Remark.of("no_model_error", reason=str(error), key=error.key)]


def can_resolve(layout: Layout) -> bool:
    """Return whether the layout's section is the same at every height: upright, with lines alike in all layers."""
    return layout.printing.orientation == "upright" and (layout.infill is None or layout.infill.pattern.alike)


def solve_resolved(beam: Beam, values: dict[str, float]) -> Resolved:
    """Mesh walls and core lines as drawn and solve the section.

    Raises
    ------
    InputError
        If the section changes from layer to layer.
    """
    layout = beam.layout
    if not can_resolve(layout):
        raise InputError("an upright beam can be drawn line by line only if its layers are all alike")
    walls = layout.area("wall")
    lines = core_lines(layout)
    zones = {zone.role: zone for zone in layout.zones}
    joined, dropped = _without_loose(walls, lines)
    parts = [part for part in (walls, joined) if not part.is_empty]
    mesh = section_mesh(parts, layout.printing.bead.width)
    C = np.zeros((mesh.mesh.nelements, 6, 6))
    middles = mesh.mesh.p[:, mesh.mesh.t[:3]].mean(axis=1).T
    if not walls.is_empty:
        here = mesh.zone == 0
        C[here] = zone_stiffness(zones["wall"], layout, beam.beads, np.zeros((6, 6)), middles[here])
    # As in the cell: beads alike along and across, softer across the layers (axis x).
    alike = beads_of({**values, "across_bead_ratio": 1.0}, beam.weld.modulus_ratio)
    turned = zone_stiffness(replace(zones["core"], direction="core"), layout, beam.beads, alike, middles[:1])[
        0
    ]
    if not joined.is_empty:
        C[mesh.zone == len(parts) - 1] = turned
    return Resolved(solve_section(mesh.mesh, C), mesh.mesh.nelements, dropped)


def core_lines(layout: Layout) -> shapely.Geometry:
    """Return the area of the core's lines outside the walls, inside corners rounded, mm."""
    bead, infill = layout.printing.bead, layout.infill
    if infill is None:
        return EMPTY
    area = covered(infill.lines(layout.traced_core), bead.width, infill.corner_radius)
    inside = shapely.set_precision(area.intersection(layout.area("core")), 1e-6)
    return shapely.union_all([p for p in polygons(inside) if p.area > _CRUMB * bead.width**2])


def _without_loose(walls: shapely.Geometry, lines: shapely.Geometry) -> tuple[shapely.Geometry, float]:
    """Return the pieces that the walls hold (all of the largest one without walls), and the area left out."""
    pieces = list(polygons(lines))
    if not pieces:
        return lines, 0.0
    if walls.is_empty:
        largest = max(pieces, key=lambda piece: piece.area)
        return largest, sum(piece.area for piece in pieces) - largest.area
    near = walls.buffer(1e-5)
    held = [piece for piece in pieces if piece.intersects(near) and piece.intersection(near).length > 1e-3]
    return shapely.union_all(held), sum(piece.area for piece in pieces) - sum(piece.area for piece in held)


def model_error(beam: Beam, values: dict[str, float], phases: Sequence[float] | None = None) -> ModelError:
    """Return the drawn beam over the homogenised one at several line phases, and the unbonded bracket.

    The phases are `PHASES` for upright beams and `SLICE_PHASES` for the others where none are given.

    Raises
    ------
    InputError
        If an upright beam's layers differ, or a slice's lines do not repeat or would need too many boxes.
    SolverError
        If the mesh or the solver fails.
    """
    if beam.layout.printing.orientation == "upright":
        return _section_error(beam, values, PHASES if phases is None else phases)
    return _slice_error(beam, values, SLICE_PHASES if phases is None else phases)


def _shifted(beam: Beam, phase: float) -> Beam:
    """Return the beam with its lines at another phase."""
    return replace(beam, layout=beam.layout.shifted(phase))


def _section_error(beam: Beam, values: dict[str, float], phases: Sequence[float]) -> ModelError:
    angle = beam.test.load_angle_deg
    zones, mesh = mesh_layout(beam.layout)
    base = solve_layout(beam, zones, mesh).elastic(angle)
    found = [solve_resolved(_shifted(beam, phase), values) for phase in phases]
    elastic = [_elastic(one.section, angle) for one in found]
    return ModelError(
        phases=tuple(phases),
        resolved={name: tuple(one[name] / base[name] for one in elastic) for name in base},
        unbonded=unbonded(beam, base),
        elements=max(one.elements for one in found),
    )


def _slice_error(beam: Beam, values: dict[str, float], phases: Sequence[float]) -> ModelError:
    grid = affordable_grid(beam, values)
    found = [slice_ratio(replace(grid, beam=_shifted(beam, phase))) for phase in phases]
    return ModelError(
        phases=tuple(phases),
        resolved={name: tuple(one.ratios[name] for one in found) for name in found[0].ratios},
        unbonded={},
        elements=max(one.boxes for one in found),
    )


def unbonded(beam: Beam, bonded: dict[str, float]) -> dict[str, float]:
    """Return EI and GA of walls and core that bend side by side without a joint, over those of the joined section."""
    angle = beam.test.load_angle_deg
    total = {"EI": 0.0, "GA": 0.0}
    for role in ("wall", "core"):
        zones = tuple(zone for zone in beam.layout.zones if zone.role == role)
        if not zones:
            continue
        part = replace(beam.layout, zones=zones)
        try:
            model = solve_layout(replace(beam, layout=part), *mesh_layout(part))
        except (InputError, SolverError):
            continue  # a part that cannot stand alone carries nothing without the other
        for name, value in model.elastic(angle).items():
            if name in total:
                total[name] += value
    return {name: value / bonded[name] for name, value in total.items()}


def _elastic(section: Section, angle: float) -> dict[str, float]:
    return {
        "EI": section.bending_stiffness(angle),
        "GA": section.shear_stiffness(angle),
        "GJ": section.GJ,
        "EA": section.EA,
    }
