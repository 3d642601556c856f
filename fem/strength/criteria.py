"""From the stress fields of a section to failure criteria, zone by zone."""

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
import shapely

from fem.bending.bending import BendTest
from fem.material.bonded import laminate
from fem.material.stiffness import about_axis_3, rotate, stress_transformation
from fem.printed.core import CoreCell
from fem.printed.weld_plane import WeldPlane
from fem.printed.zones import around, zone_stiffness
from fem.prismatic.stress_field import largest_principal
from fem.strength.failure import Criterion, dimpling_stress, wrinkling_stress
from patterns.outlines.layout import Layout, Zone
from patterns.outlines.orientation import beam_from_print

_ROUND_OFF = 1e-5
# What the fillet at a joint of lines, a quarter bead in radius, adds to stress: 1.91 to 2.02 where square cells stretch
# (set fill 0.2 to 0.8); 1.46 in the plan and 1.37 along axis 3 where they bend.
STRETCH_FILLET, BEND_FILLET = 2.0, 1.5
# Peak over mean stress of a stretched line by statics, square cells. Where lines turn instead (hexagonal), the mean
# strain along them is larger than their own, and this limits it.
_LEAST_NOTCH = 1.75
_MOST_LOADED = 40
_MOST_OF_ZONE = 0.95
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


def criteria(
    beam: Beam, zones: Sequence[Zone], stressed: StressedSection, skin_share: float
) -> list[Criterion]:
    """Return every criterion of the section's stresses; ``skin_share`` is EI of walls and faces over all EI.

    Crush at nose and jaws is the test's, see `fem.strength.crush`.
    """
    found: list[Criterion] = []
    for number, zone in enumerate(zones):
        here = stressed.zones == number
        points, bending, shear = stressed.points[here], stressed.bending[here], stressed.shear[here]
        if zone.role == "core":
            for criterion in _core(beam, points, bending, shear):
                lasting = skin_share if criterion.mode in ("strut_tension", "weld_tension") else 0.0
                found.append(replace(criterion, rest=lasting))
        else:
            found += _solid(beam, zone, points, bending)
            found += _skin_shear(beam, zone, points, shear)
            found += _buckling(beam, zone, points, bending)
    # A stress far below the section's largest is round-off of one that is zero.
    least = _ROUND_OFF * float(np.abs(stressed.bending).max())
    return [criterion for criterion in found if criterion.stress > least]


def _worst(stress: np.ndarray, points: np.ndarray) -> tuple[float, tuple[float, float]]:
    """Return the largest value and its place."""
    at = int(np.argmax(stress))
    return float(stress[at]), (float(points[at, 0]), float(points[at, 1]))


def _solid(beam: Beam, zone: Zone, points: np.ndarray, bending: np.ndarray) -> list[Criterion]:
    """Criteria of walls and faces: along the beads, across them in the layer, between layers."""
    mode = "face_tension" if zone.role == "face" else "wall_tension"
    source = "largest stress in bead axes from the section's Saint-Venant field"
    found = []
    for name, sig in bead_stresses(beam, zone, points, bending):
        stress, place = _worst(sig[:, 0], points)
        found.append(Criterion(mode, f"{name}, along the bead", stress, place, "bending_along_mpa", source))
        stress, place = _worst(sig[:, 1], points)
        found.append(Criterion(mode, f"{name}, across the bead", stress, place, "bending_across_mpa", source))
        stress, place = _worst(np.abs(sig[:, 5]), points)
        found.append(Criterion(mode, f"{name}, shear in the layer", stress, place, "shear_mpa", source))
        stress, place = _worst(sig[:, 2], points)
        found.append(
            Criterion(
                "weld_tension",
                f"{name}, between layers",
                stress,
                place,
                "weld_bending_mpa",
                "contact share and groove of stacked beads (own plane-strain cell)",
                nominal=1 / beam.weld.contact,
                radii=beam.weld.radii,
                peaks=tuple(peak / beam.weld.contact for peak in beam.weld.peaks),
                welded=beam.weld.squeezed,
            )
        )
    return found


def _skin_shear(beam: Beam, zone: Zone, points: np.ndarray, shear: np.ndarray) -> list[Criterion]:
    """Walls and faces as webs: shear between layers on what is welded, and in the beads' own plane.

    At bonded inner corners elastic shear has no limit, so the stress is that which all but a twentieth of a zone stays
    below: 1.496 of V/A in a solid rectangle, whose largest is 1.5.
    """
    source = f"shear of the section's Saint-Venant field, {_MOST_OF_ZONE:.0%} of the zone below it"
    own = "face_tension" if zone.role == "face" else "wall_tension"
    found = []
    for name, sig in bead_stresses(beam, zone, points, shear):
        between = "weld_tension", "shear between layers", np.hypot(sig[:, 3], sig[:, 4]), "weld_shear_mpa"
        inside = own, "shear in the layer by the shear force", np.abs(sig[:, 5]), "shear_mpa"
        for mode, what, size, strength in (between, inside):
            welded = strength == "weld_shear_mpa"
            stress = float(np.quantile(size, _MOST_OF_ZONE))
            at = points[int(np.argmin(np.abs(size - stress)))]
            found.append(
                Criterion(
                    mode, f"{name}, {what}", stress, (float(at[0]), float(at[1])), strength, source,
                    nominal=1 / beam.weld.contact if welded else 1.0,
                    welded=beam.weld.squeezed if welded else None,
                    by_shear_force=True,
                )
            )  # fmt: skip
    return found


def bead_stresses(
    beam: Beam, zone: Zone, points: np.ndarray, sig: np.ndarray
) -> list[tuple[str, np.ndarray]]:
    """Return stresses (n, 6) in bead axes (along, across in the layer, up) by name of the kind of bead."""
    orientation = beam.layout.printing.orientation
    if zone.direction == "around":
        turn = stress_transformation(np.swapaxes(around(beam.layout, points), 1, 2))
        return [("wall", np.einsum("nij,nj->ni", turn, sig))]
    to_print = stress_transformation(beam_from_print(orientation).T)
    in_print = sig @ to_print.T
    if zone.direction == "along":
        return [(zone.role, in_print)]
    layers = [rotate(beam.beads, about_axis_3(np.deg2rad(angle))) for angle in zone.angles_deg]
    strain = in_print @ np.linalg.inv(laminate(layers))
    found = []
    for angle, C in zip(zone.angles_deg, layers, strict=True):
        back = stress_transformation(about_axis_3(-np.deg2rad(angle)))
        found.append((f"{zone.role} layer at {angle:g} deg", strain @ C @ back.T))
    return found


def _core(beam: Beam, points: np.ndarray, bending: np.ndarray, shear: np.ndarray) -> list[Criterion]:
    core = beam.core
    if core is None:
        return []
    to_print = stress_transformation(beam_from_print(beam.layout.printing.orientation).T)
    found = []
    for mode, sig in (("strut_tension", bending @ to_print.T), ("core_shear", shear @ to_print.T)):
        if core.concentration is not None:
            found += _struts_by_concentration(mode, core, points, sig)
        elif len(core.directions):
            found.append(_struts_by_strain(mode, core, points, sig))
            if core.bars is not None and mode == "core_shear":
                found.append(_bars(core.bars, points, sig))
        if beam.weld.core_contact and mode == "strut_tension":
            found.append(_core_weld(beam.weld, points, sig))
        elif beam.weld.core_contact:
            found.append(_core_layers(beam.weld, core.in_line, points, sig))
    return found


def line_strains(core: CoreCell, sig: np.ndarray) -> np.ndarray:
    """Return the largest tensile strain times bead modulus over the line families, shape (n,): mean strut stress."""
    strain = sig @ np.linalg.pinv(core.stiffness, rcond=1e-9).T
    n = core.directions
    along = np.outer(strain[:, 0], n[:, 0] ** 2) + np.outer(strain[:, 1], n[:, 1] ** 2)
    along += np.outer(strain[:, 5], n[:, 0] * n[:, 1])
    return along.max(axis=1)


def line_stretch(core: CoreCell, sig: np.ndarray, peak: np.ndarray) -> np.ndarray:
    """Return the mean tension (n,) in the most stretched lines, given their largest stress."""
    return np.minimum(np.maximum(line_strains(core, sig), 0.0), peak / _LEAST_NOTCH)


def without_notch(peak: np.ndarray, stretch: np.ndarray) -> np.ndarray:
    """Return the stress of lines without the fillets' share, from the largest stress and that of mean stretch."""
    return stretch + np.maximum(peak - STRETCH_FILLET * stretch, 0.0) / BEND_FILLET


def _struts_by_concentration(
    mode: str, core: CoreCell, points: np.ndarray, sig: np.ndarray
) -> list[Criterion]:
    """Lines in tension, and their outer fibres in bending, each against its own strength, as in walls.

    Lines stretch by their own strain and bend by what that leaves of the largest principal stress; a fillet adds its
    share to both, and that alone is notch. Shear of both signs occurs along the beam.
    """
    assert core.hot_spots is not None
    some = _loaded(core, points, sig)
    points, sig = points[some], sig[some]
    if mode == "core_shear":
        sig = np.concatenate([sig, -sig]) * [0, 0, 0, 1, 1, 1]
        points = np.concatenate([points, points])
    peak = largest_principal(np.einsum("sij,nj->nsi", core.hot_spots, sig)).max(axis=1)
    source = "stress field of the homogenised cell under the section's mean stress"
    if not len(core.directions):  # lines of many directions mostly bend
        return [_lines(mode, "outer fibre of a core line", peak, peak, points, "bending_along_mpa", source)]
    stretch = line_stretch(core, sig, peak)
    pulled, fibre = np.minimum(peak, STRETCH_FILLET * stretch), without_notch(peak, stretch)
    return [
        _lines(mode, "core line, along the bead", stretch, pulled, points, "tension_along_mpa", source),
        _lines(mode, "outer fibre of a core line", fibre, peak, points, "bending_along_mpa", source),
    ]


def _loaded(core: CoreCell, points: np.ndarray, sig: np.ndarray) -> np.ndarray:
    """Return the places of some hundred points that hold the most loaded ones: by size, by component, by stretch."""
    _, own = np.unique(points.round(6), axis=0, return_index=True)
    size = np.abs(sig[own]) @ np.nan_to_num(np.asarray(core.concentration, dtype=float))
    chosen = [np.argsort(-size)[:_MOST_LOADED], sig[own].argmax(axis=0), sig[own].argmin(axis=0)]
    if len(core.directions):
        chosen.append(np.argsort(-line_strains(core, sig[own]))[: _MOST_LOADED // 2])
    chosen.append(np.arange(0, len(own), max(1, len(own) // _MOST_LOADED)))
    return own[np.unique(np.concatenate(chosen))]


def _lines(
    mode: str,
    what: str,
    nominal: np.ndarray,
    peak: np.ndarray,
    points: np.ndarray,
    strength: str,
    source: str,
) -> Criterion:
    most, place = _worst(peak, points)
    most = max(most, 1e-12)
    least = min(max(float(nominal.max()), 1e-12), most)
    return Criterion(mode, what, 1.0, place, strength, source, nominal=least, peaks=(most,))


def _struts_by_strain(mode: str, core: CoreCell, points: np.ndarray, sig: np.ndarray) -> Criterion:
    pulled = line_strains(core, sig)
    if mode == "core_shear":  # shear of both signs occurs along the beam
        pulled = np.maximum(pulled, line_strains(core, -sig))
    stress, place = _worst(pulled, points)
    return Criterion(
        mode,
        "core line, along the bead",
        stress,
        place,
        "tension_along_mpa",
        "strain of the homogenised core along the lines times the bead's modulus",
    )


def _bars(factors: np.ndarray, points: np.ndarray, sig: np.ndarray) -> Criterion:
    """Beads of crossing layers bent between their welds by shear; the three shears added by size (an upper bound)."""
    stress, place = _worst(np.abs(sig[:, 3:]) @ factors[3:], points)
    return Criterion(
        "core_shear",
        "outer fibre of a core line",
        max(stress, 1e-12),
        place,
        "bending_along_mpa",
        "forces by equilibrium, beads as bars between their welds (own derivation)",
    )


def _core_weld(weld: WeldPlane, points: np.ndarray, sig: np.ndarray) -> Criterion:
    """Tension across the layers of the core, on what is welded."""
    assert weld.core_contact is not None
    stress, place = _worst(sig[:, 2], points)
    return Criterion(
        "weld_tension",
        "core, between layers",
        stress,
        place,
        "weld_bending_mpa",
        "welded share of the core; groove as between stacked beads (own plane-strain cell)",
        nominal=1 / weld.core_contact,
        radii=weld.radii,
        peaks=tuple(peak / weld.core_contact for peak in weld.peaks),
        welded=weld.core_squeezed,
    )


def _core_layers(weld: WeldPlane, in_line: bool, points: np.ndarray, sig: np.ndarray) -> Criterion:
    """Shear along the layers in the welds of the core's lines, stacked or crossing."""
    assert weld.core_contact is not None
    stress, place = _worst(np.hypot(sig[:, 3], sig[:, 4]), points)
    return Criterion(
        "core_shear",
        f"core {'lines' if in_line else 'crossings'}, shear between layers",
        stress,
        place,
        "weld_shear_mpa",
        "welded share of the core's beads",
        nominal=1 / weld.core_contact,
        welded=weld.core_squeezed,
    )


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
    C = rotate(beam.core.stiffness, beam_from_print(beam.layout.printing.orientation)) * beam.young
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
