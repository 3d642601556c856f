"""Forces and slopes as moments, and as apparent stress and modulus of a solid bar of the gross section."""

import math
from dataclasses import dataclass
from functools import cached_property
from typing import Literal

from fem.bending.bending import BendTest, elastica_shortening, elastica_tip
from patterns.errors import InputError

TestKind = Literal["cantilever", "three_point", "four_point", "tension"]
LENGTHS: dict[str, str] = {"cantilever": "lever", "tension": "gauge length"}
"""What the one length of a test is called; the others have a span."""

Shape = Literal["rectangle", "round"]

LARGE_DEFLECTION = 0.1
"""Deflection over span (or lever) above which ASTM D790 corrects the stress."""

LONGEST = 5000.0
"""mm; no beam of a bend test is longer."""


@dataclass(frozen=True)
class Geometry:
    """How a beam was bent or pulled and its outer size; mm throughout, None where it was not given.

    ``length`` is the span, the lever of a cantilever, or the gauge length of a pulled one. A round beam's ``depth`` is
    its diameter.
    """

    test: TestKind
    length: float
    load_span: float = 0.0
    shape: Shape | None = None
    width: float | None = None
    depth: float | None = None

    def __post_init__(self) -> None:
        name = LENGTHS.get(self.test, "span")
        sizes = (
            (name, self.length),
            ("load span", self.load_span),
            ("width", self.width),
            ("depth", self.depth),
        )
        for word, value in sizes:
            if value is not None and not (0 < value <= LONGEST) and not (word == "load span" and value == 0):
                raise InputError(f"{word} {value:g} mm is not a length between 0 and {LONGEST:g} mm")
        if self.test == "four_point" and not 0 < self.load_span < self.length:
            raise InputError(
                f"load span {self.load_span:g} mm must lie between 0 and the span {self.length:g} mm"
            )
        if self.test != "four_point" and self.load_span:
            raise InputError(f"a load span goes with four_point, not with {self.test}")
        if self.shape == "round" and self.depth is None and self.width is not None:
            object.__setattr__(self, "depth", self.width)
        if self.shape == "round" and self.width is not None and self.width != self.depth:
            raise InputError(
                f"a round beam has one diameter, not width {self.width:g} and depth {self.depth:g} mm"
            )

    @cached_property
    def bend_test(self) -> BendTest:
        """The test as the mechanics knows it."""
        if self.test == "cantilever":
            return BendTest("cantilever", lever=self.length)
        if self.test == "tension":
            return BendTest("tension", gauge=self.length)
        return BendTest(self.test, span=self.length, load_span=self.load_span)

    @property
    def is_pulled(self) -> bool:
        """Whether the beam was pulled along its axis."""
        return self.test == "tension"

    @property
    def moment_per_force(self) -> float:
        """Largest moment per force, mm; 0 in tension."""
        return self.bend_test.moment_per_force

    @property
    def is_whole(self) -> bool:
        """Whether the section is known."""
        if self.shape == "round":
            return self.depth is not None
        return self.shape == "rectangle" and self.width is not None and self.depth is not None

    @property
    def area(self) -> float:
        """Area of the gross section, mm2."""
        assert self.depth is not None
        if self.shape == "round":
            return math.pi * self.depth**2 / 4
        assert self.width is not None
        return self.width * self.depth

    @property
    def second_moment(self) -> float:
        """Second moment of area of the gross section, mm4."""
        assert self.depth is not None
        if self.shape == "round":
            return math.pi * self.depth**4 / 64
        assert self.width is not None
        return self.width * self.depth**3 / 12

    def moment(self, force: float, deflection: float | None = None) -> float:
        """Return the largest moment in N mm; the elastica tells how a bent cantilever's lever shrinks."""
        return force * self.moment_per_force * (1 - self._shortening(deflection))

    def stress(self, force: float, deflection: float | None = None) -> float:
        """Return the apparent outer-fibre stress in MPa; in tension force over area.

        Beyond a tenth of the span or lever it is corrected: three points as in ASTM D790 (support thrust), factor
        1 + 6 (D/L)^2 - 4 (d/L)(D/L); a cantilever by the elastica, whose lever shrinks. Four points are not.
        """
        assert self.depth is not None
        if self.is_pulled:
            return force / self.area
        plain = self.moment(force, deflection) * (self.depth / 2) / self.second_moment
        if self.test == "three_point" and deflection is not None and self.is_large(deflection):
            ratio = deflection / self.length
            plain *= 1 + 6 * ratio**2 - 4 * (self.depth / self.length) * ratio
        return plain

    def strain(self, deflection: float, at_beam: bool) -> float:
        """Return the apparent outer-fibre strain at a deflection in mm.

        Three points beyond a tenth of the span take the series of ISO 14125 (from memory), h/L (6 r - 24.37 r^3 +
        62.17 r^5) with r = s/L, which holds to a third of the span; a cantilever the moment of the elastica.
        """
        assert self.depth is not None
        if self.test == "three_point" and self.is_large(deflection):
            ratio = deflection / self.length
            return self.depth / self.length * (6 * ratio - 24.37 * ratio**3 + 62.17 * ratio**5)
        if self.test == "cantilever" and self.is_large(deflection):
            alpha = self._alpha(deflection)
            return alpha * (1 - self._shortening(deflection)) * self.depth / 2 / self.length
        return self.strain_per_travel(at_beam) * deflection

    def is_large(self, deflection: float) -> bool:
        """Say whether a deflection is beyond what linear theory holds for."""
        return deflection > LARGE_DEFLECTION * self.length

    def _shortening(self, deflection: float | None) -> float:
        """Return the part of a cantilever's lever that large deflection takes; 0 for other tests."""
        if self.test != "cantilever" or deflection is None or not self.is_large(deflection):
            return 0.0
        return elastica_shortening(self._alpha(deflection))

    def _alpha(self, deflection: float) -> float:
        """Return P L^2/EI of the elastica that has a deflection."""
        from scipy.optimize import brentq

        ratio = min(deflection / self.length, 0.95)
        return float(brentq(lambda load: elastica_tip(load) - ratio, 1e-6, 500.0))

    def modulus(self, slope: float, at_beam: bool) -> float:
        """Return the apparent modulus in MPa from a slope in N/mm.

        Four-point bending: travel measured at the beam is that of mid-span, the rig's own is that of the load noses.
        Shear and root are not taken off: apparent means with them.
        """
        if self.is_pulled:
            return slope * self.length / self.area
        return slope * self._travel_factor(at_beam) / self.second_moment

    def strain_per_travel(self, at_beam: bool) -> float:
        """Return the outer-fibre strain per mm of travel; 6 h/L^2 for three points, 1/L in tension."""
        assert self.depth is not None
        if self.is_pulled:
            return 1 / self.length
        return self.moment_per_force * (self.depth / 2) / self._travel_factor(at_beam)

    def _travel_factor(self, at_beam: bool) -> float:
        """Return travel x EI per force, mm3."""
        if self.test == "four_point" and not at_beam:
            a = self.bend_test.reach
            return a**2 * (3 * self.length - 4 * a) / 12
        return self.bend_test.bending_compliance(1.0)

    def elastica_excess(self, deflection: float) -> float:
        """Return by what part linear theory overestimates a cantilever's deflection where the elastica has this one."""
        return self._alpha(deflection) / 3 / min(deflection / self.length, 0.95) - 1

    @property
    def conventional_deflection(self) -> float | None:
        """1.5 times the depth (ISO 178), where the span is about 16 depths; None for other tests."""
        if self.test != "three_point" or self.shape != "rectangle" or self.depth is None:
            return None
        return 1.5 * self.depth if abs(self.length / self.depth - 16) <= 1 else None
