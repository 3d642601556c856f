"""Failure criteria: plain arithmetic of forces."""

import numpy as np
import pytest

from fem.strength.failure import Criterion, crush_force, dimpling_stress, wrinkling_stress

HERE = (0.0, 0.0)


def draws(**values):
    return {name: np.atleast_1d(np.asarray(value, dtype=float)) for name, value in values.items()}


def test_force_is_strength_over_stress_per_force():
    plain = Criterion("crush", "", 0.05, HERE, "compression_mpa", "")
    np.testing.assert_allclose(plain.forces(draws(compression_mpa=[60.0, 80.0])), [1200.0, 1600.0])
    assert plain.forces(draws(shear_mpa=30.0)) is None
    assert plain.missing({"shear_mpa": 30.0}) == ["compression_mpa"]
    part = Criterion("crush", "", 0.05, HERE, "compression_mpa", "", share=0.125, power=2 / 3)
    np.testing.assert_allclose(part.forces(draws(compression_mpa=[64.0])), [4.0 / 0.05])


def test_sandwich_formulas():
    # Faces 70 GPa on a core of E 100, G 40 MPa: 327.106631 MPa; dimpling over 6 mm at t 1: 4364.14419 MPa (arithmetic).
    assert wrinkling_stress(70000, 100, 40) == pytest.approx(327.106631)
    assert dimpling_stress(70000, 0.33, 1, 6) == pytest.approx(4364.14419)
    # Steeves and Fleck: proportional to crush stress^(2/3) and to face modulus^(1/3).
    one = crush_force(50, 1, 1.0, 1000, 20, 300)
    assert crush_force(50, 1, 8.0, 1000, 20, 300) == pytest.approx(4 * one)
    assert crush_force(50, 1, 1.0, 8000, 20, 300) == pytest.approx(2 * one)
    assert one == pytest.approx(50 * (np.pi**2 * 1000 * 20 / 900) ** (1 / 3))
