"""The sections of the page, in the order of a reader's questions."""

from collections.abc import Mapping, Sequence
from typing import Any

from pydantic import BaseModel

from fem.estimate import Estimate
from fem.failure import MODES
from validation.estimates import all_warnings, material_rows
from validation.output import CAUTIONS, significant
from validation.reconcile import Row, Sample, mean_error
from validation.report.content import (
    Block,
    Bullets,
    Cell,
    Download,
    Figure,
    Section,
    Table,
    Text,
    band,
    fraction,
    number,
    percent,
    word,
)
from validation.report.mode_map import MODE_LOOKS
from validation.report.rows import ROLES, Results, to_csv
from validation.study import Study


def summary(study: Study, results: Results) -> Section:
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
        modes = {MODE_LOOKS[row.estimate.mode][3] for row in strong}
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
    return Section("summary", "Summary", (Bullets(lines), Text(f"{CAUTIONS[1]} {CAUTIONS[2]}")))


def settings(study: Study) -> Section:
    """Return every entry of the study, defaults too, and what is varied."""
    varied = study.table.vary
    rows = [(word(key), word(value)) for key, value in _entries(study.table) if key not in varied]
    blocks: list[Block] = []
    if varied:
        told = [(word(key), word(_shown(values)), number(len(values))) for key, values in varied.items()]
        blocks.append(Table("Varied", ("entry", "values", "count"), told, words=(1,)))
    blocks.append(Table("The same in all settings", ("entry", "value"), rows, words=(1,)))
    return Section("settings", "Settings", blocks)


def estimates(study: Study, results: Results, figures: Sequence[Figure]) -> Section:
    """Return the estimate of every setting, the force of every mode, and figures."""
    columns = (
        "setting",
        "set fill",
        "geometric fill",
        "stiffness N/mm",
        "breaking force N",
        "mode",
        "mass g",
        "print time min",
    )
    caption = "Estimates: best value and, smaller, its 5 % to 95 % points"
    table = Table(caption, columns, [_estimate_row(row) for row in results.rows], words=(5,))
    blocks: list[Block] = [table, Text(BAND_TOLD), _section_table(results)]
    known = [mode for mode in MODES if any(found.modes.get(mode) for found in results.estimates)]
    if known:
        rows = [
            [word(row.named.label), *(band(row.estimate.modes.get(mode)) for mode in known)]
            for row in results.rows
        ]
        names = [f"{MODE_LOOKS[mode][3]} N" for mode in known]
        blocks.append(
            Table("Breaking force by failure mode; the smallest governs", ("setting", *names), rows)
        )
        missing = [MODE_LOOKS[mode][3] for mode in MODES if mode not in known]
        if missing:
            blocks.append(Text(f"Not evaluated in any setting: {', '.join(missing)}."))
    notes = all_warnings(study, results.estimates)
    if notes:
        blocks.append(Bullets(notes))
    blocks += figures
    csv = to_csv(results.to_rows())
    blocks.append(Download("results.csv", csv, "all settings with estimates and measured means"))
    return Section("estimates", "Estimates", blocks)


BAND_TOLD = (
    "The band holds the ranges of the material card, the root of a clamp and, for the print time, the speeds; "
    "the scatter of single beams is not part of it."
)


def measurements(results: Results) -> Section | None:
    """Return every measured beam, the excluded ones with their reason; None without any."""
    beams = results.beam_rows()
    if not beams:
        return None
    columns = (
        "specimen",
        "setting",
        "build",
        "test order",
        "breaking force N",
        "stiffness N/mm",
        "mass g",
        "mode seen",
        "used",
        "reason and note",
    )
    rows = [
        [
            word(beam["specimen"]),
            word(beam["setting"]),
            word(beam["build"]),
            Cell(_as_number(beam["test_order"]), beam["test_order"]),
            number(beam["breaking_force_N"], 4),
            number(beam["stiffness_N_per_mm"], 4),
            number(beam["mass_g"], 4),
            word(beam["mode"]),
            word("yes" if beam["valid"] else "no"),
            word("; ".join(text for text in (beam["exclude_reason"], beam["note"]) if text)),
        ]
        for beam in beams
    ]
    table = Table("Measured beams", columns, rows, words=(1, 2, 7, 8, 9))
    text = "Excluded beams stay in this table and take no part in any mean."
    file = Download("beams.csv", to_csv(beams), "every measured beam with its ratio to the estimate")
    return Section("measurements", "Measurements", (table, Text(text), file))


def reconciliation(results: Results, figures: Sequence[Figure]) -> Section | None:
    """Return measured means beside estimates and beam theory; None without measurements."""
    rows = [row for row in results.rows if row.force]
    if not rows:
        return None
    columns = (
        "setting",
        "beams",
        "breaking force N",
        "SD N",
        "over estimate",
        "in band",
        "over solid-bar theory",
        "stiffness N/mm",
        "over estimate",
        "mass g",
        "over estimate",
        "gravimetric fill",
        "force per mass N/g",
    )
    table = Table(
        "Measured means ± half their 95 % interval (Student's t), and over estimated",
        columns,
        [_compared(row) for row in rows],
    )
    text = (
        "Nothing was tuned to these beams: the estimate uses the material card alone. "
        "Ratios are measured over estimated."
    )
    return Section("reconciliation", "Measured beside estimated", (table, Text(text), *figures))


def method(study: Study, results: Results) -> Section:
    """Return how the numbers come about, and the material they rest on."""
    name = study.settings[0].setting.card.name
    rows = [[word(cell) for cell in line] for line in material_rows(study)]
    material = Table(f"Material: {name}", ("value", "best", "range", "basis", "evidence"), rows, words=(3, 4))
    return Section("method", "Method", (*(Text(text) for text in METHOD), material))


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


def cautions() -> Section:
    """Return what the results are not for."""
    return Section("cautions", "Cautions", (Bullets(CAUTIONS),))


def provenance_section(facts: Mapping[str, str], results: Results) -> Section:
    """Return where the numbers come from, with the discretisation error of every core."""
    rows = [(word(name), word(value)) for name, value in facts.items()]
    cores = {_core_key(found): found for found in results.estimates if found.core is not None}
    cells = [
        [word(pattern), fraction(fill), number(found.core.pitch), number(100 * found.core.relative_error, 2)]
        for (pattern, fill, _, _), found in cores.items()
        if found.core is not None
    ]
    blocks: list[Block] = [Table("Versions, inputs and times", ("fact", "value"), rows, words=(1,))]
    if cells:
        columns = ("core", "set fill", "pitch mm", "discretisation error of the worst constant %")
        blocks.append(Table("Solved cores", columns, cells))
    return Section("provenance", "Provenance", blocks)


def _core_key(found: Estimate) -> tuple[str, float, float, float]:
    core, bead = found.setting.core, found.setting.printing.bead
    return core.pattern, found.set_fill, bead.width, core.angle_deg


def _force(row: Row) -> float:
    return row.estimate.breaking_force.best if row.estimate.breaking_force else 0.0


def _estimate_row(row: Row) -> list[Cell]:
    found = row.estimate
    return [
        word(row.named.label),
        fraction(found.set_fill),
        fraction(found.geometric_fill),
        band(found.stiffness),
        band(found.breaking_force),
        word(MODE_LOOKS[found.mode][3]),
        band(found.mass),
        band(found.print_time),
    ]


def _section_table(results: Results) -> Table:
    """Return the stiffness of every section and who carries it."""
    columns = (
        "setting",
        "EI kN mm²",
        "GA kN",
        "GJ kN mm²",
        *(f"{share} of {role}" for share, role in _SHARES),
    )
    rows = []
    for row in results.rows:
        found = row.estimate
        stiffness = (band(found.EI, 1e-3), band(found.GA, 1e-3), band(found.GJ, 1e-3))
        parts = [percent(found.shares[share].get(role, 0.0)) for share, role in _SHARES]
        rows.append([word(row.named.label), *stiffness, *parts])
    return Table(
        "Section: stiffness along the load, and shares of bending (EI) and shear (GA) stiffness",
        columns,
        rows,
    )


_SHARES = [(share, role) for share in ("EI", "GA") for role in ROLES]


def _compared(row: Row) -> list[Cell]:
    return [
        word(row.named.label),
        number(len(row.beams)),
        _mean(row.force),
        number(row.force.sd if row.force else None, 2),
        number(row.force_ratio),
        word({True: "yes", False: "no", None: "–"}[row.in_band]),
        number(row.theory_ratio),
        _mean(row.stiffness),
        number(row.stiffness_ratio),
        _mean(row.mass),
        number(row.mass_ratio),
        fraction(row.gravimetric_fill),
        number(row.strength_to_mass),
    ]


def _mean(sample: Sample | None) -> Cell:
    if sample is None:
        return Cell(None, "–")
    half = f"± {significant(sample.interval.high - sample.mean, 2)}" if sample.interval else ""
    return Cell(sample.mean, significant(sample.mean), half)


def _entries(table: BaseModel, prefix: str = "") -> list[tuple[str, str]]:
    """Return dotted key and value of everything in a table that says something."""
    found: list[tuple[str, str]] = []
    for name, value in table:
        key = prefix + name
        if isinstance(value, BaseModel):
            found += _entries(value, f"{key}.")
        elif isinstance(value, dict) and key != "vary":
            found += [(f"{key}.{inner}", _shown(item)) for inner, item in value.items()]
        elif key not in ("title", "note", "vary") and value not in (None, "", (), {}):
            found.append((key, _shown(value)))
    return found


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


def _as_number(text: str) -> float | str:
    try:
        return float(text)
    except ValueError:
        return text


def _plural(count: int, noun: str) -> str:
    return noun if count == 1 else f"{noun}s"
