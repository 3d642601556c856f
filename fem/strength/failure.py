"""Failure modes, and the criteria of those that a local stress tells: ``force = (share strength)^power / stress``."""

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np

from fem.material.flow import flow

MODES = (
    "face_tension",
    "wall_tension",
    "weld_tension",
    "strut_tension",
    "core_shear",
    "wrinkling",
    "dimpling",
    "crush",
)

Draws = Mapping[str, np.ndarray]


@dataclass(frozen=True)
class Criterion:
    """One way to fail that a local stress tells.

    Attributes
    ----------
    mode : str
        Slug, one of `MODES`.
    what : str
        Which strength is compared with which stress, in a few words.
    stress : float
        Mean stress at the worst place per force on the beam, MPa/N.
    place : tuple of float
        (y, z) of that place, mm.
    strength : str
        Name of the card value compared with, times ``share``.
    share : float
        Strength over card value (1, or the dimensionless buckling stress where the card value is Young's modulus).
    power : float
        Exponent of the strength, 1 for a stress that grows with the force.
    source : str
        Where the formula comes from.
    """

    mode: str
    what: str
    stress: float
    place: tuple[float, float]
    strength: str
    source: str
    share: float = 1.0
    power: float = 1.0

    def missing(self, known: Mapping[str, object]) -> list[str]:
        """Return the names of card values that this criterion needs and ``known`` lacks."""
        return [] if self.strength in known else [self.strength]

    def forces(self, draws: Draws) -> np.ndarray | None:
        """Return the force in N for each draw of the card's values; None if the strength is unknown."""
        if self.missing(draws) or self.stress <= 0:
            return None
        return (self.share * draws[self.strength] * flow(draws)) ** self.power / self.stress


@dataclass(frozen=True)
class Way:
    """A way to break that was looked at, at the best values.

    Attributes
    ----------
    mode, what : str
    force : float or None
        N; None where a value is unknown, or where it never comes.
    place : tuple of float
        (y, z), mm.
    card_value : str
        Strength that decides.
    unknown : tuple of str
        Card values that are lacking.
    source : str
    """

    mode: str
    what: str
    force: float | None
    place: tuple[float, float]
    card_value: str
    unknown: tuple[str, ...]
    source: str


def wrinkling_stress(E_face: float, E_core: float, G_core: float) -> float:
    """Return the design value of the wrinkling stress of a face on a core, MPa.

    0.5 (E_f E_c G_c)^(1/3), Hoff and Mautner 1945, J. Aeronaut. Sci. 12, 285 (from memory); thick-core theory has
    0.91.
    """
    return 0.5 * float(np.cbrt(E_face * E_core * G_core))


def dimpling_stress(E_face: float, nu: float, thickness: float, gap: float) -> float:
    """Return the stress at which a face buckles between core lines a clear distance apart, MPa.

    2 E/(1 - nu^2) (t/s)^2, sandwich handbooks (from memory); plate theory of a simply supported strip has 3.29.
    """
    return 2 * E_face / (1 - nu**2) * (thickness / gap) ** 2


def crush_force(
    width: float, thickness: float, crush_stress: float, E_face: float, arm: float, span: float
) -> float:
    """Return the force at which a nose sinks an elastic face into a crushing core, N.

    b t (pi^2 sigma_c^2 E_f h_d / 3 L)^(1/3), Steeves and Fleck 2004, Int. J. Mech. Sci. 46, 561 (from memory, not
    verified).
    """
    return width * thickness * float(np.cbrt(np.pi**2 * crush_stress**2 * E_face * arm / (3 * span)))
