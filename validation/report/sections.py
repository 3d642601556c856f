"""The sections of the page, in the order of a reader's questions."""

from collections.abc import Mapping
from typing import Any

from pydantic import BaseModel

from fem.estimate import Estimate
from validation.measured.reconcile import Row, mean_error
from validation.report.content import (
    Block,
    Bullets,
    PageSection,
    Table,
    Text,
    fraction,
    number,
    word,
)
from validation.results.beside import Results
from validation.results.estimates import material_dicts
from validation.study.study import Study
from validation.text.estimates import MATERIAL_COLUMNS, material_cells
from validation.text.mode_words import mode_words
from validation.text.numbers import significant
from validation.text.output import CAUTIONS


def summary(study: Study, results: Results) -> PageSection:
    """Return the findings, one line each."""
    rows = results.rows
    stiffest = max(rows, key=lambda row: row.estimate.stiffness.best)
    beams = sum(len(row.beams) for row in rows)
    lines = [
        f"{len(rows)} {_plural(len(rows), 'setting')} estimated, {beams} {_plural(beams, 'beam')} measured."
    ]
    value = significant(stiffest.estimate.stiffness.best)
    lines.append(f"Stiffest by the estimate: {stiffest.named.label}, {value} N/mm.")
    strong = [row for row in rows if row.estimate.breaking_force]
    if strong:
        best = max(strong, key=_force)
        lines.append(f"Strongest by the estimate: {best.named.label}, {significant(_force(best))} N.")
        light = max(strong, key=lambda row: _force(row) / row.estimate.mass.best)
        ratio = significant(_force(light) / light.estimate.mass.best)
        lines.append(f"Most breaking force per gram by the estimate: {light.named.label}, {ratio} N/g.")
        modes = {mode_words(row.estimate.mode) for row in strong}
        lines.append(f"Governing {_plural(len(modes), 'mode')}: {', '.join(sorted(modes))}.")
    for noun, error in (
        ("breaking force", mean_error(rows, lambda row: row.force_ratio)),
        ("stiffness", mean_error(rows, lambda row: row.stiffness_ratio)),
    ):
        if error is not None:
            lines.append(f"Measured mean {noun} is off the estimate by {100 * error:.0f} % on average.")
    judged = [row.in_band for row in rows if row.in_band is not None]
    if judged:
        lines.append(f"{sum(judged)} of {len(judged)} measured mean forces lie within the estimate's band.")
    return PageSection("summary", "Summary", (Bullets(lines), Text(" ".join(CAUTIONS))))


def settings(study: Study) -> PageSection:
    """Return every entry of the study, defaults too, and what is varied."""
    varied = study.table.vary
    rows = [(word(key), word(value)) for key, value in _entries(study.table) if key not in varied]
    blocks: list[Block] = []
    if varied:
        varied_rows = [
            (word(key), word(_shown(values)), number(len(values))) for key, values in varied.items()
        ]
        blocks.append(Table("Varied", ("entry", "values", "count"), varied_rows, words=(1,)))
    blocks.append(Table("The same in all settings", ("entry", "value"), rows, words=(1,)))
    return PageSection("settings", "Settings", blocks)


def method(study: Study, results: Results) -> PageSection:
    """Return how the numbers come about, and the material they rest on."""
    name = study.settings[0].setting.card.name
    rows = [[word(cell) for cell in material_cells(value)] for value in material_dicts(study)]
    material = Table(f"Material: {name}", MATERIAL_COLUMNS, rows, words=(3, 4))
    return PageSection("method", "Method", (*(Text(text) for text in METHOD), material))


METHOD = (
    "The core's pattern is homogenised on one periodic cell by finite elements; walls, faces and core then form "
    "the section of a beam, whose bending and shear stiffness and stresses come from the Saint-Venant problem "
    "with three-component warping.",
    "Deflection adds bending, shear, the root of a clamp (between rigid and an elastic half-plane) and the rig. "
    "Each failure mode compares a stress with its strength; the smallest force governs.",
    "Set fill is deposited line length x bead width per plan area, as a person types it; geometric fill is the "
    "area really covered in the model; gravimetric fill is what the weighed beams hold. Solid-bar theory is the "
    "handbook's beam of the same outline, without voids.",
)


def cautions() -> PageSection:
    """Return what the results are not for."""
    return PageSection("cautions", "Cautions", (Bullets(CAUTIONS),))


def provenance_section(facts: Mapping[str, str], results: Results) -> PageSection:
    """Return where the numbers come from, with the discretisation error of every core."""
    rows = [(word(name), word(value)) for name, value in facts.items()]
    cores = {_core_key(estimate): estimate for estimate in results.estimates if estimate.core is not None}
    cells = [
        [
            word(pattern),
            fraction(fill),
            number(estimate.core.pitch),
            number(100 * estimate.core.relative_error, 2),
        ]
        for (pattern, fill, _, _), estimate in cores.items()
        if estimate.core is not None
    ]
    blocks: list[Block] = [Table("Versions, inputs and times", ("fact", "value"), rows, words=(1,))]
    if cells:
        columns = ("core", "set fill", "pitch mm", "discretisation error of the worst constant %")
        blocks.append(Table("Solved cores", columns, cells))
    elements = [estimate.section_elements for estimate in results.estimates]
    blocks.append(
        Text(
            f"Sections: {min(elements)} to {max(elements)} second-order triangles with three-component warping; on "
            "closed forms such meshes are within 0.01 % on smooth outlines and 0.1 % at re-entrant corners (tests)."
        )
    )
    return PageSection("provenance", "Provenance", blocks)


def _core_key(estimate: Estimate) -> tuple[str, float, float, float]:
    core, bead = estimate.setting.core, estimate.setting.printing.bead
    return core.pattern, estimate.set_fill, bead.width, core.angle_deg


def _force(row: Row) -> float:
    return row.estimate.breaking_force.best if row.estimate.breaking_force else 0.0


def _entries(table: BaseModel, prefix: str = "") -> list[tuple[str, str]]:
    """Return dotted key and value of everything in a table that says something."""
    entries: list[tuple[str, str]] = []
    for name, value in table:
        key = prefix + name
        if isinstance(value, BaseModel):
            entries += _entries(value, f"{key}.")
        elif isinstance(value, dict) and key != "vary":
            entries += [(f"{key}.{inner}", _shown(item)) for inner, item in value.items()]
        elif key not in ("title", "note", "vary") and value not in (None, "", (), {}):
            entries.append((key, _shown(value)))
    return entries


def _shown(value: Any) -> str:
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, float):
        return f"{value:.7g}"
    if isinstance(value, dict):
        return ", ".join(f"{key} {_shown(item)}" for key, item in value.items())
    if isinstance(value, (list, tuple)):
        inner = [_shown(item) for item in value]
        return ", ".join(
            f"({text})" if isinstance(item, (list, tuple)) else text
            for item, text in zip(value, inner, strict=True)
        )
    return str(value)


def _plural(count: int, noun: str) -> str:
    return noun if count == 1 else f"{noun}s"
