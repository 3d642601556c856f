"""Stiffness, bounds and stress concentration of one pattern's cell, every constant with its numerical error."""

import argparse
from pathlib import Path
from typing import TYPE_CHECKING, Any

from patterns.errors import InputError

if TYPE_CHECKING:
    from fem.prismatic.stress_field import StressField
    from validation.design.cells import SolvedCell

EPILOG = """examples:
  fillbend cell hexagonal --set-fill 0.3 --bead-width 0.45
  fillbend cell rhombic --opening-angle 40 --pitch 3 --bead-width 0.45 --young 2300 --json
  fillbend cell square --set-fill 0.3 --bead-width 0.45 --picture peak.png --load shear_12
  fillbend cell kagome --set-fill 0.3 --bead-width 0.45 --strengths 50 30 25 --failure-picture failure.svg

Stress factors are the largest principal stress in the beads over the mean stress of the cell. They hold for the corner
radius given and have no limit at radius 0, so none are given there."""

CASES = ("tension_1", "tension_2", "tension_3", "shear_23", "shear_13", "shear_12")


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """Declare the command's options."""
    from validation.commands.pattern_options import add_pattern_options

    parser.add_argument("pattern", metavar="PATTERN", help="a name from `fillbend patterns`")
    add_pattern_options(parser)
    bead = parser.add_argument_group("bead material")
    bead.add_argument("--young", type=float, default=1.0, metavar="MPA", help="Young's modulus; default 1")
    bead.add_argument(
        "--poisson", type=float, default=0.35, metavar="NU", help="Poisson's ratio; default 0.35"
    )
    result = parser.add_argument_group("result")
    result.add_argument(
        "--tolerance",
        type=float,
        metavar="SHARE",
        help="relative error wanted; default 0.001, alternating and solid 0.005, gyroid 0.02",
    )
    result.add_argument("--json", action="store_true", help="one JSON object on standard output")
    result.add_argument(
        "--vtu", type=Path, metavar="FILE", help="write displacement and stress for a field viewer"
    )
    result.add_argument(
        "--picture", type=Path, metavar="FILE", help="draw the stress and its peak; ends in .svg or .png"
    )
    result.add_argument(
        "--strengths",
        nargs=3,
        type=float,
        metavar=("ALONG", "ACROSS", "SHEAR"),
        help="of the bead, MPa: also tell at what mean stress its first point fails",
    )
    result.add_argument(
        "--failure-picture",
        type=Path,
        metavar="FILE",
        help="with --strengths: draw first failure under tension with shear; ends in .svg or .png",
    )
    result.add_argument(
        "--load",
        choices=CASES,
        default="tension_1",
        metavar="CASE",
        help=f"of the picture: {', '.join(CASES)}",
    )


def run(args: argparse.Namespace) -> int:
    """Solve the cell and print it."""
    from validation.design.cell_output import print_cell, print_first_failure
    from validation.design.cells import cell_dict
    from validation.text.output import print_json, remark, require_place

    for path in filter(None, (args.picture, args.vtu)):
        require_place(path)
    for picture in (args.picture, args.failure_picture):
        if picture and picture.suffix.lower() not in (".svg", ".png"):
            raise InputError(f"{picture}: pictures are written as .svg or .png")
    if args.failure_picture and not args.strengths:
        raise InputError(
            "--failure-picture needs the bead's strengths: give --strengths ALONG ACROSS SHEAR in MPa"
        )
    solved = _solve(args)
    if not solved.result.met:
        error, wanted = solved.result.relative_error, solved.given["tolerance"]
        remark(f"warning: estimated error {error:.1e}, above the tolerance {wanted:g}", args.quiet)
    failure = _first_failure(solved, args) if args.strengths else {}
    if args.json:
        print_json({**cell_dict(solved), **({"first_failure": failure} if failure else {})})
    else:
        print_cell(solved)
        print_first_failure(failure)
    if args.vtu:
        _write_vtu(solved, args.vtu)
        remark(f"wrote {args.vtu}", args.quiet)
    if args.picture:
        _write_picture(solved, args.load, args.picture)
        remark(f"wrote {args.picture}", args.quiet)
    return 0


def _solve(args: argparse.Namespace) -> "SolvedCell":
    """Solve the cell that the options describe."""
    from patterns.catalogue import find
    from validation.commands.pattern_options import own_options
    from validation.design.cells import solve_cell

    pattern = find(args.pattern)
    if args.bead_width is None:
        raise InputError(
            "--bead-width is missing: give the bead's flow-equivalent width in mm, as in --bead-width 0.45"
        )
    return solve_cell(
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
        own=own_options(args, pattern),
    )


def _field(solved: "SolvedCell") -> "StressField":
    """Return the stress field of a prismatic cell."""
    from fem.prismatic.stress_field import StressField

    if solved.concentration is not None:
        return solved.concentration.field
    fields = solved.result.fields
    return StressField(fields.period, fields.material, fields.solution, solved.result.stiffness)


def _write_vtu(solved: "SolvedCell", path: Path) -> None:
    from fem.cell_vtu import solid_vtu, vtu
    from fem.layered.solid_field import solid_field
    from fem.material.stiffness import isotropic
    from patterns.cells.cell import PlanCell
    from validation.text.output import write_atomically

    if isinstance(solved.cell, PlanCell):
        write_atomically(path, vtu(_field(solved)))
        return
    if solved.result.geometric_fill == 1:
        raise InputError(
            f"--vtu: {solved.pattern.slug} has no voids here, so its strain is the same everywhere"
        )
    material = isotropic(solved.given["young_mpa"], solved.given["poisson"])
    write_atomically(path, solid_vtu(solid_field(solved.cell, material)))


def _write_picture(solved: "SolvedCell", case: str, path: Path) -> None:
    from patterns.cells.cell import PlanCell
    from validation.report.stress_picture import stress_picture

    if not isinstance(solved.cell, PlanCell):
        raise InputError(
            f"--picture draws prismatic cells only; {solved.pattern.slug} is {solved.pattern.kind}: use --vtu"
        )
    field = _field(solved)
    peak = None if solved.concentration is None else solved.concentration.peaks[case]
    with stress_picture(solved.cell, field, case, peak) as picture:
        picture.save(path)


def _first_failure(solved: "SolvedCell", args: argparse.Namespace) -> dict[str, Any]:
    """Find the first-failure surface, draw it if asked, and return it as plain data."""
    from fem.prismatic.failure_surface import Strengths
    from validation.design.first_failure import failure_dict, first_failures
    from validation.text.output import remark

    strengths = Strengths(*args.strengths)
    failure = first_failures(solved, strengths)
    if args.failure_picture:
        from validation.report.failure_picture import failure_picture

        failure_picture(solved.pattern.slug, failure, strengths).save(args.failure_picture)
        remark(f"wrote {args.failure_picture}", args.quiet)
    return failure_dict(failure, strengths)
