"""Strips of a section along the load: their area is the section's, also where turning it lets corners cross."""

import numpy as np
import pytest

from fem.beam.carrying import _strips
from patterns.bead import Bead
from patterns.outlines.layout import lay_out
from patterns.setting import Core, Printing, Specimen


@pytest.mark.parametrize("angle", [-89.9999468043098, -90.0, 0.0, 30.0, 89.99999])
def test_strips_of_a_tube_without_walls_hold_its_area(angle):
    printing = Printing("flat", Bead(0.5, 0.25), walls=0, bottom_layers=0, top_layers=2)
    layout = lay_out(Specimen("tube", 8.0, 8.0, 60.0, inner=3.0), printing, Core("triangular", 0.3))
    parts = [(zone.area, 1.0) for zone in layout.zones]
    direction = 2.0 * np.array([np.cos(np.radians(angle)), np.sin(np.radians(angle))])
    borders, widths = _strips(parts, direction)
    assert widths @ np.diff(borders) == pytest.approx([zone.area.area for zone in layout.zones], rel=1e-9)
