"""Weibull's volume effect: brittle strength is lower where more material is highly stressed.

A strength measured in one test holds for its stressed volume. In another test of the same section it is
``(V_1 / V_2) ^ (1/m)`` times as large, with V the effective volume, the integral of (stress over largest stress) ^ m
over the material in tension, and m the Weibull modulus.

Source of the closed forms: ASTM C1683 and Munz and Fett, Ceramics (1999), from memory; a test integrates them.
"""

from fem.bending.bending import BendTest


def stressed_length(test: BendTest, modulus: float) -> float:
    """Return the length of uniform bending (or tension) that fails as often as the test's moments do, mm.

    The integral of (M / M_max) ^ m along the beam: a moment that rises in a straight line over a length a counts as
    a/(m + 1), the part between the noses of a four-point test in full.
    """
    if test.is_pulled:
        return test.gauge
    if test.kind == "cantilever":
        return test.lever / (modulus + 1)
    return (test.span - test.load_span) / (modulus + 1) + test.load_span


def effective_volume(test: BendTest, width: float, depth: float, modulus: float) -> float:
    """Return the effective volume of a solid rectangular beam, mm^3.

    Of the volume V between the supports (from the clamp to the load): V/(2 (m+1)^2) in a three-point test and as a
    cantilever, V (m + 3)/(6 (m+1)^2) in a four-point test with noses at a third; in tension, V of the gauge length.

    Examples
    --------
    >>> round(effective_volume(BendTest("three_point", span=64), 10, 4, modulus=9), 6)    # 2560/200
    12.8
    """
    across = 1.0 if test.is_pulled else 1 / (2 * (modulus + 1))
    return width * depth * across * stressed_length(test, modulus)


def strength_ratio(tested: float, asked: float, modulus: float) -> float:
    """Return strength at the stressed length ``asked`` over that at ``tested`` (any unit), sections alike."""
    return float((tested / asked) ** (1 / modulus))
