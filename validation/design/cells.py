"""One pattern's cell from plain numbers, solved, and as the object that the command prints."""

import math
import time
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np

from fem.material.bounds import hashin_shtrikman_E1
from fem.material.direction import anisotropy, by_direction
from fem.material.stiffness import isotropic
from fem.prismatic.antiplane_bound import antiplane_lower_bound
from fem.prismatic.concentration import CASES, Concentration, concentration, radius_exponents
from fem.prismatic.homogenise import Homogenised, homogenise
from fem.tables import html_table, significant
from patterns.bead import Bead, BeadSection
from patterns.cells.cell import PlanCell
from patterns.cells.layered import LayeredCell
from patterns.cells.stack import StackedCell
from patterns.errors import InputError
from patterns.fill import Fill, default_corner_radius, fill_for
from patterns.kinds.pattern import Cell, Pattern
from patterns.setting import Core
from validation.text.numbers import error_percent

_STEP_DEG = 5
_NEAR = 0.8  # of the corner radius, where its effect is seen
_COARSEST = 0.2  # a tolerance above it is no estimate
TOLERANCES: dict[type, float] = {PlanCell: 1e-3, LayeredCell: 5e-3, StackedCell: 2e-2}
"""Relative error that each sort of cell reaches in a second, in seconds and in a minute."""


@dataclass(frozen=True)
class SolvedCell:
    """A cell with everything the command reports.

    Attributes
    ----------
    pattern : Pattern
        From the catalogue.
    given : dict
        All inputs as used, units in the names.
    fill : Fill
        Pitch and fills.
    cell : PlanCell, LayeredCell or StackedCell
        Geometry.
    result : Homogenised or layered result
        Mean stiffness with its errors.
    concentration : Concentration or None
        Stress factors; None for layered cells and at corner radius 0.
    struts : ndarray, shape (6,), or None
        Fibre stress factors of crossing beads, see `fem.layered.struts`; None for other cells.
    exponents : dict or None
        Stress factor ~ radius^n, see `fem.prismatic.concentration.radius_exponents`; None where there are no factors.
    seconds : dict of str to float
        Time for geometry, mesh, solve and concentration.
    """

    pattern: Pattern
    given: dict[str, Any]
    fill: Fill
    cell: Cell
    result: Any
    concentration: Concentration | None
    seconds: dict[str, float]
    struts: np.ndarray | None = None
    exponents: dict[str, float | None] | None = None

    def to_rows(self) -> list[dict[str, Any]]:
        """Return one row: fills, constants with units in the keys, and the relative error of each."""
        row: dict[str, Any] = {
            "pattern": self.pattern.slug,
            "set_fill": self.fill.set_fill,
            "geometric_fill": self.result.geometric_fill,
        }
        for name, value in self.result.engineering.as_dict().items():
            row |= {_json_name(name): value, f"{name}_relative_error": self.result.errors.get(name)}
        return [row]

    def _repr_html_(self) -> str:
        constants, errors = self.result.engineering.as_dict(), self.result.errors
        told = [
            [
                name,
                significant(value, 4),
                error_percent(errors.get(name)),
                "" if name.startswith("nu") else "MPa",
            ]
            for name, value in constants.items()
        ]
        title = f"{self.pattern.slug} at set fill {significant(self.fill.set_fill)}"
        return html_table(("", "constant", "error", "unit"), told, title)


def solve_cell(
    pattern: Pattern,
    *,
    bead_width: float,
    set_fill: float | None = None,
    geometric_fill: float | None = None,
    pitch: float | None = None,
    layer_height: float = 0.2,
    bead_section: BeadSection = "stadium",
    corner_radius: float | None = None,
    young: float = 1.0,
    poisson: float = 0.35,
    angle_deg: float = 0.0,
    angles_deg: Sequence[float] | None = None,
    tolerance: float | None = None,
    own: Mapping[str, Any] | None = None,
) -> SolvedCell:
    """Build and solve one cell; lengths in mm, angles in degrees, modulus in MPa.

    Without a tolerance that of `TOLERANCES` is taken.

    Raises
    ------
    InputError
        For any impossible input, in one line.
    """
    _check(pattern, angle_deg, tolerance)
    start = time.perf_counter()
    # where layers are alike the plan knows only the bead's width, so that any layer height will do
    bead = Bead(bead_width, layer_height, "square" if pattern.alike else bead_section)
    radius = default_corner_radius(bead_width) if corner_radius is None else corner_radius
    options = pattern.settle(own or {})
    if set_fill is geometric_fill is pitch is None:
        set_fill = pattern.only_fill
    ways = {"set_fill": set_fill, "geometric_fill": geometric_fill, "pitch": pitch}
    # options have settled types, which a mapping does not tell the checker
    fill = fill_for(pattern, bead_width, radius, **ways, **options)  # type: ignore[arg-type]
    turns = _turns(pattern, angles_deg)
    cell = pattern.cell(bead, fill.pitch, radius, angle_deg, turns.get("angles_deg"), **options)
    geometry = time.perf_counter() - start
    given = {
        "set_fill": set_fill,
        "geometric_fill": geometric_fill,
        "pitch_mm": pitch,
        "bead_width_mm": bead_width,
        "layer_height_mm": layer_height,
        "bead_section": bead_section,
        "corner_radius_mm": radius,
        "young_mpa": young,
        "poisson": poisson,
        "angle_deg": angle_deg,
        **turns,
        "tolerance": TOLERANCES[type(cell)] if tolerance is None else tolerance,
        **options,
    }
    material = isotropic(young, poisson)
    if not isinstance(cell, PlanCell):
        return _solve_layers(pattern, given, fill, cell, material, geometry)
    near = pattern.cell(bead, fill.pitch, _NEAR * radius, angle_deg, None, **options) if radius > 0 else None
    return _solve_plan(pattern, given, fill, (cell, near), material, geometry)


def core_of(solved: SolvedCell) -> tuple[Core, Bead]:
    """Return the core and the bead of a solved cell, for its picture."""
    given, pattern = solved.given, solved.pattern
    bead = Bead(given["bead_width_mm"], given["layer_height_mm"], given["bead_section"])
    options = {name: given[name] for name in pattern.settle({})}
    core = Core(
        pattern.slug,
        solved.fill.set_fill,
        angle_deg=given["angle_deg"],
        angles_deg=tuple(given.get("angles_deg") or pattern.default_angles_deg),
        corner_radius=given["corner_radius_mm"],
        options=tuple(sorted(options.items())),
    )
    return core, bead


def _check(pattern: Pattern, angle_deg: float, tolerance: float | None) -> None:
    if not pattern.periodic:
        raise InputError(
            f"{pattern.slug} follows the outline of the part and has no cell; estimate it in a section"
        )
    if not math.isfinite(angle_deg):
        raise InputError(f"angle {angle_deg} deg: must be a finite number")
    if tolerance is not None and not 0 < tolerance <= _COARSEST:
        raise InputError(f"tolerance {tolerance}: must lie above 0 and at most {_COARSEST}")


def _solve_layers(
    pattern: Pattern,
    given: dict[str, Any],
    fill: Fill,
    cell: LayeredCell | StackedCell,
    material: np.ndarray,
    geometry: float,
) -> SolvedCell:
    from fem.layered.layered import homogenise_layered
    from fem.layered.struts import strut_factors

    solved = homogenise_layered(cell, material, given["tolerance"])
    struts = strut_factors(cell) if isinstance(cell, LayeredCell) else None
    return SolvedCell(
        pattern, given, fill, cell, solved, None, {"geometry": geometry, **solved.seconds}, struts
    )


def _solve_plan(
    pattern: Pattern,
    given: dict[str, Any],
    fill: Fill,
    cells: tuple[PlanCell, Cell | None],
    material: np.ndarray,
    geometry: float,
) -> SolvedCell:
    """Solve a plan cell, with stress factors where there is one of smaller corner radius beside it."""
    cell, near = cells
    solved = homogenise(cell, material, given["tolerance"])
    start = time.perf_counter()
    factors = exponents = None
    if isinstance(near, PlanCell):
        factors = concentration(cell, solved)
        other = concentration(near, homogenise(near, material, given["tolerance"]))
        exponents = radius_exponents(factors, other)
    seconds = {"geometry": geometry, **solved.seconds, "concentration": time.perf_counter() - start}
    return SolvedCell(pattern, given, fill, cell, solved, factors, seconds, exponents=exponents)


def _turns(pattern: Pattern, angles_deg: Sequence[float] | None) -> dict[str, tuple[float, ...]]:
    """Line directions of a pattern whose layers alternate; nothing for the others."""
    if not pattern.takes_angles:
        if angles_deg is not None:
            raise InputError(f"{pattern.slug} takes no --angles; turn its cell with --angle")
        return {}
    if angles_deg is None:
        return {}
    if not all(math.isfinite(angle) for angle in angles_deg):
        raise InputError(f"angles {list(angles_deg)}: must be finite numbers")
    return {"angles_deg": tuple(angles_deg)}


def cell_dict(solved: SolvedCell) -> dict[str, Any]:
    """Return the solved cell as plain data for JSON."""
    result, given = solved.result, solved.given
    constants = result.engineering.as_dict()
    in_plane_isotropic = isinstance(solved.cell, PlanCell) and solved.pattern.symmetry == "isotropic"
    phi = result.geometric_fill
    return {
        "pattern": solved.pattern.slug,
        "kind": solved.pattern.kind,
        "input": given,
        "fill": {"set": solved.fill.set_fill, "geometric": phi},
        "pitch_mm": solved.fill.pitch,
        "cell_mm": solved.cell.lattice,
        "stiffness_mpa": result.stiffness,
        "engineering": {_json_name(name): value for name, value in constants.items()},
        "discretisation": {
            "relative_error": result.relative_error,
            "per_constant": {_json_name(name): error for name, error in result.errors.items()},
            "unknowns": result.unknowns,
            "tolerance_met": result.met,
        },
        "bounds": {
            "voigt_E_mpa": phi * given["young_mpa"],
            "hashin_shtrikman_E1_mpa": hashin_shtrikman_E1(phi, given["young_mpa"], given["poisson"])
            if in_plane_isotropic
            else None,
            **_antiplane_bounds(solved),
        },
        "concentration": _factors_dict(solved),
        "by_direction": _direction_dict(result),
        "seconds": solved.seconds,
    }


def _antiplane_bounds(solved: SolvedCell) -> dict[str, tuple[float, float] | None]:
    """Return guaranteed limits of G13 and G23 of prismatic cells; None where there are none."""
    constants = solved.result.engineering
    names = ("G13", "G23")
    if not isinstance(solved.cell, PlanCell) or constants.G13 is None or constants.G23 is None:
        return {f"{name}_mpa": None for name in names}
    given, result = solved.given, solved.result
    low = antiplane_lower_bound(result.fields.period, given["young_mpa"] / (2 * (1 + given["poisson"])))
    lowest = 1 / np.diag(np.linalg.inv(low))
    return {f"{name}_mpa": (float(lowest[k]), getattr(constants, name)) for k, name in enumerate(names)}


def _json_name(name: str) -> str:
    """Name of an engineering constant with its unit."""
    return name if name.startswith("nu") else f"{name}_mpa"


def _factors_dict(solved: SolvedCell) -> dict[str, Any] | None:
    if solved.concentration is not None:
        return {**_concentration_dict(solved.concentration), "radius_exponent": solved.exponents}
    if solved.struts is None:
        return None
    named = {case: float(factor) or None for case, factor in zip(CASES, solved.struts, strict=True)}
    return {
        "corner_radius_mm": None,
        **named,
        "von_mises": named,  # a fibre's stress has one axis
        "place_mm": None,
        "relative_error": None,
        "basis": "beam theory of beads between their welds, forces by equilibrium",
    }


def _concentration_dict(found: Concentration) -> dict[str, Any]:
    peaks = found.peaks

    def each(value: str) -> dict[str, Any]:
        return {case: None if peak is None else getattr(peak, value) for case, peak in peaks.items()}

    return {
        "corner_radius_mm": found.corner_radius,
        **each("principal"),
        "von_mises": each("von_mises"),
        "place_mm": each("place"),
        "relative_error": each("error"),
    }


def _direction_dict(result: Homogenised) -> dict[str, Any]:
    found = by_direction(result.stiffness, np.arange(0, 180, _STEP_DEG))
    spread = anisotropy(result.stiffness)
    return {
        "angle_deg": found.angle_deg,
        "E_mpa": found.E,
        "G_mpa": found.G,
        "nu": found.nu,
        "E_ratio": spread.E_ratio,
        "G_ratio": spread.G_ratio,
        "isotropy_defect": spread.isotropy_defect,
    }
