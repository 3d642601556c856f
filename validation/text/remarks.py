"""The words of what lower rooms remark: each code with its data becomes one line that names entries and commands."""

from collections.abc import Callable, Iterable, Sequence

from patterns.remark import Remark
from validation.text.errors import with_key
from validation.text.mode_words import mode_words
from validation.text.numbers import significant


def remark_words(remark: Remark) -> str:
    """Return a remark as one line.

    Examples
    --------
    >>> remark_words(Remark.of("part_of_a_layer", height=10.1, layer_height=0.2, layers=50))
    '10.1 mm is not a whole number of 0.2 mm layers: 50 are printed'
    """
    words = WORDS[remark.code]
    return words(remark) if callable(words) else words.format(**dict(remark.values))


def remark_lines(settings: Iterable[tuple[str, Sequence[Remark]]]) -> list[str]:
    """Return every remark once, with the settings it holds for unless it holds for all.

    Parameters
    ----------
    settings : iterable of (str, sequence of Remark)
        Labels of settings with their remarks.
    """
    places: dict[str, list[str]] = {}
    count = 0
    for label, remarks in settings:
        count += 1
        for line in dict.fromkeys(map(remark_words, remarks)):
            places.setdefault(line, []).append(label)
    return [
        line if len(labels) == count else f"{line} (at {'; '.join(labels)})"
        for line, labels in places.items()
    ]


def _short_beam(remark: Remark) -> str:
    name = "lever" if remark["test"] == "cantilever" else "distance from support to load"
    ratio = remark["reach"] / remark["depth"]
    return (
        f"{name} {remark['reach']:g} mm is only {ratio:.2g} times the depth {remark['depth']:g} mm: beam theory misses "
        f"about {100 * remark['missed_share']:.0f} % of the stress near the load, and root and shear take a large part "
        "of the travel"
    )


def _joint_carries_shear(remark: Remark) -> str:
    force = remark["force_ratio"]
    more = "" if force is None else f" and the breaking force {force:.2g} times"
    return (
        "the joint of core and walls carries shear: bonded as estimated; open, the stiffness is "
        f"{remark['stiffness_ratio']:.2g} times that{more}"
    )


def _overfull(remark: Remark) -> str:
    return (
        f"the deposited volume is {100 * remark['excess_share']:.1f} % larger than the outline's: lines that cross or "
        "lap are laid twice, and what finds no room will bulge"
    )


def _unknown_value(remark: Remark) -> str:
    return (
        f"{remark['name']} unknown (give it under [material]): {', '.join(remark['modes']).replace('_', ' ')} not "
        "evaluated in full, the force is an upper bound"
    )


def _large_deflection(remark: Remark) -> str:
    percent = 100 * remark["error_share"]
    return f"large deflection: linear theory overestimates the travel at break by {percent:.0f} %"


def _no_model_error(remark: Remark) -> str:
    return f"the bands hold no model error: {with_key(remark['reason'], remark['key'])}"


_STANDS_IN = {
    "compression_mpa": "beads are taken to yield in compression as in tension",
    "tension_across_mpa": "joints between beads are taken as strong as the beads: an upper bound",
    "shear_mpa": "0.58 of the tensile strength along the bead is taken in shear",
    "fracture_strain": "beads are taken to yield without end: the largest force is an upper bound",
}
WORDS: dict[str, str | Callable[[Remark], str]] = {
    "part_of_a_layer": "{height:g} mm is not a whole number of {layer_height:g} mm layers: {layers} are printed",
    "narrow_gap": "{area:.3g} mm2 between the walls is too narrow for a {bead_width:g} mm bead and stays empty",
    "no_core_left": "walls and faces fill the section: there is no core",
    "faces_throughout": "print.face_layers: bottom {bottom} and top {top} of {layer_height:g} mm make {asked:g} mm, "
    "more than the beam's {height:g} mm: it is faces throughout",
    "loose_freedoms": "{count} freedoms of the section have no stiffness and are left out",
    "loose_pieces": "the section falls into {count} pieces that nothing joins: they bend and twist together but slide "
    "along each other",
    "short_beam": _short_beam,
    "large_deflection": _large_deflection,
    "joint_carries_shear": _joint_carries_shear,
    "overfull": _overfull,
    "unknown_value": _unknown_value,
    "stood_in": lambda remark: f"{remark['name']} unknown: {_STANDS_IN[remark['name']]}",
    "unknown_jaws": "test.clamp_length_mm unknown: crush of the core in the jaws not evaluated",
    "local_event": lambda remark: (
        f"{mode_words(remark['mode'])} begins at {significant(remark['force'])} N ({remark['what']}): "
        "the load shifts and the beam carries on"
    ),
    "few_cells": "only {cells:.1f} line distances span the core: where lines fall matters, and the band does not hold "
    "it (`fillbend estimate --resolved` does, save for upright beams whose layers differ)",
    "no_model_error": _no_model_error,
}
