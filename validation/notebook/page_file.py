"""The page to send to somebody, written to a file."""

import time
from pathlib import Path

from validation.measured.measured import NoBeamYetError, read_specimens
from validation.notebook.study_of import Subject, study_of
from validation.report.explanation import explanation
from validation.report.page import build_page
from validation.report.tuned import tune
from validation.results.beside import Results
from validation.study.estimates import estimate_all
from validation.text.output import remark, require_ending, require_place, write_atomically


def write_page(subject: Subject, path: str | Path, quiet: bool = True) -> Results:
    """Write one offline page: verdict, figures, explorer, tables, method, provenance.

    Parameters
    ----------
    subject : Study, str, Path, Setting or sequence of Setting
        A study with a table of beams has them on the page.
    path : str or Path
        Ends in .html; written whole or not at all.
    quiet : bool
        False tells progress on standard error.

    Returns
    -------
    Results
        What the page is made of.

    Raises
    ------
    InputError
        If the file cannot be written there, or the study is impossible.
    DataError
        If the table of beams is wrong; without any beam yet, the page tells estimates alone.

    Examples
    --------
    >>> import tempfile
    >>> from validation import beam, write_page
    >>> bar = beam(width_mm=10.0, depth_mm=4.0, pattern="square", set_fill=0.3)
    >>> page = Path(tempfile.mkdtemp()) / "bar.html"
    >>> _ = write_page(bar, page)
    >>> page.read_text(encoding="utf-8").count("<svg") > 1
    True
    """
    started = time.perf_counter()
    path = Path(path)
    require_ending(path, (".html", ".htm"), "a report")
    require_place(path)
    study = study_of(subject)
    measured = None
    try:
        measured = read_specimens(study) if study.table.measured else None
    except NoBeamYetError as none:
        remark(f"note: {none}: the page tells estimates alone", quiet)
    results = Results.of(study, estimate_all(study, quiet), measured)
    steps = explanation(results.rows, study.table.rig.capacity_N) if measured else ((), None)
    write_atomically(path, build_page(study, results, measured, started, tune(study, results.rows), steps))
    remark(f"wrote {path}", quiet)
    return results
