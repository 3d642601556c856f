"""The plan on paper: a printable sheet and the table to fill in at the rig."""

from collections.abc import Sequence

from fem.estimation import Estimate
from validation.design.plan import Plan
from validation.measured.manifest import write_manifest
from validation.study.study import Study
from validation.text.mode_words import codes_comment, codes_told
from validation.text.numbers import ranged, significant
from validation.text.output import CAUTIONS
from validation.text.screen import in_markup


def table_to_fill_in(study: Study, plan: Plan) -> str:
    """Return the CSV that `fillbend reconcile` reads once the measured columns are filled in."""
    keys = list(study.settings[0].keys)
    short = [key.split(".")[-1] for key in keys]
    free = {"cantilever": ["lever_mm"], "tension": []}.get(study.settings[0].setting.test.kind, ["span_mm"])
    measured = ["breaking_force_N", "stiffness_N_per_mm", "mass_g", "width_mm", "depth_mm", *free]
    columns = ["test_order", "specimen", "setting_id", *short, "build", "role", *measured]
    columns += ["mode", "file", "valid", "exclude_reason", "note"]
    rows: list[dict[str, object]] = []
    for beam in sorted(plan.beams, key=lambda beam: beam.order):
        named = study.settings[beam.setting]
        row: dict[str, object] = dict(zip(short, named.keys.values(), strict=True))
        row |= {
            "test_order": beam.order, "specimen": beam.specimen, "setting_id": f"S{beam.setting + 1}",
            "build": beam.build, "role": beam.role, "valid": 1,
        }  # fmt: skip
        rows.append(row)
    return codes_comment() + write_manifest(rows, columns)


def sheet(study: Study, plan: Plan, estimates: Sequence[Estimate]) -> str:
    """Return the printable sheet as one HTML page, cautions on top."""
    from jinja2 import Environment, PackageLoader, StrictUndefined

    environment = Environment(
        loader=PackageLoader("validation.report", "."), autoescape=True, undefined=StrictUndefined,
        trim_blocks=True, lstrip_blocks=True,
    )  # fmt: skip
    settings = []
    for number, (named, found, expected) in enumerate(
        zip(study.settings, estimates, plan.expected, strict=True), 1
    ):
        settings.append(
            {
                "id": f"S{number}",
                "label": named.label,
                "force": ranged(expected.force, expected.force_low, expected.force_high)
                if expected
                else "not evaluated",
                "travel": significant(expected.travel, 2) if expected else "-",
                "stiffness": significant(found.stiffness.best),
                "mass": significant(found.mass.best),
                "time": significant(found.print_time.best),
                "warnings": expected.warnings if expected else (),
            }
        )
    page = environment.get_template("plan.html.j2").render(
        title=study.table.title,
        cautions=CAUTIONS,
        settings=settings,
        plan=plan,
        labels=[named.label for named in study.settings],
        mass=significant(plan.mass),
        codes=codes_told(),
        hours=significant(plan.time / 60),
    )
    return in_markup(page)
