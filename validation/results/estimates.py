"""An estimate as the dictionary of the JSON output, and the plain row that is read off it."""

from collections.abc import Mapping, Sequence
from dataclasses import asdict
from typing import Any

import numpy as np

from fem.estimation import Estimate
from fem.strength.failure import MODES
from validation.results.columns import ROLES, SHARES, UNITS, PlainRow, column, one_word
from validation.results.criteria import criteria_dicts, governing_dict
from validation.study.study import NamedSetting, Study
from validation.text.remarks import remark_lines, remark_words

_ENDS = {"": "best", "low": "low", "high": "high"}


def setting_dict(named: NamedSetting) -> dict[str, Any]:
    """Return a setting with unit-bearing keys."""
    setting = named.setting
    specimen, printing, core, test = setting.specimen, setting.printing, setting.core, setting.test
    return {
        "label": named.label,
        "varied": named.keys,
        "made": specimen.made,
        "shape": specimen.shape,
        "width_mm": specimen.width,
        "depth_mm": specimen.depth,
        "length_mm": specimen.length,
        "orientation": printing.orientation,
        "bead_width_mm": printing.bead.width,
        "layer_height_mm": printing.bead.height,
        "walls": printing.walls,
        "face_layers": {"bottom": printing.bottom_layers, "top": printing.top_layers},
        "pattern": core.pattern,
        "set_fill": core.set_fill,
        "test": test.kind,
        "lever_mm": test.lever or None,
        "span_mm": test.span or None,
        "gauge_length_mm": test.gauge or None,
        "root": test.root,
        "material": setting.card.name,
    }


def estimate_dict(named: NamedSetting, estimate: Estimate) -> dict[str, Any]:
    """Return an estimate by the contract of the JSON output."""
    bands = {column(name): _ends(getattr(estimate, name)) for name in UNITS}
    criteria = criteria_dicts(estimate)
    return {
        "setting": setting_dict(named),
        "orientation_code": estimate.layout.code,
        **bands,
        "mode": estimate.mode or None,
        "modes_N": {mode: _ends(band) for mode, band in estimate.modes.items()},
        "broken_by": governing_dict(estimate.mode, criteria),
        "criteria": criteria,
        "weld_bracket_N": weld_bracket(estimate),
        "open_joint": open_joint_dict(estimate),
        "first_damage_N": _ends(estimate.first_damage),
        "first_damage": estimate.damaged or None,
        "rest_N": rest_force(estimate),
        "curve": curve_dict(estimate),
        "fill": {"set": estimate.set_fill, "geometric": estimate.geometric_fill},
        "shares": estimate.shares,
        "beam_theory": {
            "solid_bar_stiffness_N_per_mm": estimate.theory_stiffness,
            "solid_bar_force_N": estimate.theory_force,
            "EI_N_mm2": {name: beam.EI for name, beam in estimate.theory.items()},
        },
        "core_relative_error": estimate.core.relative_error if estimate.core else None,
        "warnings": list(dict.fromkeys(map(remark_words, estimate.warnings))),
    }


def estimate_row(label: str, varied: Mapping[str, Any], result: Mapping[str, Any]) -> PlainRow:
    """Return an estimate with one number or word per column.

    Parameters
    ----------
    label : str
        Of the setting.
    varied : mapping of str to Any
        Dotted keys that the study varies, with their values.
    result : mapping
        What `estimate_dict` gives, or an empty one of a setting that could not be estimated: all columns None.
    """
    setting, fill, shares = (result.get(name) or {} for name in ("setting", "fill", "shares"))
    faces, modes = setting.get("face_layers") or {}, result.get("modes_N") or {}
    row: PlainRow = {"setting": label, **{key: one_word(value) for key, value in varied.items()}}
    row |= {name: setting.get(name) for name in ("pattern", "orientation", "walls")}
    row |= {f"{side}_layers": faces.get(side) for side in ("bottom", "top")}
    row |= {f"{kind}_fill": fill.get(kind) for kind in ("set", "geometric")}
    for name in UNITS:
        band = result.get(column(name)) or {}
        row |= {column(name, end): band.get(key) for end, key in _ENDS.items()}
    row["mode"] = result.get("mode") or ""
    row |= {f"{mode}_N": (modes.get(mode) or {}).get("best") for mode in MODES}
    row |= {
        f"{share}_share_{role}": shares[share].get(role, 0.0) if shares else None
        for share in SHARES
        for role in ROLES
    }
    return row


def all_warnings(study: Study, estimates: Sequence[Estimate]) -> list[str]:
    """Return every warning of a study's estimates once, with the settings it holds for."""
    pairs = zip(study.settings, estimates, strict=True)
    return remark_lines((named.label, estimate.warnings) for named, estimate in pairs)


def material_dicts(study: Study) -> list[dict[str, Any]]:
    """Return name, best, range, basis and evidence of every material value of the first setting."""
    values = study.settings[0].setting.card.values()
    return [{"name": name, **asdict(value)} for name, value in values.items()]


def weld_bracket(estimate: Estimate) -> dict[str, float] | None:
    """Return the force of weld tension with free and with closed grooves between touching lines, N.

    None where no weld is pulled, or no grooves close.
    """
    response = estimate.response
    if "groove_closing" not in response.values:
        return None
    free, closed = (
        response.by_mode(response.at({"groove_closing": end}))["weld_tension"] for end in (0.0, 1.0)
    )
    if free is None or closed is None or np.allclose(free, closed):
        return None
    return {"free_grooves": float(free[0]), "closed_grooves": float(closed[0])}


def rest_force(estimate: Estimate) -> float | None:
    """Return the largest force in N that is left after the largest one; None without a curve."""
    return None if estimate.curve is None else estimate.curve.rest / estimate.setting.test.moment_per_force


def curve_dict(estimate: Estimate) -> dict[str, Any] | None:
    """Return moment over curvature with the kinds of fibre that break; None without a curve."""
    curve, bent = estimate.curve, estimate.response.bent
    if curve is None or bent is None:
        return None
    return {
        "curvature_1_per_mm": curve.curvature.tolist(),
        "moment_N_mm": curve.moment.tolist(),
        "breaks": [
            {"what": bent.kinds[kind].what, "curvature_1_per_mm": float(curve.curvature[place])}
            for kind, place in curve.breaks
        ],
    }


def open_joint_dict(estimate: Estimate) -> dict[str, float | None] | None:
    """Return the end of the bracket where core and walls are not bonded; None where that changes little."""
    if estimate.joint is None:
        return None
    return {
        "EI_N_mm2": estimate.joint.EI,
        "stiffness_N_per_mm": estimate.joint.stiffness,
        "breaking_force_N": estimate.joint.breaking_force,
    }


def _ends(band: Any) -> dict[str, float] | None:
    return band.as_dict() if band else None
