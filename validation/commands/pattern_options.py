"""Options that name a pattern, its fill and its bead, shared by the commands that take a pattern."""

import argparse
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from patterns.bead import Bead
    from patterns.kinds.option import Option
    from patterns.kinds.pattern import Pattern
    from patterns.setting import Core

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


def add_pattern_options(parser: argparse.ArgumentParser) -> None:
    """Add fill, bead and angle options, and the patterns' own ones."""
    fill = parser.add_argument_group("fill (one of three)").add_mutually_exclusive_group()
    fill.add_argument("--set-fill", type=float, metavar="F", help="line length x bead width / area, 0 to 1")
    fill.add_argument("--geometric-fill", type=float, metavar="F", help="covered area / area, 0 to 1")
    fill.add_argument(
        "--pitch", type=float, metavar="MM", help="as the pattern defines it, see `fillbend patterns`"
    )
    bead = parser.add_argument_group("bead and pattern")
    bead.add_argument("--bead-width", type=float, metavar="MM", help="flow-equivalent width")
    bead.add_argument("--layer-height", type=float, metavar="MM", default=0.2, help="default 0.2")
    bead.add_argument("--bead-section", choices=["stadium", "square"], default="stadium")
    bead.add_argument("--corner-radius", type=float, metavar="MM", help="default a quarter of the bead width")
    bead.add_argument(
        "--angle", type=float, metavar="DEG", default=0.0, help="turns the pattern about axis 3"
    )
    bead.add_argument(
        "--angles",
        type=float,
        nargs="+",
        metavar="DEG",
        help="line directions, layer by layer: alternating (default 45 -45) and solid (default 0 90)",
    )
    group = parser.add_argument_group("options of single patterns")
    for flag, (unit, text) in OWN_OPTIONS.items():
        group.add_argument(flag, type=float, metavar=unit, help=text)


def flag_of(option: "Option") -> str:
    """Return the spelling of a pattern's own option on the command line, its unit left to the metavar.

    Examples
    --------
    >>> from patterns.catalogue import find
    >>> [flag_of(option) for option in find("reentrant").options]
    ['--cell-angle', '--height-ratio']
    """
    return "--" + option.name.removesuffix(f"_{option.unit}").replace("_", "-")


def own_options(args: argparse.Namespace, pattern: "Pattern") -> dict[str, Any]:
    """Return the pattern's own options that were given, by the catalogue's names.

    Raises
    ------
    InputError
        If an option of another pattern was given.
    """
    from patterns.errors import InputError

    names = {flag_of(option): option.name for option in pattern.options}
    values = {}
    for flag in OWN_OPTIONS:
        value = getattr(args, flag[2:].replace("-", "_"))
        if value is None:
            continue
        if flag not in names:
            has = f"it takes {', '.join(sorted(names))}" if names else "it takes none of its own"
            raise InputError(f"{pattern.slug} has no option {flag}; {has}")
        values[names[flag]] = value
    return values


def core_and_bead(args: argparse.Namespace, slug: str) -> tuple["Core", "Bead"]:
    """Return the pattern asked for, at the set fill that belongs to the given fill or pitch.

    Raises
    ------
    InputError
        If the pattern is unknown, a fill or the bead width is missing, or an option is wrong or another
        pattern's.
    """
    from patterns.bead import Bead
    from patterns.catalogue import find
    from patterns.errors import InputError
    from patterns.fill import default_corner_radius, fill_for
    from patterns.setting import Core

    pattern = find(slug)
    if args.bead_width is None:
        raise InputError(
            "--bead-width is missing: give the bead's flow-equivalent width in mm, as in --bead-width 0.45"
        )
    bead = Bead(args.bead_width, args.layer_height, args.bead_section)
    given = own_options(args, pattern)
    pattern.settle(given)
    if args.angles and not pattern.takes_angles:
        raise InputError(f"--angles belongs to alternating patterns; {slug} takes --angle")
    radius = default_corner_radius(bead.width) if args.corner_radius is None else args.corner_radius
    if args.set_fill is args.geometric_fill is args.pitch is None:
        args.set_fill = pattern.only_fill
    if args.set_fill is args.geometric_fill is args.pitch is None:
        raise InputError("a fill is missing: give one of --set-fill, --geometric-fill and --pitch")
    fill = fill_for(
        pattern,
        bead.width,
        radius,
        set_fill=args.set_fill,
        geometric_fill=args.geometric_fill,
        pitch=args.pitch,
        **given,
    )
    core = Core(
        slug,
        fill.set_fill,
        angle_deg=args.angle,
        angles_deg=tuple(args.angles or pattern.default_angles_deg),
        corner_radius=args.corner_radius,
        options=tuple(sorted(given.items())),
    )
    return core, bead
