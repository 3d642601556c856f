"""Ratios that published measurements give, beside what the estimator makes of the settings that were stated.

Settings that a source does not state are taken as ranges, and the estimate is then a range of ratios: never one chosen
to fit. Ratios only, since no source states everything that an absolute value needs.
"""

import csv
import itertools
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from pathlib import Path

import numpy as np
from scipy.optimize import brentq

from fem.bending.bending import BendTest
from fem.estimation import estimate
from fem.material.bonded import bonded_beads
from fem.material.cards import shipped_card
from fem.material.stiffness import about_axis_3, rotate
from fem.printed.cell_store import CellStore, default_folder
from fem.printed.contact import stacked_share
from fem.printed.stack import stack_stiffness
from fem.setting import Setting
from patterns.bead import Bead
from patterns.setting import Core, Printing, Specimen

DATA = Path(__file__).parent / "data"
# Not stated by several sources: what a 0.4 mm nozzle commonly lays.
BEADS = tuple(Bead(width, height) for width in (0.40, 0.50) for height in (0.10, 0.20, 0.30))
# Bars and spans that the bending standards name: ISO 178, and ASTM D790 at 16 times the depth.
BARS = ((10.0, 4.0, 64.0), (12.7, 3.2, 51.2))


@dataclass(frozen=True)
class Check:
    """One published ratio beside the estimator's range.

    Attributes
    ----------
    name, source : str
        As in ``trend_checks.csv``.
    measured : tuple of float
        Low, value, high as published; all alike where no spread is stated.
    estimated : tuple of float
        Low, middle and high over what is not stated and over the material's ranges; the middle is the median over what
        is not stated, at the material's best values.
    assumed : str
        What was taken as a range.
    """

    name: str
    source: str
    measured: tuple[float, float, float]
    estimated: tuple[float, float, float]
    assumed: str

    @property
    def inside(self) -> bool:
        """Whether the published value lies in the estimator's range."""
        slack = 1e-3 * self.measured[1]  # of the mesh
        return self.estimated[0] - slack <= self.measured[1] <= self.estimated[2] + slack


def trends() -> dict[tuple[str, str, str], tuple[float, float, float]]:
    """Return (source, check, quantity) to low, value, high of every published ratio."""
    found = {}
    with (DATA / "trend_checks.csv").open(encoding="utf-8", newline="") as stream:
        for row in csv.DictReader(stream):
            value = float(row["value"])
            low, high = (float(row[end]) if row[end] else value for end in ("low", "high"))
            found[row["source_key"], row["check"], row["quantity"]] = (low, value, high)
    return found


def all_checks(store: CellStore | None = None) -> list[Check]:
    """Return every published ratio that the estimator can speak to."""
    return [*weld_checks(), *raster_checks(), *bending_checks(store or CellStore(default_folder()))]


def markdown(checks: Iterable[Check]) -> str:
    """Return the checks as a table for the developers' page."""
    lines = [
        "| source | ratio | published | estimated (range) | published/estimated | inside | taken as a range |",
        "|---|---|---|---|---|---|---|",
    ]
    for one in checks:
        low, value, high = one.measured
        spread = f" ({low:.2f} to {high:.2f})" if low < high else ""
        least, middle, most = one.estimated
        lines.append(
            f"| {one.source} | {one.name} | {value:.2f}{spread} | {middle:.2f} ({least:.2f} to {most:.2f}) | "
            f"{value / middle:.2f} | {'yes' if one.inside else '**no**'} | {one.assumed} |"
        )
    return "\n".join(lines)


def weld_checks() -> list[Check]:
    """Stacked beads pulled apart: stiffness across the layers, share of contact, and how it falls with layer height."""
    known = trends()
    poisson = shipped_card("PLA").poisson.best
    stiffness = [stack_stiffness(bead, poisson).ratio for bead in BEADS]
    contact = [stacked_share(bead) for bead in BEADS]
    beads = "bead 0.4 to 0.5 mm wide, layers 0.1 to 0.3 mm"
    strength, true = (
        known["perez_2021", name, "tensile_strength"][1]
        for name in ("interlayer_strength_over_bulk", "interface_strength_over_bulk")
    )
    gross_over_true = strength / true
    return [
        Check(
            "modulus across layers over bulk", "perez_2021",
            known["perez_2021", "interlayer_modulus_over_bulk", "tensile_modulus"], _range(stiffness), beads,
        ),
        Check(
            "modulus with gaps over gaps closed", "perez_2021",
            _inverse(known["perez_2021", "gain_if_gaps_closed", "tensile_modulus"]), _range(stiffness), beads,
        ),
        Check(
            "strength on gross over strength on bonded area", "perez_2021",
            (gross_over_true,) * 3, _range(contact), beads,
        ),
        _falling_with_layer_height(known),
    ]  # fmt: skip


def _falling_with_layer_height(known: dict[tuple[str, str, str], tuple[float, float, float]]) -> Check:
    """Strength across layers of upright tubes at layer/nozzle 0.75 over that at 0.25."""
    start, slope = (
        known["kuznetsov_2018", name, "flexural_strength_mpa"][1]
        for name in ("interlayer_strength_intercept", "interlayer_strength_slope")
    )
    value = (start + 0.75 * slope) / (start + 0.25 * slope)
    ratios = []
    for nozzle, wide in itertools.product((0.4, 0.6, 0.8), (1.0, 1.2)):
        thick, thin = (stacked_share(Bead(wide * nozzle, share * nozzle)) for share in (0.75, 0.25))
        ratios.append(thick / thin)
    return Check(
        "strength at layer/nozzle 0.75 over 0.25", "kuznetsov_2018", (value,) * 3, _range(ratios),
        "bead 1.0 to 1.2 nozzles wide",
    )  # fmt: skip


def raster_checks() -> list[Check]:
    """Solid rasters: stiffness at 45 degrees from that at 90, and across layers against within them."""
    known = trends()
    across = known["main_2025", "across_bead_over_along_bead", "tensile_modulus"]
    # 2 walls of 0.42 mm along the load in a bar 13.6 mm wide carry beside a raster of one angle
    walls = 4 * 0.42 / 13.6

    def bar(ratio: float, angle_deg: float) -> float:
        return walls + (1 - walls) * modulus_at(bonded_beads(1.0, ratio, ratio, 0.35), angle_deg)

    at_45 = [
        bar(float(brentq(lambda r, value=value: bar(r, 90.0) - value, 0.3, 1.0)), 45.0) for value in across
    ]
    petg = shipped_card("PETG")
    poisson, ratio = petg.poisson.best, petg.across_bead_ratio
    stack = [stack_stiffness(bead, poisson).ratio for bead in BEADS]
    diagonal = [
        modulus_at(bonded_beads(1.0, value, value, poisson), 45.0)
        for value in (ratio.low, ratio.best, ratio.high)
    ]
    return [
        Check(
            "modulus at 45 degrees over along the beads, from that across", "main_2025",
            known["main_2025", "45_over_along_bead", "tensile_modulus"], _range(at_45),
            "nothing: walls and raster are stated",
        ),
        Check(
            "modulus across layers over in the layer", "supplier_datasheets",
            known["supplier_datasheets", "across_layers_over_in_layer", "tensile_modulus"],
            _range([one / within for one in stack for within in (1.0, *diagonal)]),
            "bead, raster along or at 45 degrees",
        ),
    ]  # fmt: skip


def modulus_at(C: np.ndarray, angle_deg: float) -> float:
    """Return Young's modulus along axis 1 of beads (6, 6) laid at an angle to it, in the unit of ``C``."""
    turned = rotate(C, about_axis_3(np.deg2rad(angle_deg)))
    return 1 / float(np.linalg.inv(turned)[0, 0])


def bending_checks(store: CellStore) -> list[Check]:
    """Bars in three-point bending, flat: partly filled over solid, and bending over tension."""
    known = trends()
    solid = _bar(BARS[0], "PLA", Bead(0.5, 0.2), walls=10, faces=0)
    width, depth, _ = BARS[0]
    bent = estimate(solid, store=store).EI.best * 12 / (width * depth**3)
    found = [
        Check(
            "bending over tension modulus of a solid bar", "pozorski_2025",
            known["pozorski_2025", "bending_over_tension_modulus", "youngs_modulus"],
            _range([bent / solid.card.young_mpa.best]), "beads along the bar",
        )
    ]  # fmt: skip
    ozkul = [
        _bar(size, "ABS", Bead(0.4, height), walls=7, faces=faces, angle=angle)
        for size, height, faces, angle in itertools.product(BARS, (0.15,), (0, 4), (0.0, 45.0))
    ]
    told = "bar and span of two standards, 0 or 4 face layers, grid at 0 or 45 degrees, full fill crossing or raster"
    for fill in (0.50, 0.75):
        found.append(
            Check(
                f"strength at fill {fill:.2f} over 1.00", "ozkul_2025",
                known["ozkul_2025", f"strength_ratio_infill_{fill:.2f}_over_1.00", "flexural_strength"],
                ratio_range(ozkul, fill, (("square", 1.0), ("solid", 1.0)), "breaking_force", store), told,
            )
        )  # fmt: skip
    lower, upper = (
        known["ozkul_2025", f"strength_ratio_infill_{fill}_over_1.00", "flexural_strength"][1]
        for fill in ("0.50", "0.75")
    )
    found.append(
        Check(
            "strength at fill 0.75 over 0.50", "ozkul_2025", (upper / lower,) * 3,
            ratio_range(ozkul, 0.75, (("square", 0.50),), "breaking_force", store),
            "bar and span of two standards, 0 or 4 face layers, grid at 0 or 45 degrees",
        )
    )  # fmt: skip
    mushtaq = [
        _bar(BARS[0], "ABS", Bead(0.44, 0.22), walls=walls, faces=faces)
        for walls, faces in itertools.product((1, 3), (2, 5))
    ]
    told = "1 to 3 walls, 2 to 5 face layers, square grid; bar and span stated"
    for fill in (0.04, 0.52):
        found.append(
            Check(
                f"strength at fill {fill:.2f} over 1.00", "mushtaq_2023",
                known["mushtaq_2023", f"strength_ratio_infill_{fill:.2f}_over_1.00", "flexural_strength"],
                ratio_range(mushtaq, fill, (("solid", 1.0),), "breaking_force", store), told,
            )
        )  # fmt: skip
    return [*found, *_modulus_checks(known, store)]


def _modulus_checks(
    known: Mapping[tuple[str, str, str], tuple[float, float, float]], store: CellStore
) -> list[Check]:
    """Flexural modulus, partly filled over solid."""
    bars = [
        _bar(size, "PLA", Bead(0.44, 0.3), walls=walls, faces=faces)
        for size, walls, faces in itertools.product(BARS, (1, 3), (2, 5))
    ]
    told = "bar and span of two standards, 1 to 3 walls, 2 to 5 face layers, square grid"
    return [
        Check(
            f"flexural modulus at fill {fill:.2f} over 1.00", "anerao_2025",
            known["anerao_2025", f"modulus_ratio_infill_{fill:.2f}_over_1.00", "flexural_modulus"],
            ratio_range(bars, fill, (("solid", 1.0),), "stiffness", store), told,
        )
        for fill in (0.33, 0.50)
    ]  # fmt: skip


def _bar(
    size: tuple[float, float, float], card: str, bead: Bead, walls: int, faces: int, angle: float = 45.0
) -> Setting:
    """Return a flat bar of (width, depth, span) in mm."""
    width, depth, span = size
    return Setting(
        specimen=Specimen("rectangle", width, depth, 1.25 * span),
        printing=Printing("flat", bead, walls=walls, bottom_layers=faces, top_layers=faces),
        core=Core("square", 0.5, angle_deg=angle),
        test=BendTest("three_point", span=span),
        card=shipped_card(card),
    )


def ratio_range(
    bars: Sequence[Setting],
    fill: float,
    over: Sequence[tuple[str, float]],
    quantity: str,
    store: CellStore,
) -> tuple[float, float, float]:
    """Return low, middle and high of a quantity at one fill over that at others, over bars and ranges of the material.

    ``over`` lists the patterns and set fills that may have been meant.
    """
    low, middle, high = [], [], []
    for bar in bars:
        part = estimate(replace(bar, core=replace(bar.core, set_fill=fill)), store=store)
        for pattern, other in over:
            whole = estimate(
                replace(bar, core=replace(bar.core, pattern=pattern, set_fill=other)), store=store
            )
            ratios = part.draws[quantity] / whole.draws[quantity]
            middle.append(getattr(part, quantity).best / getattr(whole, quantity).best)
            low.append(float(np.quantile(ratios, 0.05)))
            high.append(float(np.quantile(ratios, 0.95)))
    return min(low), float(np.median(middle)), max(high)


def _range(values: Sequence[float]) -> tuple[float, float, float]:
    return min(values), float(np.median(values)), max(values)


def _inverse(measured: tuple[float, float, float]) -> tuple[float, float, float]:
    low, value, high = measured
    return 1 / high, 1 / value, 1 / low
