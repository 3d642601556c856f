"""One offline page with predictions, measurements, method, cautions and provenance."""

import time
from collections.abc import Sequence
from typing import Any

from fem.estimate import Estimate
from validation.measured import Measured
from validation.output import CAUTIONS, significant
from validation.reconcile import Row, mean_error
from validation.report.provenance import provenance
from validation.study import Study


def build_page(
    study: Study,
    estimates: Sequence[Estimate],
    rows: Sequence[Row],
    measured: Measured | None,
    started: float,
) -> str:
    """Return the page as HTML text.

    Parameters
    ----------
    study : Study
        What was asked.
    estimates : sequence of Estimate
        One per setting.
    rows : sequence of Row
        Measurements beside estimates; without beams where nothing was measured.
    measured : Measured or None
        The table of specimens.
    started : float
        Clock reading (`time.perf_counter`) at the start, for the seconds in the provenance.
    """
    from jinja2 import Environment, PackageLoader, StrictUndefined

    from validation.estimates import all_warnings, material_rows

    environment = Environment(
        loader=PackageLoader("validation.report", "."), autoescape=True, undefined=StrictUndefined,
        trim_blocks=True, lstrip_blocks=True,
    )  # fmt: skip
    inputs = [study.path] + ([measured.path] if measured else [])
    return environment.get_template("page.html.j2").render(
        title=study.table.title,
        note=study.table.note,
        invented=study.table.invented,
        summary=_summary(rows, estimates),
        predictions=[_prediction(row) for row in rows],
        comparisons=[_comparison(row) for row in rows if row.force],
        excluded=[beam for beam in measured.beams if not beam.valid] if measured else [],
        figures=_figures(study, rows),
        warnings=all_warnings(study, estimates),
        material=material_rows(study),
        material_name=study.settings[0].setting.card.name,
        cautions=CAUTIONS,
        provenance=provenance(inputs, time.perf_counter() - started),
        worst_core_error=max((found.core.relative_error for found in estimates if found.core), default=0.0),
    )


def _summary(rows: Sequence[Row], estimates: Sequence[Estimate]) -> list[str]:
    """Return the findings in one line each."""
    stiffest = max(rows, key=lambda row: row.estimate.stiffness.best)
    lines = [
        f"{len(rows)} setting(s); stiffest: {stiffest.named.label}, "
        f"{significant(stiffest.estimate.stiffness.best)} N/mm."
    ]
    strong = [row for row in rows if row.estimate.breaking_force]
    if strong:
        best = max(strong, key=lambda row: row.estimate.breaking_force.best / row.estimate.mass.best)  # type: ignore[union-attr]
        force = best.estimate.breaking_force
        lines.append(
            f"Most breaking force per gram, estimated: {best.named.label}, "
            f"{significant(force.best / best.estimate.mass.best)} N/g."  # type: ignore[union-attr]
        )
    for name, ratio in (("Breaking force", Row.force_ratio), ("Stiffness", Row.stiffness_ratio)):
        error = mean_error(rows, ratio.fget)  # type: ignore[attr-defined]
        if error is not None:
            lines.append(f"{name}: the estimate misses the measured means by {100 * error:.0f} % on average.")
    judged = [row.in_band for row in rows if row.in_band is not None]
    if judged:
        lines.append(f"{sum(judged)} of {len(judged)} measured mean forces lie within the estimate's band.")
    return lines


def _spread(band: Any) -> str:
    return f"{significant(band.best)} ({significant(band.low)}–{significant(band.high)})" if band else "–"


def _prediction(row: Row) -> dict[str, str]:
    found = row.estimate
    return {
        "setting": row.named.label,
        "fill": f"{found.set_fill:.3g} / {found.geometric_fill:.3g}",
        "stiffness": _spread(found.stiffness),
        "force": _spread(found.breaking_force),
        "mode": found.mode.replace("_", " ") or "not evaluated",
        "mass": _spread(found.mass),
        "time": _spread(found.print_time),
        "core EI": f"{100 * found.shares['EI'].get('core', 0):.0f} %",
        "core GA": f"{100 * found.shares['GA'].get('core', 0):.0f} %",
    }


def _comparison(row: Row) -> dict[str, str]:
    def told(sample: Any) -> str:
        if sample is None:
            return "–"
        return f"{significant(sample.mean)}" + (
            f" ± {significant(sample.interval.high - sample.mean, 2)}" if sample.interval else ""
        )

    assert row.force is not None
    return {
        "setting": row.named.label,
        "n": str(row.force.n),
        "force": told(row.force),
        "sd": significant(row.force.sd, 2) if row.force.sd is not None else "–",
        "force ratio": significant(row.force_ratio),
        "solid bar ratio": significant(row.theory_ratio),
        "stiffness": told(row.stiffness),
        "stiffness ratio": significant(row.stiffness_ratio),
        "mass": told(row.mass),
        "mass ratio": significant(row.mass_ratio),
        "strength": significant(row.strength_to_mass),
    }


def _figures(study: Study, rows: Sequence[Row]) -> list[dict[str, str]]:
    from validation.report.drawings import section_svg
    from validation.report.main_figures import against_fill, parity

    invented = study.table.invented
    found = []
    strong = [row for row in rows if row.estimate.breaking_force]
    if strong and len({row.estimate.set_fill for row in rows}) > 1:
        found.append(
            {
                "svg": against_fill(strong, "breaking_force", "breaking force [N]", "force-fill", invented),
                "caption": "Hatched: 5 % to 95 % point of the estimate from the ranges of the material card, clamp and "
                "rig. Points: every measured beam; ticks: means.",
            }
        )
        found.append(
            {
                "svg": against_fill(rows, "stiffness", "stiffness [N/mm]", "stiffness-fill", invented),
                "caption": "As above, for the slope of force against travel.",
            }
        )
    if any(row.force for row in strong):
        found.append(
            {
                "svg": parity(strong, "breaking_force", "N", "force-parity", invented),
                "caption": "Nothing was tuned: the estimate uses the material card alone.",
            }
        )
    middle = rows[len(rows) // 2]
    found.append(
        {
            "svg": section_svg(middle.estimate.layout, "section", middle.named.setting.test.load_angle_deg),
            "caption": f"Section as printed at {middle.named.label}.",
        }
    )
    return found
