"""Moment and curvature of fibres against closed forms of plastic bending, invariants and bounds."""

import math
from itertools import pairwise

import numpy as np
import pytest

from fem.strength.fibres import Fibres, Laws
from fem.strength.moment_curvature import break_moments, carried, first_damage, follow
from fem.strength.one_draw import OneDraw
from tests.closed_forms.plastic_bending import (
    bilinear_rectangle,
    plastic_rectangle,
    tube_shape_factor,
    yielding_sandwich,
)

NEVER = math.inf


def bar(strips=64, width=10.0, depth=8.0, young=3000.0):
    heights = np.linspace(-depth / 2, depth / 2, strips + 1)
    return Fibres(heights, np.full((1, strips), width), np.array([young]))


def layers(parts, strips=32):
    """Fibres of layers of 10 mm width: (low, high, modulus), each a kind of its own."""
    borders = sorted({end for low, high, _ in parts for end in (low, high)})
    heights = np.unique(np.concatenate([np.linspace(a, b, strips + 1) for a, b in pairwise(borders)]))
    middle = (heights[1:] + heights[:-1]) / 2
    widths = np.array([np.where((low < middle) & (middle < high), 10.0, 0.0) for low, high, _ in parts])
    return Fibres(heights, widths, np.array([E for _, _, E in parts]))


def laws(*kinds, n=1):
    """Laws of kinds given as tension, compression, fracture strain; alike in n draws."""
    tension, compression, fracture = (np.repeat(column[:, None], n, axis=1) for column in np.array(kinds).T)
    return Laws(tension, compression, fracture, np.ones(n))


def largest(fibres, *kinds):
    return float(carried(fibres, laws(*kinds)).largest[0])


@pytest.mark.parametrize("ductility", [1.0, 1.3, 2.0, 5.0])
def test_a_bilinear_bar_ends_at_its_fracture_strain(ductility):
    yields = 50.0 / 3000
    one = laws((50.0, 50.0, ductility * yields))
    first, _ = first_damage(bar(), one)
    found = carried(bar(), one)
    assert first[0] == pytest.approx(50 * 10 * 8**2 / 6)
    assert found.largest[0] / first[0] == pytest.approx(bilinear_rectangle(ductility), rel=1e-9)
    assert found.curvature[0] == pytest.approx(ductility * yields / 4)


def test_a_plastic_rectangle_has_the_shape_factor_three_halves():
    found = largest(bar(), (50.0, 50.0, NEVER))
    assert found / (50 * 10 * 8**2 / 6) == pytest.approx(1.5, rel=2e-4)  # the strain ends at 1
    assert found < 1.5 * 50 * 10 * 8**2 / 6


def test_tension_and_compression_yield_apart():
    assert largest(bar(), (40.0, 70.0, NEVER)) == pytest.approx(plastic_rectangle(10, 8, 40, 70), rel=1e-3)


@pytest.mark.parametrize("inner", [0.0, 3.0, 4.8])
def test_a_tube_has_its_shape_factor(inner):
    outer, strips = 5.0, 800
    heights = np.linspace(-outer, outer, strips + 1)

    def below(r):
        """Area of a circle below heights."""
        z = np.clip(heights / max(r, 1e-12), -1, 1)
        return r * r * (np.pi / 2 + z * np.sqrt(1 - z * z) + np.arcsin(z))

    widths = np.diff(below(outer) - below(inner)) / np.diff(heights)
    tube = Fibres(heights, widths[None], np.array([3000.0]))
    elastic = 50 * math.pi * (outer**4 - inner**4) / (4 * outer)
    assert largest(tube, (50.0, 50.0, NEVER)) / elastic == pytest.approx(
        tube_shape_factor(outer, inner), rel=1e-3
    )


def test_a_core_that_yields_early_keeps_its_stress_until_the_faces_break():
    sandwich = layers([(-4.0, -3.2, 3000.0), (-3.2, 3.2, 300.0), (3.2, 4.0, 3000.0)])
    core = (0.6, 0.6, NEVER)
    found = largest(sandwich, (50.0, 50.0, NEVER), core, (50.0, 50.0, NEVER))
    assert found == pytest.approx(yielding_sandwich(10, 6.4, 0.8, 50.0, 0.6), rel=1e-3)
    # faces that break as they yield: the axis stays in the middle, the core is plastic but for 1/10 of its depth
    brittle = (50.0, 50.0, 50.0 / 3000)
    found = largest(sandwich, (50.0, 50.0, NEVER), core, brittle)
    c = 0.6 / 300 / (50 / 3000 / 4.0)  # half of the depth that is elastic
    faces = 2 * 10 * 50 / 4.0 * (4.0**3 - 3.2**3) / 3
    assert found == pytest.approx(faces + 0.6 * 10 * (3.2**2 - c**2 / 3), rel=1e-6)


def test_a_brittle_core_breaks_first_and_the_skin_carries_on():
    # core alone: brittle at 0.3 % strain; faces reach 50/3000: the largest moment is theirs, the core only presses.
    sandwich = layers([(-4.0, -3.2, 3000.0), (-3.2, 3.2, 300.0), (3.2, 4.0, 3000.0)])
    skin, core = (50.0, 50.0, 50.0 / 3000), (0.9, 9.0, 0.9 / 300)
    curve = follow(sandwich, laws(skin, core, skin))
    found = carried(sandwich, laws(skin, core, skin))
    assert [kind for kind, _ in curve.breaks][:2] == [1, 2]
    assert found.kind[0] == 2
    assert not found.whole[1, 0]
    assert curve.moment.max() == pytest.approx(found.largest[0], rel=1e-6)
    # before the break the section is elastic; the moment falls at it
    place = curve.breaks[0][1]
    assert curve.moment[place] == pytest.approx(sandwich.EI * curve.curvature[place], rel=1e-9)
    assert curve.moment[place + 1] < curve.moment[place]


def test_a_stronger_brittle_core_ends_the_beam_with_what_the_skin_has_left():
    sandwich = layers([(-4.0, -3.2, 3000.0), (-3.2, 3.2, 2500.0), (3.2, 4.0, 3000.0)])
    skin, core = (50.0, 50.0, 50.0 / 3000), (30.0, 50.0, 30.0 / 2500)
    found, curve = (call(sandwich, laws(skin, core, skin)) for call in (carried, follow))
    assert found.kind[0] == 1
    assert 0 < curve.rest < found.largest[0]
    ends = break_moments(sandwich, laws(skin, core, skin), found)[:, 0]
    assert ends[1] == found.largest[0]
    assert ends[2] > ends[1]  # whole until then: the face would break later


def some(n=400):
    rng = np.random.default_rng(7)
    sandwich = layers([(-4.0, -3.0, 3000.0), (-3.0, 3.0, 700.0), (3.0, 4.0, 2200.0)])
    tension = np.array([50.0, 5.0, 40.0])[:, None] * rng.uniform(0.6, 1.6, (3, n))
    compression = np.array([70.0, 7.0, 60.0])[:, None] * rng.uniform(0.6, 1.6, (3, n))
    growth = rng.uniform(0.8, 1.2, n)
    elastic = tension / (sandwich.moduli[:, None] * growth)
    return sandwich, Laws(tension, compression, elastic * rng.uniform(1.0, 4.0, (3, n)), growth)


def test_first_damage_largest_and_fully_plastic_moment_are_in_order():
    sandwich, given = some()
    ductile = Laws(given.tension, given.compression, np.full_like(given.tension, NEVER), given.growth)
    first, found = first_damage(sandwich, given)[0], carried(sandwich, given)
    assert np.all(first <= found.largest * (1 + 1e-9))
    assert np.all(found.largest <= carried(sandwich, ductile).largest * (1 + 1e-9))
    ends = break_moments(sandwich, given, found)
    np.testing.assert_allclose(ends.min(axis=0), found.largest)


def test_draws_are_what_each_is_alone():
    sandwich, given = some(40)
    together = carried(sandwich, given)
    for draw in range(40):
        one = given.of(np.array([draw]))
        assert carried(sandwich, one).largest[0] == pytest.approx(together.largest[draw], rel=1e-9)
        assert follow(sandwich, one).moment.max() == pytest.approx(together.largest[draw], rel=1e-6)


def test_a_sweep_of_curvatures_finds_nothing_larger():
    # the same section by brute force: bisection for the neutral axis, every kind dropped as it reaches its strain
    sandwich, given = some(12)
    middle, area = (sandwich.heights[1:] + sandwich.heights[:-1]) / 2, np.diff(sandwich.heights)
    for draw in range(8):
        whole, best = np.ones(3, dtype=bool), 0.0
        E = sandwich.moduli * given.growth[draw]
        for curvature in np.linspace(1e-5, 0.04, 500):
            for _ in range(4):
                t = np.where(whole, given.tension[:, draw], 0.0)

                def stress(e0, t=t, curvature=curvature, E=E, draw=draw):
                    strain = e0 + curvature * middle
                    return np.clip(E[:, None] * strain, -given.compression[:, draw][:, None], t[:, None])

                low, high = -0.2, 0.2
                for _ in range(50):
                    e0 = (low + high) / 2
                    low, high = (e0, high) if (stress(e0) * sandwich.widths * area).sum() < 0 else (low, e0)
                gone = whole & (e0 + curvature * sandwich.tops > given.fracture[:, draw])
                if not gone.any():
                    break
                whole &= ~gone
            best = max(best, float((stress(e0) * sandwich.widths * area * middle).sum()))
        found = carried(sandwich, given.of(np.array([draw])))
        assert best == pytest.approx(found.largest[0], rel=0.01)


def test_moments_scale_with_stresses_and_turn_with_the_section():
    sandwich, given = some(60)
    found = carried(sandwich, given)
    twice = Laws(2 * given.tension, 2 * given.compression, given.fracture, 2 * given.growth)
    np.testing.assert_allclose(carried(sandwich, twice).largest, 2 * found.largest, rtol=1e-9)
    moved = Fibres(sandwich.heights + 17.0, sandwich.widths, sandwich.moduli)
    np.testing.assert_allclose(carried(moved, given).largest, found.largest, rtol=1e-7)
    wider = Fibres(sandwich.heights, 3 * sandwich.widths, sandwich.moduli)
    np.testing.assert_allclose(carried(wider, given).largest, 3 * found.largest, rtol=1e-9)


def test_a_mirrored_section_bent_the_other_way_is_the_same_where_tension_and_compression_are():
    sandwich, given = some(60)
    both = np.minimum(given.tension, given.compression)
    alike = Laws(both, both, np.full_like(both, NEVER), given.growth)
    mirrored = Fibres(-sandwich.heights[::-1], sandwich.widths[:, ::-1], sandwich.moduli)
    np.testing.assert_allclose(
        carried(mirrored, alike).largest, carried(sandwich, alike).largest, rtol=1e-3
    )  # strains end at 1


def test_more_strength_of_any_kind_never_carries_less():
    sandwich, given = some(200)
    ductile = Laws(given.tension, given.compression, np.full_like(given.tension, NEVER), given.growth)
    found = carried(sandwich, ductile).largest
    for kind in range(3):
        stronger = given.tension.copy()
        stronger[kind] *= 1.2
        more = Laws(stronger, given.compression, ductile.fracture, given.growth)
        assert np.all(carried(sandwich, more).largest >= found * (1 - 1e-9))


def test_strips_converge_with_the_square_of_their_number():
    # a diamond, whose width varies: shape factor 2 (textbooks)
    errors = []
    for strips in (16, 32, 64):
        heights = np.linspace(-4, 4, strips + 1)
        middle = (heights[1:] + heights[:-1]) / 2
        diamond = Fibres(heights, (8 - 2 * np.abs(middle))[None], np.array([3000.0]))
        moment = largest(diamond, (50.0, 50.0, NEVER))
        errors.append(abs(moment / (50 * 2 * 4**3 / 3) - 1))
    assert errors[-1] < 5e-3
    assert errors[0] > errors[1] > errors[2]


def test_plain_numbers_give_what_arrays_give():
    sandwich, given = some(300)
    found, one = carried(sandwich, given).largest, OneDraw(sandwich)
    for draw in range(300):
        tension, compression, fracture = (
            array[:, draw].tolist() for array in (given.tension, given.compression, given.fracture)
        )
        moment = one.largest(tension, compression, fracture, float(given.growth[draw]))
        assert moment == pytest.approx(found[draw], rel=1e-9)
