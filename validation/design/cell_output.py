"""A solved cell as tables: constants with their numerical error, stress factors, first failure."""

from typing import Any

import numpy as np

from fem.prismatic.concentration import CASES
from validation.design.cells import SolvedCell
from validation.text.numbers import error_percent, significant
from validation.text.screen import print_table


def print_cell(solved: SolvedCell) -> None:
    """Print the constants, then the stress factors."""
    result, fill = solved.result, solved.fill
    rows = [
        [
            name if name.startswith("nu") else f"{name} MPa",
            significant(value, 5),
            error_percent(result.errors[name]),
        ]
        for name, value in result.engineering.as_dict().items()
    ]
    print_table(
        f"{solved.pattern.slug}, pitch {fill.pitch:.4g} mm",
        ["constant", "value", "numerical error"],
        rows,
        [
            f"Set fill {fill.set_fill:.4g}, geometric fill {result.geometric_fill:.4g}.",
            f"Axis 1: {solved.pattern.axis_1}. Axis 3: the build direction. '-': no load path.",
            f"Bead: Young's modulus {solved.given['young_mpa']:g} MPa, Poisson's ratio {solved.given['poisson']:g}; "
            f"{result.unknowns} unknowns, order {result.order}.",
        ],
    )
    if solved.struts is not None:
        _print_struts(solved.struts)
    if solved.concentration is None:
        return
    print()
    print_table(
        "Stress factors",
        [
            "unit mean stress",
            "largest principal",
            "von Mises",
            "at x, y mm",
            "numerical error",
            "radius exponent",
        ],
        [
            [case, *"-----"]
            if peak is None
            else [
                case,
                significant(peak.principal, 4),
                significant(peak.von_mises, 4),
                f"{peak.place[0]:.3f}, {peak.place[1]:.3f}",
                error_percent(peak.error),
                _exponent((solved.exponents or {})[case]),
            ]
            for case, peak in solved.concentration.peaks.items()
        ],
        [
            f"Elastic, at corner radius {solved.concentration.corner_radius:g} mm, without notches between layers.",
            "Near that radius the largest principal stress goes like radius^exponent.",
        ],
    )


def print_first_failure(found: dict[str, Any]) -> None:
    """Print at what mean stress the first point fails, nothing of an empty result."""
    if not found:
        return
    print()
    cases = ("tension_1", "tension_2", "shear_12")
    print_table(
        "First failure",
        ["mean stress alone", "MPa"],
        [
            [case, "-" if found[f"{case}_mpa"] is None else significant(found[f"{case}_mpa"], 4)]
            for case in cases
        ],
        [
            "Elastic: the largest stress along the bead, across it or in shear reaches its strength.",
            "Compression is not judged.",
        ],
    )


def _print_struts(factors: np.ndarray) -> None:

    print()
    print_table(
        "Stress factors",
        ["unit mean stress", "largest fibre stress"],
        [
            [case, significant(factor, 4) if factor else "-"]
            for case, factor in zip(CASES, factors, strict=True)
        ],
        [
            "Beads as bars, bent where they leave a weld: equilibrium gives the forces, beam theory the stress.",
            "Welds decide elsewhere. '-': carried by the welds alone.",
        ],
    )


def _exponent(value: float | None) -> str:
    return "-" if value is None else f"{round(value, 2) + 0.0:.2f}"  # no minus before zero
