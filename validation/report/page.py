"""One offline page with everything on a study, in one file that asks nothing of any network."""

import base64
import hashlib
import re
import time
from collections.abc import Sequence
from importlib import resources

from markupsafe import Markup, escape

from patterns.errors import InputError
from validation.design.choose import JudgedSetting
from validation.measured.measured import Measured
from validation.predict.calibrated import CalibratedStudy
from validation.report import result_sections, sections
from validation.report.content import Figure, PageSection
from validation.report.evidence import evidence
from validation.report.explorer import explorer_data, to_script
from validation.report.provenance import provenance
from validation.report.style import Picture
from validation.report.tuned import judge
from validation.report.verdict import verdict
from validation.results.beside import Results
from validation.study.study import Study
from validation.text.output import CAUTIONS
from validation.text.screen import in_markup

# settings up to which the large figure is drawn a second time, for narrow screens
_MOST_TWICE = 100
_BACKTICKS = re.compile(r"`([^`\n]+)`")
SCRIPTS = ("section.js", "explorer.js", "tables.js")


def build_page(
    study: Study,
    results: Results,
    measured: Measured | None,
    started: float,
    calibrated: CalibratedStudy | None = None,
    steps: tuple[Sequence[str], PageSection | None] = ((), None),
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
    calibrated : CalibratedStudy or None
        The estimate tuned to the beams (`tuned.tune`); None where nothing was broken.
    steps : tuple
        What the series show in one line each for the verdict, and the section that holds it in full.
    """
    from jinja2 import Environment, PackageLoader, StrictUndefined

    environment = Environment(
        loader=PackageLoader("validation.report", "."),
        autoescape=True,
        undefined=StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
    )
    environment.filters["base64"] = lambda text: base64.b64encode(text.encode()).decode()
    environment.filters["digest"] = _digest
    environment.filters["coded"] = coded
    # six digits tell any two values of a table apart
    environment.filters["sortable"] = lambda value: f"{value:.6g}" if isinstance(value, float) else value
    judged = judge(results.rows, calibrated)
    first, others = _figures(study, results, judged)
    lines, steps_section = steps
    parts: list[PageSection | None] = [
        result_sections.numbers_section(study, results, judged),
        PageSection("figures", "Figures", others) if others else None,
        steps_section,
        evidence(calibrated) if calibrated else None,
        result_sections.measurements(results),
        result_sections.details(results),
        sections.settings(study),
        sections.method(study, results),
        sections.words(),
    ]
    # settings given in Python stand in no file
    inputs = [path for path in (study.path, *([measured.path] if measured else [])) if path.is_file()]
    facts = provenance(inputs, time.perf_counter() - started)
    page = environment.get_template("page.html.j2").render(
        title=study.table.title,
        note=study.table.note,
        invented=study.table.invented,
        verdict=verdict(results.rows, judged, calibrated, lines),
        cautions=CAUTIONS,
        first=first,
        sections=[*(part for part in parts if part), sections.provenance_section(facts, results)],
        explorer=to_script(explorer_data(results, judged)),
        style=_asset("page.css"),
        script="\n".join(_asset(name) for name in SCRIPTS),
    )
    return in_markup(page)


def coded(text: str) -> Markup:
    """Return text as HTML, what stands between backticks set as code and everything escaped.

    Examples
    --------
    >>> str(coded("see `cell <name>` & more"))
    'see <code>cell &lt;name&gt;</code> &amp; more'
    """
    return Markup(_BACKTICKS.sub(r"<code>\1</code>", str(escape(text))))


def _asset(name: str) -> str:
    return resources.files("validation.report").joinpath(name).read_text(encoding="utf-8")


def _digest(text: str) -> str:
    """Return what a content policy calls an inline block by."""
    return "sha256-" + base64.b64encode(hashlib.sha256(text.encode()).digest()).decode()


def _figures(
    study: Study, results: Results, judged: Sequence[JudgedSetting]
) -> tuple[Figure | None, list[Figure]]:
    """Return the one large figure, force against the varied setting, and all others."""
    from validation.report.curves import against
    from validation.report.figures import FIGURES, Data, drawable

    data = Data.of(results, study.table.invented, judged)
    kinds = dict(FIGURES)
    first = None
    try:
        broad, hand = (
            against(data.rows, "breaking_force", data.beams, invented=data.invented, narrow=narrow)
            for narrow in (False, True)
        )
    except InputError:
        pass  # nothing varies, or no force is known
    else:
        del kinds["force"]
        narrow = hand.svg("force-narrow") if len(results.rows) <= _MOST_TWICE else ""
        first = Figure(broad.svg("force"), broad.description, narrow)
    return first, [_drawn(name, picture) for name, picture in drawable(data, kinds)]


def _drawn(name: str, picture: Picture) -> Figure:
    return Figure(picture.svg(name), picture.caption or picture.description)
