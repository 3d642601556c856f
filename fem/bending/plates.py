"""Thin plates in compression: where they buckle, and what they carry then; strains and stresses per unit modulus.

A plate held at its edges carries on after it buckles: its middle bows out, its edges take more until they yield. The
mean stress then is the yield stress on the effective width. A face that wrinkles on a core has no such reserve; its
bow only grows with the load.
"""

import math
from dataclasses import dataclass

import numpy as np

# Bow of a wrinkled face over its half wave, EN 1993-1-5 table C.2 (from memory), a tolerance of steel plates; nobody
# has measured that of printed faces.
BOW = 1 / 200
_EVEN, _BENT = 8.2, 5.98
SOURCES = {
    "dimpling": "plate theory, then effective width (Winter 1947, from memory)",
    "wrinkling": "face on an elastic core (energy as Hoff and Mautner 1945), then its bow (Ayrton and Perry 1886)",
}


def plate_factor(psi: float) -> float:
    """Return the buckling factor k of a long plate with simply supported edges.

    Parameters
    ----------
    psi : float
        Strain of the less over that of the more compressed edge: 1 for pure compression, -1 for pure bending.

    Notes
    -----
    EN 1993-1-5:2006 table 4.1 (from memory; 4 and 23.9 are Timoshenko and Gere's).

    Examples
    --------
    >>> plate_factor(1.0), round(plate_factor(-1.0), 2)
    (4.0, 23.92)
    """
    if psi >= 0:
        return _EVEN / (1.05 + psi)
    if psi >= -1:  # 9.82 for the table's 9.78, which steps by 0.2 % at -1
        return _EVEN / 1.05 - 6.29 * psi + (4 * _BENT - _EVEN / 1.05 - 6.29) * psi**2
    return _BENT * (1 - psi) ** 2


def plate_strain(thickness: float, width: float, nu: float, psi: float = 1.0) -> float:
    """Return the strain at which a plate buckles: k pi^2/(12 (1 - nu^2)) (t/b)^2."""
    return plate_factor(psi) * math.pi**2 / (12 * (1 - nu**2)) * (thickness / width) ** 2


def effective_share(slenderness: np.ndarray, psi: float = 1.0) -> np.ndarray:
    """Return effective over whole width of a plate whose edges yield: (1 - 0.22/s)/s with s^2 = yield over buckling.

    Winter 1947, Trans. ASCE 112, 527, as it stands in AISI S100; 0.055 (3 + psi) for 0.22 under a gradient of stress is
    EN 1993-1-5, 4.4 (both from memory). Von Karman's 1/s (1932) is its limit for slender plates.

    Examples
    --------
    >>> round(float(effective_share(np.array(1.0))), 9)
    0.78
    """
    loss = 0.055 * (3 + max(psi, -3.0))
    s = np.maximum(slenderness, 0.5 + math.sqrt(max(0.25 - loss, 0.0)))
    answer: np.ndarray = np.minimum((1 - loss / s) / s, 1.0)
    return answer


def shell_strain(thickness: float, radius: float) -> float:
    """Return the strain at which a long bent cylinder buckles: 0.605 t/r, lowered for its imperfections.

    1 - 0.731 (1 - exp(-sqrt(r/t)/16)) of NASA SP-8007 (1968, from memory).
    """
    lowered = 1 - 0.731 * (1 - math.exp(-math.sqrt(radius / thickness) / 16))
    return 0.605 * lowered * thickness / radius


def wrinkling_stress(E_face: float, E_core: float, G_core: float, over_depth: float) -> float:
    """Return the stress at which a perfect face wrinkles on its core, MPa.

    The least of E_f t^2/(12 A) + E_c A/(t z) + G_c z/(3 t) over A, the squared half wave over pi^2, and the depth z
    that takes part, at most the core's: 0.909 (E_f E_c G_c)^(1/3) on a thick core, where the three are equal.

    Parameters
    ----------
    E_face, E_core, G_core : float
        Along the beam, and of the core towards the face, MPa.
    over_depth : float
        Thickness of the face over depth of the core.

    Examples
    --------
    >>> round(wrinkling_stress(70000, 100, 40, 0.05), 6)
    594.392195
    """
    thick = 3 / 36 ** (1 / 3) * float(np.cbrt(E_face * E_core * G_core))
    if G_core <= 0 or thick / G_core * over_depth <= 1:
        answer: float = thick
        return answer
    return math.sqrt(E_face * E_core * over_depth / 3) + G_core / (3 * over_depth)


def wrinkled_share(strain: float, yields: np.ndarray) -> np.ndarray:
    """Return the mean stress over the yield stress at which a wavy face yields (Ayrton and Perry 1886).

    The bow grows as 1/(1 - stress/wrinkling stress) and bends the face: (1 - s)(r - s) = eta s r with r wrinkling over
    yield stress. On a thick core eta = 2 bow/t, and a bow that goes with the half wave makes pi BOW strain^-1/2.

    Parameters
    ----------
    strain : float
        Wrinkling stress over modulus.
    yields : ndarray
        Yield stress over modulus.
    """
    eta = math.pi * BOW / math.sqrt(strain)
    r = strain / yields
    middle = (1 + (1 + eta) * r) / 2
    return middle - np.sqrt(np.maximum(middle**2 - r, 0.0))


@dataclass(frozen=True)
class Panel:
    """A flat piece of wall or face on the pressed side.

    Attributes
    ----------
    alone : float
        Strain at which it buckles between its neighbours as if nothing were behind it.
    psi : float
        Strain of its less over that of its more compressed edge.
    least : float
        Strain up to which it stays in shape whatever its width, that of a curved shell; 0 for flat ones.
    gap : float
        Strain at which it buckles between two lines of the core; infinity without a core.
    gap_psi : float
        As ``psi``, over the gap.
    wrinkle : float
        Strain at which it wrinkles on the core; 0 without one.
    events : tuple of (str, str, float)
        What can be seen first: mode, words and the curvature of the section at which it begins, 1/mm.
    place : tuple of float
        Its most compressed edge (y, z), mm.
    """

    alone: float
    psi: float
    least: float
    gap: float
    gap_psi: float
    wrinkle: float
    events: tuple[tuple[str, str, float], ...]
    place: tuple[float, float]

    def share(self, yields: np.ndarray) -> np.ndarray:
        """Return the largest mean stress over the yield stress for strains (n,) at yield.

        Of what stands on the core the better of the wrinkled face and the buckled panel; never more than its strips
        between the core's lines carry.
        """
        by_itself = effective_share(np.sqrt(yields / self.alone), self.psi)
        by_itself = np.maximum(by_itself, np.minimum(self.least / yields, 1.0))
        if self.wrinkle > 0:
            by_itself = np.maximum(by_itself, wrinkled_share(self.wrinkle, yields))
        strips = effective_share(np.sqrt(yields / self.gap), self.gap_psi)
        answer: np.ndarray = np.minimum(by_itself, np.maximum(strips, np.minimum(self.least / yields, 1.0)))
        return answer
