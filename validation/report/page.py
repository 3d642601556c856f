"""One offline page with everything on a study, in one file that asks nothing of any network."""

import base64
import hashlib
import time
from collections.abc import Sequence
from importlib import resources

from validation.measured.measured import Measured
from validation.report import result_sections, sections
from validation.report.content import Figure, PageSection
from validation.report.provenance import provenance
from validation.report.style import Picture
from validation.results.beside import Results
from validation.study.study import Study

SCRIPTS = ("lines.js", "section.js", "explorer.js", "tables.js")
EXPLORER = PageSection("explorer-heading", "Explorer", ())


def build_page(
    study: Study,
    results: Results,
    measured: Measured | None,
    started: float,
    extra: Sequence[PageSection] = (),
) -> str:
    """Return the page as HTML text, the same for the same inputs but for the time stamp and the seconds.

    Parameters
    ----------
    study : Study
        What was asked.
    results : Results
        What was estimated and measured.
    measured : Measured or None
        The table of specimens, whose file is named in the provenance.
    started : float
        Clock reading (`time.perf_counter`) at the start, for the seconds in the provenance.
    extra : sequence of PageSection
        Ready sections (explanation, calibration) that stand after the reconciliation.
    """
    from jinja2 import Environment, PackageLoader, StrictUndefined

    from validation.report.explorer import explorer_data, to_script

    environment = Environment(
        loader=PackageLoader("validation.report", "."),
        autoescape=True,
        undefined=StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
    )
    environment.filters["base64"] = lambda text: base64.b64encode(text.encode()).decode()
    environment.filters["digest"] = _digest
    many = len(results.rows) > 1
    before, beside = _figures(study, results)
    parts: list[PageSection | None] = [
        sections.summary(study, results),
        EXPLORER if many else None,
        sections.settings(study),
        result_sections.estimates(study, results, before),
        result_sections.measurements(results),
        result_sections.reconciliation(results, beside),
        *extra,
        sections.method(study, results),
        sections.cautions(),
    ]
    inputs = [study.path, *([measured.path] if measured else [])]
    facts = provenance(inputs, time.perf_counter() - started)
    return environment.get_template("page.html.j2").render(
        title=study.table.title,
        note=study.table.note,
        invented=study.table.invented,
        sections=[*(part for part in parts if part), sections.provenance_section(facts, results)],
        explorer=to_script(explorer_data(results)) if many else "",
        style=_asset("page.css"),
        script="\n".join(_asset(name) for name in SCRIPTS),
    )


def _asset(name: str) -> str:
    return resources.files("validation.report").joinpath(name).read_text(encoding="utf-8")


def _digest(text: str) -> str:
    """Return what a content policy calls an inline block by."""
    return "sha256-" + base64.b64encode(hashlib.sha256(text.encode()).digest()).decode()


def _figures(study: Study, results: Results) -> tuple[list[Figure], list[Figure]]:
    """Return the figures of the estimates and those of the comparison with measurements."""
    from validation.report.drawings import section_svg
    from validation.report.figures import COMPARED, ESTIMATED, Data, drawable

    data = Data.of(results, study.table.invented)
    middle = results.rows[len(results.rows) // 2]
    angle = middle.estimate.setting.test.load_angle_deg
    section = Figure(
        section_svg(middle.estimate.layout, "section", angle), f"Section at {middle.named.label}."
    )
    return [*_drawn(drawable(data, ESTIMATED)), section], _drawn(drawable(data, COMPARED))


def _drawn(pictures: Sequence[tuple[str, Picture]]) -> list[Figure]:
    return [Figure(picture.svg(name), picture.caption or picture.description) for name, picture in pictures]
