"""Welds of 20 upright PLA tubes bent in three points: contact share x one strength through moment and curvature.

Kuznetsov and co-authors 2018, Polymers 10, 313, table 1 (read; passport in validation/data/README.md). Not in the
table, so taken as ranges: bead width (1.0 to 1.2 nozzles) and diameter (12 to 24 mm). That all rows have one force over
stress says they have one section, and 2.4 mm is the least wall that is a whole number of 0.4, 0.6 and 0.8 mm beads
(inferred). Rows that broke across layers bound the weld from below; they are taken as they are.
"""

import csv
from pathlib import Path

import numpy as np
import pytest

from fem.material.cards import shipped_card
from fem.printed.contact import Contact, stacked_share
from fem.strength.bent import Bent
from fem.strength.fibres import Fibres
from fem.strength.kinds import Kind, Layers
from fem.strength.welds import Welds
from patterns.bead import Bead

DATA = Path(__file__).parents[3] / "validation" / "data" / "kuznetsov_2018_interlayer_bend.csv"
WALL, DIAMETERS, WIDTHS = 2.4, (12.0, 24.0), (1.0, 1.2)
CARD = shipped_card("PLA")
BEST = {name: np.array([value.best]) for name, value in CARD.values().items()}
E = 0.7 * CARD.young_mpa.best


def rows() -> list[tuple[float, float, float]]:
    """Nozzle and layer height, mm; elastic outer-fibre stress at break, MPa."""
    with DATA.open(encoding="utf-8") as file:
        return [
            (
                float(row["nozzle_diameter_mm"]),
                float(row["layer_height_mm"]),
                float(row["flexural_strength_mpa"]),
            )
            for row in csv.DictReader(file)
        ]


def apparent(bead: Bead, diameter: float, draws: dict[str, np.ndarray]) -> np.ndarray:
    """Elastic outer-fibre stress of the tube's largest moment."""
    y = diameter / 2 * np.linspace(-1, 1, 161)
    middle = (y[1:] + y[:-1]) / 2
    chord = [2 * np.sqrt(np.maximum(r**2 - middle**2, 0)) for r in (diameter / 2, diameter / 2 - WALL)]
    share = stacked_share(bead)
    law = Layers(Welds(Contact((0.0,), (share,), False, share), bead), share)
    tube = Bent(
        Fibres(y, (chord[0] - chord[1])[None], np.array([E])), (Kind("wall", "", "weld_tension", E, law),)
    )
    moment = tube.carried(draws, np.ones(len(draws["weld_tension_mpa"]))).largest
    return moment * diameter / 2 / (tube.fibres.EI / E)


@pytest.fixture(scope="module")
def known() -> tuple[np.ndarray, np.ndarray, np.ndarray]:
    told = rows()
    assert len(told) == 20
    return tuple(np.array(column) for column in zip(*told, strict=True))


def test_one_scale_on_flats_over_width_meets_each_row_left_out(known):
    nozzle, layer, seen = known
    best = np.array([apparent(Bead(n, h), DIAMETERS[0], BEST)[0] for n, h in zip(nozzle, layer, strict=True)])
    logs = np.log(seen / best)
    left_out = np.exp((logs.sum() - logs) / (len(logs) - 1))
    errors = np.abs(left_out * best / seen - 1)
    assert errors.mean() < 0.10
    # thick layers of the 0.6 mm nozzle are the worst
    assert np.median(errors) < 0.06
    assert np.corrcoef(best.argsort().argsort(), seen.argsort().argsort())[0, 1] > 0.95


@pytest.mark.parametrize(
    ("rival", "least"), [("full width", 0.09), ("outer grooves alone", 0.25), ("none", 0.35)]
)
def test_other_definitions_of_contact_do_worse(known, rival, least):
    nozzle, layer, seen = known
    flat = 1 - np.pi * layer / nozzle / 4
    shares = {
        "flats over width": flat,
        "full width": flat / (1 + (1 - np.pi / 4) * layer / nozzle),
        "outer grooves alone": 1 - np.pi * layer / 4 / WALL,
        "none": np.ones(20),
    }

    def error(share):
        logs = np.log(seen / share)
        return np.abs(np.exp((logs.sum() - logs) / 19) * share / seen - 1).mean()

    assert error(shares["flats over width"]) < 0.08
    assert error(shares[rival]) > least


def test_every_row_lies_inside_the_card_s_band(known):
    rng = np.random.default_rng(1)
    draws = {name: value.sample(rng, 4000) for name, value in CARD.values().items()}
    outside = []
    for nozzle, layer, seen in zip(*known, strict=True):
        ends = [
            np.quantile(apparent(Bead(wide * nozzle, layer), diameter, draws), (0.05, 0.95))
            for wide in WIDTHS
            for diameter in DIAMETERS
        ]
        if not min(low for low, _ in ends) < seen < max(high for _, high in ends):
            outside.append((float(nozzle), float(layer), float(seen)))
    assert outside == []


def test_the_card_s_best_weld_is_half_of_what_these_tubes_had(known):
    # A miss in level, kept: pulled bars of other spools and printers (filament XY/Z 2025) say half of it.
    nozzle, layer, seen = known
    best = np.array([apparent(Bead(n, h), 16.0, BEST)[0] for n, h in zip(nozzle, layer, strict=True)])
    assert np.exp(np.log(seen / best).mean()) == pytest.approx(2.0, abs=0.1)
