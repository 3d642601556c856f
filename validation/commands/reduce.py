"""Read the rig's files and reduce each run: peak, travel, first drop, slope, energy, with every decision shown."""

import argparse
from pathlib import Path
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from validation.rig.geometry import Geometry, Shape
    from validation.rig.run import Run
    from validation.rig.spans import Split

EPILOG = """examples:
  fillbend reduce runs/*.csv
  fillbend reduce a.txt b.txt --test three_point --span-mm 64 --shape rectangle --width-mm 10 --depth-mm 4
  fillbend reduce a.txt b.txt --test three_point --span-mm 64,128      (one span per file: EI and GA are told apart)
  fillbend reduce a.txt --test tension --gauge-length-mm 50 --shape rectangle --width-mm 10 --depth-mm 4
  fillbend reduce a.txt b.txt --blank rig_on_steel.txt                 (the rig's own travel, as a curve)

Files are only read. A file that is unclear is refused with the candidates shown; a profile settles it:
  [columns]                   names as in the file, or numbers from 1
  force = "Load"
  travel = 3
  [units]
  force = "kN"
  [sign]
  travel = -1
Other keys: encoding, delimiter, decimal, skip, [scale], travel_source = "rig" | "beam", compliance_mm_per_N."""


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """Declare the command's options."""
    parser.add_argument("files", nargs="+", metavar="FILE", help="force-travel records as the rig wrote them")
    parser.add_argument("--profile", metavar="TOML", help="what is known of the rig's files")
    parser.add_argument("--strict", action="store_true", help="refuse a file if anything has to be guessed")
    parser.add_argument("--json", action="store_true", help="one JSON object instead of the table")
    parser.add_argument("--figure", metavar="FILE", help="overlay of all runs, .svg or .png")
    group = parser.add_argument_group(
        "beam and test", "lengths take one value, or one per file, separated by commas"
    )
    group.add_argument("--test", choices=("three_point", "cantilever", "four_point", "tension"))
    group.add_argument("--span-mm", type=_lengths, metavar="MM", help="distance of the supports")
    group.add_argument("--lever-mm", type=_lengths, metavar="MM", help="clamp to load, cantilever")
    group.add_argument(
        "--load-span-mm", type=_lengths, metavar="MM", help="distance of the load noses, four_point"
    )
    group.add_argument(
        "--gauge-length-mm", type=_lengths, metavar="MM", help="length over which travel is measured, tension"
    )
    group.add_argument("--shape", choices=("rectangle", "round"))
    group.add_argument("--width-mm", type=_lengths, metavar="MM")
    group.add_argument("--depth-mm", type=_lengths, metavar="MM", help="along the load; diameter if round")
    group.add_argument(
        "--compliance-mm-per-N", type=float, metavar="MM/N", help="travel of the rig itself per force"
    )
    group.add_argument(
        "--blank",
        metavar="FILE",
        help="record of the rig loaded without a beam: its travel at each force is taken off",
    )
    group.add_argument(
        "--slope",
        choices=("fraction", "strain", "steepest"),
        default="fraction",
        help="window: 10 to 40 %% of the peak (default), 0.05 to 0.25 %% strain, or the steepest straight fifth",
    )


def _lengths(text: str) -> list[float]:
    """Return one length or a list of them."""
    try:
        return [float(part) for part in text.split(",")]
    except ValueError:
        raise argparse.ArgumentTypeError(
            f"'{text}' is no length in mm, nor lengths separated by commas"
        ) from None


def run(args: argparse.Namespace) -> int:
    """Reduce all files; status 3 if one was refused."""
    from patterns.errors import DataError, InputError
    from validation.rig.blank import blank_curve
    from validation.rig.profile import load_profile
    from validation.rig.reduce import reduce_file
    from validation.rig.run_output import print_runs
    from validation.rig.work import Options
    from validation.text.output import print_json, remark, require_place

    geometries = _geometries(args)
    profile = load_profile(args.profile) if args.profile else None
    if args.figure and not args.figure.lower().endswith((".svg", ".png")):
        raise InputError(f"--figure {args.figure}: pictures are written as .svg or .png")
    if args.figure:
        require_place(Path(args.figure))
    C = args.compliance_mm_per_N
    if C is not None and not 0 <= C < 1:
        raise InputError(f"--compliance-mm-per-N {C:g} is not between 0 and 1 mm/N")
    if C is not None and args.blank:
        raise InputError("--compliance-mm-per-N and --blank say the same; keep one")
    options = Options(
        args.slope, compliance=blank_curve(args.blank, profile, args.strict) if args.blank else C
    )
    runs: list[Run] = []
    lengths: list[float | None] = []
    refused: list[dict[str, str]] = []
    for path, geometry in zip(args.files, geometries, strict=True):
        try:
            reduced = reduce_file(path, profile, geometry, options, args.strict)
        except DataError as error:
            refused.append({"file": path, "reason": str(error)})
            remark(f"fillbend: refused: {error}")
            continue
        runs += reduced
        lengths += [geometry.length if geometry else None] * len(reduced)
    split = _split(args, runs, lengths)
    if args.figure and runs:
        _draw(args.figure, runs)
    if args.json:
        split_data = split.to_dict() if split else None
        print_json({"runs": [run.to_dict() for run in runs], "split": split_data, "refused": refused})
    else:
        print_runs(runs, split)
    if not args.quiet:
        for run in runs:
            for doubt in run.warnings:
                remark(f"warning: {run.name}: {doubt.text} [{doubt.flag}]")
    return 3 if refused else 0


def _geometries(args: argparse.Namespace) -> "list[Geometry | None]":
    """Return one geometry per file, None for all if no test is named."""
    from patterns.errors import InputError
    from validation.rig.geometry import Geometry

    sizes = ("span_mm", "lever_mm", "gauge_length_mm", "load_span_mm", "width_mm", "depth_mm")
    given = [name for name in sizes if getattr(args, name) is not None]
    if args.test is None:
        if given or args.shape:
            names = ", ".join("--" + name.replace("_", "-") for name in given) or "--shape"
            raise InputError(f"{names} without --test: say three_point, cantilever, four_point or tension")
        return [None] * len(args.files)
    length = {"cantilever": "lever_mm", "tension": "gauge_length_mm"}.get(args.test, "span_mm")
    others = {"span_mm", "lever_mm", "gauge_length_mm"} - {length}
    wrong = next((name for name in sorted(others) if getattr(args, name) is not None), None)
    if wrong is not None:
        raise InputError(
            f"--{wrong.replace('_', '-')} does not go with {args.test}; give --{length.replace('_', '-')}"
        )
    if getattr(args, length) is None:
        raise InputError(f"--test {args.test} needs --{length.replace('_', '-')}")
    if args.test == "four_point" and args.load_span_mm is None:
        raise InputError("--test four_point needs --load-span-mm")
    _tell_missing_sizes(args)
    values = {name: _one_per_file(name, getattr(args, name), len(args.files)) for name in sizes}
    geometries: list[Geometry | None] = []
    for k in range(len(args.files)):
        L, width, depth = values[length][k], values["width_mm"][k], values["depth_mm"][k]
        assert L is not None
        geometries.append(
            Geometry(args.test, L, values["load_span_mm"][k] or 0.0, _shape(args), width, depth)
        )
    return geometries


def _shape(args: argparse.Namespace) -> "Shape | None":
    """Return the shape stated, a rectangle where width and depth are given without one."""
    both = args.width_mm is not None and args.depth_mm is not None
    shape: Shape | None = args.shape or ("rectangle" if both else None)
    return shape


def _tell_missing_sizes(args: argparse.Namespace) -> None:
    """Remark what is taken for granted of the section, or what it lacks."""
    from validation.text.output import remark

    given = [name for name in ("width_mm", "depth_mm") if getattr(args, name) is not None]
    if args.quiet or not (given or args.shape):
        return
    sizes = () if args.shape == "round" else ("width_mm", "depth_mm")
    missing = ["--" + name.replace("_", "-") for name in sizes if name not in given]
    if args.shape is None and not missing:
        remark("note: --width-mm and --depth-mm without --shape: taken as a rectangle")
    elif missing or not given:
        lacking = " and ".join(missing) if missing else "--depth-mm (its diameter)"
        remark(f"note: no apparent stress or modulus without {lacking}")


def _one_per_file(name: str, given: list[float] | None, n_files: int) -> list[float | None]:
    """Return a value for each file."""
    from patterns.errors import InputError

    if given is None:
        return [None] * n_files
    if len(given) not in (1, n_files):
        option = "--" + name.replace("_", "-")
        raise InputError(
            f"{option} has {len(given)} values for {n_files} file{'s' * (n_files > 1)}: give one, or one per file"
        )
    return [given[k if len(given) > 1 else 0] for k in range(n_files)]


def _split(args: argparse.Namespace, runs: "list[Run]", lengths: list[float | None]) -> "Split | None":
    """Return EI and the second term if there are slopes at two lengths."""
    from patterns.errors import DataError
    from validation.rig.spans import split_cantilever, split_three_point
    from validation.text.output import remark

    kept = [
        (L, run.slope)
        for L, run in zip(lengths, runs, strict=True)
        if L is not None and run.slope is not None
    ]
    if args.test not in ("three_point", "cantilever") or len({L for L, _ in kept}) < 2:
        return None
    fit = split_three_point if args.test == "three_point" else split_cantilever
    slopes = [slope.value for _, slope in kept]
    try:
        # The stated error of a slope is about two standard ones.
        errors = [slope.error / 2 for _, slope in kept if slope.error is not None]
        return fit([L for L, _ in kept], slopes, errors if len(errors) == len(kept) else None)
    except DataError as error:
        remark(f"warning: no split into bending and shear: {error}")
        return None


def _draw(path: str, runs: "list[Run]") -> None:
    """Write the overlay."""
    from validation.report.run_overlay import run_overlay
    from validation.text.output import remark

    picture = run_overlay(runs)
    if picture is None:
        remark("warning: no run has travel, so there is nothing to draw")
        return
    picture.save(Path(path))
