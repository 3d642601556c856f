"""The coupled criterion: a crack in a wide plate in closed form, limits of any notch, U-notched polymer bars."""

import math

import numpy as np
import pytest

from fem.printed.groove import cracked_bar
from fem.strength.increment import breaking_load, combined_load
from patterns.cells.planar import Curve

X = np.geomspace(1e-6, 1e6, 2000)


def wide_plate(a: float, E: float) -> tuple[np.ndarray, np.ndarray]:
    """Averaged stress and mean release ahead of a crack of half length a under unit stress (Griffith, Westergaard)."""
    return np.sqrt(1 + 2 * a / X), math.pi * (a + X / 2) / E


@pytest.mark.parametrize("a", [1e-3, 0.03, 1.0, 40.0])
def test_crack_in_a_wide_plate(a):
    # Eliminating the increment gives stress^-2 = strength^-2 + pi a/(E Gc) (Cornetti et al. 2006): at every length
    E, strength, toughness = 3000.0, 60.0, 0.5
    found = breaking_load(X, *wide_plate(a, E), strength, toughness)
    exact = combined_load(strength, math.sqrt(E * toughness / (math.pi * a)))
    assert found == pytest.approx(exact, rel=1e-3)


def test_the_increment_in_a_wide_plate_is_the_materials_own():
    # 2 E Gc/(pi strength^2), whatever the crack: there both conditions meet
    E, strength, toughness = 3000.0, 60.0, 0.5
    own = 2 * E * toughness / (math.pi * strength**2)
    stress, release = wide_plate(1.0, E)
    load = breaking_load(X, stress, release, strength, toughness)
    assert load * np.interp(own, X, stress) == pytest.approx(strength, rel=2e-3)
    assert load**2 * np.interp(own, X, release) == pytest.approx(toughness, rel=2e-3)


def test_the_pointwise_form_keeps_the_limits_and_differs_between():
    # Leguillon 2002, for comparison only: stress at the increment's end, (a + x)/sqrt(x (2 a + x))
    E, strength, a = 3000.0, 60.0, 1.0
    average, release = wide_plate(a, E)
    point = (a + X) / np.sqrt(X * (2 * a + X))
    toughness = np.array([1e-3, 3.0, 1e5])
    one, other = (breaking_load(X, form, release, strength, toughness) for form in (average, point))
    assert other[[0, 2]] == pytest.approx(one[[0, 2]], rel=0.01)
    assert other[1] > 1.03 * one[1]


def test_strength_and_toughness_scale_the_load():
    stress, release = wide_plate(1.0, 3000.0)
    one = breaking_load(X, stress, release, 50.0, 1.0)
    assert breaking_load(X, stress, release, 100.0, 4.0) == pytest.approx(2 * one, rel=1e-12)


@pytest.mark.parametrize("radius", [0.2, 0.5, 1.0, 2.0, 4.0])
def test_u_notched_polymer(radius):
    # PMMA at -60 C, 128.4 MPa, 1.7 MPa sqrt(m), E 5050 MPa: U-notched bars of Gomez, Elices and Planas 2005, Eng.
    # Fract. Mech. 72, 1268, follow K_U/K_c = sqrt(1 + pi R strength^2/(4 K_c^2)) to 20 %, K_U = peak stress
    # sqrt(pi R)/2. All of it from memory, not verified.
    E, nu, strength, K_c = 5050.0, 0.40, 128.4, 1.7 * math.sqrt(1000)
    depth, width, top = 14.0, 28.0, 80.0  # of a bar with a notch on either side
    half = width - depth
    outline = [
        Curve("arc", np.array([(half, 0.0), (half + radius, 0.0), (half + radius, radius)])),
        Curve("line", np.array([(half + radius, radius), (width, radius)])),
        Curve("line", np.array([(width, radius), (width, top)])),
        Curve("line", np.array([(width, top), (0.0, top)])),
    ]
    bar = cracked_bar(outline, half, nu)
    x = bar.lengths * half
    near = np.geomspace(1e-4, 0.9, 12) * x[0]
    # averaged stress goes with (2 x + R)^(-1/2) near a U notch (Creager and Paris 1967, from memory)
    slope, start = np.polyfit(x[:3], bar.mean_stress[:3] ** -2, 1)
    peak = start**-0.5
    # a crack much shorter than the radius releases 1.122^2 pi peak^2 x/2 on average
    short = np.pi * 1.1215**2 * peak**2 * near / 2 * (1 - nu**2)
    load = breaking_load(
        np.concatenate([near, x]),
        np.concatenate([(start + slope * near) ** -0.5, bar.mean_stress]),
        np.concatenate([short, bar.release]) / E,
        strength,
        K_c**2 * (1 - nu**2) / E,
    )[0]
    K_U = load * peak * math.sqrt(math.pi * radius) / 2
    seen = K_c * math.sqrt(1 + math.pi * radius * strength**2 / (4 * K_c**2))
    assert K_U == pytest.approx(seen, rel=0.2)
