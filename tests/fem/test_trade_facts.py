"""What the trade sees on upright rods (common practice, no source): test values, never demo data."""

import pytest

from fem.bending.bending import BendTest
from fem.estimation import Estimate, estimate, with_fill
from fem.material.cards import shipped_card
from fem.setting import Setting
from patterns.bead import Bead
from patterns.setting import Core, Printing, Specimen

ROD = Setting(
    Specimen("rectangle", 20.0, 20.0, 100.0),
    Printing("upright", Bead(0.45, 0.2), walls=2),
    Core("alternating", 1.0),
    BendTest("cantilever", lever=40.0),
    shipped_card("PLA"),
)
FILLS = (0.2, 0.5, 0.8, 0.9, 1.0)


@pytest.fixture(scope="module")
def rods() -> dict[float, Estimate]:
    return {fill: estimate(with_fill(ROD, fill)) for fill in FILLS}


def force(found: Estimate, **changed: float) -> float:
    return float(found.response.force(found.response.at(changed))[0])


def test_mass_grows_in_a_straight_line_with_set_fill(rods):
    mass = {fill: found.mass.best / rods[1.0].mass.best for fill, found in rods.items()}
    assert mass[0.5] == pytest.approx(0.61, abs=0.03)
    assert mass[0.8] == pytest.approx(0.845, abs=0.03)
    straight = mass[0.2] + (mass[1.0] - mass[0.2]) * (0.5 - 0.2) / 0.8
    assert mass[0.5] == pytest.approx(straight, abs=0.01)


@pytest.mark.parametrize(("fill", "seen"), [(0.8, 0.45), (0.5, 0.61 * 0.53), (0.2, 0.35 * 0.53)])
def test_force_over_that_of_the_solid_rod(rods, fill, seen):
    # About 0.45 of solid at 80 %, in proportion to mass below. At the best values the estimate has 0.44, 0.31 and 0.24;
    # within a fifth down to half fill, where walls alone carry it keeps a fourth too much.
    ratio = rods[fill].breaking_force.best / rods[1.0].breaking_force.best
    assert ratio == pytest.approx(seen, rel=0.2 if fill >= 0.5 else 0.35)


def test_grooves_that_stay_free_in_the_solid_rod_do_not_give_the_jump(rods):
    # Free and round to the end, beads of the solid core weld on less than half their plan: 80 % would keep 0.92.
    free = force(rods[0.8], groove_closing=0.0) / force(rods[1.0], groove_closing=0.0)
    assert free > 1.5 * 0.45


def test_toughness_hardly_moves_the_jump(rods):
    card = ROD.card.weld_toughness_n_per_mm
    ratios = [
        force(rods[0.8], weld_toughness_n_per_mm=end) / force(rods[1.0], weld_toughness_n_per_mm=end)
        for end in (card.low, card.best, card.high)
    ]
    assert max(ratios) < 1.1 * min(ratios)


def test_force_per_gram_about_doubles_from_80_percent_to_solid(rods):
    per_gram = {fill: found.breaking_force.best / found.mass.best for fill, found in rods.items()}
    assert 1.6 < per_gram[1.0] / per_gram[0.8] < 2.4


def test_force_per_gram_at_90_percent_is_missed(rods):
    # A miss: 12.6 N/g at 90 % over 9.5 at 80 % is told. Here neighbouring beads first touch at 0.45/0.493 = 0.91, so
    # little is gained before; beads some per cent wider would touch at 90 %.
    per_gram = {fill: found.breaking_force.best / found.mass.best for fill, found in rods.items()}
    assert 1.0 < per_gram[0.9] / per_gram[0.8] < 1.15 < 12.6 / 9.5


def test_every_rod_breaks_at_a_weld(rods):
    assert {found.mode for found in rods.values()} == {"weld_tension"}


def test_section_stiffness_alone_does_not_explain_the_jump(rods):
    # 80 % to solid: about 1.7 times by finite elements with real bead sections, while force about doubles and more.
    stiffness = rods[1.0].EI.best / rods[0.8].EI.best
    assert 1.5 < stiffness < 2.0
    assert rods[1.0].breaking_force.best / rods[0.8].breaking_force.best > stiffness
