"""What was probably meant by a key that nobody knows: the same thing by another word, or a slip of spelling."""

import difflib
import re
from collections.abc import Iterable

from validation.study.study_keys import all_keys

# other words of the workshop and the laboratory for each key; a word in two tables is taken for the one it stands in
_WORDS = {
    "specimen.shape": "section cross_section form outline_shape",
    "specimen.width_mm": "diameter outer_diameter outside_diameter dia d breadth b w",
    "specimen.depth_mm": "height h thickness thick t high",
    "specimen.length_mm": "l long total_length",
    "specimen.inner_mm": "inner_diameter inside_diameter bore hole d_inner",
    "specimen.points_mm": "corners vertices coordinates",
    "print.bead_width_mm": "line_width extrusion_width track_width road_width nozzle nozzle_diameter bead",
    "print.layer_height_mm": "layer layer_thickness height thickness",
    "print.walls": "perimeters shells contours wall_count wall_lines wall_number loops",
    "print.face_layers": "top_layers bottom_layers skins caps faces roof floor solid_layers",
    "print.face_angles_deg": "face_angle raster_angles",
    "print.orientation": "build_direction direction position",
    "core.pattern": "geometry structure type lattice infill_pattern infill_type",
    "core.set_fill": "infill fill density percent percentage infill_density fill_density fill_percent relative_density",
    "core.angle_deg": "rotation direction raster_angle orientation infill_angle",
    "core.phase": "shift offset",
    "core.wall_overlap_mm": "overlap",
    "core.corner_radius_mm": "radius fillet rounding corner",
    "test.kind": "type method test bending",
    "test.lever_mm": "arm lever_arm reach cantilever_length overhang",
    "test.span_mm": "support_distance supports support_span distance",
    "test.load_span_mm": "inner_span upper_span nose_distance",
    "test.load_angle_deg": "direction load_direction",
    "test.compliance_mm_per_N": "flexibility rig_compliance machine_compliance",
    "test.clamp_length_mm": "clamp jaws grip",
    "material.card": "polymer plastic filament material",
    "material.young_mpa": "e modulus stiffness youngs_modulus elastic_modulus young_modulus tensile_modulus",
    "material.poisson": "nu poissons_ratio poisson_ratio",
    "material.density_g_cm3": "rho density",
    "material.tension_along_mpa": "strength tensile_strength ultimate_strength yield_strength uts",
    "material.fracture_strain": "elongation elongation_at_break break_strain strain_at_break",
    "material.weld_tension_mpa": "layer_adhesion interlayer_strength weld_strength z_strength adhesion",
    "rig.capacity_N": "load_cell max_force force_limit",
    "rig.travel_mm": "stroke max_travel",
    "measured.specimens": "file table data csv beams results",
}
_UNIT = re.compile(r"(_(mm|cm|m|deg|mpa|gpa|n|kn|percent|pct|g_cm3|g|s))+$")


def by_meaning(key: str) -> str | None:
    """Return the dotted key that another word stands for, None if nobody knows.

    Examples
    --------
    >>> by_meaning("specimen.diameter_mm"), by_meaning("print.height"), by_meaning("specimen.infill")
    ('specimen.width_mm', 'print.layer_height_mm', 'core.set_fill')
    """
    table, _, name = key.rpartition(".")
    word = _UNIT.sub("", re.sub(r"[\s-]+", "_", name.lower()))
    meant = [known for known, words in _WORDS.items() if word in words.split()]
    beside = [known for known in meant if known.rpartition(".")[0] == table]
    return next(iter(beside or (meant if len(meant) == 1 else [])), None)


def nearest_key(key: str, more: Iterable[str] = ()) -> tuple[str | None, list[str]]:
    """Return the key probably meant, None if nobody knows, and the names known in its place.

    Parameters
    ----------
    key : str
        Dotted.
    more : iterable of str
        Keys that may stand there too.
    """
    known = [*all_keys(), *more]
    table, _, name = key.rpartition(".")
    beside = {one.rpartition(".")[2]: one for one in known if one.rpartition(".")[0] == table}
    if not table:
        beside = {first: first for one in known if (first := one.partition(".")[0])}
    near = [beside[one] for one in difflib.get_close_matches(name, beside, 1, 0.8)]
    near = near or [found for found in [by_meaning(key)] if found]
    near = near or [beside[one] for one in difflib.get_close_matches(name, beside, 1)]
    near = near or ([] if table and beside else difflib.get_close_matches(key, known, 1))
    return (near[0] if near else None), list(beside or dict.fromkeys(one.partition(".")[0] for one in known))
