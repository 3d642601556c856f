"""Pulled bars of three materials over walls, faces and fill; core lines crossing or taking turns (utah_2013)."""

from fem.bending.bending import BendTest
from fem.material.cards import shipped_card
from fem.setting import Setting
from patterns.bead import Bead
from patterns.setting import Core, Printing, Specimen
from tests.scoreboard.series import Reading, Row, Series, read

WIDTH, DEPTH, LAYER, EXTENSOMETER = 6.35, 4.064, 0.15, 25.0
# 1 mm of wall is two lines or three; the core's lines lie along and across the bar or at 45 degrees to it
_WIDTHS, _TURNS = (0.5, 1 / 3), (0.0, 45.0)
_CARDS = {"pla": ("PLA", ""), "abs": ("ABS", ""), "hips": ("ABS", "ABS")}
_COLUMNS = {
    "breaking force, N": ("max_load_N", "max_load_sd_N", "n_load"),
    "tensile modulus, MPa": ("modulus_gross_mpa", "modulus_sd_mpa", "n_modulus"),
}


def series() -> list[Series]:
    """Return force and modulus of each material, core lines crossing in every layer or taking turns."""
    return [
        _series(material, pattern, quantity)
        for quantity in _COLUMNS
        for material in _CARDS
        for pattern in ("square", "alternating")
    ]


def _series(material: str, pattern: str, quantity: str) -> Series:
    table = [one for one in read("utah_2013_tension_settings") if one["material"] == material]
    table = [one for one in table if not _doubted(one)]
    mean, spread, count = _COLUMNS[quantity]
    rows = tuple(
        Row(
            {
                "wall": float(one["wall_thickness_mm"]),
                "faces": float(one["face_layers_each_side"]),
                "fill": float(one["set_fill"]),
            },
            float(one[mean]),
            float(one[spread]) / float(one[mean]),
            int(one[count]),
        )
        for one in table
    )
    card, stand_in = _CARDS[material]
    readings = tuple(
        Reading(
            f"lines {width:.2g} mm wide at {turn:g} deg",
            tuple((_bar(row, pattern, width, turn, card),) for row in rows),
        )
        for width in _WIDTHS
        for turn in _TURNS
    )
    lines = "crossing in each layer" if pattern == "square" else "taking turns by layer"
    return Series(
        f"utah_2013 {material.upper()}, {lines}", "utah_2013_tension_settings", quantity, rows, readings,
        "line width 0.33 or 0.5 mm, lines at 0 or 45 degrees", card=stand_in,
    )  # fmt: skip


def _doubted(row: dict[str, str]) -> bool:
    """Return whether the passport leaves a row out: its load equals that at half its fill."""
    return row["material"] == "hips" and row["wall_thickness_mm"] == "1" and row["set_fill"] == "0.6"


def _bar(row: Row, pattern: str, width: float, turn: float, card: str) -> Setting:
    faces = int(row.factors["faces"])
    crossing = pattern == "square"
    return Setting(
        specimen=Specimen("rectangle", WIDTH, DEPTH, 33.0),
        printing=Printing(
            "flat", Bead(width, LAYER), round(row.factors["wall"] / width), faces, faces, (45.0, -45.0)
        ),
        core=Core(
            pattern,
            row.factors["fill"],
            angle_deg=turn if crossing else 0.0,
            angles_deg=(turn, turn - 90.0),
        ),
        test=BendTest("tension", gauge=EXTENSOMETER),
        card=shipped_card(card),
    )
