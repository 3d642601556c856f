"""What a side of a beam carries where a nose or a jaw presses on it, in closed form for any card values."""

import math
from dataclasses import dataclass
from typing import Any

import numpy as np

from fem.bending.plates import effective_share

# Depth by which a nose may sink in before the beam no longer carries more, over the beam's: the section below it has
# lost a tenth of its moment then. A choice of our own.
SUNK = 1 / 20


def line_load(thickness: float, yields: Any, crush: Any) -> Any:
    """Return the line load per width at which a nose bends a plastic face into a crushing core, N/mm.

    2 t (s_y s_c)^(1/2): hinges of moment s_y t^2/4 under the nose and at both sides of what is pressed in, upper bound
    of limit analysis with the least of all distances between them; so also Ashby and others, Metal Foams (2000, from
    memory).
    """
    return 2 * thickness * np.sqrt(yields * crush)


def elastic_line_load(thickness: float, crush: Any, E_face: Any, arm: float, span: float) -> Any:
    """Return the line load per width at which an elastic face that is pressed along the beam sinks in, N/mm.

    t (pi^2 s_c^2 E_f h_d/(3 L))^(1/3), Steeves and Fleck 2004, Int. J. Mech. Sci. 46, 561. Derived here too: a
    beam-column on a core that pushes back with its crush stress, flat and without moment where it is not pressed in,
    carries 2 (q/k) (sin a - a cos a)/(1 - cos a) over a half length a/k; most, pi q/k, at a = pi. With k^2 = N/EI and
    the face's force N = W L/(4 h_d) under three points that is the formula.
    """
    return thickness * np.cbrt(np.pi**2 * crush**2 * E_face * arm / (3 * span))


def plastic_jaws(lever: float, clamp: float) -> float:
    """Return the force on a cantilever over the line load that its jaws carry on all of their length, mm.

    One jaw presses on a length in front, the other on the rest: forces and moments about the edge balance at
    m = ((c + 2 L)^2 + c^2)^(1/2) - (c + 2 L).

    Examples
    --------
    >>> round(plastic_jaws(lever=60.0, clamp=20.0), 6)
    1.421356
    """
    return math.hypot(clamp + 2 * lever, clamp) - (clamp + 2 * lever)


@dataclass(frozen=True)
class Side:
    """A side of the beam with what lies under it, seen along the load; mm.

    Attributes
    ----------
    place : tuple of float
        (y, z) of its middle.
    width : float
        On which nose or jaw press.
    core_width, core_depth : float
        Of the core below, as far as they press.
    cover, under : float
        Thickness of wall or face above the core, and below.
    cover_ratio : float
        Its modulus along the beam over the bead's.
    core_ratio : float
        Modulus of the core towards the load over the bead's.
    web : float
        Thickness of all walls or faces that stand along the load, as far as nose or jaw reach them.
    web_share, web_strain : float
        Of their area that presses, and the strain at which they buckle.
    plateau : float
        Mean stress at the core's collapse per unit yield stress.
    standing : bool
        Whether the core's walls stand along the load as plates; they bow between their crossings elsewhere.
    line_strain : float
        Where its lines buckle: standing, strain of the lines; else mean stress of the core over the bead's modulus.
    solid : float
        Depth that the core has when it is pressed flat.
    """

    place: tuple[float, float]
    width: float
    core_width: float
    core_depth: float
    cover: float
    under: float
    cover_ratio: float
    core_ratio: float
    web: float
    web_share: float
    web_strain: float
    plateau: float
    standing: bool
    line_strain: float
    solid: float

    def crush_stress(self, yields: Any, E: Any) -> Any:
        """Return the mean stress that the core carries: collapse or buckling of its lines, MPa."""
        if self.standing:
            return self.plateau * yields * effective_share(np.sqrt(yields / E / self.line_strain))
        return np.minimum(self.plateau * yields, self.line_strain * E)

    def web_force(self, yields: Any, E: Any) -> Any:
        """Return what the standing walls carry per length of beam, N/mm."""
        return (
            self.web_share * yields * self.web * effective_share(np.sqrt(yields / E / self.web_strain))
            if self.web
            else np.zeros(np.shape(yields))
        )

    def under_nose(self, yields: Any, E: Any, radius: float, span: float) -> Any:
        """Return the load of one nose that has sunk in by `SUNK` of the depth, N: on cover, core and walls.

        The cover bends into the core along a line; on the chord of the nose core and walls are pressed straight, and
        the cover spreads the load on walls by its thickness to each side.

        Parameters
        ----------
        yields, E : float or ndarray
            Compressive yield stress and modulus of the bead, MPa.
        radius, span : float
            Of the nose; of three points whose face force is that of the test, mm.
        """
        crush, webs = self.crush_stress(yields, E), self.web_force(yields, E)
        depth = self.core_depth + self.cover + self.under
        sinks = np.minimum(
            line_load(self.cover, yields, crush),
            elastic_line_load(self.cover, crush, E * self.cover_ratio, depth - self.cover, span),
        )
        sunk = SUNK * depth
        chord = 2 * math.sqrt(sunk * (2 * radius - sunk)) if sunk < radius else 2 * radius
        return self.core_width * (sinks + chord * crush) + (chord + 2 * self.cover) * webs

    def first_under_nose(self, yields: Any, E: Any) -> Any:
        """Return the load of one nose at which the core first crushes: the cover as a beam on an elastic foundation, N.

        Hetenyi 1946: a line load W presses with W b/2 at most, b^4 = k/(4 E I).
        """
        core = E * self.core_ratio * self.core_width / self.core_depth
        whole = core + E * self.web_share * self.web / self.core_depth
        EI = E * self.cover_ratio * self.core_width * self.cover**3 / 12
        falls = (whole / (4 * EI)) ** 0.25
        return 2 * self.crush_stress(yields, E) * self.core_width * whole / (core * falls)

    def in_jaws(self, yields: Any, E: Any) -> Any:
        """Return the line load that a jaw carries, N/mm."""
        return self.core_width * self.crush_stress(yields, E) + self.web_force(yields, E)

    def flattened_moment(self, yields: Any) -> Any:
        """Return the plastic moment of the section with its core pressed flat, N mm."""
        return yields * self.width * (self.cover + self.under + self.solid) ** 2 / 4
