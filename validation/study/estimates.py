"""Estimates of all settings of a study, with progress on standard error, and their rows for tables and JSON."""

import sys
from collections.abc import Sequence
from dataclasses import asdict
from typing import Any

from fem.estimate import Estimate, estimate
from fem.printed.cell_store import CellStore, default_folder
from patterns.errors import FillbendError
from patterns.paths.cost import Machine
from validation.study.study import NamedSetting, Study


def machine_of(study: Study) -> Machine:
    """Return the printer's speeds, the study's own where it gives them."""
    table = study.table.machine
    given = {
        "speed_wall": table.speed_wall_mm_s,
        "speed_face": table.speed_face_mm_s,
        "speed_core": table.speed_core_mm_s,
        "acceleration": table.acceleration_mm_s2,
        "layer_overhead": table.layer_overhead_s,
    }
    return Machine(**{name: value for name, value in given.items() if value is not None})


def estimate_all(study: Study, quiet: bool = False, resolve: bool = False) -> list[Estimate]:
    """Estimate every setting in order; an error names its setting."""
    from rich.console import Console
    from rich.progress import track

    machine, store = machine_of(study), CellStore(default_folder())
    console = Console(stderr=True)
    found = []
    silent = quiet or not sys.stderr.isatty()
    for named in track(study.settings, "estimating", console=console, disable=silent, transient=True):
        try:
            found.append(estimate(named.setting, machine, store, resolve))
        except FillbendError as error:
            raise type(error)(f"{study.path}: {error} (at {named.label})") from error
    return found


def setting_dict(named: NamedSetting) -> dict[str, Any]:
    """Return a setting with unit-bearing keys."""
    setting = named.setting
    specimen, printing, core, test = setting.specimen, setting.printing, setting.core, setting.test
    return {
        "label": named.label,
        "varied": named.keys,
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
        "material": setting.card.name,
    }


def estimate_dict(named: NamedSetting, found: Estimate) -> dict[str, Any]:
    """Return an estimate by the contract of the JSON output."""
    return {
        "setting": setting_dict(named),
        "orientation_code": found.layout.code,
        "stiffness_N_per_mm": found.stiffness.as_dict(),
        "EI_N_mm2": found.EI.as_dict(),
        "GA_N": found.GA.as_dict(),
        "GJ_N_mm2": found.GJ.as_dict(),
        "breaking_force_N": found.breaking_force.as_dict() if found.breaking_force else None,
        "mode": found.mode or None,
        "modes_N": {mode: band.as_dict() if band else None for mode, band in found.modes.items()},
        "weld_bracket_N": weld_bracket(found),
        "open_joint": open_joint_dict(found),
        "plastic_N": asdict(found.plastic) if found.plastic else None,
        "mass_g": found.mass.as_dict(),
        "print_time_min": found.print_time.as_dict(),
        "fill": {"set": found.set_fill, "geometric": found.geometric_fill},
        "shares": found.shares,
        "beam_theory": {
            "solid_bar_stiffness_N_per_mm": found.theory_stiffness,
            "solid_bar_force_N": found.theory_force,
            "EI_N_mm2": {name: beam.EI for name, beam in found.theory.items()},
        },
        "core_relative_error": found.core.relative_error if found.core else None,
        "warnings": list(found.warnings),
    }


def weld_bracket(found: Estimate) -> dict[str, float] | None:
    """Return the force at full and at no notch sensitivity of the weld plane, N."""
    brackets = [
        bracket
        for criterion in found.criteria
        if criterion.mode == "weld_tension" and (bracket := criterion.bracket(found.values))
    ]
    if not brackets:
        return None
    return {
        "notch_limited": min(low for low, _ in brackets),
        "notch_insensitive": min(high for _, high in brackets),
    }


def open_joint_dict(found: Estimate) -> dict[str, float | None] | None:
    """Return the end of the bracket where core and walls are not bonded; None where that changes little."""
    if found.joint is None:
        return None
    return {
        "EI_N_mm2": found.joint.EI,
        "stiffness_N_per_mm": found.joint.stiffness,
        "breaking_force_N": found.joint.breaking_force,
    }


def material_rows(study: Study) -> list[list[str]]:
    """Return name, best, range, basis and evidence of every material value of the first setting."""
    from validation.text.output import significant

    card = study.settings[0].setting.card
    return [
        [
            name,
            significant(value.best),
            f"{significant(value.low)} to {significant(value.high)}",
            value.basis,
            value.evidence,
        ]
        for name, value in card.values().items()
    ]


def all_warnings(study: Study, estimates: Sequence[Estimate]) -> list[str]:
    """Return every warning once, with the settings it holds for."""
    where: dict[str, list[str]] = {}
    for named, found in zip(study.settings, estimates, strict=True):
        for warning in found.warnings:
            where.setdefault(warning, []).append(named.label)
    return [
        text if len(labels) == len(estimates) else f"{text} (at {'; '.join(labels)})"
        for text, labels in where.items()
    ]
