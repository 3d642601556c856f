"""How the beam lies on the plate: the map between print and beam axes, and the standard's orientation code.

Beam axes: x along, y across, z along the load. Print axes: 1 and 2 in the layer, 3 up; in the code they are
the machine's X, Y and Z.
"""

import numpy as np

from patterns.errors import InputError
from patterns.setting import Orientation, Specimen

ORIENTATIONS: tuple[Orientation, ...] = ("flat", "on_edge", "upright")

# Rows are the beam axes x, y, z written in print axes 1, 2, 3.
_BEAM_FROM_PRINT: dict[Orientation, list[list[int]]] = {
    "flat": [[1, 0, 0], [0, 1, 0], [0, 0, 1]],
    "on_edge": [[1, 0, 0], [0, 0, -1], [0, 1, 0]],
    "upright": [[0, 0, 1], [1, 0, 0], [0, 1, 0]],
}
# The codes of a specimen wider than deep, for where its sizes are not known yet.
_USUAL_CODES: dict[str, Orientation] = {"XYZ": "flat", "XZY": "on_edge", "ZXY": "upright"}
# Two lengths closer than this count as equal: nobody sees a hundredth of a millimetre on a print.
_EQUAL_MM = 0.01


def beam_from_print(orientation: Orientation) -> np.ndarray:
    """Return the rotation R, shape (3, 3), with ``v_beam = R @ v_print``; its transpose turns back.

    Examples
    --------
    >>> beam_from_print("upright") @ [0, 0, 1]    # the build direction runs along the beam
    array([1., 0., 0.])
    """
    return np.array(_BEAM_FROM_PRINT[orientation], dtype=float)


def orientation_code(orientation: Orientation, specimen: Specimen) -> str:
    """Return the three-letter code: the machine axes parallel to the longest, second and third length.

    Equal lengths are taken in the order length, width, depth.

    References
    ----------
    .. [1] ISO 17295:2023 (it replaced ISO/ASTM 52921:2013), orthogonal orientation notation.

    Examples
    --------
    >>> orientation_code("flat", Specimen("rectangle", width=10, depth=4, length=80))
    'XYZ'
    >>> orientation_code("flat", Specimen("rectangle", width=4, depth=10, length=80))
    'XZY'
    """
    lengths = (specimen.length, specimen.width, specimen.depth)
    letters = ["XYZ"[int(np.argmax(np.abs(row)))] for row in _BEAM_FROM_PRINT[orientation]]
    order = sorted(range(3), key=lambda axis: -round(lengths[axis] / _EQUAL_MM))
    return "".join(letters[axis] for axis in order)


def short_code(orientation: Orientation, specimen: Specimen) -> str:
    """Return the code with the letters dropped that symmetry makes idle.

    The standard allows fewer letters where they still say everything. That is so when the second and third
    length are equal and the section looks the same along both, as in a square or a circle: one is left.
    """
    code = orientation_code(orientation, specimen)
    alike = abs(specimen.width - specimen.depth) < _EQUAL_MM and specimen.length > specimen.width
    return code[0] if alike and specimen.shape != "polygon" else code


def parse_orientation(text: str, specimen: Specimen | None = None) -> Orientation:
    """Return the orientation named by a word or by an orientation code.

    Parameters
    ----------
    text : str
        ``flat``, ``on_edge``, ``upright`` or a code such as ``XYZ``, in either case.
    specimen : Specimen, optional
        Needed to read a code of a beam deeper than wide; without it the beam counts as wider than deep.

    Raises
    ------
    InputError
        If the name is unknown, or the code is one this specimen cannot have; the known ones are named.
    """
    word = text.strip().lower().replace("-", "_").replace(" ", "_")
    for orientation in ORIENTATIONS:
        if word == orientation:
            return orientation
    codes = _USUAL_CODES if specimen is None else {orientation_code(o, specimen): o for o in ORIENTATIONS}
    found = codes.get(word.upper())
    if found:
        return found
    known = ", ".join(f"{orientation} ({code})" for code, orientation in codes.items())
    turned = ""
    if sorted(word) == ["x", "y", "z"]:
        turned = "; lay the beam's axis 1 along X: turning it on the plate changes nothing here"
    raise InputError(f"unknown orientation {text!r}: known for this specimen are {known}{turned}")
