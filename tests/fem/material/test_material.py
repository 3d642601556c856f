"""Stiffness matrices against textbook identities and rotations against tensors."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from fem.material.stiffness import (
    about_axis_3,
    check_stiffness,
    compliance,
    engineering,
    is_isotropic,
    isotropic,
    load_paths,
    rotate,
    stress_transformation,
    transversely_isotropic,
)
from patterns.errors import InputError
from tests.closed_forms.laminate import lame, sheets

VOIGT = ((0, 0), (1, 1), (2, 2), (1, 2), (0, 2), (0, 1))


def tensor4(C):
    """Fourth-order tensor of a Voigt stiffness."""
    c = np.zeros((3, 3, 3, 3))
    for row, (i, j) in enumerate(VOIGT):
        for column, (k, m) in enumerate(VOIGT):
            for a, b in {(i, j), (j, i)}:
                for p, q in {(k, m), (m, k)}:
                    c[a, b, p, q] = C[row, column]
    return c


def rotation(seed):
    q, r = np.linalg.qr(np.random.default_rng(seed).normal(size=(3, 3)))
    q *= np.sign(np.diag(r))
    return q * np.sign(np.linalg.det(q))


def test_isotropic_stiffness_holds_lames_constants():
    lam, mu = lame(2000.0, 0.35)
    C = isotropic(2000.0, 0.35)
    assert C[0, 1] == pytest.approx(lam)
    assert C[2, 2] == pytest.approx(lam + 2 * mu)
    assert C[4, 4] == pytest.approx(mu)
    assert is_isotropic(C)


@pytest.mark.parametrize("axis", [1, 2, 3])
def test_engineering_constants_come_back(axis):
    C = transversely_isotropic(3000.0, 1800.0, 0.33, 0.41, 900.0, axis)
    found = engineering(C)
    along, first, second = (axis, *sorted({1, 2, 3} - {axis}))
    assert getattr(found, f"E{along}") == pytest.approx(3000.0)
    assert getattr(found, f"E{first}") == pytest.approx(1800.0)
    assert compliance(C)[along - 1, first - 1] == pytest.approx(-0.33 / 3000)
    assert compliance(C)[first - 1, second - 1] == pytest.approx(-0.41 / 1800)
    shear = {frozenset(pair): getattr(found, f"G{pair[0]}{pair[1]}") for pair in ((1, 2), (1, 3), (2, 3))}
    assert shear[frozenset((along, first))] == pytest.approx(900.0)
    assert shear[frozenset((first, second))] == pytest.approx(1800 / (2 * 1.41))
    assert not is_isotropic(C)


@given(st.integers(0, 10_000))
def test_rotation_is_that_of_the_fourth_order_tensor(seed):
    C, R = transversely_isotropic(3000.0, 1800.0, 0.33, 0.41, 900.0), rotation(seed)
    turned = np.einsum("ai,bj,ck,dl,ijkl->abcd", R, R, R, R, tensor4(C))
    assert np.allclose(tensor4(rotate(C, R)), turned, atol=1e-9 * C.max())


@given(st.integers(0, 10_000))
def test_stress_and_strain_turn_so_that_work_stays(seed):
    rng = np.random.default_rng(seed)
    M = stress_transformation(rotation(seed))
    sig, eps = rng.normal(size=(2, 6))
    assert (M @ sig) @ np.linalg.solve(M.T, eps) == pytest.approx(sig @ eps)


def test_rotations_broadcast():
    C = transversely_isotropic(3000.0, 1800.0, 0.33, 0.41, 900.0)
    angles = np.array([[0.1, 0.2, 0.3], [0.4, 0.5, 0.6]])
    found = rotate(C, about_axis_3(angles))
    assert found.shape == (2, 3, 6, 6)
    assert np.allclose(found[1, 2], rotate(C, about_axis_3(0.6)))
    assert np.allclose(rotate(C, about_axis_3(np.pi / 2))[0, 0], C[1, 1])


def test_constants_without_load_path_are_none():
    found = engineering(sheets(0.4, 2000.0, 0.35))
    assert (found.E2, found.G23, found.G12, found.nu12, found.nu23) == (None,) * 5
    assert found.E1 == pytest.approx(800.0)
    assert found.nu13 == pytest.approx(0.35)
    assert load_paths(sheets(0.4, 2000.0, 0.35)).tolist() == [True, False, True, False, True, False]


def test_round_off_makes_no_load_path():
    C = sheets(0.4, 2000.0, 0.35)
    noise = np.random.default_rng(1).normal(size=(6, 6)) * 1e-11
    assert engineering(C + noise @ noise.T).E2 is None


def test_turned_sheets_carry_no_single_stress_in_the_plan():
    found = engineering(rotate(sheets(0.4, 2000.0, 0.35), about_axis_3(np.radians(30))))
    assert (found.E1, found.E2, found.G12, found.G13) == (None,) * 4
    assert found.E3 == pytest.approx(800.0)


@pytest.mark.parametrize(
    ("E", "nu"), [(0.0, 0.3), (-1.0, 0.3), (np.nan, 0.3), (1.0, 0.5), (1.0, -1.0), (1.0, np.nan)]
)
def test_impossible_isotropic_constants_are_refused(E, nu):
    with pytest.raises(InputError):
        isotropic(E, nu)


def test_impossible_ratios_are_refused_with_their_limit():
    with pytest.raises(InputError, match="nu_along"):
        transversely_isotropic(1000.0, 3000.0, 0.45, 0.6, 900.0)
    with pytest.raises(InputError, match="axis 4"):
        transversely_isotropic(1000.0, 1000.0, 0.3, 0.3, 400.0, axis=4)


@given(st.floats(0.2, 5), st.floats(-0.9, 0.9), st.floats(-1.5, 1.5))
def test_refusal_agrees_with_positive_energy(stiffness_ratio, nu_across, nu_along):
    S = np.array([[1 / stiffness_ratio, 0, 0], [0, 1, -nu_across], [0, -nu_across, 1]])
    S[0, 1] = S[1, 0] = S[0, 2] = S[2, 0] = -nu_along / stiffness_ratio
    lowest = np.linalg.eigvalsh(S)[0]
    if abs(lowest) < 1e-6:
        return
    if lowest > 0:
        check_stiffness(transversely_isotropic(stiffness_ratio, 1.0, nu_along, nu_across, 0.3))
    else:
        with pytest.raises(InputError):
            transversely_isotropic(stiffness_ratio, 1.0, nu_along, nu_across, 0.3)


def test_unphysical_matrices_are_refused():
    C = isotropic(1.0, 0.3)
    with pytest.raises(InputError, match="not symmetric"):
        check_stiffness(C + np.triu(np.ones((6, 6)), 1))
    with pytest.raises(InputError, match="positive definite"):
        check_stiffness(-C)
    with pytest.raises(InputError, match="shape"):
        check_stiffness(np.eye(3))
