"""Strength across the layers over strength within them, spool by spool (filament_xy_z_2025)."""

import math
from collections import defaultdict

import numpy as np

from fem.bending.bending import BendTest
from fem.material.cards import shipped_card
from fem.setting import Setting
from patterns.bead import Bead
from patterns.setting import Core, Printing, Specimen
from tests.scoreboard.series import Reading, Row, Series, read

# cards and the source's materials; the others are filled with fibres, or have no card
_MATERIALS = {"PLA": ("PLA", "PLA Pro"), "PETG": ("PETG",)}
_BEAD = Bead(0.42, 0.2)


def series() -> list[Series]:
    """Return one series per material; what is estimated is the same for all spools."""
    pulls = defaultdict(list)
    for one in read("filament_xy_z_2025"):
        card = next((name for name, own in _MATERIALS.items() if one["material"] in own), "")
        pulls[card, one["spool"], one["axis"]].append(float(one["tensile_strength_mpa"]))
    return [_series(material, pulls) for material in _MATERIALS]


def _series(material: str, pulls: dict[tuple[str, str, str], list[float]]) -> Series:
    spools = sorted({spool for card, spool, _ in pulls if card == material})
    both = [spool for spool in spools if all((material, spool, axis) in pulls for axis in ("xy", "z"))]
    rows = tuple(_row(pulls[material, spool, "xy"], pulls[material, spool, "z"]) for spool in both)
    readings = tuple(
        Reading(name, ((_bar(material, "upright", walls), _bar(material, "flat", walls)),) * len(rows))
        for name, walls in (("beads along the outline throughout", None), ("2 walls, raster at 45 deg", 2))
    )
    return Series(
        f"filament_xy_z_2025 {material}, across over within layers", "filament_xy_z_2025",
        "ratio of tensile strengths", rows, readings, "solid bars: walls throughout, or 2 walls and raster",
        regressor="",
    )  # fmt: skip


def _row(within: list[float], across: list[float]) -> Row:
    error = math.hypot(
        *(np.std(pull, ddof=1) / np.mean(pull) / math.sqrt(len(pull)) for pull in (within, across))
    )
    return Row({}, float(np.mean(across) / np.mean(within)), error, 1)


def _bar(material: str, orientation: str, walls: int | None) -> Setting:
    """Return a solid bar, 5 x 5 mm in the layer and 10 x 5 mm across the layers; 12 beads are 5.04 mm."""
    width, depth = (5.04, 5.0) if orientation == "flat" else (10.08, 5.04)
    throughout = walls is None
    layers = 0 if throughout or orientation == "upright" else 25
    return Setting(
        specimen=Specimen("rectangle", width, depth, 40.0),
        printing=Printing(orientation, _BEAD, 6 if walls is None else walls, layers, layers),
        core=Core("solid", 1.0),
        test=BendTest("tension", gauge=25.0),
        card=shipped_card(material),
    )
