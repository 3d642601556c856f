"""Bend tests of solid bars: formulas and worked numbers of ISO 178, ASTM D790, ASTM D6272 and ISO 527-1.

Beam theory of a bar of modulus E, width b, depth h (standard integration): three points P L^3/48 EI, four points with
loads a from the supports P a (3 L^2 - 4 a^2)/48 EI at mid-span and P a^2 (3 L - 4 a)/12 EI under a nose, total load P,
cantilever P L^3/3 EI.
"""

from dataclasses import dataclass


@dataclass(frozen=True)
class Worked:
    """One worked number: arguments in mm, N, and the result in MPa or without unit."""

    span: float
    width: float
    depth: float
    force: float
    result: float
    load_span: float = 0.0
    deflection: float = 0.0


# ISO 178: sigma = 3 F L/2 b h^2. From memory of the standard; the formula is beam theory, the number its value.
THREE_POINT_STRESS = Worked(64, 10, 4, 50, 30.0)

# ASTM D790, from memory: for D > 0.1 L the stress takes the factor 1 + 6 (D/L)^2 - 4 (d/L)(D/L); here 60 x 1.0625.
LARGE_DEFLECTION_STRESS = Worked(64, 10, 4, 100, 63.75, deflection=8.0)

# Four-point stress P L/b d^2 (load span L/3) and 3 P L/4 b d^2 (L/2), ASTM D6272, derived from beam theory.
FOUR_POINT_STRESSES = (
    Worked(64, 10, 4, 50, 20.0, load_span=64 / 3),
    Worked(64, 10, 4, 50, 15.0, load_span=32.0),
)

# ASTM D6272, derived from beam theory (printed as 4.70, 0.21 and 4.36, 0.17): strain = A D d/L^2 and E = B L^3 m/b d^3
# with the mid-span deflection D, for load spans of a third and a half of the span.
FOUR_POINT_COEFFICIENTS = {1 / 3: (4.6957, 0.212963), 1 / 2: (4.3636, 0.171875)}

# ISO 178: deflections at which a bar of span 64 and depth 4 has 0.05 and 0.25 % strain, s = eps L^2/6 h, mm.
CHORD_DEFLECTIONS = (0.0853333333, 0.426666667)

# ISO 178 example of public teaching slides (forces read at those deflections, bar 10 x 4, span 64): E = 3678 MPa.
CHORD_FORCES, CHORD_MODULUS = (3.05, 15.31), 3678.0

# ISO 178, from memory: the conventional deflection is 1.5 h; at a span of 16 h that is 3.515625 % nominal strain.
CONVENTIONAL_DEFLECTION, CONVENTIONAL_STRAIN = 6.0, 0.03515625

# Elastica of a cantilever (Bisshopp and Drucker 1945; Mattiasson 1981, table 1): alpha = P L^2/EI and w/L.
ELASTICA = {0.5: 0.162143576, 1.0: 0.301720774, 2.0: 0.493457480, 5.0: 0.713791524}

# Three-point test of a soft-cored sandwich at two spans: D and U by the beam formulas of the faces and the core
# (b 50, d 22, faces 1 of 70000 MPa, core G 40), compliances in mm/N derived from them.
SANDWICH_SPANS, SANDWICH_COMPLIANCES = (200.0, 600.0), (0.00134958314, 0.00922786033)
SANDWICH_EI, SANDWICH_GA = 7.72333333e8, 44100.0


def three_point_compliance(span: float, EI: float, GA: float) -> float:
    """Return mm/N of Timoshenko's beam: L^3/48 EI + L/4 GA."""
    return span**3 / (48 * EI) + span / (4 * GA)


def cantilever_compliance(lever: float, EI: float, rotation: float, GA: float) -> float:
    """Return mm/N of a cantilever with a root that turns by ``rotation`` per moment: L^3/3 EI + c L^2 + L/GA."""
    return lever**3 / (3 * EI) + rotation * lever**2 + lever / GA
