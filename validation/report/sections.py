"""The page's last, folded sections: settings, method and material, provenance."""

from collections.abc import Mapping
from typing import Any

from pydantic import BaseModel

from fem.estimation import Estimate
from validation.report.content import (
    Block,
    PageSection,
    Table,
    TableCell,
    Text,
    fraction,
    number,
    word,
)
from validation.results.beside import Results
from validation.results.estimates import material_dicts
from validation.study.study import Study
from validation.text.estimates import MATERIAL_COLUMNS, material_cells
from validation.text.glossary import glossary
from validation.text.numbers import error_percent


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
    return PageSection("settings", "Settings of the study", blocks, folded=True)


def method(study: Study, results: Results) -> PageSection:
    """Return how the numbers come about, and the material they rest on."""
    name = study.settings[0].setting.card.name
    rows = [[word(cell) for cell in material_cells(value)] for value in material_dicts(study)]
    material = Table(f"Material: {name}", MATERIAL_COLUMNS, rows, words=(3, 4))
    return PageSection(
        "method", "Method and material", (*(Text(text) for text in METHOD), material), folded=True
    )


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


def provenance_section(facts: Mapping[str, str], results: Results) -> PageSection:
    """Return where the numbers come from, with the discretisation error of every core."""
    rows = [(word(name), word(value)) for name, value in facts.items()]
    cores = {_core_key(estimate): estimate for estimate in results.estimates if estimate.core is not None}
    cells = [
        [
            word(pattern),
            fraction(fill),
            number(estimate.core.pitch),
            error_cell(estimate.core.relative_error),
        ]
        for (pattern, fill, _, _), estimate in cores.items()
        if estimate.core is not None
    ]
    blocks: list[Block] = [Table("Versions, inputs and times", ("fact", "value"), rows, words=(1,))]
    if cells:
        columns = ("core", "set fill", "pitch mm", "discretisation error of the worst constant")
        blocks.append(Table("Solved cores", columns, cells))
    elements = [estimate.section_elements for estimate in results.estimates]
    blocks.append(
        Text(
            f"Sections: {min(elements)} to {max(elements)} second-order triangles with three-component warping; on "
            "closed forms such meshes are within 0.01 % on smooth outlines and 0.1 % at re-entrant corners (tests)."
        )
    )
    return PageSection("provenance", "Provenance", blocks, folded=True)


def words() -> PageSection:
    """Return the words of the page, a line each."""
    rows = [(word(name), word(meaning)) for name, meaning in glossary()]
    return PageSection(
        "words", "Words", (Table("Words", ("word", "meaning"), rows, words=(1,)),), folded=True
    )


def error_cell(share: float) -> TableCell:
    """Return a cell with a numerical error, of which one digit says all."""
    return TableCell(share, error_percent(share))


def _core_key(estimate: Estimate) -> tuple[str, float, float, float]:
    core, bead = estimate.setting.core, estimate.setting.printing.bead
    return core.pattern, estimate.set_fill, bead.width, core.angle_deg


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
