"""Stiffness, bounds and stress concentration of one pattern's cell, every constant with its numerical error."""

import argparse
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from patterns.catalogue import Pattern
    from validation.cells import SolvedCell

EPILOG = """examples:
  fillbend cell hexagonal --set-fill 0.3 --bead-width 0.45
  fillbend cell rhombic --opening-angle 40 --pitch 3 --bead-width 0.45 --young 2300 --json
  fillbend cell square --set-fill 0.3 --bead-width 0.45 --picture peak.png --load shear_12

Stress factors are the largest principal stress in the beads over the mean stress of the cell. They hold for the corner
radius given and have no limit at radius 0, so none are given there."""

OWN_OPTIONS = {
    "--opening-angle": ("DEG", "rhombic: angle of either family of lines to axis 1"),
    "--cell-angle": ("DEG", "reentrant: angle of the inclined walls to axis 1, negative"),
    "--height-ratio": ("RATIO", "reentrant: length of the upright walls over that of the inclined ones"),
    "--amplitude-ratio": ("RATIO", "sinusoidal: amplitude over wavelength"),
    "--wavelength-ratio": ("RATIO", "sinusoidal: wavelength over line distance"),
    "--seed": ("N", "voronoi: random seed of the cell points"),
    "--cells": ("N", "voronoi: cells in one period"),
    "--overlap": ("MM", "solid: overlap of neighbouring bead outlines, negative for a gap"),
}
"""The patterns' own options, written out so that help needs no catalogue; a test compares them with it."""

CASES = ("tension_1", "tension_2", "tension_3", "shear_23", "shear_13", "shear_12")


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """Declare the command's options."""
    parser.add_argument("pattern", metavar="PATTERN", help="a name from `fillbend patterns`")
    spacing = parser.add_mutually_exclusive_group()
    spacing.add_argument(
        "--set-fill", type=float, metavar="F", help="line length x bead width per plan area, 0 to 1"
    )
    spacing.add_argument("--geometric-fill", type=float, metavar="F", help="plan area really covered, 0 to 1")
    spacing.add_argument("--pitch", type=float, metavar="MM", help="line distance, as the pattern defines it")
    bead = parser.add_argument_group("bead")
    bead.add_argument(
        "--bead-width",
        type=float,
        required=True,
        metavar="MM",
        help="bead area over layer height (flow-equivalent)",
    )
    bead.add_argument("--layer-height", type=float, default=0.2, metavar="MM", help="default %(default)s")
    bead.add_argument(
        "--bead-section", choices=("stadium", "square"), default="stadium", help="default %(default)s"
    )
    bead.add_argument(
        "--corner-radius",
        type=float,
        metavar="MM",
        help="of inside corners; default a quarter of the bead width",
    )
    bead.add_argument(
        "--young", type=float, default=1.0, metavar="MPA", help="modulus of the bead; default 1"
    )
    bead.add_argument("--poisson", type=float, default=0.35, metavar="NU", help="default %(default)s")
    own = parser.add_argument_group("pattern")
    own.add_argument(
        "--angle", type=float, default=0.0, metavar="DEG", help="turns the cell about axis 3; default 0"
    )
    own.add_argument(
        "--angles",
        type=float,
        nargs="+",
        metavar="DEG",
        help="alternating and solid: line directions layer by layer",
    )
    for flag, (unit, text) in OWN_OPTIONS.items():
        own.add_argument(flag, metavar=unit, help=text)
    result = parser.add_argument_group("result")
    result.add_argument(
        "--tolerance",
        type=float,
        default=1e-3,
        metavar="SHARE",
        help="relative error wanted; default %(default)s",
    )
    result.add_argument("--json", action="store_true", help="one JSON object on standard output")
    result.add_argument("--vtu", metavar="FILE", help="write displacement and stress for a field viewer")
    result.add_argument(
        "--picture", metavar="FILE", help="write a picture of the stress (.png, .svg or .pdf)"
    )
    result.add_argument(
        "--load",
        choices=CASES,
        default="tension_1",
        metavar="CASE",
        help=f"load of the picture: {', '.join(CASES)}",
    )


def run(args: argparse.Namespace) -> int:
    """Solve the cell and print it."""
    from patterns.catalogue import find
    from validation.cells import cell_dict, solve_cell
    from validation.output import print_json, remark

    pattern = find(args.pattern)
    solved = solve_cell(
        pattern,
        set_fill=args.set_fill,
        geometric_fill=args.geometric_fill,
        pitch=args.pitch,
        bead_width=args.bead_width,
        layer_height=args.layer_height,
        bead_section=args.bead_section,
        corner_radius=args.corner_radius,
        young=args.young,
        poisson=args.poisson,
        angle_deg=args.angle,
        angles_deg=args.angles,
        tolerance=args.tolerance,
        own=_own(args, pattern),
    )
    if not solved.result.met:
        remark(
            f"warning: the estimated error {solved.result.relative_error:.1e} is above the tolerance {args.tolerance:g}",
            args.quiet,
        )
    if args.json:
        print_json(cell_dict(solved))
    else:
        _print(solved)
    if args.vtu:
        _write_vtu(solved, args)
    if args.picture:
        _write_picture(solved, args)
    return 0


def _own(args: argparse.Namespace, pattern: "Pattern") -> dict[str, Any]:
    """Return the pattern's own options that were given, by the catalogue's names; refuse those of other patterns."""
    from patterns.errors import InputError

    names = {option.flag: option.name for option in pattern.options}
    given = {
        flag: value
        for flag in OWN_OPTIONS
        if (value := getattr(args, flag[2:].replace("-", "_"))) is not None
    }
    for flag in given:
        if flag not in names:
            has = f"it takes {', '.join(sorted(names))}" if names else "it takes none of its own"
            raise InputError(f"{pattern.slug} has no option {flag}; {has}")
    return {names[flag]: value for flag, value in given.items()}


def _print(solved: "SolvedCell") -> None:
    """Print the constants, then the stress factors."""
    from validation.output import print_table, significant

    result, fill = solved.result, solved.fill
    rows = [
        [
            name if name.startswith("nu") else f"{name} MPa",
            significant(value, 5),
            _percent(result.errors[name]),
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
    if solved.concentration is None:
        return
    print()
    print_table(
        "Stress factors",
        ["unit mean stress", "largest principal", "von Mises", "at x, y mm", "numerical error"],
        [
            [case, "-", "-", "-", "-"]
            if peak is None
            else [
                case,
                significant(peak.principal, 4),
                significant(peak.von_mises, 4),
                f"{peak.place[0]:.3f}, {peak.place[1]:.3f}",
                _percent(peak.error),
            ]
            for case, peak in solved.concentration.peaks.items()
        ],
        [
            f"Elastic, at corner radius {solved.concentration.corner_radius:g} mm, without notches between layers."
        ],
    )


def _percent(share: float | None) -> str:
    """Return an error as a percentage of two digits."""
    if share is None:
        return "-"
    return "below 0.0001 %" if share < 1e-6 else f"{100 * share:.1g} %"
