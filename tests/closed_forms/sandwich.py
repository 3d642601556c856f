"""Sandwich beams: stiff faces on a soft core.

Allen, Analysis and Design of Structural Sandwich Panels, 1969, chapter 2; the shear estimate is also that of ASTM
D7250. Formulas from memory, identities derived for this project.
"""

WORKED = {  # b 50, d 22, faces 1, core 20; E 70000 and 100, core G 40
    "flexural": 7.75666667e8,
    "flexural_faces_only": 7.72333333e8,
    "shear": 44100.0,
}


def flexural(width: float, face: float, core: float, E_face: float, E_core: float = 0.0) -> float:
    """EI: b (E_f t^3/6 + E_f t h^2/2 + E_c c^3/12) with h = c + t between the middles of the faces."""
    apart = core + face
    return width * (E_face * face**3 / 6 + E_face * face * apart**2 / 2 + E_core * core**3 / 12)


def shear(width: float, face: float, core: float, G_core: float) -> float:
    """GA with thin stiff faces and constant shear stress in the core: G b h^2/c."""
    return G_core * width * (core + face) ** 2 / core
