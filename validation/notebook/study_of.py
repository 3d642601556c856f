"""A study made of settings, for all that works on studies: the settings' own words for keys, labels and tables."""

from collections.abc import Mapping, Sequence
from dataclasses import asdict, replace
from pathlib import Path
from typing import Any

from fem.setting import Setting
from patterns.errors import InputError
from validation.study.settings_list import flat
from validation.study.study import NamedSetting, Study, build, load

Subject = Study | Setting | Sequence[Setting] | str | Path


def study_of(subject: Subject) -> Study:
    """Return the study of what is given: a study itself, its file's path, one setting, or several.

    Several settings are told apart by the keys in which they differ.

    Raises
    ------
    InputError
        If the file is wrong, or no setting is given.

    Examples
    --------
    >>> from validation import beam
    >>> two = [beam(width_mm=10.0, depth_mm=4.0, set_fill=fill) for fill in (0.2, 0.4)]
    >>> [named.label for named in study_of(two).settings]
    ['set_fill 0.2', 'set_fill 0.4']
    """
    if isinstance(subject, Study):
        return subject
    if isinstance(subject, str | Path):
        return load(subject)
    settings = [subject] if isinstance(subject, Setting) else list(subject)
    if not settings or not all(isinstance(one, Setting) for one in settings):
        raise InputError("a study, its path, a setting (see validation.beam) or several of them are wanted")
    tables = [tables_of(one) for one in settings]
    first = build(tables[0], Path("beam"))
    told = [_told(one) for one in tables]
    names = list(dict.fromkeys(name for one in told for name in one))
    varied = [name for name in names if any(one.get(name) != told[0].get(name) for one in told)]
    named = tuple(
        NamedSetting({name: one.get(name) for name in varied}, setting)
        for one, setting in zip(told, settings, strict=True)
    )
    return replace(first, settings=named)


def tables_of(setting: Setting) -> dict[str, Any]:
    """Return the tables of a study file that gives the setting.

    Examples
    --------
    >>> from validation import beam
    >>> tables_of(beam(width_mm=10.0, depth_mm=4.0, set_fill=0.3))["test"]
    {'kind': 'three_point', 'load_angle_deg': 0.0, 'compliance_mm_per_N': 0.0, 'span_mm': 64.0, 'nose_radius_mm': 5.0}
    """
    specimen, printing, core, test = setting.specimen, setting.printing, setting.core, setting.test
    tables: dict[str, dict[str, Any]] = {
        "specimen": {"made": specimen.made, "shape": specimen.shape, "length_mm": specimen.length},
        "print": {
            "orientation": printing.orientation,
            "bead_width_mm": printing.bead.width,
            "bead_width_scatter": printing.width_scatter,
            "flow_range": list(printing.flow_range),
            "layer_height_mm": printing.bead.height,
            "walls": printing.walls,
            "face_layers": {"bottom": printing.bottom_layers, "top": printing.top_layers},
            "face_angles_deg": list(printing.face_angles_deg),
        },
        "core": {
            "pattern": core.pattern,
            "set_fill": core.set_fill,
            "angle_deg": core.angle_deg,
            "angles_deg": list(core.angles_deg),
            "wall_overlap_mm": core.wall_overlap,
            "options": dict(core.options),
        },
        "test": {
            "kind": test.kind,
            "load_angle_deg": test.load_angle_deg,
            "compliance_mm_per_N": test.compliance,
        },
        "material": {
            "name": setting.card.name,
            **{name: asdict(value) for name, value in setting.card.values().items()},
        },
    }
    if specimen.shape == "polygon":
        tables["specimen"] |= {"points_mm": specimen.points, "holes_mm": specimen.holes}
    else:
        tables["specimen"] |= {"width_mm": specimen.width, "inner_mm": specimen.inner}
        tables["specimen"] |= {"depth_mm": specimen.depth} if specimen.shape == "rectangle" else {}
    if core.phase is not None:
        tables["core"]["phase"] = core.phase
    if core.corner_radius is not None:
        tables["core"]["corner_radius_mm"] = core.corner_radius
    lengths = {
        "lever_mm": test.lever,
        "span_mm": test.span,
        "load_span_mm": test.load_span,
        "gauge_length_mm": test.gauge,
        "clamp_length_mm": test.clamp_length,
        "nose_width_mm": test.nose_width,
    }
    tables["test"] |= {key: length for key, length in lengths.items() if length}
    if test.kind in ("three_point", "four_point"):
        tables["test"]["nose_radius_mm"] = test.nose_radius
    if test.root is not None:
        tables["test"]["root"] = test.root
    return {"title": "Beams", **tables}


def _told(tables: Mapping[str, Any]) -> dict[str, Any]:
    """Return the dotted keys by which settings are told apart; a material by its name alone."""
    told = {**tables, "material": {"name": tables["material"]["name"]}}
    return {key: value for key, value in flat(told).items() if key != "title"}
