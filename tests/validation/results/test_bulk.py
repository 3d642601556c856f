"""Bulk reference bars: handbook bars without beads, and the shares of them that prints reach, by hand."""

from dataclasses import replace

import pytest

from fem.bending.bending import BendTest
from fem.estimation import estimate
from fem.material.cards import shipped_card
from fem.setting import Setting
from patterns.bead import Bead
from patterns.setting import Core, Printing, Specimen
from validation.results.bulk import bulk_shares, share_columns
from validation.text.estimates import print_bulk_shares

BAR = Setting(
    Specimen("rectangle", 12.0, 6.0, 100.0, made="bulk"),
    Printing("upright", Bead(0.45, 0.2), walls=2),
    Core("square", 0.2),
    BendTest("three_point", span=80.0),
    shipped_card("PETG"),
)


def test_a_bulk_bar_is_the_handbooks_bar():
    found = estimate(BAR)
    E, X = found.values["young_mpa"], found.values["tension_along_mpa"]
    # EI b h^3/12; first yield 2 b h^2 s/(3 L), plastic up to 1.5 times that (no compressive strength known)
    assert found.EI.best == pytest.approx(E * 12 * 6**3 / 12, rel=1e-4)
    yields = 2 * 12 * 36 * X / (3 * 80)
    assert found.first_damage.best == pytest.approx(yields, rel=1e-3)
    assert 1.2 * yields < found.breaking_force.best < 1.5 * yields
    assert found.mass.best == pytest.approx(7.2 * found.values["density_g_cm3"])
    assert found.print_time.best == 0
    assert found.mode == "wall_tension"
    assert found.criteria == ()
    # nothing of how it would be printed matters
    other = estimate(
        replace(BAR, printing=replace(BAR.printing, orientation="flat", walls=7), core=Core("solid", 1.0))
    )
    assert other.breaking_force == found.breaking_force
    assert other.stiffness == found.stiffness


def result(made, force, stiffness, mass, width=12.0, measured=None):
    setting = {
        "made": made, "shape": "rectangle", "width_mm": width, "depth_mm": 6.0, "length_mm": 100.0, "label": made,
        "test": "three_point", "lever_mm": None, "span_mm": 80.0, "gauge_length_mm": None, "material": "PETG",
    }  # fmt: skip
    values = {"breaking_force_N": force, "stiffness_N_per_mm": stiffness, "mass_g": mass}
    found = {"setting": setting} | {name: {"best": value} for name, value in values.items()}
    if measured:
        found["measured"] = {
            "breaking_force_N": {"mean": measured},
            "stiffness_N_per_mm": None,
            "mass_g": None,
        }
    return found


def test_shares_are_quotients_of_bars_alike_in_outline_and_test():
    printed = result("printed", 150.0, 30.0, 6.0, measured=140.0)
    bulk = result("bulk", 300.0, 40.0, 9.0, measured=280.0)
    share, own, other = bulk_shares([printed, bulk, result("printed", 1.0, 1.0, 1.0, width=10.0)])
    assert share["estimated"] == pytest.approx({"strength": 0.5, "stiffness": 0.75, "force_per_gram": 0.75})
    assert share["measured"] == {"strength": 0.5, "stiffness": None, "force_per_gram": None}
    assert own["estimated"]["strength"] == 1.0
    assert other is None
    assert share_columns(share)["force_per_gram_share_of_bulk"] == pytest.approx(0.75)
    assert share_columns(None) == {}


def test_the_screen_tells_shares_of_prints_and_nothing_without_a_bulk_bar(capsys):
    rows = [result("printed", 150.0, 30.0, 6.0), result("bulk", 300.0, 40.0, 9.0)]
    print_bulk_shares(
        [{**one, "share_of_bulk": share} for one, share in zip(rows, bulk_shares(rows), strict=True)]
    )
    text = capsys.readouterr().out
    assert "50 %" in text
    assert "75 %" in text
    print_bulk_shares([{**rows[0], "share_of_bulk": None}])
    assert capsys.readouterr().out == ""
