"""Write a commented study file to start from."""

import argparse
from pathlib import Path

EPILOG = """example:
  fillbend init my_study.toml"""

TEMPLATE = """# A fillbend study: lengths in mm, forces in N, angles in degrees; every unit is in the name of its key.
title = "My beams"

[specimen]
shape = "rectangle"        # rectangle | round | tube | polygon
width_mm = 16.0            # y, across the load
depth_mm = 10.0            # z, along the load
length_mm = 180.0

[print]
orientation = "flat"       # flat | on_edge | upright, or a code such as XYZ, XZY, ZXY
bead_width_mm = 0.45       # bead area / layer height; bead_width_means = "full" for the extreme width
layer_height_mm = 0.2
walls = 2
face_layers = { bottom = 4, top = 4 }

[core]
pattern = "alternating"    # see `fillbend patterns`
set_fill = 0.30            # line length x bead width / area, a fraction: 30 % is 0.30
angles_deg = [45.0, -45.0]

[test]
kind = "three_point"       # cantilever (lever_mm) | three_point (span_mm) | four_point (span_mm, load_span_mm)
                           # | tension (gauge_length_mm: a coupon pulled along its axis); of a cantilever's clamp
                           # root = "rigid" | "elastic" | C is stated, a band from rigid to elastic if left out
span_mm = 160.0

[material]
card = "PLA"               # PLA | PETG | ABS; own values on top, as in young_mpa = 3300.0; name = "my spool"

[vary]                     # every combination of these lists is a setting
"core.set_fill" = [0.15, 0.30, 0.50, 0.70]

# [measured]
# specimens = "specimens.csv"   # columns: set_fill, specimen, breaking_force_N, stiffness_N_per_mm, mass_g, ...
"""


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """Add the options of the command."""
    parser.add_argument("output", type=Path, metavar="FILE.toml")


def run(args: argparse.Namespace) -> int:
    """Run the command."""
    from patterns.errors import InputError
    from validation.text.output import remark, write_atomically

    if args.output.exists():
        raise InputError(f"{args.output} is there already; choose another name, nothing was written")
    write_atomically(args.output, TEMPLATE)
    remark(f"wrote {args.output}; next: fillbend estimate {args.output}", args.quiet)
    return 0
