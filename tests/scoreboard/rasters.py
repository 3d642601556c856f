"""Solid bars whose raster lies at one angle in every layer, pulled (main_2025)."""

import numpy as np

from fem.bending.bending import BendTest
from fem.material.cards import shipped_card
from fem.setting import Setting
from patterns.bead import Bead
from patterns.setting import Core, Printing, Specimen
from tests.scoreboard.series import Reading, Row, Series, read

_ANGLES = (0, 45, 90)
_BEAD, _WALLS, _LAYERS, _WIDTH = Bead(0.42, 0.2), 2, 27, 13.6


def series() -> list[Series]:
    """Return modulus and strength; everything is stated, but the material has no card."""
    return [_series(quantity) for quantity in ("tensile modulus, MPa", "tensile strength, MPa")]


def _series(quantity: str) -> Series:
    column = quantity.split(",")[0].replace(" ", "_") + "_mpa"
    table = read("main_2025_raster_angle_tension")
    logs = np.log(
        [[float(one[column]) for one in table if int(one["raster_angle_deg"]) == angle] for angle in _ANGLES]
    )
    # six series of one bar each: what they differ in as a whole is not scatter of the raster's effect
    inner = logs - logs.mean(axis=0)
    scatter = inner.std(axis=1, ddof=1)
    rows = tuple(
        Row({"angle": float(angle)}, float(np.exp(own.mean())), float(sd), own.size)
        for angle, own, sd in zip(_ANGLES, logs, scatter, strict=True)
    )
    reading = Reading("as stated", tuple((_bar(float(angle)),) for angle in _ANGLES))
    return Series(
        "main_2025 PA12 with fibres, solid rasters", "main_2025_raster_angle_tension", quantity, rows, (reading,),
        "nothing", regressor="angle", card="PLA",
    )  # fmt: skip


def _bar(angle: float) -> Setting:
    return Setting(
        specimen=Specimen("rectangle", _WIDTH, _LAYERS * _BEAD.height, 57.0),
        printing=Printing("flat", _BEAD, _WALLS, _LAYERS, 0, face_angles_deg=(angle,)),
        core=Core("solid", 1.0),
        test=BendTest("tension", gauge=50.0),
        card=shipped_card("PLA"),
    )
