"""Failure criteria: plain arithmetic of forces, notches, and what happens when the core fails first."""

import numpy as np
import pytest

from fem.strength.failure import Criterion, crush_force, dimpling_stress, forces_by_mode, wrinkling_stress

HERE = (0.0, 0.0)


def draws(**values):
    return {name: np.atleast_1d(np.asarray(value, dtype=float)) for name, value in values.items()}


def test_force_is_strength_over_stress_per_force():
    plain = Criterion("wall_tension", "", 0.05, HERE, "bending_along_mpa", "")
    np.testing.assert_allclose(plain.forces(draws(bending_along_mpa=[60.0, 80.0])), [1200.0, 1600.0])
    assert plain.forces(draws(shear_mpa=30.0)) is None


def test_notch_sensitivity_runs_from_nominal_to_peak():
    # Peterson: K_f = nominal + q (K - nominal); here K falls with the radius as r^-0.5.
    weld = Criterion(
        "weld_tension",
        "",
        0.1,
        HERE,
        "weld_bending_mpa",
        "",
        nominal=1.5,
        radii=(0.01, 0.04),
        peaks=(6.0, 3.0),
    )
    values = draws(
        weld_bending_mpa=[30.0] * 3, notch_sensitivity=[0.0, 1.0, 0.5], notch_radius_mm=[0.01, 0.01, 0.02]
    )
    expected = [300 / 1.5, 300 / 6.0, 300 / (1.5 + 0.5 * (np.sqrt(18.0) - 1.5))]
    np.testing.assert_allclose(weld.forces(values), expected)
    low, high = weld.bracket({"weld_bending_mpa": 30.0, "notch_radius_mm": 0.01})
    assert (low, high) == pytest.approx((50.0, 200.0))


@pytest.mark.parametrize(
    ("core_strength", "rest", "breaking", "mode"),
    [
        (120.0, 0.9, 100.0, "face_tension"),  # the core outlasts the faces
        (10.0, 0.9, 90.0, "face_tension"),  # the core fails early: faces alone carry 90 %
        (95.0, 0.2, 95.0, "strut_tension"),  # the core fails first and the rest cannot carry on
    ],
)
def test_a_core_that_fails_first_leaves_the_faces_their_share(core_strength, rest, breaking, mode):
    face = Criterion("face_tension", "", 1.0, HERE, "bending_along_mpa", "")
    core = Criterion("strut_tension", "", 1.0, HERE, "tension_along_mpa", "", rest=rest)
    forces = forces_by_mode([face, core], draws(bending_along_mpa=100.0, tension_along_mpa=core_strength))
    known = {name: float(force[0]) for name, force in forces.items() if force is not None}
    governing = min(known, key=known.get)
    assert (governing, known[governing]) == (mode, pytest.approx(breaking))


def test_more_core_strength_never_lowers_the_breaking_force():
    face = Criterion("face_tension", "", 1.0, HERE, "bending_along_mpa", "")
    core = Criterion("strut_tension", "", 1.0, HERE, "tension_along_mpa", "", rest=0.7)
    strengths = np.linspace(5, 150, 60)
    forces = forces_by_mode(
        [face, core], draws(bending_along_mpa=np.full(60, 100.0), tension_along_mpa=strengths)
    )
    breaking = np.min([force for force in forces.values() if force is not None], axis=0)
    assert np.all(np.diff(breaking) >= -1e-12)
    assert breaking[0] == pytest.approx(70)
    assert breaking[-1] == pytest.approx(100)


def test_sandwich_formulas():
    # Faces 70 GPa on a core of E 100, G 40 MPa: 327.106631 MPa; dimpling over 6 mm at t 1: 4364.14419 MPa (arithmetic).
    assert wrinkling_stress(70000, 100, 40) == pytest.approx(327.106631)
    assert dimpling_stress(70000, 0.33, 1, 6) == pytest.approx(4364.14419)
    # Steeves and Fleck: proportional to crush stress^(2/3) and to face modulus^(1/3).
    one = crush_force(50, 1, 1.0, 1000, 20, 300)
    assert crush_force(50, 1, 8.0, 1000, 20, 300) == pytest.approx(4 * one)
    assert crush_force(50, 1, 1.0, 8000, 20, 300) == pytest.approx(2 * one)
    assert one == pytest.approx(50 * (np.pi**2 * 1000 * 20 / 900) ** (1 / 3))
