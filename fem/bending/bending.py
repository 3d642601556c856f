"""Closed-form tests: travel, moment and shear of a beam of given EI, GA and EA, with its root and rig."""

import math
from dataclasses import dataclass, replace
from functools import lru_cache
from typing import Literal

from patterns.errors import InputError
from patterns.remark import Remark

TestKind = Literal["cantilever", "three_point", "four_point", "tension"]

# Extra root rotation of a bar growing out of a half-plane of its own material, theta = C M/(E h^2 b): computed limit
# 4.9956 for plane stress, any Poisson's ratio (own half-plane solution; O'Donnell 1960 estimates 5.3). 0 is rigid.
ELASTIC_ROOT = 4.9956
# Of the loading nose of ISO 178 and ASTM D790, mm.
NOSE_RADIUS = 5.0


@dataclass(frozen=True)
class BendTest:
    """How the beam is bent or pulled; lengths in mm, compliance of the rig in mm/N.

    ``lever`` is the distance from the clamp to the load, ``span`` that of the supports and ``load_span`` that of the
    two noses of a four-point test; ``gauge`` is the length of a pulled beam over which its travel is measured.
    ``load_angle_deg`` turns the load from z about the beam's axis.
    ``clamp_length`` is what the jaws of a cantilever hold, 0 where unknown. ``nose_radius`` is that of the noses,
    ``nose_width`` what they reach across the beam, 0 for all of it. ``root`` is the coefficient of the clamped root's
    rotation (`root_compliance`), 0 for a rigid clamp; None where it may lie anywhere between rigid and elastic.
    """

    kind: TestKind
    lever: float = 0.0
    span: float = 0.0
    load_span: float = 0.0
    load_angle_deg: float = 0.0
    compliance: float = 0.0
    clamp_length: float = 0.0
    gauge: float = 0.0
    root: float | None = None
    nose_radius: float = NOSE_RADIUS
    nose_width: float = 0.0

    @property
    def is_pulled(self) -> bool:
        """Whether the beam is pulled along its axis instead of bent."""
        return self.kind == "tension"

    @property
    def reach(self) -> float:
        """Length in mm that is compared with the depth: lever, or distance from support to nose; 0 in tension."""
        if self.kind == "cantilever":
            return self.lever
        return (self.span - self.load_span) / 2

    @property
    def free_length(self) -> float:
        """Lever, span or gauge length in mm."""
        return {"cantilever": self.lever, "tension": self.gauge}.get(self.kind, self.span)

    def with_free_length(self, length: float) -> "BendTest":
        """Return the test with another lever, span or gauge length, mm."""
        changed = {"cantilever": "lever", "tension": "gauge"}.get(self.kind, "span")
        # the checker does not follow names of fields in a mapping
        return replace(self, **{changed: length})  # type: ignore[arg-type]

    @property
    def moment_per_force(self) -> float:
        """Largest bending moment over total force, mm: L, L/4 or a/2; 0 in tension."""
        return self.lever if self.kind == "cantilever" else self.reach / 2

    @property
    def load_per_force(self) -> float:
        """What breaks the section over the total force: the largest moment, mm; in tension the force itself, 1."""
        return 1.0 if self.is_pulled else self.moment_per_force

    @property
    def shear_per_force(self) -> float:
        """Largest shear force over total force: 1, or 1/2 between support and nose; 0 in tension."""
        return {"cantilever": 1.0, "tension": 0.0}.get(self.kind, 0.5)

    def bending_compliance(self, EI: float) -> float:
        """Return the deflection by bending per force, mm/N (at the load or at mid-span)."""
        L, a = self.free_length, self.reach
        if self.kind == "cantilever":
            return L**3 / (3 * EI)
        return a * (3 * L**2 - 4 * a**2) / (48 * EI)

    def shear_compliance(self, GA: float) -> float:
        """Return the deflection by shear per force, mm/N; GA holds the shear coefficient."""
        return self.reach / GA if self.kind == "cantilever" else self.reach / (2 * GA)

    def axial_compliance(self, EA: float) -> float:
        """Return the elongation of the gauge length per force, mm/N; 0 in bending."""
        return self.gauge / EA

    def root_compliance(self, EI: float, depth: float, coefficient: float) -> float:
        """Return the deflection by rotation of the clamped root per force, mm/N; 0 for supported beams.

        The rotation is C M/(E h^2 b) with E b = 12 EI/h^3 of the solid bar of the same EI.
        """
        if self.kind != "cantilever":
            return 0.0
        return coefficient * depth / (12 * EI) * self.lever**2

    def stiffness(self, EI: float, GA: float, depth: float, root: float) -> float:
        """Return force over deflection of a bent beam in N/mm, everything included."""
        return 1 / (
            self.bending_compliance(EI)
            + self.shear_compliance(GA)
            + self.root_compliance(EI, depth, root)
            + self.compliance
        )

    def check(self, depth: float) -> list[Remark]:
        """Return remarks about beam theory, none in tension; InputError below a reach of 1.5 depths.

        The size of the error is the end effect of a three-point bar, 0.174 h/L on the stress (own plane solution).
        """
        if self.is_pulled:
            return []
        name = "lever" if self.kind == "cantilever" else "distance from support to load"
        ratio = self.reach / depth
        if ratio < 1.5:
            raise InputError(
                f"{name} {self.reach:g} mm is {ratio:.2g} times the depth {depth:g} mm; beam theory does not "
                f"hold below 1.5: use at least {1.5 * depth:g} mm",
                key="test",
            )
        if ratio < 5:
            missed = 0.174255 / (2 * ratio)
            return [
                Remark.of("short_beam", test=self.kind, reach=self.reach, depth=depth, missed_share=missed)
            ]
        return []


def jaw_load(lever: float, clamp: float) -> float:
    """Return the largest line load in a jaw over the force on the beam, 1/mm.

    The clamped length c is a rigid block under a pressure that varies in a straight line along it. The force F at the
    lever L from the jaw's edge is F (L + c/2) about the block's middle, so q = F/c + 12 F (L + c/2) x/c^3 with x from
    the middle, and at the edge, x = c/2, q = F/c + 6 F (L + c/2)/c^2.

    Examples
    --------
    >>> round(jaw_load(lever=50.0, clamp=20.0), 9)    # 1/20 + 6 x 60/400
    0.95
    """
    return 1 / clamp + 6 * (lever + clamp / 2) / clamp**2


@lru_cache(maxsize=256)
def elastica_tip(alpha: float) -> float:
    """Return tip deflection over lever of a thin cantilever under a load of fixed direction, alpha = P L^2/EI.

    Bisshopp and Drucker 1945, Q. Appl. Math. 3, 272; linear theory gives alpha/3.
    """
    from scipy.special import ellipe, ellipeinc

    if alpha < 1e-6:
        return alpha / 3
    m = (1 + math.sin(elastica_angle(alpha))) / 2
    start = math.asin(1 / math.sqrt(2 * m))
    return 1 - 2 / math.sqrt(alpha) * float(ellipe(m) - ellipeinc(start, m))


def elastica_shortening(alpha: float) -> float:
    """Return by what part of the lever the tip comes nearer to the clamp: the lever that carries the moment shrinks."""
    if alpha < 1e-3:
        return alpha**2 / 15
    return 1 - math.sqrt(2 * math.sin(elastica_angle(alpha)) / alpha)


def elastica_angle(alpha: float) -> float:
    """Return the slope of the tip in radians; see `elastica_tip`."""
    from scipy.optimize import brentq
    from scipy.special import ellipk, ellipkinc

    def excess(theta: float) -> float:
        m = (1 + math.sin(theta)) / 2
        start = math.asin(1 / math.sqrt(2 * m))
        return float(ellipk(m) - ellipkinc(start, m)) - math.sqrt(alpha)

    return float(brentq(excess, 1e-12, math.pi / 2 - 1e-12, xtol=1e-14))


def large_deflection_error(force: float, lever: float, EI: float) -> float:
    """Return by what part linear theory overestimates the deflection of a cantilever at this force."""
    alpha = force * lever**2 / EI
    return alpha / 3 / elastica_tip(alpha) - 1
