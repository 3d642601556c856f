"""The pressed panels of a beam: which pieces of wall and face lie where, how they are held, and what buckles first."""

from dataclasses import dataclass

import numpy as np

from fem.bending.plates import Panel, plate_strain, shell_strain, wrinkling_stress
from fem.printed.zones import zone_stiffness
from fem.strength.criteria import Beam, axial_modulus, modulus, thickness_at
from patterns.outlines.layout import Zone

_LEAST = 1e-9


@dataclass(frozen=True)
class _Piece:
    """A flat piece of wall or face: its edges (2, 2) in (y, z) in the middle of its thickness, sizes in mm."""

    edges: np.ndarray
    sideways: bool
    thickness: float
    core_depth: float

    @property
    def width(self) -> float:
        return float(np.linalg.norm(self.edges[1] - self.edges[0]))


def panels(beam: Beam, zone: Zone, gradient: np.ndarray, axis: float) -> tuple[Panel, ...]:
    """Return the panels of a wall or face that are pressed anywhere.

    Parameters
    ----------
    beam : Beam
        Its layout, test and core.
    zone : Zone
        Walls or faces.
    gradient : ndarray, shape (2,)
        Axial strain per curvature and mm along (y, z), rising towards the side in tension.
    axis : float
        Height of the neutral axis by that gradient.
    """
    found = []
    for piece in _pieces(beam, zone):
        pressed = axis - piece.edges @ gradient
        if pressed.max() > _LEAST * piece.width:
            found.append(_panel(beam, zone, piece, pressed))
    return tuple(found)


def _pieces(beam: Beam, zone: Zone) -> list[_Piece]:
    """Return the pieces of a zone around the core, all four for upright walls."""
    layout = beam.layout
    inside = layout.area("core")
    if inside.is_empty:
        return []
    left, low, right, high = inside.bounds
    # a flat beam has its walls at the sides, one on edge its faces; upright walls go around
    at_sides = {"flat": "wall", "on_edge": "face"}.get(layout.printing.orientation, zone.role)
    at_ends = {"flat": "face", "on_edge": "wall"}.get(layout.printing.orientation, zone.role)
    found = []
    for side, outwards in ((left, -1.0), (right, 1.0)):
        t = thickness_at(layout, zone.role, (side, 0.0))
        if zone.role == at_sides and t > 0:
            y = side + outwards * t / 2
            found.append(_Piece(np.array([[y, low], [y, high]]), True, t, right - left))
    for end, outwards in ((low, -1.0), (high, 1.0)):
        t = thickness_at(layout, zone.role, (0.0, end))
        if zone.role == at_ends and t > 0:
            z = end + outwards * t / 2
            found.append(_Piece(np.array([[left, z], [right, z]]), False, t, high - low))
    return found


def _panel(beam: Beam, zone: Zone, piece: _Piece, pressed: np.ndarray) -> Panel:
    """Return the panel of a piece whose edges are pressed by so much strain per curvature."""
    nu, specimen = beam.poisson, beam.layout.specimen
    most, psi = float(pressed.max()), float(pressed.min() / pressed.max())
    alone = plate_strain(piece.thickness, piece.width, nu, psi)
    round_ = specimen.shape in ("round", "tube")
    least = shell_strain(piece.thickness, specimen.width / 2) if round_ else 0.0
    gap, gap_psi, wrinkle = np.inf, psi, 0.0
    edge = piece.edges[int(np.argmax(pressed))]
    place = (float(edge[0]), float(edge[1]))
    if beam.core is None:
        gap = alone
        events = [("dimpling", f"{zone.role} panel {piece.width:.3g} mm wide", max(alone, least))]
    else:
        wrinkle = _wrinkle(beam, zone, piece)
        events = [("wrinkling", f"{zone.role} on the core", max(wrinkle, alone, least))]
        clear = min(beam.core.pitch - beam.layout.printing.bead.width, piece.width)
        if clear > 0:
            gap_psi = 1 - (1 - psi) * clear / piece.width
            gap = plate_strain(piece.thickness, clear, nu, gap_psi)
            words = f"{zone.role} between core lines {clear:.3g} mm apart"
            events.append(("dimpling", words, max(gap, least)))
    begun = tuple((mode, words, strain / most) for mode, words, strain in events)
    return Panel(alone, psi, least, gap, gap_psi, wrinkle, begun, place)


def _wrinkle(beam: Beam, zone: Zone, piece: _Piece) -> float:
    """Return the strain at which a piece wrinkles on the core, 0 on one that does not hold it."""
    core = next(one for one in beam.layout.zones if one.role == "core")
    assert beam.core is not None
    middle = piece.edges.mean(axis=0)[None]
    C = zone_stiffness(core, beam.layout, beam.beads, beam.core.stiffness * beam.young, middle)[0]
    towards, sliding = (1, 5) if piece.sideways else (2, 4)
    E_face, E_core, G_core = axial_modulus(beam, zone), modulus(C, towards), float(C[sliding, sliding])
    over_depth = piece.thickness / piece.core_depth
    return wrinkling_stress(E_face, max(E_core, 0.0), max(G_core, 0.0), over_depth) / E_face
