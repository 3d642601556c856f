"""One beam described in Python by the words of a study, with the study's checks and its one-line errors."""

import difflib
import inspect
from collections.abc import Mapping, Sequence
from functools import cache
from pathlib import Path
from typing import Any, Literal, Never

from pydantic import BaseModel

from fem.setting import Setting
from patterns.errors import InputError
from patterns.setting import Shape
from validation.study.near_keys import by_meaning
from validation.study.study import build
from validation.study.study_tables import (
    LARGEST_LENGTH_MM,
    CoreTable,
    PrintTable,
    SpecimenTable,
    TestTable,
)

TestKind = Literal["cantilever", "three_point", "four_point", "tension"]
_TABLES: dict[str, type[BaseModel]] = {
    "specimen": SpecimenTable,
    "print": PrintTable,
    "core": CoreTable,
    "test": TestTable,
}
# ISO 178:2019, 6.1 and 8.1: bars of 80 mm on supports 64 mm apart, sixteen times the depth
_SPAN_PER_DEPTH, _LENGTH_PER_SPAN = 16.0, 1.25


def beam(
    *,
    made: Literal["printed", "bulk"] | None = None,
    shape: Shape = "rectangle",
    width_mm: float | None = None,
    depth_mm: float | None = None,
    length_mm: float | None = None,
    inner_mm: float | None = None,
    points_mm: Sequence[tuple[float, float]] | None = None,
    holes_mm: Sequence[Sequence[tuple[float, float]]] | None = None,
    outline: str | None = None,
    orientation: str = "flat",
    bead_width_mm: float | None = None,
    bead_width_means: Literal["equivalent", "full"] | None = None,
    bead_width_scatter: float | None = None,
    flow_range: Sequence[float] | None = None,
    layer_height_mm: float | None = None,
    walls: int | None = None,
    face_layers: Mapping[Literal["bottom", "top"], int] | None = None,
    face_angles_deg: Sequence[float] | None = None,
    pattern: str | None = None,
    set_fill: float | None = None,
    geometric_fill: float | None = None,
    angle_deg: float | None = None,
    angles_deg: Sequence[float] | None = None,
    phase: float | None = None,
    wall_overlap_mm: float | None = None,
    corner_radius_mm: float | None = None,
    options: Mapping[str, float] | None = None,
    test: TestKind = "three_point",
    lever_mm: float | None = None,
    span_mm: float | None = None,
    load_span_mm: float | None = None,
    gauge_length_mm: float | None = None,
    load_angle_deg: float | None = None,
    compliance_mm_per_N: float | None = None,
    clamp_length_mm: float | None = None,
    nose_radius_mm: float | None = None,
    nose_width_mm: float | None = None,
    root: Literal["rigid", "elastic"] | float | None = None,
    material: str | Mapping[str, Any] = "PLA",
    **unknown: Never,
) -> Setting:
    """Return one beam as a setting, from the keys of a study; what is left out has the study's default.

    Every key, its unit, default and meaning: ``fillbend keys``, or the README.

    Parameters
    ----------
    made, shape, width_mm, depth_mm, length_mm, inner_mm, points_mm, holes_mm, outline
        As under [specimen], mm. The length is a quarter more than the lever, span or gauge length (and what the jaws
        hold), if left out.
    orientation, bead_width_mm, bead_width_means, bead_width_scatter, layer_height_mm, walls, face_layers
        As under [print]; mm.
    face_angles_deg, flow_range
        As under [print]; degrees, and shares of the set volume.
    pattern, set_fill, geometric_fill, angle_deg, angles_deg, phase, wall_overlap_mm, corner_radius_mm, options
        As under [core]; fills from 0 to 1.
    test, lever_mm, span_mm, load_span_mm, gauge_length_mm, load_angle_deg, compliance_mm_per_N, clamp_length_mm
        As under [test], ``test`` being its kind; mm, mm/N.
    nose_radius_mm, nose_width_mm, root
        As under [test] too. The span of a three-point test is 16 depths, if left out.
    material : str or mapping
        A shipped card, or the entries of [material].
    **unknown
        Nothing: other keys are refused with the one that was probably meant.

    Returns
    -------
    Setting
        For `fem.estimate` and for every name of `validation`.

    Raises
    ------
    InputError
        With one line for each problem: the key, what is wrong and how to mend it.

    Notes
    -----
    Span and length left out are those of ISO 178:2019 (bars of 80 x 10 x 4 mm on supports 64 mm apart).

    Examples
    --------
    >>> arm = beam(width_mm=14.0, depth_mm=10.0, pattern="square", set_fill=0.3, test="cantilever", lever_mm=90.0)
    >>> arm.test.lever, arm.specimen.length, arm.printing.walls, arm.card.name
    (90.0, 112.5, 2, 'PLA')
    >>> beam(width_mm=10.0, depth_mm=4.0, set_fill=0.3).test.span
    64.0
    >>> beam(width_mm=10.0, depth_mm=4.0, set_fill=30)
    Traceback (most recent call last):
    ...
    patterns.errors.InputError: beam: core.set_fill: a fill is a fraction from 0 to 1; for 30 percent write 0.3
    """
    given = {name: value for name, value in locals().items() if name != "unknown" and value is not None}
    if unknown:
        raise InputError("\n".join(map(_unknown, unknown)))
    raw: dict[str, Any] = {"title": "A beam", "material": _material(given.pop("material"))}
    given["kind"] = given.pop("test")
    for table, model in _TABLES.items():
        raw[table] = {key: _plain(given[key]) for key in model.model_fields if key in given}
    _complete(raw["specimen"], raw["test"])
    (named,) = build(raw, Path("beam")).settings
    return named.setting


def _material(given: str | Mapping[str, Any]) -> dict[str, Any]:
    return {"card": given} if isinstance(given, str) else dict(given)


def _plain(value: Any) -> Any:
    """Return a value as a TOML file would give it: lists and dictionaries."""
    if isinstance(value, Mapping):
        return dict(value)
    return (
        value
        if isinstance(value, str) or not isinstance(value, Sequence)
        else [_plain(item) for item in value]
    )


def _complete(specimen: dict[str, Any], test: dict[str, Any]) -> None:
    """Give span and length where they are left out and can be told; else the study's check says what is missing."""
    depth = specimen.get("depth_mm", specimen.get("width_mm"))
    if test["kind"] == "three_point" and isinstance(depth, int | float):
        test.setdefault("span_mm", _SPAN_PER_DEPTH * depth)
    key = {"cantilever": "lever_mm", "tension": "gauge_length_mm"}.get(test["kind"], "span_mm")
    free, held = test.get(key), test.get("clamp_length_mm", 0.0)
    if isinstance(free, int | float) and isinstance(held, int | float):
        specimen.setdefault("length_mm", _LENGTH_PER_SPAN * free + held)
    elif free is None:  # the test is refused for it; a length missing too would be the same slip told twice
        specimen.setdefault("length_mm", LARGEST_LENGTH_MM)


@cache
def _names() -> tuple[str, ...]:
    return tuple(name for name in inspect.signature(beam).parameters if name != "unknown")


def _unknown(name: str) -> str:
    """Return the line that says which key was probably meant."""
    near = difflib.get_close_matches(name, _names(), 1, 0.8)
    meant = near[0] if near else (by_meaning(name) or "").rpartition(".")[2]
    hint = f"did you mean {meant}?" if meant in _names() else "help(validation.beam) lists the known ones"
    return f"beam: {name}: unknown key; {hint}"
