"""Upright tubes broken across their layers, nozzle and layer height varied (kuznetsov_2018, all 20 rows).

The source gives neither the tube's size nor its span, but force over stress is 11.3 mm2 in every row: one tube for
all. Outer-fibre stresses are compared, so the size does not enter but through the number of beads in the wall.
"""

from fem.bending.bending import BendTest
from fem.material.cards import shipped_card
from fem.setting import Setting
from patterns.bead import Bead
from patterns.setting import Core, Printing, Specimen
from tests.scoreboard.series import Reading, Row, Series, read

_OUTER, _SPAN = 12.0, 60.0
_WIDTHS, _RINGS = (1.0, 1.2), (1, 2)  # bead over nozzle; rings from outside and as many from inside


def series() -> list[Series]:
    """Return the one series."""
    table = read("kuznetsov_2018_interlayer_bend")
    rows = tuple(
        Row(
            {
                "nozzle": float(one["nozzle_diameter_mm"]),
                "layer over nozzle": float(one["layer_height_over_nozzle"]),
            },
            float(one["flexural_strength_mpa"]),
            float(one["fracture_force_sd_n"]) / float(one["fracture_force_n"]),
        )
        for one in table
    )
    readings = tuple(
        Reading(
            f"bead {wide:g} nozzles wide, wall of {2 * rings} beads",
            tuple(
                (_tube(float(one["nozzle_diameter_mm"]), float(one["layer_height_mm"]), wide, rings),)
                for one in table
            ),
        )
        for wide in _WIDTHS
        for rings in _RINGS
    )
    return [
        Series(
            "kuznetsov_2018 PLA, upright tubes", "kuznetsov_2018_interlayer_bend", "flexural strength, MPa", rows,
            readings, "bead 1.0 or 1.2 nozzles wide, wall of 2 or 4 beads, repeats", regressor="layer over nozzle",
        )
    ]  # fmt: skip


def _tube(nozzle: float, layer: float, wide: float, rings: int) -> Setting:
    width = wide * nozzle
    return Setting(
        specimen=Specimen("tube", _OUTER, _OUTER, 1.25 * _SPAN, inner=_OUTER - 4 * rings * width),
        printing=Printing("upright", Bead(width, layer), walls=rings, bottom_layers=0, top_layers=0),
        core=Core("square", 0.5),
        test=BendTest("three_point", span=_SPAN),
        card=shipped_card("PLA"),
    )
