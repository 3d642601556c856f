"""Flat bars over fill and layer height, bent and pulled (ozkul_2025, mushtaq_2023, anerao_2025).

Nozzle temperature, speed and raster, which an estimate does not know, are averaged; section, span, walls and faces
are stated in part only.
"""

from collections import defaultdict
from collections.abc import Callable, Iterable, Sequence

import numpy as np

from fem.bending.bending import BendTest
from fem.material.cards import shipped_card
from fem.setting import Setting
from patterns.bead import Bead
from patterns.setting import Core, Printing, Specimen
from tests.scoreboard.series import Reading, Row, Series, mean_row, read
from validation.published import BARS

PULLED = (13.0, 3.2, 50.0)  # ASTM D638 type I in width and usual thickness, gauge length
_SHELLS = tuple((walls, faces) for walls in (1, 3) for faces in (2, 5))
_TOLD = "1 or 3 walls, 2 or 5 face layers; square grid"


def series() -> list[Series]:
    """Return strength and modulus of the three sources."""
    return [*_ozkul(), *_mushtaq(), *_anerao()]


def by_fill_and_layer(source: str, column: str, replicates: bool) -> tuple[Row, ...]:
    """Return the mean of each fill and layer height."""
    found = defaultdict(list)
    for one in read(source):
        if one[column]:
            key = round(float(one["infill_fraction"]), 2), float(one["layer_height_mm"])
            found[key].append(float(one[column]))
    return tuple(
        mean_row({"fill": fill, "layer": layer}, values, replicates)
        for (fill, layer), values in sorted(found.items())
    )


def bar(
    size: tuple[float, float, float], row: Row, card: str, width: float, walls: int, faces: int,
    angle: float = 45.0, full: str = "solid", pulled: bool = False,
) -> Setting:  # fmt: skip
    """Return a flat bar of (width, depth, span or gauge length); ``full`` is what a fill of 1 is printed as."""
    fill = row.factors["fill"]
    return Setting(
        specimen=Specimen("rectangle", *size[:2], 1.25 * size[2]),
        printing=Printing("flat", Bead(width, row.factors["layer"]), walls, faces, faces),
        core=Core(
            full if fill == 1 else "square", fill, angle_deg=angle if fill < 1 or full == "square" else 0.0
        ),
        test=BendTest("tension", gauge=size[2]) if pulled else BendTest("three_point", span=size[2]),
        card=shipped_card(card),
    )


def _readings(
    rows: Sequence[Row], corners: Iterable[tuple[str, Callable[[Row], Setting]]]
) -> tuple[Reading, ...]:
    return tuple(Reading(name, tuple((of(row),) for row in rows)) for name, of in corners)


def _ozkul() -> list[Series]:
    corners = (
        # bar, faces, angle, what full fill is printed as
        (0, 0, 0.0, "solid"), (0, 4, 45.0, "solid"), (1, 0, 45.0, "solid"), (1, 4, 0.0, "solid"),
        (0, 0, 45.0, "square"), (1, 4, 45.0, "square"),
    )  # fmt: skip
    found = []
    for column, pulled in (("flexural_strength_mpa", False), ("tensile_strength_mpa", True)):
        rows = by_fill_and_layer("ozkul_2025_flexural_strength", column, replicates=False)
        own = [one for one in corners if not (pulled and one[0])]
        readings = _readings(
            rows,
            (
                (
                    f"bar {which}, {faces} face layers, grid at {angle:g} deg, full as {full}",
                    lambda row, which=which, faces=faces, angle=angle, full=full, pulled=pulled: bar(
                        PULLED if pulled else BARS[which], row, "ABS", 0.4, 7, faces, angle, full, pulled
                    ),
                )
                for which, faces, angle, full in own
            ),
        )
        told = "" if pulled else "bar and span of two standards, "
        found.append(
            Series(
                "ozkul_2025 ABS, flat", "ozkul_2025_flexural_strength", _quantity(column), rows, readings,
                f"{told}0 or 4 face layers, grid at 0 or 45 degrees, full fill raster or crossing",
            )
        )  # fmt: skip
    return found


def _mushtaq() -> list[Series]:
    found = []
    for column, pulled in (("flexural_strength_mpa", False), ("tensile_strength_mpa", True)):
        rows = by_fill_and_layer("mushtaq_2023_flexural_strength", column, replicates=True)
        # few settings were printed more than once: all take the scatter between runs of those
        shared = _pooled(rows)
        rows = tuple(Row(row.factors, row.measured, shared, row.n) for row in rows)
        found.append(
            Series(
                "mushtaq_2023 ABS, flat", "mushtaq_2023_flexural_strength", _quantity(column), rows,
                _shells(rows, BARS[0], "ABS", 0.44, pulled), _TOLD,
            )
        )  # fmt: skip
    return found


def _anerao() -> list[Series]:
    found = []
    for column in ("flexural_modulus_mpa", "flexural_strength_mpa"):
        rows = by_fill_and_layer("anerao_2025_flexural_tensile", column, replicates=True)
        found.append(
            Series(
                "anerao_2025 PLA with wood, flat", "anerao_2025_flexural_tensile", _quantity(column), rows,
                _shells(rows, BARS[1], "PLA", 0.44, pulled=False), f"{_TOLD}; bar and span of a standard",
                card="PLA",
            )
        )  # fmt: skip
    return found


def _shells(
    rows: Sequence[Row], size: tuple[float, float, float], card: str, width: float, pulled: bool
) -> tuple[Reading, ...]:
    return _readings(
        rows,
        (
            (
                f"{walls} walls, {faces} face layers",
                lambda row, walls=walls, faces=faces: bar(
                    size, row, card, width, walls, faces, pulled=pulled
                ),
            )
            for walls, faces in _SHELLS
        ),
    )


def _pooled(rows: Sequence[Row]) -> float:
    known = [(row.relative_sd, row.n - 1) for row in rows if row.relative_sd is not None and row.n]
    return float(np.sqrt(sum(sd**2 * df for sd, df in known) / sum(df for _, df in known)))


def _quantity(column: str) -> str:
    return column.removesuffix("_mpa").replace("_", " ") + ", MPa"
