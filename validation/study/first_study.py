"""A commented study to start from, for a shape, a test and a pattern, and the columns of its table of beams."""

from patterns.kinds.pattern import Pattern

_SHAPES = {
    "rectangle": """width_mm = 16.0            # y, across the load
depth_mm = 10.0            # z, along the load""",
    "round": "width_mm = 16.0            # diameter",
    "tube": """width_mm = 20.0            # outer diameter
inner_mm = 8.0             # inner diameter""",
    "polygon": "points_mm = [[0.0, 0.0], [16.0, 0.0], [16.0, 10.0], [4.0, 12.0]]   # y, z; or outline = FILE",
}
_TESTS = {
    "three_point": "span_mm = 160.0            # distance of the supports",
    "four_point": """span_mm = 160.0            # distance of the supports
load_span_mm = 60.0        # distance of the two noses""",
    "cantilever": """lever_mm = 120.0           # from the clamp to the load
# clamp_length_mm = 30.0   # length in the jaws: with it crush of the core is judged too
# root = "rigid"           # or "elastic" or a coefficient; a band from rigid to elastic if left out""",
    "tension": "gauge_length_mm = 100.0    # length over which the travel is measured",
}
_HEAD = """# A fillbend study: lengths in mm, forces in N, angles in degrees; every unit is in the name of its key.
# `fillbend keys` lists all keys with their defaults.
title = "My beams"

[specimen]
shape = "{shape}"
{sizes}
length_mm = 180.0

[print]
orientation = "flat"       # flat | on_edge | upright, or a code such as XYZ, XZY, ZXY
bead_width_mm = 0.45       # bead area / layer height; bead_width_means = "full" for the extreme width
layer_height_mm = 0.2
walls = 2
face_layers = {{ bottom = 4, top = 4 }}

[core]
pattern = "{pattern}"
{fill}{angles}
[test]
kind = "{test}"
{lengths}

[material]
card = "PLA"               # PLA | PETG | ABS; own values on top, as in young_mpa = 3300.0; name = "my spool"

[vary]                     # every combination of these lists is a setting
{varied}

# [[setting]]              # one more setting beside them; as many as wanted
# core.set_fill = 0.60
# print.walls = 4

[measured]                 # one row per broken beam; nothing is compared while it has none
specimens = "specimens.csv"
"""


def study_text(shape: str, test: str, pattern: Pattern) -> str:
    """Return the text of a study that loads as it stands.

    Parameters
    ----------
    shape : {"rectangle", "round", "tube", "polygon"}
        Outline of the section.
    test : {"three_point", "four_point", "cantilever", "tension"}
        How the beams are bent.
    pattern : Pattern
        Of the core; a few fills within its reach are varied.
    """
    fills = _fills(pattern)
    varied = ", ".join(f"{fill:.2f}" for fill in fills)
    middle = (
        ""
        if not fills
        else f"set_fill = {fills[1]:.2f}            # line length x bead width / area: 30 % is 0.30\n"
    )
    directions = list(map(float, pattern.default_angles_deg))
    return _HEAD.format(
        shape=shape,
        sizes=_SHAPES[shape],
        pattern=pattern.slug,
        fill=middle,
        angles=f"angles_deg = {directions}\n" if pattern.takes_angles else "",
        test=test,
        lengths=_TESTS[test],
        varied=f'"core.set_fill" = [{varied}]' if fills else '"print.walls" = [1, 2, 3]',
    )


def columns(test: str, pattern: Pattern) -> list[str]:
    """Return the columns of the table of beams: what the study varies, then what is measured."""
    levers: dict[str, list[str]] = {
        "cantilever": ["lever_mm"],
        "three_point": ["span_mm"],
        "four_point": ["span_mm", "load_span_mm"],
        "tension": [],
    }
    measured = ["breaking_force_N", "stiffness_N_per_mm", "mass_g", "width_mm", "depth_mm", *levers[test]]
    return [
        "set_fill" if _fills(pattern) else "walls",
        "specimen",
        "build",
        "test_order",
        *measured,
        "mode",
        "valid",
        "exclude_reason",
        "note",
    ]


def _fills(pattern: Pattern) -> list[float]:
    """Return four fills within the reach of a pattern, none where it has but one."""
    if pattern.only_fill is not None:
        return []
    low, high = pattern.fill_range(0.45, 0.1125, **pattern.settle({}))
    return [fill for fill in (0.15, 0.30, 0.50, 0.70) if low <= fill <= high]
