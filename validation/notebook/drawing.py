"""Pictures of a beam's section, of one cell and of results, as a notebook shows them and as files."""

from collections.abc import Sequence
from dataclasses import replace
from pathlib import Path

from fem.estimation import Estimate
from fem.setting import Setting
from patterns.errors import InputError
from patterns.kinds.option import nearest
from patterns.outlines.layout import lay_out
from validation.design.cells import SolvedCell, core_of
from validation.measured.measured import read_specimens
from validation.measured.reconcile import Row
from validation.notebook.study_of import study_of
from validation.report.cell_drawing import cell_picture
from validation.report.drawings import section_picture
from validation.report.figures import FIGURES, Data
from validation.report.style import Picture
from validation.report.tuned import judge, tune
from validation.results.beside import Results
from validation.study.estimates import estimate_all
from validation.study.study import Study


def draw(
    subject: Study | str | Path | Setting | Sequence[Setting] | Estimate | Results | SolvedCell,
    what: str = "",
    *,
    number: int | None = None,
) -> Picture:
    """Draw a section, a cell or a figure of results.

    Parameters
    ----------
    subject : Study, str, Path, Setting, sequence of Setting, Estimate, Results or SolvedCell
        What is drawn; a study or settings are estimated first where a figure of results is asked for.
    what : str
        "section", or a figure of results as `fillbend draw` lists them, such as "force"; if left out the section, of
        `Results` the force, of a cell its plan.
    number : int, optional
        Place of the setting that the section and figures of a single one show, from 0.

    Returns
    -------
    Picture
        Shows itself in a notebook; ``save("name.svg")`` or ``save("name.png")`` writes it.

    Raises
    ------
    InputError
        If there is no such figure, or the data do not allow it.

    Examples
    --------
    >>> from validation import beam, draw
    >>> draw(beam(width_mm=10.0, depth_mm=4.0, pattern="square", set_fill=0.3)).title
    '10 x 4 mm bar printed flat (XYZ), cut near mid-length'
    """
    if isinstance(subject, SolvedCell):
        with cell_picture(*core_of(subject)) as picture:
            return picture
    what = what or ("force" if isinstance(subject, Results) else "section")
    if what == "section":
        return _section(subject, number or 0)
    if what not in FIGURES:
        raise InputError(f"no figure {what!r}{nearest(what, FIGURES)}; known: section, {', '.join(FIGURES)}")
    return FIGURES[what].draw(replace(_data(subject), number=number))


def data_of(study: Study, with_measured: bool, quiet: bool) -> Data:
    """Return what figures of a study are drawn from, tuned where its beams are asked for too."""
    measured = read_specimens(study) if with_measured else None
    return _tuned(Results.of(study, estimate_all(study, quiet), measured))


def _tuned(results: Results) -> Data:
    """Return what figures of results are drawn from, tuned to their beams where they have any."""
    study, beams = results.study, any(row.beams for row in results.rows)
    judged = judge(results.rows, tune(study, results.rows)) if study and beams else ()
    return Data.of(results, results.invented, judged)


def _data(subject: Study | str | Path | Setting | Sequence[Setting] | Estimate | Results) -> Data:
    if isinstance(subject, Results):
        return _tuned(subject)
    if isinstance(subject, Estimate):
        (alone,) = study_of(subject.setting).settings
        return Data.of(Results((Row(alone, subject, (), None, None, None),)))
    study = study_of(subject)
    return data_of(study, study.table.measured is not None, quiet=True)


def _section(
    subject: Study | str | Path | Setting | Sequence[Setting] | Estimate | Results, number: int
) -> Picture:
    if isinstance(subject, Estimate):
        settings = [subject.setting]
    elif isinstance(subject, Results):
        settings = [row.named.setting for row in subject.rows]
    else:
        settings = [named.setting for named in study_of(subject).settings]
    if not 0 <= number < len(settings):
        raise InputError(f"number {number}: there are settings 0 to {len(settings) - 1}")
    setting = settings[number]
    layout = lay_out(setting.specimen, setting.printing, setting.core)
    with section_picture(layout, setting.test.load_angle_deg) as picture:
        return picture
