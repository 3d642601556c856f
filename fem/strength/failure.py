"""How a printed beam can fail: one criterion per place and cause, each a force with its source.

A criterion compares a local stress with a strength: ``force = strength / (stress per force x local factor)``; where
the strength enters by a power (crush under a nose), ``force = (strength / factor) ^ power / stress``. The local
factor runs from ``nominal`` (mean stress on what really carries) to ``peak`` (elastic concentration at the notch) by
the notch sensitivity q of the material: nominal + q (peak - nominal) (Peterson's definition of q).
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from fem.printed.squeeze import Welded

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

# Modes of walls and faces: their failure is the beam's.
SKIN = ("face_tension", "wall_tension", "weld_tension")

Draws = Mapping[str, np.ndarray]


@dataclass(frozen=True)
class Criterion:
    """One way to fail.

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
    nominal : float
        Local over mean stress without notch.
    radii, peaks : tuple of float
        Local over mean elastic stress at these notch radii in mm (rising); a single peak holds for every radius, none
        means no notch.
    source : str
        Where the formula comes from.
    rest : float
        Share of EI that is left when this part has failed: the others then carry at least that share of their own
        force, and the beam breaks at the larger of both. 0 for walls and faces, whose failure is the beam's.
    by_shear_force : bool
        Whether the stress goes with the shear force instead of the moment.
    welded : Welded or None
        How the welded area goes with the squeeze tolerance: the local stress goes with its inverse.
    """

    mode: str
    what: str
    stress: float
    place: tuple[float, float]
    strength: str
    source: str
    share: float = 1.0
    power: float = 1.0
    nominal: float = 1.0
    radii: tuple[float, ...] = ()
    peaks: tuple[float, ...] = ()
    rest: float = 0.0
    by_shear_force: bool = False
    welded: Welded | None = None

    def factor(self, draws: Draws) -> np.ndarray:
        """Return the local factor for draws of notch sensitivity and radius, and of the squeeze tolerance if drawn."""
        if self.welded is None or "squeeze_mm" not in draws:
            return self.notch_factor(draws)
        return self.notch_factor(draws) / self.welded.at(draws["squeeze_mm"])

    def notch_factor(self, draws: Draws) -> np.ndarray:
        """Return the local factor at the best squeeze tolerance."""
        if not self.peaks:
            return np.full(len(next(iter(draws.values()))), self.nominal)
        peak = (
            np.exp(np.interp(np.log(draws["notch_radius_mm"]), np.log(self.radii), np.log(self.peaks)))
            if self.radii
            else np.full(len(draws["notch_sensitivity"]), self.peaks[0])
        )
        return self.nominal + draws["notch_sensitivity"] * np.maximum(peak - self.nominal, 0.0)

    def missing(self, draws: Mapping[str, object]) -> list[str]:
        """Return the names of card values that this criterion needs and the draws lack."""
        needed = [self.strength]
        needed += ["notch_sensitivity"] if self.peaks else []
        needed += ["notch_radius_mm"] if self.radii else []
        return [name for name in needed if name not in draws]

    def forces(self, draws: Draws) -> np.ndarray | None:
        """Return the breaking force in N for each draw of the card's values; None if the strength is unknown."""
        if self.missing(draws):
            return None
        if self.stress <= 0:
            return None
        return (self.share * draws[self.strength] / self.factor(draws)) ** self.power / self.stress

    def bracket(self, values: Mapping[str, float]) -> tuple[float, float] | None:
        """Return the force at full and at no notch sensitivity, other values as given; None without a notch."""
        if not self.peaks:
            return None
        both = {name: np.full(2, value) for name, value in values.items()}
        both["notch_sensitivity"] = np.array([1.0, 0.0])
        forces = self.forces(both)
        return None if forces is None else (float(forces[0]), float(forces[1]))


def forces_by_mode(criteria: Sequence[Criterion], draws: Draws) -> dict[str, np.ndarray | None]:
    """Return, per mode, the least force over its criteria for each draw; None where nothing could be evaluated.

    A core that fails first does not break the beam while walls and faces alone carry more: the beam then breaks in
    their mode, at the share of their force that the core leaves them (``Criterion.rest``).
    """
    known = [(one, forces) for one in criteria if (forces := one.forces(draws)) is not None]
    skin = [forces for one, forces in known if _is_skin(one)]
    core = [(one, forces) for one, forces in known if one.rest > 0]
    if skin and core:
        rest = core[0][0].rest
        alone = rest * np.min(skin, axis=0)
        lost = np.min([forces for _, forces in core], axis=0) < alone
        known = [
            (
                one,
                np.maximum(forces, alone)
                if one.rest > 0
                else np.where(lost & _is_skin(one), rest, 1.0) * forces,
            )
            for one, forces in known
        ]
    found: dict[str, np.ndarray | None] = dict.fromkeys(MODES)
    for one, forces in known:
        before = found[one.mode]
        found[one.mode] = forces if before is None else np.minimum(before, forces)
    return found


def _is_skin(one: Criterion) -> bool:
    return one.rest == 0 and one.mode in SKIN


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
