"""Contact between layers against hand-drawn flats."""

import math
from dataclasses import replace

import numpy as np
import pytest
import shapely
import shapely.affinity

from fem.material.cards import shipped_card
from fem.printed.cell_store import CellStore
from fem.printed.contact import (
    Contact,
    cell_contact,
    contact_of,
    crosses,
    flat_at,
    side_share,
    stacked_share,
    zone_contacts,
)
from fem.printed.core import core_cell
from fem.printed.section_lines import SectionLines
from patterns.bead import Bead
from patterns.infill import infill_of
from patterns.outlines.layout import lay_out
from patterns.setting import Core, Printing, Specimen

BEAD = Bead(0.5, 0.2)
FLAT = 0.5 - math.pi * 0.2 / 4
CARD = shipped_card("PLA")


def upright(core: Core, side: float = 12.0, walls: int = 2):
    return lay_out(Specimen("rectangle", side, side, 60.0), Printing("upright", BEAD, walls=walls), core)


def drawn_contact(layout, closing: float) -> float:
    """Return the welded share of the core by its real lines, at the layout's own phase."""
    infill = layout.infill
    crossing = crosses(infill)
    flat = flat_at(BEAD, infill.pitch, closing) if crossing else BEAD.flat_width
    return SectionLines(layout, crossing).shares(infill, flat)[1]


@pytest.mark.parametrize("walls", [1, 2, 4])
def test_walls_side_by_side_share_their_flats_over_their_width(walls):
    # rings of square beams: centre-lines 4 (12 - (2 k + 1) w) long, each with a flat on w, cut square at the corners
    contact = SectionLines(upright(Core("alternating", 0.0), walls=walls), False).wall_share
    flats = sum(4 * (12 - (2 * k + 1) * 0.5) * FLAT for k in range(walls))
    assert contact == pytest.approx(flats / (12**2 - (12 - walls) ** 2), rel=1e-9)
    assert contact == pytest.approx(stacked_share(BEAD), rel=1e-9)


@pytest.mark.parametrize("angle", [90.0, 60.0, 35.0])
def test_crossing_lines_weld_flat_on_flat(angle):
    # two strips with the flat's width cross in a rhombus of area flat^2/sin; one each on pitch^2/sin
    strip = shapely.LineString([(-9, 0), (9, 0)]).buffer(FLAT / 2, cap_style="flat")
    crossed = strip.intersection(shapely.affinity.rotate(strip, angle, origin=(0, 0))).area
    pitch = 0.5 / 0.4
    by_hand = crossed / (pitch**2 / math.sin(math.radians(angle)))
    core = Core("alternating", 0.4, angles_deg=(0.0, angle))
    assert cell_contact(infill_of(core, BEAD), 0.4, 1.0) == pytest.approx(by_hand, rel=1e-9)
    drawn = drawn_contact(upright(core, side=40.0), 1.0)
    assert drawn == pytest.approx(by_hand, rel=0.05)


def test_stacked_lines_of_one_direction_keep_their_grooves_at_any_distance():
    for fill in (0.3, 0.9, 1.0):
        core = Core("alternating", fill, angles_deg=(0.0, 0.0))
        assert cell_contact(infill_of(core, BEAD), fill, 1.0) == pytest.approx(fill * FLAT / 0.5)


def test_flats_of_touching_lines_widen_by_the_volume_that_has_no_other_room():
    # a line w t in area at pitch p leaves four corners of (1 - pi/4) r^2: w t = p t - (4 - pi) r^2, flat = p - 2 r
    full = 0.5 + 0.2 * (1 - math.pi / 4)
    assert flat_at(BEAD, full * 1.001, 1.0) == pytest.approx(FLAT)
    assert flat_at(BEAD, full * 0.999999, 1.0) == pytest.approx(FLAT, rel=1e-3)  # no jump where they touch
    pitch = 0.52
    radius = math.sqrt((pitch - 0.5) * 0.2 / (4 - math.pi))
    assert flat_at(BEAD, pitch, 1.0) == pytest.approx(pitch - 2 * radius)
    assert flat_at(BEAD, pitch, 0.0) == FLAT
    assert flat_at(BEAD, 0.5, 1.0) == 0.5


def test_a_solid_crossing_core_is_welded_all_over_or_on_its_free_flats():
    core = Core("alternating", 1.0)
    assert cell_contact(infill_of(core, BEAD), 1.0, 1.0) == pytest.approx(1.0)
    assert cell_contact(infill_of(core, BEAD), 1.0, 0.0) == pytest.approx((FLAT / 0.5) ** 2)
    closed = drawn_contact(upright(core), 1.0)
    free = drawn_contact(upright(core), 0.0)
    assert closed == pytest.approx(1.0, abs=0.02)
    assert free == pytest.approx((FLAT / 0.5) ** 2, abs=0.02)


def test_square_lines_of_one_plan_weld_over_the_flats_they_cover():
    # lines f = F flat/w wide per pitch in two families cover 2 (f/2) - (f/2)^2
    drawn = drawn_contact(upright(Core("square", 0.4, wall_overlap=0.0), side=60.0), 1.0)
    f = 0.4 * FLAT / 0.5
    assert drawn == pytest.approx(f - f**2 / 4, rel=0.04)


def test_gyroid_contact_is_smaller_than_its_flats():
    assert 0 < cell_contact(infill_of(Core("gyroid", 0.3), BEAD), 0.3, 1.0) < 0.3 * FLAT / 0.5


def test_sides_of_neighbouring_walls_share_the_chord_of_their_round_ends():
    discs = [shapely.Point(x, 0).buffer(0.1, quad_segs=4096) for x in (0.0, FLAT_GAP)]
    shared = discs[0].intersection(discs[1]).bounds
    assert side_share(BEAD) == pytest.approx((shared[3] - shared[1]) / 0.2, rel=1e-4)
    assert side_share(Bead(0.8, 0.4)) == side_share(BEAD)
    assert side_share(Bead(0.5, 0.2, "square")) == 1.0


FLAT_GAP = 0.5 - FLAT  # between the centres of neighbouring round ends, a bead width apart


def test_closing_is_read_off_between_its_ends():
    contact = Contact((0.0, 1.0), (0.4, 1.0), True, 1.0)
    np.testing.assert_allclose(contact.at(np.array([0.0, 0.25, 1.0])), [0.4, 0.55, 1.0])
    card = replace(CARD, groove_closing=replace(CARD.groove_closing, best=0.5))
    assert contact_of([0.4, 0.6, 1.0], True, card).best == 0.6
    assert contact_of([0.4, 0.4, 0.4], True, card).shares == (0.4,)


@pytest.mark.parametrize("orientation", ["flat", "upright"])
def test_contact_of_a_layout(orientation):
    layout = lay_out(
        Specimen("rectangle", 12.0, 12.0, 60.0),
        Printing(orientation, BEAD, walls=2),
        Core("alternating", 0.95),
    )
    walls, core = zone_contacts(layout, core_cell(layout.infill, 0.33), CARD)
    assert walls.best == pytest.approx(FLAT / 0.5, rel=0.05)
    assert core.crossing
    assert core.shares[0] < core.shares[-1] == core.best
    assert core.best == pytest.approx((flat_at(BEAD, 0.5 / 0.95, 1.0) * 0.95 / 0.5) ** 2, rel=0.05)


@pytest.mark.parametrize("turns", [(45.0, -45.0), (10.0, 75.0)])
@pytest.mark.parametrize("shape", ["rectangle", "tube"])
def test_rhombs_of_crossing_lines_are_what_their_drawn_strips_share(turns, shape):
    specimen = Specimen(shape, 14.0, 14.0, 60.0, inner=5.0 if shape == "tube" else 0.0)
    core = Core("alternating", 0.5, angles_deg=turns, phase=0.3)
    layout = lay_out(specimen, Printing("upright", BEAD, walls=1), core)
    strips = SectionLines(layout, False).shares(layout.infill, FLAT)
    rhombs = SectionLines(layout, True).shares(layout.infill, FLAT)
    assert rhombs[1] == pytest.approx(strips[1], rel=1e-4)
    assert rhombs[0] == pytest.approx(strips[0], rel=1e-4)


@pytest.mark.parametrize("core", [Core("square", 0.3), Core("alternating", 0.6), Core("hexagonal", 0.3)])
def test_an_unknown_phase_has_the_mean_contact_of_eight_and_about_that_of_the_cell(core):
    layout = upright(core, side=15.0)
    cell = core_cell(layout.infill, 0.33)
    _, mean = zone_contacts(layout, cell, CARD)
    each = [
        zone_contacts(upright(replace(core, phase=step / 8), side=15.0), cell, CARD)[1] for step in range(8)
    ]
    assert mean.best == pytest.approx(np.mean([one.best for one in each]), rel=1e-12)
    np.testing.assert_allclose([one.lines for one in each], [one.best / mean.best for one in each])
    at = np.array([(step + 0.5) / 8 for step in range(8)])
    found = mean.best * mean.over_mean(at, CARD.groove_closing.best)
    np.testing.assert_allclose(found, [one.best for one in each])
    # Cavalieri: lines at every phase cover the same share of any area, but for those beside its border
    assert mean.best == pytest.approx(cell_contact(layout.infill, cell.geometric_fill, 1.0), rel=0.04)


def test_drawn_sections_are_kept_and_only_drawn_anew_for_other_lines(tmp_path, monkeypatch):
    store = CellStore(tmp_path)
    layout = upright(Core("alternating", 0.5))
    cell = core_cell(infill_of(Core("square", 0.3), BEAD), 0.33)  # its stiffness is not asked
    first = zone_contacts(layout, cell, CARD, store)
    assert first == zone_contacts(layout, cell, CARD)

    def never(*_):
        raise AssertionError("drawn again")

    monkeypatch.setattr(SectionLines, "shares", never)
    assert zone_contacts(layout, cell, CARD, store) == first
    with pytest.raises(AssertionError, match="drawn again"):
        zone_contacts(upright(Core("alternating", 0.5), walls=1), cell, CARD, store)


def test_a_few_lines_are_counted_by_hand_at_each_phase():
    # Lines 4 mm apart along a core 11 mm wide (12 less one wall of 0.5 on both sides), no lap: flats of 0.343 mm, of
    # which a line on the border has half.
    core = Core("parallel", 0.125, wall_overlap=0.0)
    _, found = zone_contacts(upright(core, walls=1), core_cell(upright(core).infill, 0.33), CARD)
    reach = 5.5 - np.abs(4 * (np.arange(-3, 3)[:, None] + np.arange(8) / 8))
    counts = np.clip(reach / FLAT + 0.5, 0, 1).sum(axis=0)
    assert set(counts) == {2, 2.5, 3}
    np.testing.assert_allclose(np.ravel(found.by_phase), counts * FLAT / 11, rtol=1e-9)
